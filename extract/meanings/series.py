"""The numbers of one column or one row, with the texts that say what they are.

Comes in: Grids. Goes out: Series: cells as numbers with units, the heading's texts, in either orientation.
Decides no meaning.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from statistics import median

from extract.cells.tables import PARTED, Cell, Grid
from extract.meanings.words import text_to_hits
from extract.quantities import (
    CellSort,
    NumberStyle,
    ParsedCell,
    cell_to_numbers,
    range_to_pair,
    texts_to_style,
)
from extract.vocabulary import Unit, spelling_to_unit

SHORTEST_UNIT = 3
"""A unit of fewer letters may be a word: "a", "in"."""
LEAST_PADDED = 3
"""So many numbers with a zero in front are codes, of whatever length the others are."""
NUMERIC = 0.55
"""A column is one of values if so many of its cells are numbers or dashes."""


@dataclass(frozen=True, slots=True)
class Number:
    """A printed number: its value as printed, the unit its cell prints, if any."""

    value: float
    unit: Unit | None
    printed: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One cell of a series: the cell, its numbers, or why it has none."""

    cell: Cell | None
    numbers: tuple[Number, ...]
    sort: CellSort
    reason: str = ""

    @property
    def text(self) -> str:
        """What the cell prints; empty without one."""
        return self.cell.text if self.cell is not None else ""


@dataclass(frozen=True, eq=False)
class Series:
    """A row or column of values: `head` its heading, top to bottom (or its label, with the group lines it
    stands under), `own` the part of it that stands over this series alone, `entries` its cells in order;
    `condition` what stands beside them in a column of conditions."""

    index: int
    head: str
    own: str
    entries: tuple[Entry, ...]
    levels: tuple[str, ...] = ()
    condition: str = ""

    @cached_property
    def numbers(self) -> tuple[float, ...]:
        """The first number of every cell that has one."""
        return tuple(entry.numbers[0].value for entry in self.entries if entry.numbers)

    @cached_property
    def texts(self) -> tuple[str, ...]:
        """The text of every entry."""
        return tuple(entry.text for entry in self.entries)

    @cached_property
    def filled(self) -> tuple[str, ...]:
        """The texts of the cells there are."""
        return tuple(entry.cell.text for entry in self.entries if entry.cell is not None)

    @cached_property
    def width(self) -> int:
        """How many numbers its cells hold each."""
        counts = [len(entry.numbers) for entry in self.entries if entry.numbers]
        return int(median(counts)) if counts else 0

    @cached_property
    def spelled_units(self) -> tuple[tuple[Unit, str], ...]:
        """The units its heading prints, each as printed, in order, the lowest line first."""
        found: dict[Unit, str] = {}
        for level in reversed(self.levels or (self.head,)):
            for unit, spelling in text_to_spelled_units(level):
                found.setdefault(unit, spelling)
        return tuple(found.items())

    @cached_property
    def head_units(self) -> tuple[Unit, ...]:
        """The units its heading prints, in order, the lowest line first."""
        return tuple(unit for unit, _ in self.spelled_units)


LONG_HEADING = 60
_BRACKETED = re.compile(r"[(\[（【]\s*([^()\[\]（）【】]{1,12}?)\s*[)\]）】]")


def text_to_units(text: str) -> tuple[Unit, ...]:
    """The units in a heading: in brackets, alone on a line, or as its last word."""
    return tuple(unit for unit, _ in text_to_spelled_units(text))


@lru_cache(maxsize=4096)  # the same headings are asked again for every reading of a table
def text_to_spelled_units(text: str) -> tuple[tuple[Unit, str], ...]:
    """The units in a heading, each as it is printed there."""
    pieces = [part for match in _BRACKETED.findall(text) for part in _alternatives(match)]
    if not _holds_unit(pieces):
        pieces += _text_to_bare_pieces(text)
        if not _holds_unit(pieces):
            pieces += [" ".join(text.split()[-2:])]
    found: dict[Unit, str] = {}
    for piece in pieces:
        unit = spelling_to_unit(piece)
        if unit is not None:
            found.setdefault(unit, piece.strip())
    return tuple(found.items())


