"""What the checks look at: the numbers of one part, whether read from a sheet or typed in a table.

Comes in: numbers with their part. Goes out: PartNumbers, with the numbers the rules ask for at hand.
Judges nothing. `origin` leads back to the reading or cell a number came from.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from statistics import median

from extract.reference import is_room, reference_ambient_c
from extract.schema import Kind, Quantity


@dataclass(frozen=True, slots=True, eq=False)
class Number:
    """One number in SI; `step` is the value of its last printed digit; `origin` an index of the caller's;
    `factor` leads from the unit of its column to SI."""

    quantity: Quantity
    kind: Kind
    ambient_c: float | None
    test_current_a: float | None
    value: float
    step: float
    origin: int
    factor: float = 1.0


@dataclass(frozen=True, slots=True)
class Point:
    """One cell of a derating row: ambient, share of the rating, half a printed digit of it, its number."""

    ambient_c: float
    share: float
    rounding: float
    number: Number


@dataclass(frozen=True, slots=True, eq=False)
class PartNumbers:
    """The numbers of one part as the rules ask for them; absent ones are None or empty.

    `series` groups parts for comparison; `hold`, `trip` are at the reference ambient; `again` are
    other hold currents given at the reference ambient; `hold_row`, `trip_row` are derating rows with
    rising ambients, the reference among them.
    """

    part_number: str
    series: str
    numbers: tuple[Number, ...]
    hold: Number | None = None
    trip: Number | None = None
    again: tuple[Number, ...] = ()
    reference_c: float | None = None
    hold_row: tuple[Point, ...] = ()
    trip_row: tuple[Point, ...] = ()
    times: tuple[Number, ...] = ()
    by_kind: dict[tuple[Quantity, Kind], Number] = field(default_factory=dict)

    def get(self, quantity: Quantity, *kinds: Kind) -> Number | None:
        """The first of the kinds that the part has."""
        return next((n for kind in kinds if (n := self.by_kind.get((quantity, kind))) is not None), None)


def text_to_step(raw: str, value: float) -> float:
    """SI value of the last printed digit of a number: of the number in `raw` that is `value` times a
    power of ten, else of the value's own shortest form."""
    for match in re.finditer(r"\d+(?:[.,](\d+))?", raw):
        try:
            number = float(match[0].replace(",", "."))
        except ValueError:
            continue
        if number == 0 or value == 0:
            continue
        ratio = abs(value) / number
        for power in (0, -3, -2, 3):
            if abs(ratio / 10.0**power - 1) < 1e-6:
                return float(10.0 ** (power - len(match[1] or "")))
    shortest = f"{value:.10g}"
    return float(10.0 ** -len(shortest.partition(".")[2])) if "e" not in shortest else abs(value) * 0.01


def part_number_to_series(part_number: str) -> str:
    """The start of a part number up to its first letters: parts that share it are compared."""
    match = re.match(r"[^A-Za-z]*[A-Za-z]+(?:[-_ ][A-Za-z]+)*", part_number)
    return (match[0] if match else part_number).upper()


def numbers_to_part(
    part_number: str, series: str, numbers: Sequence[Number], reference_c: float | None = None
) -> PartNumbers:
    """Sort a part's numbers into the places the rules look at; `reference_c` is that of the ratings
    where the caller knows it."""
    holds = [n for n in numbers if n.quantity is Quantity.HOLD_CURRENT]
    trips = [n for n in numbers if n.quantity is Quantity.TRIP_CURRENT]
    if reference_c is None:
        reference_c = _reference(holds, trips, numbers)
    hold, again = _rating(holds, reference_c)
    trip, _ = _rating(trips, reference_c)
    by_kind: dict[tuple[Quantity, Kind], Number] = {}
    for number in numbers:
        by_kind.setdefault((number.quantity, number.kind), number)
    return PartNumbers(
        part_number,
        series,
        tuple(numbers),
        hold,
        trip,
        again,
        reference_c,
        _row(holds, hold, reference_c) or _ratio_row(numbers, Quantity.HOLD_RATIO),
        _row(trips, trip, reference_c) or _ratio_row(numbers, Quantity.TRIP_RATIO),
        tuple(n for n in numbers if n.quantity is Quantity.TIME_TO_TRIP),
        by_kind,
    )


def _reference(holds: Sequence[Number], trips: Sequence[Number], numbers: Sequence[Number]) -> float | None:
    """The reference ambient by `extract.reference`. Shares need one even where that cannot tell: then the
    room-like one of the row, else where the ratios are one; 23 °C if nothing tells (the spread of 20 to 25 °C
    moves shares by 3 points)."""
    told = reference_ambient_c(
        [(n.ambient_c, n.value) for n in holds],
        [(n.ambient_c, n.value) for n in trips] if len(trips) == 1 else (),
    )
    if told is not None:
        return told
    likely = _likely_ambients(holds, {n.ambient_c for n in trips})
    if likely:
        return min(likely, key=lambda a: abs(a - 23))
    ones = (n.ambient_c for n in numbers if n.quantity is Quantity.HOLD_RATIO and n.value == 1)
    at_one = next((a for a in ones if a is not None), None)
    if at_one is not None:
        return at_one
    return 23.0 if any(n.ambient_c is None for n in holds) else None


