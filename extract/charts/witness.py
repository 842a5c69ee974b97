"""A second witness for the parts of a chart's curves: the hold currents of the tables.

Comes in: named curves with their points, what the tables say of their parts. Goes out: for each whether the
tables bear it out, contradict it, or are silent. Looks at no label: a larger hold current trips at a larger
current, and no part trips below what it holds. Neighbours differ by little, so a witness proves no label
alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

from extract.charts.geometry import x_at
from extract.charts.ink import Point

CLEAR = 1.12  # hold currents that differ by less say nothing of the order of their curves
LEAST_CURVES = 3  # of two or three curves that stand out of order nobody can tell which is odd
BELOW_HOLD = 0.93  # of its hold current: a curve that trips there is not the part's


class Word(StrEnum):
    """What the tables say of a curve's part."""

    BORNE_OUT = "borne_out"
    SILENT = "silent"
    SWAPPED = "swapped"
    CONTRADICTED = "contradicted"


@dataclass(frozen=True, slots=True)
class Named:
    """A curve with its points on the page, its smallest current in A, and its parts."""

    points: tuple[Point, ...]
    least_a: float
    parts: tuple[str, ...]


def curves_to_words(curves: Sequence[Named], holds_a: Mapping[str, float]) -> tuple[Word, ...]:
    """What the tables say of each curve of a chart."""
    own = [min((holds_a[part] for part in curve.parts if part in holds_a), default=None) for curve in curves]
    swapped = _swapped(curves, own)
    words = [_curve_to_word(curves, own, index) for index in range(len(curves))]
    return tuple(Word.SWAPPED if index in swapped else word for index, word in enumerate(words))


def _curve_to_word(curves: Sequence[Named], own: Sequence[float | None], index: int) -> Word:
    """What the tables say of one curve among the others, labels taken as they are."""
    hold = own[index]
    if hold is None:
        return Word.SILENT
    if curves[index].least_a < BELOW_HOLD * hold:
        return Word.CONTRADICTED
    votes = [_order_of(curves, own, index, other) for other in range(len(curves)) if other != index]
    heard = [vote for vote in votes if vote is not None]
    return Word.BORNE_OUT if heard and all(heard) else Word.SILENT


def _swapped(curves: Sequence[Named], own: Sequence[float | None]) -> set[int]:
    """Pairs of curves that stand against the order of their hold currents, where each would stand in order
    with every curve of the chart under the other's name: two labels that may have been taken for each other.
    """
    found: set[int] = set()
    for i, j in combinations(range(len(curves)), 2):
        if _order_of(curves, own, i, j) is False:
            other = list(own)
            other[i], other[j] = own[j], own[i]
            rest = [k for k in range(len(curves)) if k not in (i, j)]
            votes = [_order_of(curves, other, one, k) for one in (i, j) for k in rest]
            now = [_order_of(curves, own, one, k) for one in (i, j) for k in rest]
            if False not in votes and (False in now or len(curves) > LEAST_CURVES):
                found |= {i, j}
    return found


def _order_of(curves: Sequence[Named], own: Sequence[float | None], i: int, j: int) -> bool | None:
    one, other = own[i], own[j]
    return None if one is None or other is None else _in_order(curves[i], curves[j], one, other)


def _in_order(one: Named, other: Named, hold_a: float, rival_a: float) -> bool | None:
    """Whether two curves stand in the order of their hold currents where they trip slowest; None if their
    hold currents are too much alike, or the curves share no height."""
    if max(hold_a, rival_a) < CLEAR * min(hold_a, rival_a):
        return None
    height = max(one.points[0][1], other.points[0][1]) + 1.0
    x, y = x_at(one.points, height), x_at(other.points, height)
    return None if x is None or y is None else (x < y) == (hold_a < rival_a)