def _text_to_bare_pieces(text: str) -> list[str]:
    """What may be a unit without brackets: all of a heading, its parts between strokes if each is one, behind
    its commas if it is short, its last word unless a number stands before it, its long words."""
    pieces = [text]
    parts = re.split(r"\s*[/|]\s*", text)
    pieces += parts if all(spelling_to_unit(part) for part in parts) else []
    if len(text) < LONG_HEADING:
        pieces += re.split(r"\s*,\s*", text)[1:]
    last = re.split(r"[,/:=\s]\s*", text)
    if not (len(last) > 1 and re.fullmatch(r"[\d.,]+", last[-2])):  # "at 8 A" is a condition
        pieces += [last[-1]]
    limited = _LIMITED.search(text)  # "mW max"
    pieces += [limited[1]] if limited is not None else []
    words = [word.strip(".,") for word in text.split()]
    return [*pieces, *(word for word in words if len(word) >= SHORTEST_UNIT and word.isalpha())]


_LIMITED = re.compile(r"(?:^|\s)([^\W\d_]{2,3})\s+(?:max|min|typ)\.?$", re.IGNORECASE)


def _holds_unit(pieces: Sequence[str]) -> bool:
    return any(spelling_to_unit(piece) is not None for piece in pieces)


def _alternatives(text: str) -> list[str]:
    """The units in one pair of brackets: "V / A" holds two, "V DC/AC" one."""
    if spelling_to_unit(text) is not None:
        return [text]
    return re.split(r"\s*[/|@]\s*", text)


def grid_to_style(grid: Grid) -> NumberStyle:
    """How a table writes the decimal sign."""
    return texts_to_style([cell.text for row in grid.rows for cell in row.cells if cell is not None])


def cell_to_entry(cell: Cell | None, style: NumberStyle) -> Entry:
    """A cell as numbers."""
    if cell is None:
        return Entry(None, (), CellSort.ABSENT)
    parsed = _text_to_parsed(cell.text, style)
    numbers = tuple(Number(float(n.value), n.unit, n.printed_unit) for n in parsed.numbers)
    shared = len(numbers) == 2 and bool(re.search(r"\d\s*/\s*\d", cell.text))
    if shared and numbers[0].unit is None and numbers[1].unit is not None:
        numbers = (Number(numbers[0].value, numbers[1].unit, numbers[1].printed), numbers[1])  # "72 / 50 V"
    return Entry(cell, numbers, parsed.sort, parsed.reason)


_RAISED = re.compile(r"(?:[⁰-⁹¹²³ᵃᵇᶜ]+|[*†‡]+)[)⁾]?$|(?<=\d)\s?\([A-Za-z]\)$")
_ALTERNATIVE = re.compile(r"\s+(?:a|à|to|bei)\s+(?=\d)")


_SIGN_FIRST = re.compile(r"%\s?(?=\d[\d.,]*$)")
"""The percent sign stands before the number in Turkish: "%145"."""
_JOINED = re.compile(
    r"(?<=\d)\s*(?P<one>[^\W\d_]{1,4})\s+(?:[^\W\d_]{1,5}\.?|@)\s+(?P<other>\d[\d.,]*\s*[^\W\d_]{1,4})$"
)


_CODE = re.compile(r"[A-Za-z]{2,}-\d")
"""A name that begins like a limit ("TYP-005") is no number."""


def _text_to_parsed(text: str, style: NumberStyle) -> ParsedCell:
    text = _SIGN_FIRST.sub("", _RAISED.sub("", text))
    text = _JOINED.sub(r" \g<one> / \g<other>", text)  # a word of any language: "1,5 s bij 0,25 A"
    if _CODE.match(text):
        return ParsedCell(CellSort.TEXT)
    parsed = cell_to_numbers(text, style)
    if parsed.sort in (CellSort.UNREADABLE, CellSort.TEXT) and any(c.isdigit() for c in text):
        pair = cell_to_numbers(range_to_pair(_ALTERNATIVE.sub(" / ", text)), style)
        if pair.sort is CellSort.NUMBERS and len(pair.numbers) == 2:
            return pair
    return parsed


def grid_to_columns(grid: Grid, style: NumberStyle) -> tuple[Series, ...]:
    """Every column as a series."""
    return tuple(
        Series(
            index,
            _without_stray_share(grid.heading(index)),
            " ".join(head.text for head in grid.heads_over(index) if head.first == head.last),
            tuple(cell_to_entry(row.cells[index], style) for row in grid.rows),
            tuple(head.text for head in grid.heads_over(index)),
        )
        for index in range(len(grid.columns))
    )


_END_OF_NAME = re.compile(r"[-–/.]?\d+(?:[-–/]\d+)*[A-Za-z]{0,2}")