def _likely_ambients(holds: Sequence[Number], at_trip: set[float | None]) -> list[float]:
    """The room-like ambients of the hold currents, those of a trip current alone if there is one."""
    room = [a for a in {n.ambient_c for n in holds} if a is not None and is_room(a)]
    return [a for a in room if a in at_trip] or room


def series_to_reference(series: Sequence[Sequence[Number]]) -> float | None:
    """The reference ambient of a series whose ratings state none: the room-like column that repeats the
    ratings in most parts; else 20, 23 or 25 °C, where the rows over the ambient best pass through the
    ratings; None if no part has both."""
    rows = [shares for numbers in series if len(shares := _numbers_to_shares(numbers)) > 1]
    if not rows:
        return None
    room = {a for row in rows for a in row if is_room(a)}
    repeats = (ambient_c for ambient_c in sorted(room) if _repeats_ratings(rows, ambient_c))
    found = next(repeats, None)
    if found is not None:
        return found
    others = [a for a in (23.0, 20.0, 25.0) if a not in room]
    return min(others, key=lambda a: _distance_from_one(rows, a), default=None)


def _repeats_ratings(rows: Sequence[Mapping[float, float]], ambient_c: float) -> bool:
    """Whether half of the rows that have an ambient repeat the rating there, or few rows have it."""
    at = [row[ambient_c] for row in rows if ambient_c in row]
    return sum(abs(share - 1) < 0.002 for share in at) >= 0.5 * len(at) or len(at) < 0.3 * len(rows)


def _numbers_to_shares(numbers: Sequence[Number]) -> dict[float, float]:
    """Ambient → hold current as a share of the rating; empty without a rating."""
    holds = [n for n in numbers if n.quantity is Quantity.HOLD_CURRENT]
    rating = next((n for n in holds if n.ambient_c is None), None)
    if rating is None or rating.value <= 0:
        return {}
    return {n.ambient_c: n.value / rating.value for n in holds if n.ambient_c is not None}


def _distance_from_one(rows: Sequence[Mapping[float, float]], ambient_c: float) -> float:
    """Median distance of the rows' shares at an ambient, between their neighbours, from one."""
    offs = []
    for row in rows:
        cooler = [a for a in row if a < ambient_c]
        warmer = [a for a in row if a > ambient_c]
        if cooler and warmer:
            a, b = max(cooler), min(warmer)
            offs.append(abs(row[a] + (row[b] - row[a]) * (ambient_c - a) / (b - a) - 1))
    return median(offs) if offs else 1.0


def _rating(numbers: Sequence[Number], reference_c: float | None) -> tuple[Number | None, tuple[Number, ...]]:
    """The number without an ambient or at the reference, and the others given there."""
    there = [n for n in numbers if n.ambient_c is None or n.ambient_c == reference_c]
    there.sort(key=lambda n: n.ambient_c is not None)
    return (there[0], tuple(there[1:])) if there else (None, ())


def _row(numbers: Sequence[Number], rating: Number | None, reference_c: float | None) -> tuple[Point, ...]:
    at: dict[float, Number] = {}
    if rating is not None and reference_c is not None:
        at[reference_c] = rating
    for number in numbers:
        if number.ambient_c is not None:
            at.setdefault(number.ambient_c, number)
    if len(at) < 2:
        return ()
    value = rating.value if rating is not None else _likely_rating(at)
    if value <= 0:
        return ()
    own = 0.5 * rating.step / value if rating is not None else 0.02
    return tuple(
        Point(a, n.value / value, 0.0 if n is rating else 0.5 * n.step / value + own * n.value / value, n)
        for a, n in sorted(at.items())
    )


def _likely_rating(at: Mapping[float, Number]) -> float:
    """What a row without a rating is roughly a share of, from its cell nearest 23 °C and the middle slope
    of published rows (0.85 % for each °C); only shares are made of it, with 2 % of doubt."""
    ambient_c = min(at, key=lambda a: abs(a - 23))
    return at[ambient_c].value / max(0.2, 1 - 0.0085 * (ambient_c - 23))


def _ratio_row(numbers: Iterable[Number], quantity: Quantity) -> tuple[Point, ...]:
    at = {n.ambient_c: n for n in numbers if n.quantity is quantity and n.ambient_c is not None}
    points = tuple(Point(a, n.value, 0.5 * n.step, n) for a, n in sorted(at.items()))
    return points if len(points) > 1 and all(a.ambient_c < b.ambient_c for a, b in pairwise(points)) else ()
