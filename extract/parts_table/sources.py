"""What the sheets say of a part, found by what a typed cell asks for.

Comes in: readings of sheets or of the library. Goes out: for a typed cell the readings it must equal.
Interpolates nothing: an ambient or test current the sheets do not give is not covered.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from extract.parts_table.records import Column, TypedCell
from extract.reference import reference_ambient_c
from extract.schema import WHOLE_SERIES, Kind, Quantity, Reading, Status

_CURRENTS = (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT)
_WITHOUT_RULE = (Kind.NONE, Kind.AC, Kind.DC)


@dataclass(frozen=True, slots=True)
class SourcePart:
    """A part of the sheets: its readings by quantity, in the order read; the reference ambient of its
    ratings; its place among the parts of its sheet."""

    part_number: str
    document: str
    by_quantity: dict[Quantity, tuple[Reading, ...]]
    reference_c: float | None
    place: int


def readings_to_source_parts(readings: Iterable[Reading]) -> dict[str, tuple[SourcePart, ...]]:
    """Part number → the part in each sheet that has it. Rows of a whole series go to all its parts."""
    own: dict[tuple[str, str], dict[str, list[Reading]]] = defaultdict(dict)
    series: dict[tuple[str, str], list[Reading]] = defaultdict(list)
    for reading in readings:
        sheet = (reading.document, reading.sha256)
        if reading.part_number == WHOLE_SERIES:
            series[sheet].append(reading)
        else:
            own[sheet].setdefault(reading.part_number, []).append(reading)
    found: dict[str, list[SourcePart]] = defaultdict(list)
    for sheet, parts in own.items():
        for place, (number, listed) in enumerate(parts.items()):
            found[number].append(_to_part(number, sheet[0], [*listed, *series[sheet]], place))
    return {number: tuple(parts) for number, parts in found.items()}


def _to_part(number: str, document: str, readings: Sequence[Reading], place: int) -> SourcePart:
    by_quantity: dict[Quantity, list[Reading]] = defaultdict(list)
    for reading in readings:
        by_quantity[reading.quantity].append(reading)
    trips = [(r.ambient_c, r.value) for r in by_quantity[Quantity.TRIP_CURRENT]]
    holds = [(r.ambient_c, r.value) for r in by_quantity[Quantity.HOLD_CURRENT]]
    full = [
        r.ambient_c
        for r in by_quantity[Quantity.HOLD_RATIO]
        if r.value == 1.0 and r.status is not Status.DISPUTED
    ]
    one_trip = trips if len(trips) == 1 else []
    reference_c = reference_ambient_c(holds or trips, one_trip, full[0] if full else None)
    return SourcePart(number, document, {q: tuple(r) for q, r in by_quantity.items()}, reference_c, place)


def cell_to_readings(cell: TypedCell, part: SourcePart) -> tuple[Reading, ...]:
    """The readings of a part that a typed cell repeats; none if the sheet does not give that number."""
    column = cell.column
    assert column.quantity is not None
    readings = part.by_quantity.get(column.quantity, ())
    if column.quantity in _CURRENTS and column.ambient_c is None:
        return tuple(r for r in readings if r.ambient_c in (None, part.reference_c))
    if column.ambient_c is not None:
        return tuple(r for r in readings if r.ambient_c == column.ambient_c)
    if column.quantity is Quantity.TIME_TO_TRIP:
        return _times(cell, _times_of_kind(column, readings))
    return _of_kind(column, readings)


def _of_kind(column: Column, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """The typed kind; AC, DC and none stand for each other where the sheet or the table has one only;
    a power may be typ or max without the table saying so."""
    same = tuple(r for r in readings if r.kind is column.kind)
    if same:
        return same
    kinds = {r.kind for r in readings}
    if column.quantity is Quantity.RESISTANCE:
        return ()
    if column.quantity is Quantity.TRIPPED_POWER:
        return tuple(readings) if column.kind is Kind.NONE or kinds <= {Kind.NONE} else ()
    if column.kind is Kind.NONE or kinds == {Kind.NONE}:
        return tuple(r for r in readings if r.kind in _WITHOUT_RULE)
    return ()


def _times_of_kind(column: Column, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Typical times stand apart from the longest: a column of the one is not held against the other."""
    typical = tuple(r for r in readings if r.kind is Kind.TYP)
    longest = tuple(r for r in readings if r.kind is not Kind.TYP)
    if column.kind is Kind.TYP:
        return typical or (longest if all(r.kind is Kind.NONE for r in longest) else ())
    return longest or (typical if column.kind is Kind.NONE else ())


def _times(cell: TypedCell, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """The time at the typed test current; else the only time of the part; else all."""
    if cell.test_current_a is not None:
        at = tuple(
            r
            for r in readings
            if r.test_current_a is not None
            and abs(r.test_current_a - cell.test_current_a) <= 1e-6 * r.test_current_a
        )
        if at:
            return at
    return tuple(readings)
