"""Rows of tables of sizes: numbers under their columns, parts by their labels, mm and inches as witnesses.

Comes in: a heading, the lines below it, the sheet's parts. Goes out: `Size`s. Where a row prints both mm and
inches, the two must agree within their rounding: then the size is agreed, else disputed. Does not find
headings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from extract.particulars.size_heads import Head, Leaf, Spot
from extract.particulars.wording import text_to_stem, word_to_length_unit
from extract.schema import Kind, Status

MM_PER_INCH = 25.4
_LENGTH = r"\d{0,3}(?:[.,]\d{1,4})|\d{1,3}"
_NUMBER = re.compile(rf"^\(?(?P<value>{_LENGTH})(?:\s?(?:±|\+/-)\s?(?P<tolerance>{_LENGTH}))?\)?[*]?$")
_TOLERANCE = re.compile(rf"^(?:±|\+/-)(?:{_LENGTH})?\)?$")
_ABSENT = re.compile(r"^\(?[-–—−*/]{1,3}\)?$|^n/?a$", re.IGNORECASE)
SHORTEST_STEM = 6  # characters of a number of which the rest may be left out
TOLERANCE_GAP = 1.2  # a tolerance stands no farther from its number, in text heights
GAP_PT = 36.0  # farther below the last row a line belongs to something else
LARGEST_MM = 80.0


@dataclass(frozen=True, slots=True)
class Size:
    """A size of a part, mm. `notes` say why it is disputed."""

    part_number: str
    leaf: Leaf
    value_mm: float
    unit: str
    raw: str
    box: tuple[float, float, float, float]
    status: Status
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Row:
    """Numbers of one line by column; `bracketed` where they stand in brackets; label words to the left."""

    numbers: Mapping[int, Spot]
    labels: tuple[Spot, ...]
    bracketed: bool
    top: float
    bottom: float

    @property
    def mid_y(self) -> float:
        return (self.top + self.bottom) / 2


def head_to_sizes(head: Head, lines: Sequence[Sequence[Spot]], parts: Sequence[str], unit: str) -> list[Size]:
    """Sizes of every row below a heading. unit: what the page says lengths are in, mm or in, or empty."""
    rows, labels = _lines_to_rows(head, lines)
    if not rows:
        return []
    known = {text_to_stem(part): part for part in parts}
    sizes: list[Size] = []
    for row, partner in _pair_rows(rows):
        owners, own_unit = _row_to_owners(row, partner, rows, labels, known)
        for owner in owners:
            sizes += _row_to_sizes(head, row, partner, owner, own_unit or unit)
    return _witnessed(sizes)


def _lines_to_rows(head: Head, lines: Sequence[Sequence[Spot]]) -> tuple[list[_Row], list[Spot]]:
    """Lines of numbers under the columns, until something else begins; words left of the columns."""
    rows: list[_Row] = []
    labels: list[Spot] = []
    bottom = head.bottom
    for line in lines:
        if min(s.mid_y for s in line) <= head.bottom:
            continue
        if min(s.top for s in line) - bottom > GAP_PT:
            break
        left = tuple(spot for spot in line if spot.x1 <= head.left)
        row = _line_to_row(head, [spot for spot in line if spot.x1 > head.left], left)
        if row is not None:
            rows.append(row)
            bottom = row.bottom
        elif len(line) > 8 and len(left) < len(line):
            break
        labels += left
    return rows, labels


def _line_to_row(head: Head, spots: Sequence[Spot], left: tuple[Spot, ...]) -> _Row | None:
    """The numbers of a line under their columns; None if a number stands under none, or there is none."""
    spots = _with_tolerances(spots)
    gaps = [b.mid_x - a.mid_x for a, b in pairwise(head.leaves)]
    reach = 0.5 * min(gaps)
    right = head.leaves[-1].mid_x + reach
    numbers: dict[int, Spot] = {}
    for spot in spots:
        if spot.x0 > right:
            continue
        match = _NUMBER.match(spot.text)
        if match is None:
            if _ABSENT.match(spot.text):
                continue
            return None
        column = min(range(len(head.leaves)), key=lambda n: abs(head.leaves[n].mid_x - spot.mid_x))
        if abs(head.leaves[column].mid_x - spot.mid_x) > reach or column in numbers:
            return None
        numbers[column] = spot
    if not numbers:
        return None
    inside = [spot.text.startswith("(") for spot in numbers.values()]
    if any(inside) and not all(inside):
        return None
    found = numbers.values()
    return _Row(numbers, left, all(inside), min(s.top for s in found), max(s.bottom for s in found))


def _with_tolerances(spots: Sequence[Spot]) -> list[Spot]:
    """Words of a line, a tolerance in words of its own ("7.3 ± 0.3") joined to its number."""
    joined: list[Spot] = []
    for spot in spots:
        before = joined[-1] if joined else None
        goes_on = before is not None and (
            _TOLERANCE.match(spot.text) is not None or re.search(r"(?:±|\+/-)$", before.text) is not None
        )
        if before is not None and goes_on and spot.x0 - before.x1 <= TOLERANCE_GAP * (spot.bottom - spot.top):
            joined[-1] = Spot(
                before.text + spot.text,
                before.x0,
                min(before.top, spot.top),
                spot.x1,
                max(before.bottom, spot.bottom),
            )
        else:
            joined.append(spot)
    return joined


def _pair_rows(rows: Sequence[_Row]) -> Iterator[tuple[_Row, _Row | None]]:
    """Each row with the row in brackets below it, which says the same in another unit."""
    for index, row in enumerate(rows):
        after = rows[index + 1] if index + 1 < len(rows) else None
        if not row.bracketed:
            yield row, after if after is not None and after.bracketed else None


def _row_to_owners(
    row: _Row, partner: _Row | None, rows: Sequence[_Row], labels: Sequence[Spot], known: Mapping[str, str]
) -> tuple[list[str], str]:
    """The parts a row speaks of, and the unit where its label is one (a sheet for a single part)."""
    own = [spot.text for spot in row.labels]
    unit = word_to_length_unit(own[0]) if own else None
    if unit is not None and len(known) == 1:
        return list(known.values()), unit
    bottom = partner.bottom if partner is not None else row.bottom
    inside = [s for s in labels if row.top - 1 <= s.mid_y <= bottom + 1]
    found = _labels_to_parts(inside, known)
    if found:
        return found, ""
    if len(known) == 1 and len(rows) <= 2 and not labels:
        return list(known.values()), ""
    return [], ""


def _labels_to_parts(spots: Sequence[Spot], known: Mapping[str, str]) -> list[str]:
    """The known parts that words name, alone or with the words beside them."""
    ordered = sorted(spots, key=lambda s: (round(s.mid_y), s.x0))
    found = [part for s in ordered if (part := _letters_to_part(text_to_stem(s.text), known)) is not None]
    whole = text_to_stem("".join(s.text for s in ordered))
    if not found and whole in known:
        found = [known[whole]]
    return list(dict.fromkeys(found))


def _letters_to_part(letters: str, known: Mapping[str, str]) -> str | None:
    """The part of that number, or the only one that goes on with it (packing codes are left out in tables of
    sizes)."""
    if letters in known:
        return known[letters]
    longer = [part for key, part in known.items() if key.startswith(letters)]
    return longer[0] if len(letters) >= SHORTEST_STEM and len(longer) == 1 else None


def _row_to_sizes(head: Head, row: _Row, partner: _Row | None, owner: str, unit: str) -> Iterator[Size]:
    for column, spot in row.numbers.items():
        leaf = head.leaves[column]
        printed, witness = leaf.unit or unit, None
        if partner is not None and column in partner.numbers:
            witness = partner.numbers[column]
            printed = _pair_to_unit(spot, witness, printed)
        value = _to_number(spot.text)
        if not printed:
            continue
        size = _spot_to_size(owner, leaf, spot, value, printed)
        if witness is not None:
            size = _judged(size, spot, witness, printed)
        for one in _size_to_limits(size, spot.text):
            if 0.0 < one.value_mm <= LARGEST_MM:
                yield one


def _size_to_limits(size: Size, text: str) -> tuple[Size, ...]:
    """A size printed with a tolerance as nominal, smallest and largest; disputed under a heading that says
    which limit it is."""
    match = _NUMBER.match(text)
    if match is None or match["tolerance"] is None:
        return (size,)
    step_mm = float(match["tolerance"].replace(",", ".")) * (1.0 if size.unit == "mm" else MM_PER_INCH)
    if size.leaf.kind is not Kind.NONE:
        note = f"a tolerance under a heading that says {size.leaf.kind.value}"
        return (_with_status(size, Status.DISPUTED, text, (note,)),)
    return tuple(
        replace(size, leaf=replace(size.leaf, kind=kind), value_mm=round(size.value_mm + away * step_mm, 4))
        for kind, away in ((Kind.TYP, 0), (Kind.MIN, -1), (Kind.MAX, 1))
    )


def _spot_to_size(owner: str, leaf: Leaf, spot: Spot, value: float, printed: str) -> Size:
    value_mm = value if printed == "mm" else value * MM_PER_INCH
    box = (spot.x0, spot.top, spot.x1, spot.bottom)
    return Size(owner, leaf, round(value_mm, 4), printed, spot.text, box, Status.SINGLE)


def _pair_to_unit(spot: Spot, witness: Spot, said: str) -> str:
    """The unit of the first of two numbers: the one that makes the other agree, else as said."""
    value, other = _to_number(spot.text), _to_number(witness.text)
    if same_length(value, other, spot.text, witness.text):
        return "mm"
    return "in" if same_length(other, value, witness.text, spot.text) else said


def _judged(size: Size, spot: Spot, witness: Spot, unit: str) -> Size:
    """Agreed where inches and mm say the same, else disputed."""
    value, other = _to_number(spot.text), _to_number(witness.text)
    mm, inches = ((value, spot), (other, witness)) if unit == "mm" else ((other, witness), (value, spot))
    raw = f"{spot.text} {witness.text}"
    if same_length(mm[0], inches[0], mm[1].text, inches[1].text):
        return _with_status(size, Status.AGREED, raw)
    note = f"{mm[0]:g} mm and {inches[0]:g} in are not the same length"
    return _with_status(size, Status.DISPUTED, raw, (note,))


def _with_status(size: Size, status: Status, raw: str, notes: tuple[str, ...] = ()) -> Size:
    return Size(
        size.part_number, size.leaf, size.value_mm, size.unit, raw, size.box, status, (*size.notes, *notes)
    )


def same_length(mm: float, inches: float, mm_text: str, inch_text: str) -> bool:
    """Whether both say one length, within one unit of the last digit of each."""
    slack_mm = _last_digit(mm_text) + MM_PER_INCH * _last_digit(inch_text)
    return abs(mm - inches * MM_PER_INCH) <= slack_mm


def _last_digit(text: str) -> float:
    text = re.split("±|[+]/-", text)[0]
    decimals = re.search(r"[.,](\d+)", text)
    return 10.0 ** -len(decimals[1]) if decimals is not None else 1.0


def _to_number(text: str) -> float:
    """The number itself, without its tolerance."""
    return float(re.split("±|[+]/-", text)[0].strip("()* ").replace(",", "."))


def _witnessed(sizes: Sequence[Size]) -> list[Size]:
    """One size for each column and part: a mm column beside an inch column witnesses it."""
    groups: dict[tuple[object, ...], list[Size]] = {}
    for size in sizes:
        key = (size.part_number, size.leaf.name, size.leaf.letter, size.leaf.kind)
        groups.setdefault(key, []).append(size)
    return [_group_to_size(group) for group in groups.values()]


def _group_to_size(group: Sequence[Size]) -> Size:
    """Of several the one in mm, agreed or disputed by the others; several in one unit must be equal."""
    first = next((size for size in group if size.unit == "mm"), group[0])
    status, notes, raw = first.status, list(first.notes), first.raw
    for other in group:
        if other is first:
            continue
        if other.unit != first.unit:
            mm, inches = (first, other) if first.unit == "mm" else (other, first)
            same = same_length(mm.value_mm, inches.value_mm / MM_PER_INCH, mm.raw, inches.raw)
            raw = f"{raw} / {other.raw}"
        else:
            same = abs(other.value_mm - first.value_mm) < 1e-9
        if not same:
            status = Status.DISPUTED
            notes.append(f"{other.raw} {other.unit} says another size")
        elif status is Status.SINGLE and other.unit != first.unit:
            status = Status.AGREED
    return Size(
        first.part_number, first.leaf, first.value_mm, first.unit, raw, first.box, status, tuple(notes)
    )
