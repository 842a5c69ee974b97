"""The fields of a table find their meanings: which belong together, their units, what speaks against.

Comes in: a Table in its orientation. Goes out: the Table with assigned meanings.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from extract.meanings.assign import Assigned, Candidate, candidates_to_assigned
from extract.meanings.conditions import field_to_condition
from extract.meanings.series import Entry, Series, text_to_spelled_units
from extract.meanings.tables import Table
from extract.meanings.words import Meaning, priors, text_to_hits
from extract.vocabulary import Unit, fold, foreign_words


def assign_meanings(table: Table) -> Table:
    """Find the meanings of the fields that are no ambients."""
    halves = _fields_to_halves([f for f, a in zip(table.fields, table.ambients, strict=True) if a is None])
    fields = tuple(_without_dashes(f) if f.index in halves else f for f in table.fields)
    table = replace(table, fields=fields)
    told_by = [f for f, a in zip(table.fields, table.ambients, strict=True) if a is None]
    pairs = _fields_to_pairs(told_by)
    families = [*pairs, *_fields_to_families([f for f in told_by if not any(f in own for own in pairs)])]
    candidates = [c for family in families for c in _field_to_candidates(family[0], table)]
    tests = {family[0].index: BESIDE_TIMES for family in pairs if _base_of(family[0]) == "A"}
    assigned = candidates_to_assigned(
        [
            replace(c, head=halves.get(c.series, c.head), bonus={**c.bonus, **tests.get(c.series, {})})
            for c in candidates
        ]
    )
    siblings = {family[0].index: family[1:] for family in families}
    further = [one for a in assigned for one in _to_siblings(a, siblings.get(a.candidate.series, ()), table)]
    return replace(table, assigned=(*assigned, *further))


def _to_siblings(told: Assigned, fields: Sequence[Series], table: Table) -> Iterator[Assigned]:
    """What the first field of a family means, if a time or a test current, said of its other fields."""
    if told.meaning in (Meaning.TIME, Meaning.TIME_TYP, Meaning.TEST_CURRENT):
        for field in fields:
            mine = [c for c in _field_to_candidates(field, table) if c.place == told.candidate.place]
            yield from (replace(told, candidate=c) for c in mine[:1])


BESIDE_TIMES = {Meaning.TEST_CURRENT: 6.0}
"""What it says for a test current that columns of times stand beside it by turns."""


def _fields_to_pairs(fields: Sequence[Series]) -> list[list[Series]]:
    """Currents and times that stand by turns under two headings again and again: two families.

    Current | Time  | Current | Time
    0.5 A   | 3.0 s | 1 A     | 0.7 s
    """
    for start in range(len(fields) - 3):
        heads = [_CONDITION.sub("#", fold(field.head)) for field in fields[start:]]
        count = 2
        while count < len(heads) and heads[count] == heads[count - 2]:
            count += 1
        count -= count % 2
        own = fields[start : start + count]
        if count >= 4 and heads[0] != heads[1] and {_base_of(f) for f in own[:2]} == {"A", "s"}:
            return [list(own[::2]), list(own[1::2])]
    return []


def _base_of(field: Series) -> str:
    unit = place_to_unit(field, 0)
    return unit.base if unit is not None else ""


_CONDITION = re.compile(r"\d+(?:[.,]\d+)?\s*(?:(?:m?a|amp(?:ere)?s?)\b|[x×]\s*(?:i\w*)?)")


def _fields_to_families(fields: Sequence[Series]) -> list[list[Series]]:
    """Fields whose headings differ in a test current or a multiple only ("3 A", "8 A"), or that stand side by
    side each under a bare one, are one family: the same quantity at several conditions. The field that words
    name best stands first. Each other field stands alone."""
    families: dict[str, list[Series]] = {}
    run = 0
    for before, field in zip((None, *fields), fields, strict=False):
        folded = fold(field.head)
        bare = _is_bare_condition(field)
        run += not (
            bare and before is not None and _is_bare_condition(before) and field.index == before.index + 1
        )
        has_condition = bool(_CONDITION.search(folded)) and field.width == 1
        key = f"run {run}" if bare else _CONDITION.sub("#", folded) if has_condition else f"{field.index}"
        families.setdefault(key, []).append(field)
    return [sorted(family, key=lambda f: -_timed(f)) for family in families.values()]


def _is_bare_condition(field: Series) -> bool:
    """Whether the lowest line of a heading is nothing but a current or a multiple."""
    return bool(field.levels) and _CONDITION.fullmatch(fold(field.levels[-1]).strip(" ()@")) is not None


def _timed(field: Series) -> int:
    """How many words of a heading speak of a time."""
    return sum(hit.sense == "time" or hit.name == "time_to_trip" for hit in text_to_hits(field.head))


def _field_to_candidates(field: Series, table: Table) -> list[Candidate]:
    foreign = _is_foreign(field) or _is_foreign_table(table)
    if table.item_kinds:
        return _kinds_to_candidates(field, table, foreign)
    width = min(2, field.width)
    heads = head_to_places(field.head)
    found = []
    for place in range(width):
        unit = place_to_unit(field, place)
        base = unit.base if unit is not None else ""
        values = tuple(entry_to_si(entry, place, field, base) for entry in field.entries)
        bonus = {Meaning.R_MIN: 0.5, Meaning.R_POST: -0.5} if place == 0 and width == 2 else {}
        bonus |= _at_to_bonus(field, place) if width == 2 else {}
        head = heads[place] if width == 2 else field.head
        condition = field_to_condition(field)
        found.append(Candidate(field.index, place, head, base, values, foreign, condition, bonus))
    return found


_AT = re.compile(
    r"\d\s*[^\W\d_]{0,7}\s*(?:@|(?<![^\W\d_])(?:at|bei|bij|vid|ved|przy|při|при)(?![^\W\d_]))\s*\d"
)
NOT_SO = -9.0


def _at_to_bonus(field: Series, place: int) -> dict[Meaning, float]:
    """What a word between the two numbers of a cell says: behind it stands the condition. "2.7 @ 1.25" is a
    time at a current, never a current at a time."""
    texts = [e.cell.text for e in field.entries if e.cell is not None and len(e.numbers) == 2]
    if 2 * sum(_AT.search(fold(text)) is not None for text in texts) <= len(texts):
        return {}
    no = (Meaning.TEST_CURRENT,) if place == 0 else (Meaning.TIME, Meaning.TIME_TYP)
    return dict.fromkeys(no, NOT_SO)


_BETWEEN = re.compile(r"[\s().\]\[a-zω]{0,8}(?:/|\||~|…|;)[\s(.\[]{0,3}|\.?\s[-–]\s")


def head_to_places(head: str) -> tuple[str, str]:
    """What a heading says of each of two numbers in a cell: "Vmax DC / AC" of the first "Vmax DC", of the
    second "Vmax AC"; "Ihold / Itrip" likewise. All of it for both where no sign parts two of its words."""
    folded, pair = fold(head), _head_to_pair(head)
    if pair is None:
        return folded, folded
    (start, end), (after, last) = pair
    return folded[:end] + " " + folded[last:], folded[:start] + " " + folded[after:]


def head_to_quantities(head: str) -> tuple[str, ...]:
    """The quantities that the two words of a heading name that a sign parts: "hold current / trip current";
    none where nothing is parted, or a word names none."""
    pair = _head_to_pair(head)
    hits = [hit for hit in text_to_hits(head) if hit.sense == "quantity"]
    named = [next((h.name for h in hits if h.start == start), "") for start, _ in pair or ()]
    return tuple(named) if all(named) else ()


_DASH_FIRST = re.compile(r"[-–—]\s+\d")


def _without_dashes(field: Series) -> Series:
    """The far ends of ranges whose two ends stand in columns of their own, without the dash before them."""
    entries = tuple(
        replace(e, numbers=tuple(replace(n, value=abs(n.value)) for n in e.numbers))
        if e.cell is not None and _DASH_FIRST.match(e.cell.text)
        else e
        for e in field.entries
    )
    return replace(field, entries=entries)


def _fields_to_halves(fields: Sequence[Series]) -> dict[int, str]:
    """What one heading over two columns side by side says of each: "min. - max." over the two ends of ranges.
    A third column under it leaves all as it is."""
    halves: dict[int, str] = {}
    for one, other in pairwise(fields):
        same = [field for field in fields if field.head == one.head]
        beside = other.index == one.index + 1 and other.head == one.head and len(same) == 2
        if beside and one.width == other.width == 1 and _head_to_pair(one.head) is not None:
            halves[one.index], halves[other.index] = head_to_places(one.head)
    return halves


def _head_to_pair(head: str) -> tuple[tuple[int, int], tuple[int, int]] | None:
    """Where the two words stand that a sign parts, and that say different things."""
    folded = fold(head)
    hits = [hit for hit in text_to_hits(head) if hit.sense in ("quantity", "kind", "time", "test_current")]
    for one, other in pairwise(sorted({(hit.start, hit.end) for hit in hits})):
        names = [{(h.name, h.kind) for h in hits if h.start == at} for at in (one[0], other[0])]
        if names[0].isdisjoint(names[1]) and _BETWEEN.fullmatch(folded[one[1] : other[0]]):
            return one, other
    return None


def _kinds_to_candidates(field: Series, table: Table, foreign: bool) -> list[Candidate]:
    """One candidate for each kind that a row of a one-part table gives: its heading is the row's and the
    column's."""
    found = []
    unit = place_to_unit(field, 0)
    base = unit.base if unit is not None else ""
    for place, (kind, entry) in enumerate(zip(table.item_kinds, field.entries, strict=True)):
        if entry.numbers:
            name = kind.value if kind is not None else ""
            value = entry_to_si(entry, 0, field, base)
            condition = field_to_condition(field)
            head = f"{field.head} {name}"
            found.append(Candidate(field.index, place, head, base, (value,), foreign, condition))
    return found


