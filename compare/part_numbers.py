"""The numbers of one part, sorted once for all questions.

Comes in: a `Part`. Goes out: `PartNumbers`: single numbers by quantity and kind, rows against ambient,
trip-time points. Of several readings of one number a person's (accepted, corrected) goes before a
machine's. A disputed number, or two different values for one number, is kept as a doubt and never as a
value. Does not interpolate and does not judge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from compare.records import Number
from extract.schema import WHOLE_SERIES, Kind, Part, Quantity, Reading, Status

SAME_VALUE = 1e-9
"""Relative difference below which two readings are the same number: the rounding of floats, no more."""

ROW_QUANTITIES = frozenset(
    {Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT, Quantity.HOLD_RATIO, Quantity.TRIP_RATIO}
)
PERSON = (Status.ACCEPTED, Status.CORRECTED)


class RowPoint(NamedTuple):
    """One tabulated point against ambient; `value` None where `number.note` says why it may not be used.

    A named tuple, not a dataclass: some ten of them are made for each part, and it is made in half the time.
    """

    ambient_c: float
    value: float | None
    number: Number


class TripPoint(NamedTuple):
    """A current and the time the part takes to trip at it: a seam for digitised curves as well.

    kind: `Kind.MAX` for the longest time of a table, `Kind.TYP` for a typical curve; ambient_c None where the
    sheet does not say.
    """

    current_a: float
    time_s: float | None
    ambient_c: float | None
    kind: Kind
    number: Number


@dataclass(frozen=True, slots=True)
class PartNumbers:
    """All numbers of one part, ready to be asked.

    single: by (quantity, kind); rows: points against ambient by quantity, colder first; unplaced: the
    number of a row quantity that the sheet gives without ambient; trip_points: in order of current.
    """

    part: Part
    single: dict[tuple[Quantity, Kind], Number]
    rows: dict[Quantity, tuple[RowPoint, ...]]
    unplaced: dict[Quantity, Number]
    trip_points: tuple[TripPoint, ...]

    def number(self, quantity: Quantity, kind: Kind) -> Number | None:
        """The number of that quantity and kind, or None if the sheet has none."""
        return self.single.get((quantity, kind))


def part_to_numbers(part: Part) -> PartNumbers:
    """Sort the readings of a part."""
    singles: dict[tuple[Quantity, Kind], list[Reading]] = {}
    rows: dict[tuple[Quantity, float | None], list[Reading]] = {}
    points: dict[tuple[float | None, float | None, Kind], list[Reading]] = {}
    own_rows = {r.quantity for r in part.readings if r.part_number != WHOLE_SERIES}
    for reading in part.readings:
        quantity = reading.quantity
        if quantity in ROW_QUANTITIES:
            if reading.part_number == WHOLE_SERIES and quantity in own_rows:
                continue  # a row of the part itself goes before the row of its series
            rows.setdefault((quantity, reading.ambient_c), []).append(reading)
        elif quantity is Quantity.TIME_TO_TRIP:
            points.setdefault((reading.test_current_a, reading.ambient_c, reading.kind), []).append(reading)
        else:
            singles.setdefault((quantity, reading.kind), []).append(reading)
    placed, unplaced = _sorted_rows(rows)
    return PartNumbers(
        part, {key: readings_to_number(group) for key, group in singles.items()},
        placed, unplaced, _trip_points(points))


def readings_to_number(readings: list[Reading]) -> Number:
    """One number from all readings of it, or a Number without value that says why not."""
    first = readings[0]
    if len(readings) == 1:
        if first.status is Status.DISPUTED:
            return _doubt(readings, _disputed_note(first))
        return Number(first.value, readings=(first,))
    by_person = [r for r in readings if r.status in PERSON]
    counted = by_person or readings
    disputed = next((r for r in counted if r.status is Status.DISPUTED), None)
    if disputed is not None:
        return _doubt(counted, _disputed_note(disputed))
    first = counted[0]
    differing = next((r for r in counted
                      if abs(r.value - first.value) > SAME_VALUE * max(abs(r.value), abs(first.value))), None)
    if differing is not None:
        return _doubt([first, differing],
                      f"two values for {_name(first)}: {first.value:g} and {differing.value:g}")
    return Number(first.value, readings=(first,))


def _doubt(readings: list[Reading], note: str) -> Number:
    return Number(None, readings=tuple(readings), note=note)


def _disputed_note(reading: Reading) -> str:
    why = f" ({'; '.join(reading.notes)})" if reading.notes else ""
    return f"{_name(reading)} \"{reading.raw}\" is disputed{why}: a person must look"


def _name(reading: Reading) -> str:
    return f"{reading.quantity.value} {reading.kind.value}".strip().replace("_", " ")


def _sorted_rows(
    groups: dict[tuple[Quantity, float | None], list[Reading]],
) -> tuple[dict[Quantity, tuple[RowPoint, ...]], dict[Quantity, Number]]:
    rows: dict[Quantity, list[RowPoint]] = {}
    unplaced: dict[Quantity, Number] = {}
    for (quantity, ambient_c), group in groups.items():
        number = readings_to_number(group)
        if ambient_c is None:
            unplaced[quantity] = number
        else:
            rows.setdefault(quantity, []).append(RowPoint(ambient_c, number.value, number))
    for points in rows.values():
        points.sort(key=_ambient_of)
    return {quantity: tuple(points) for quantity, points in rows.items()}, unplaced


def _ambient_of(point: RowPoint) -> float:
    return point.ambient_c


def _trip_points(
    groups: dict[tuple[float | None, float | None, Kind], list[Reading]],
) -> tuple[TripPoint, ...]:
    """Points of the table, longest times; a time without test current means nothing and is left out."""
    points = []
    for (current_a, ambient_c, kind), group in groups.items():
        if current_a is not None and current_a > 0:
            number = readings_to_number(group)
            points.append(TripPoint(current_a, number.value, ambient_c,
                                    Kind.TYP if kind is Kind.TYP else Kind.MAX, number))
    return tuple(sorted(points, key=lambda point: point.current_a))
