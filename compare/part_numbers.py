"""The numbers of one part, sorted once for all questions.

Comes in: a `Part`. Goes out: `PartNumbers`: single numbers by quantity and kind, rows against ambient,
trip-time points. Of several readings of one number a person's (accepted, corrected) goes before a
machine's. A disputed number, or two different values for one number, is a doubt and never a value. Does not
interpolate and does not judge.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from compare.records import Number
from extract.schema import WHOLE_SERIES, Kind, Part, Quantity, Reading, Status

SAME_VALUE = 1e-9
"""Relative difference below which two readings are the same number: the rounding of floats, no more."""

ROW_QUANTITIES = frozenset(
    {Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT, Quantity.HOLD_RATIO, Quantity.TRIP_RATIO}
)
MAY_BE_ZERO = frozenset({Quantity.HOLD_CURRENT, Quantity.HOLD_RATIO})
PERSON = (Status.ACCEPTED, Status.CORRECTED)
RowPoint = tuple[float, list[Reading]]
"""One column of a row: its ambient, °C, and what was read there."""


class TripPoint(NamedTuple):
    """A current and the time the part takes to trip at it: a seam for digitised curves as well.

    kind: `Kind.MAX` for the longest time of a table, `Kind.TYP` for a typical curve; ambient_c None where the
    sheet does not say; time_s None where `number.note` says why it may not be used.
    """

    current_a: float
    time_s: float | None
    ambient_c: float | None
    kind: Kind
    number: Number


class PartNumbers(NamedTuple):
    """All numbers of one part, ready to be asked. What was read is settled only when asked for. A named tuple
    for speed, as `records.Number`.

    singles: by (quantity, kind); rows: columns by quantity, colder first; unplaced: readings of a row
    quantity that the sheet gives without ambient; trip_points: in order of current.
    """

    part: Part
    singles: dict[tuple[Quantity, Kind], list[Reading]]
    rows: dict[Quantity, list[RowPoint]]
    unplaced: dict[Quantity, list[Reading]]
    trip_points: tuple[TripPoint, ...]

    def number(self, quantity: Quantity, kind: Kind) -> Number | None:
        """The number of that quantity and kind, or None if the sheet has none."""
        readings = self.singles.get((quantity, kind))
        return None if readings is None else readings_to_number(readings)


def part_to_numbers(part: Part) -> PartNumbers:
    """Sort the readings of a part. Each is looked at once: this is the hot path of large comparisons."""
    singles: dict[tuple[Quantity, Kind], list[Reading]] = {}
    rows: dict[Quantity, dict[float | None, list[Reading]]] = {}
    points: dict[tuple[float | None, float | None, Kind], list[Reading]] = {}
    series: list[Reading] = []
    for reading in part.readings:
        quantity = reading.quantity
        if reading.part_number == WHOLE_SERIES:
            series.append(reading)
        elif quantity in ROW_QUANTITIES:
            row = rows.get(quantity)
            if row is None:
                row = rows[quantity] = {}
            row.setdefault(reading.ambient_c, []).append(reading)
        elif quantity is Quantity.TIME_TO_TRIP:
            points.setdefault((reading.test_current_a, reading.ambient_c, reading.kind), []).append(reading)
        else:
            singles.setdefault((quantity, reading.kind), []).append(reading)
    _add_series(series, rows)
    unplaced = {quantity: row.pop(None) for quantity, row in rows.items() if None in row}
    # each ambient stands once, so tuples are compared by it alone
    placed = {quantity: sorted(row.items()) for quantity, row in rows.items() if row}
    return PartNumbers(part, singles, placed, unplaced, _trip_points(points))  # type: ignore[arg-type]


def _add_series(series: list[Reading], rows: dict[Quantity, dict[float | None, list[Reading]]]) -> None:
    """Add rows of the whole series; a row that the part has itself goes before that of its series."""
    own = set(rows)
    for reading in series:
        if reading.quantity in ROW_QUANTITIES and reading.quantity not in own:
            rows.setdefault(reading.quantity, {}).setdefault(reading.ambient_c, []).append(reading)


def readings_to_number(readings: list[Reading]) -> Number:
    """One number from all readings of it, or a Number without value that says why not."""
    first = readings[0]
    if len(readings) == 1:
        if first.status is Status.DISPUTED:
            return _doubt(readings, _disputed_note(first))
        return Number(first.value, readings=(first,)) if 0.0 < first.value < math.inf else _unless_zero(first)
    counted = [r for r in readings if r.status in PERSON] or readings
    disputed = next((r for r in counted if r.status is Status.DISPUTED), None)
    if disputed is not None:
        return _doubt(counted, _disputed_note(disputed))
    first = counted[0]
    differing = next((r for r in counted
                      if abs(r.value - first.value) > SAME_VALUE * max(abs(r.value), abs(first.value))), None)
    if differing is not None:
        return _doubt([first, differing],
                      f"two values for {_name(first)}: {first.value:g} and {differing.value:g}")
    return Number(first.value, readings=(first,)) if 0.0 < first.value < math.inf else _unless_zero(first)


def _unless_zero(reading: Reading) -> Number:
    """A hold current may derate to zero; any other number that is not above zero is impossible."""
    if reading.value == 0.0 and reading.quantity in MAY_BE_ZERO:
        return Number(0.0, readings=(reading,))
    return _doubt([reading], f"{_name(reading)} {reading.value:g} (\"{reading.raw}\") is impossible")


def _doubt(readings: list[Reading], note: str) -> Number:
    return Number(None, readings=tuple(readings), note=note)


def _disputed_note(reading: Reading) -> str:
    why = f" ({'; '.join(map(_spelt, reading.notes))})" if reading.notes else ""
    return f"{_name(reading)} \"{reading.raw}\" is disputed{why}: a person must look"


def _spelt(note: str) -> str:
    """A note without code words: one of the reader's codes has no blank."""
    return note if " " in note else note.replace("_", " ").replace(":", ": ")


def _name(reading: Reading) -> str:
    return f"{reading.quantity.value} {reading.kind.value}".strip().replace("_", " ")


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
    points.sort(key=lambda point: point.current_a)
    return tuple(points)