def _is_foreign_table(table: Table) -> bool:
    """Whether the caption right above a table says that it holds dimensions, packing, tests: no ratings."""
    text = fold(" ".join(table.grid.captions[:1]))
    if not text or len(text) > 90 or any(hit.sense == "quantity" for hit in text_to_hits(text)):
        return False
    named = sum(hit.sense == "quantity" for s in table.fields for hit in text_to_hits(s.head))
    return named < 3 and bool(
        foreign_words("unless_ratings").search(text) or foreign_words("always").search(text)
    )


def _is_foreign(field: Series) -> bool:
    """Whether a series is in units of something else."""
    head = re.sub(r"\d\s*(?:°\s?c|℃)", " ", fold(field.head))  # "at 20 °C" says where, not what
    words = set(re.split(r"[\s()\[\]（）,/]+", head))
    return bool(words & set(priors()["foreign"]["units"])) and not field.head_units


def place_to_unit(field: Series, place: int) -> Unit | None:
    """The unit of the numbers at a place of a series' cells: as the cells print it, else as the heading
    does."""
    printed = {e.numbers[place].unit for e in field.entries if len(e.numbers) > place}
    known = {unit for unit in printed if unit is not None}
    if known:
        return max(known, key=lambda unit: unit.name) if len({u.base for u in known}) == 1 else None
    return _place_to_head_unit(field, place)


