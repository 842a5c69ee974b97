"""A drawn curve between its vertices, and how far two curves of one part lie apart.

Comes in: curves. Goes out: values. Extrapolates nothing: beyond its ends a curve is silent.
"""

from __future__ import annotations

import math
from itertools import pairwise

from extract.schema import ChartName, Curve


def curve_at(curve: Curve, x: float) -> float | None:
    """The value of a curve at an x, between its vertices along straight lines (on log paper for trip times);
    None beyond its ends: nothing is extrapolated."""
    is_log = curve.chart is ChartName.TIME_TO_TRIP
    for (ax, ay), (bx, by) in pairwise(curve.points):
        if not ax <= x <= bx:
            continue
        if ax == bx:
            return max(ay, by)
        if not is_log:
            return ay + (by - ay) * (x - ax) / (bx - ax)
        share = math.log(x / ax) / math.log(bx / ax)
        return ay * math.exp(share * math.log(by / ay))
    return None


def curves_apart(one: Curve, other: Curve) -> tuple[float, float] | None:
    """Where two curves lie farthest apart, and there the second over the first; None where they share no
    vertex's place or a value is not above zero."""
    worst: tuple[float, float] | None = None
    for x in sorted({x for curve in (one, other) for x, _ in curve.points}):
        before, after = curve_at(one, x), curve_at(other, x)
        if before is None or after is None or before <= 0.0 or after <= 0.0:
            continue
        ratio = after / before
        if worst is None or abs(math.log(ratio)) > abs(math.log(worst[1])):
            worst = x, ratio
    return worst
