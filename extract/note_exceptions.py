"""Notes that except a part from its table: "*) AB-250: Umax = 24 V" below a voltage merged over all rows.

Comes in: a sheet's readings and the runs of text of its pages. Goes out: the readings such a note
contradicts, disputed. Chooses no value: a person sees both. Works on places alone, and so serves any reader.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from extract.lines import Run, runs_to_lines
from extract.schema import Quantity, Reading, SheetReading, Status
from extract.vocabulary import fold, scan, spelling_to_unit, unit_of_quantity

MOST_WORDS = 24  # a note is no longer
LEAST_WORDS, MOST_NUMBERS = 2, 3  # of a note in an unknown language
_LIMIT = re.compile(r"(?<![\d.,])(\d+(?:[.,]\d+)?)\s?([km]?)([va])(?:dc|ac|cc|ca|rms)?(?![a-z])")
REACH = 14  # signs between the name of a quantity and its value
_VALUE = re.compile(r"^[^\d\n]{0,14}?(?P<value>\d+(?:[.,]\d+)?)\s?(?P<unit>[a-zωμ°%]{1,5})(?![a-z])")
DATE = re.compile(
    r"(?<!\d)(?:\d{1,2}[./-])?\d{1,2}[./-](?:19|20)\d{2}(?!\d)|(?<!\d)(?:19|20)\d{2}[./-]\d{1,2}"
    r"|→|⇒|[-=]>"
)
"""A line with a date, or with an arrow from a value to another, is one of a history: its values may be those
of an issue before."""


@dataclass(frozen=True, slots=True)
class _Said:
    """What a note says of a part: a quantity, its value in SI, the note; `worded`: whether its words name the
    quantity."""

    part: str
    quantity: Quantity
    value: float
    text: str
    worded: bool = True


def sheet_to_excepted(sheet: SheetReading, runs: Mapping[int, Sequence[Run]]) -> SheetReading:
    """The sheet with readings disputed that a note on one of its pages contradicts."""
    parts = sorted({r.part_number for r in sheet.readings if len(r.part_number) >= 4}, key=len, reverse=True)
    said = [note for own in runs.values() for note in _runs_to_said(own, parts)]
    if not said:
        return sheet
    values: dict[tuple[str, Quantity], set[float]] = {}
    printed: dict[str, set[float]] = {}
    for r in sheet.readings:
        values.setdefault((r.part_number, r.quantity), set()).add(r.value)
        printed.setdefault(r.part_number, set()).update({r.value, r.test_current_a or r.value})
    against = {
        (note.part, note.quantity): note
        for note in said
        if (known := values.get((note.part, note.quantity)))
        and not _is_among(note.value, known if note.worded else printed[note.part])
    }
    readings = tuple(_doubt(r, against.get((r.part_number, r.quantity))) for r in sheet.readings)
    return replace(sheet, readings=readings)


def _runs_to_said(runs: Iterable[Run], parts: Sequence[str]) -> Iterator[_Said]:
    for line in runs_to_lines(runs):
        text = " ".join(run.text for run in line)
        named = [part for part in parts if part in text]
        if named and len(text.split()) <= MOST_WORDS and not DATE.search(text):
            yield from _text_to_said(text, _without_parts_of_others(named))


def _without_parts_of_others(named: Sequence[str]) -> list[str]:
    """Names that are not inside a longer one of the same line."""
    return [part for part in named if not any(part != other and part in other for other in named)]


def _text_to_said(text: str, named: Sequence[str]) -> Iterator[_Said]:
    """Every quantity of a note that is named with a value and a unit of its kind."""
    folded = fold(text)
    hits = [hit for hit in scan(folded) if hit.sense == "quantity" and hit.end - hit.start > 1]
    if not hits:
        yield from _unworded_to_said(text, named)
    for hit in hits:
        match = _VALUE.match(folded[hit.end :][: REACH + 12])
        unit = spelling_to_unit(match["unit"]) if match else None
        quantity = Quantity(hit.name)
        if match is None or unit is None or unit.base != unit_of_quantity(quantity):
            continue
        value = float(match["value"].replace(",", ".")) * float(unit.factor)
        before = [part for part in named if fold(part) in folded[: hit.start].rpartition(";")[2]]
        yield from (_Said(part, quantity, value, text) for part in before)


def _unworded_to_said(text: str, named: Sequence[str]) -> Iterator[_Said]:
    """A limit in a note whose words nobody here knows, or a limit or test current in one without words ("1)
    AB-190: 60 A."): the only volts or amperes in a text beside parts."""
    folded = fold(text)
    for part in named:
        folded = folded.replace(fold(part), " ")
    limits = _LIMIT.findall(folded)
    words = re.findall(r"[^\W\d_]{3,}", folded)
    numbers = re.findall(r"\d+(?:[.,]\d+)?", folded)
    bare = len(numbers) - bool(re.match(r"\W{0,2}\d[\s).:]", folded)) == 1 and len(words) < LEAST_WORDS
    if len(limits) != 1 or len(numbers) > MOST_NUMBERS or (len(words) < LEAST_WORDS and not bare):
        return
    value, prefix, base = limits[0]
    factor = {"": 1.0, "k": 1000.0, "m": 0.001}[prefix]
    quantities = [Quantity.MAX_VOLTAGE if base == "v" else Quantity.MAX_CURRENT]
    quantities += [Quantity.TIME_TO_TRIP] if base == "a" and bare else []
    for part in named:
        for quantity in quantities:
            yield _Said(part, quantity, float(value.replace(",", ".")) * factor, text, worded=False)


def _is_among(value: float, known: set[float]) -> bool:
    return any(abs(value - other) <= 1e-6 * abs(other) for other in known)


def _doubt(reading: Reading, note: _Said | None) -> Reading:
    if note is None:
        return reading
    reason = f"a note says '{' '.join(note.text.split())}'"
    return replace(reading, status=Status.DISPUTED, notes=(*reading.notes, reason))
