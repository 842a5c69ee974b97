"""Hold and trip current of a part as straight lines against ambient, for sheets and plots.

Comes in: the derating of a part. Goes out: for each current the pieces that make up its course: points at
the tabulated ambients, straight lines between them, and stretches without a number, each with its reason.
`Derating` is asked at every point and twice within every line, so the pieces say what it says and nothing
of their own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from compare.derating import RATIO_OF, SAME_AMBIENT_K, Derating
from compare.part_numbers import PartNumbers
from compare.records import Basis, Number
from extract.schema import Quantity, Reading

CURRENTS = (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT)
Bounds = tuple[Callable[[float], Number], Callable[[float], Number]]
"""The most and the least that a current may be at an ambient."""
WITHIN = (0.382, 0.618)
"""Where within a stretch it is asked; odd shares, since round ones might be columns of another table."""
FINENESS_K = 1e-9
"""How closely the place is found where two tables begin to differ."""
BEYOND_K = 1.0
"""How far beyond the last column a stretch without end is asked."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of ambients over which a current runs straight, or over which there is none.

    from_c, to_c: its ends, °C, equal for a point, infinite beyond the table; from_a, to_a: the current at
    both ends, A, None where there is none; disputed: numbers were read but may not be used; basis, note,
    assumed, readings: as in `Number`; at_most, at_least: bounds of the current where there is no number.
    """

    from_c: float
    to_c: float
    from_a: float | None
    to_a: float | None
    disputed: bool
    basis: Basis
    note: str
    assumed: tuple[str, ...]
    readings: tuple[Reading, ...]
    at_most: Number
    at_least: Number

    @property
    def key_c(self) -> float:
        """Ambient from which the piece holds, so that the greatest key not above an ambient finds its
        piece; a point holds for a millionth of a kelvin around it."""
        return self.from_c - SAME_AMBIENT_K if self.from_c == self.to_c else self.from_c + SAME_AMBIENT_K


NOTHING = Number(None)


def row_ambients(numbers: PartNumbers, amps: Quantity) -> list[float]:
    """Ambients, °C, of every column that a current is tabulated at, in amps or in percent, colder first."""
    return sorted({ambient_c for quantity in (amps, RATIO_OF[amps])
                   for ambient_c, _ in numbers.rows.get(quantity, ())})


def hold_to_pieces(numbers: PartNumbers, derating: Derating) -> tuple[Piece, ...]:
    """The hold current, coldest piece first."""
    bounds = derating.hold_at_most, derating.hold_at_least
    return tuple(_pieces(derating.hold, _knots(numbers, derating), bounds))


def trip_to_pieces(numbers: PartNumbers, derating: Derating) -> tuple[Piece, ...]:
    """The trip current, coldest piece first."""
    bounds = derating.trip_at_most, derating.trip_at_least
    return tuple(_pieces(derating.trip, _knots(numbers, derating), bounds))


def _knots(numbers: PartNumbers, derating: Derating) -> list[float]:
    """Every ambient at which either current may bend: all columns of all tables, and both references."""
    references = (derating.rated_hold()[0], derating.rated_trip()[0])
    columns = {ambient_c for amps in CURRENTS for ambient_c in row_ambients(numbers, amps)}
    return sorted(columns | {ambient_c for ambient_c in references if ambient_c is not None})


def _pieces(at: Callable[[float], Number], knots: list[float], bounds: Bounds) -> Iterator[Piece]:
    if not knots:
        yield _stretch(at, -math.inf, math.inf, bounds)
        return
    yield _stretch(at, -math.inf, knots[0], bounds)
    for cold_c, hot_c in pairwise(knots):
        yield _point(at, cold_c, bounds)
        yield from _between(at, cold_c, hot_c, bounds)
    yield _point(at, knots[-1], bounds)
    yield _stretch(at, knots[-1], math.inf, bounds)


def _point(at: Callable[[float], Number], ambient_c: float, bounds: Bounds) -> Piece:
    number = at(ambient_c)
    return _piece(number, (ambient_c, ambient_c), (number.value, number.value), ambient_c, bounds)


def _between(
    at: Callable[[float], Number], cold_c: float, hot_c: float, bounds: Bounds
) -> Iterator[Piece]:
    """The stretch between two columns, parted where two tables that differ cease to agree."""
    cuts = [cold_c, *_changes(at, cold_c, hot_c), hot_c]
    for one_c, other_c in pairwise(cuts):
        yield _stretch(at, one_c, other_c, bounds)


def _changes(at: Callable[[float], Number], cold_c: float, hot_c: float) -> list[float]:
    """Ambients between two columns at which there begins or ceases to be a number."""
    asked = [cold_c + (hot_c - cold_c) * share for share in (0.001, *WITHIN, 0.999)]
    changes = []
    for low_c, high_c in pairwise(asked):
        known = at(low_c).value is not None
        if known == (at(high_c).value is not None):
            continue
        while high_c - low_c > FINENESS_K:
            middle_c = (low_c + high_c) / 2.0
            if (at(middle_c).value is not None) == known:
                low_c = middle_c
            else:
                high_c = middle_c
        changes.append(high_c)
    return changes


def _stretch(at: Callable[[float], Number], cold_c: float, hot_c: float, bounds: Bounds) -> Piece:
    """The straight line between two ambients, by two questions within it."""
    one_c, other_c = _asked_within(cold_c, hot_c)
    one, other = at(one_c), at(other_c)
    if one.value is None or other.value is None:
        return _piece(one, (cold_c, hot_c), (None, None), one_c, bounds)
    slope = (other.value - one.value) / (other_c - one_c)
    ends = (one.value + slope * (cold_c - one_c), one.value + slope * (hot_c - one_c))
    return _piece(one, (cold_c, hot_c), ends, one_c, bounds)


def _asked_within(cold_c: float, hot_c: float) -> tuple[float, float]:
    if math.isinf(cold_c) or math.isinf(hot_c):
        edge_c = hot_c - BEYOND_K if math.isinf(cold_c) else cold_c + BEYOND_K
        edge_c = edge_c if math.isfinite(edge_c) else 0.0
        return edge_c, edge_c
    return cold_c + (hot_c - cold_c) * WITHIN[0], cold_c + (hot_c - cold_c) * WITHIN[1]


def _piece(number: Number, ends_c: tuple[float, float], ends_a: tuple[float | None, float | None],
           asked_c: float, bounds: Bounds) -> Piece:
    unknown = number.value is None
    at_most = bounds[0](asked_c) if unknown else NOTHING
    at_least = bounds[1](asked_c) if unknown else NOTHING
    note = number.note.replace(f"{asked_c:g} °C lies", "the ambient lies")
    if note.startswith("two tables differ"):
        note = "two tables differ here by more than their few digits explain"
    return Piece(*ends_c, *ends_a, bool(number.value is None and number.readings), number.basis, note,
                 number.assumed, number.readings, at_most, at_least)