def _without_stray_share(head: str) -> str:
    """A heading without its shared part, where that names another quantity than the column's own part does: a
    text over the columns beside it reaches too far ("Maximum time ‖ Tripped power")."""
    shared, sign, own = head.partition(PARTED)
    named = [
        {hit.name for hit in text_to_hits(text) if hit.sense in ("quantity", "time")}
        for text in (shared, own)
    ]
    limits = "max_interrupt_voltage" in named[0] and "max_voltage" not in {
        hit.name for hit in text_to_hits(f"{shared} {own}")
    }
    if not sign or limits or not all(named) or named[1] & {"time", "trip_current"} or named[0] & named[1]:
        return head  # "Max. time to ‖ trip": a wording may go on below
    return own.strip()


def is_numeric(series: Series) -> bool:
    """Whether a series holds values: most of its filled cells are numbers or dashes."""
    filled = [entry for entry in series.entries if entry.cell is not None]
    numeric = sum(e.sort in (CellSort.NUMBERS, CellSort.ABSENT) for e in filled)
    return bool(series.numbers) and numeric >= NUMERIC * len(filled) and not _is_codes(series)


def _is_codes(series: Series) -> bool:
    """Whether a series of digits is one of codes: leading zeros, or five digits and more; or all of one
    length with a leading zero among them ("040", "175"), or several ("020", "1100"), behind a dash ("-020"),
    or before letters that are no units ("090F")."""
    texts = series.filled
    if all(re.fullmatch(r"[-‐‑–]\d{2,4}[A-Z]{0,2}", text) for text in texts):
        return any(text[1] == "0" or text[-1].isalpha() for text in texts)
    ends = [match[1] for text in texts if (match := re.fullmatch(r"\d{2,4}([A-Za-z]{0,2})", text))]
    zeros = any(re.match(r"0\d", text) for text in texts)
    lettered = 2 * sum(map(bool, ends)) >= len(ends) or zeros  # one letter beside many numbers is a mark
    if len(ends) == len(texts) and any(ends) and lettered and not _are_units(ends):
        return True
    if all(re.fullmatch(r"\d{3,4}", text) for text in texts):
        padded = sum(text.startswith("0") for text in texts)
        return padded > 0 and (len({len(text) for text in texts}) == 1 or padded >= LEAST_PADDED)
    return sum(bool(re.fullmatch(r"0\d+|\d{5,}", text)) for text in texts) > 0.5 * len(texts)


def _are_units(ends: Sequence[str]) -> bool:
    """Whether the letters behind numbers are units of one base: "500mA" and "10A", not "090F" and "120S"."""
    units = {spelling_to_unit("ohm" if end in ("R", "r") else end) for end in ends if end}
    return None not in units and len({unit.base for unit in units if unit is not None}) == 1


def label_columns(columns: Sequence[Series]) -> tuple[int, ...]:
    """The columns that hold texts: names, words, signs; a running number on the left counts as text."""
    return tuple(s.index for s in columns if not is_numeric(s) or _is_running(s) or _is_of_codes(s))


def _is_of_codes(series: Series) -> bool:
    """Whether a series of digits and signs is headed as one of names or their ends: "Suffix: -020/24"."""
    hits = text_to_hits(series.head)
    texts = series.filled
    headed = any(hit.sense == "part_number" for hit in hits) and not any(h.sense == "quantity" for h in hits)
    return headed and len(texts) > 1 and all(_END_OF_NAME.fullmatch(text) for text in texts)


def _is_running(series: Series) -> bool:
    """Whether a series only counts its rows: 1, 2, 3; or the rows of a spreadsheet from any number on; or its
    sections: 4.1, 4.2, 4.3."""
    if _is_of_sections(series):
        return True
    numbers = series.numbers
    steps = {round(b - a, 6) for a, b in pairwise(numbers)} - {0.0}
    whole = steps == {1.0} and (numbers[0] == 1 or len(numbers) >= 6)
    return len(set(numbers)) >= 3 and series.index == 0 and whole


def _is_of_sections(series: Series) -> bool:
    """Whether a series numbers its rows by sections: 2.1, 2.2, 3.1, 3.2."""
    texts = series.filled
    if len(texts) < 3 or not all(re.fullmatch(r"\d{1,2}\.\d{1,2}\.?", text) for text in texts):
        return False
    numbers = [tuple(map(int, text.rstrip(".").split("."))) for text in texts]
    steps = all(b in ((a[0], a[1] + 1), (a[0] + 1, 1)) for a, b in pairwise(numbers))
    return numbers[0][1] == 1 and steps