def _place_to_head_unit(field: Series, place: int) -> Unit | None:
    """The unit that a heading names for a place: of two over cells of two numbers, that at the place."""
    if field.width == 2 and len({unit.base for unit in field.head_units}) == 2:
        ordered = [unit for level in field.levels or (field.head,) for unit in _units_in_order(level)]
        return ordered[place] if len(ordered) > place else None
    return next(iter(field.head_units), None)


def _units_in_order(text: str) -> list[Unit]:
    """The units of a line of a heading from left to right."""
    spelled = text_to_spelled_units(text)
    return [unit for unit, _ in sorted(spelled, key=lambda one: text.find(one[1]))]


def entry_to_si(entry: Entry, place: int, field: Series, base: str) -> float | None:
    """The SI value of a number of a cell; None if there is none or its unit is of another base."""
    if len(entry.numbers) <= place:
        return None
    number = entry.numbers[place]
    unit = number_to_unit(entry, place, field, base)
    if unit is None:
        return number.value
    return None if base and unit.base != base else float(unit.factor) * number.value


def number_to_unit(entry: Entry, place: int, field: Series, base: str) -> Unit | None:
    """The unit of a number of a cell: its own, else the heading's; None where neither prints one."""
    return entry.numbers[place].unit or _head_unit(field, base)


def _head_unit(field: Series, base: str) -> Unit | None:
    return next((unit for unit in field.head_units if unit.base == base), None)


def number_to_spelling(entry: Entry, place: int, field: Series, base: str) -> str:
    """The unit that `entry_to_si` went by, as it is printed: in the cell, else in the heading, also beside
    brackets ("s (max.)"); empty where neither prints one."""
    unit = _head_unit(field, base)
    bare = [one for level in field.levels for one in text_to_spelled_units(_BRACKETED.sub(" ", level))]
    over = [text for u, text in field.spelled_units if u == unit]
    over += [text for u, text in bare if u.base == base and u.factor == 1]
    return entry.numbers[place].printed or next(iter(over), "")


_BRACKETED = re.compile(r"[(\[（【][^()\[\]（）【】]*[)\]）】]")
