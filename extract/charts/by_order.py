"""The curves that no label could be tied to, by the order of the hold currents.

Comes in: a chart, what its labels could be tied to, what the tables say of parts. Goes out: NamedCurves for
the curves left over, every one of them in doubt. Only where nothing is left to choose: as many curves as
parts, none crosses another, and their currents stand apart as the hold currents do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import fmean

from extract.charts.chart import Chart
from extract.charts.drawn import Drawn
from extract.charts.geometry import x_at
from extract.charts.kinds import ChartKind
from extract.charts.labels import LabelSource, words_to_labels
from extract.charts.naming_curves import NamedCurve
from extract.charts.witness import BELOW_HOLD, CLEAR

LEAST_CURVES = 3  # through fewer any order fits
HEIGHTS = 9  # compared at so many heights
STEEP = (0.6, 1.6)  # currents grow with hold currents to a power between these
ASTRAY = 0.4  # of the least step between two hold currents: a curve stands no farther off its place
BY_ORDER = "no label could be tied to this curve: it is named by the order of the hold currents alone"


def named_by_order(chart: Chart, named: Sequence[NamedCurve], source: LabelSource) -> tuple[NamedCurve, ...]:
    """The named curves with those that the order of the hold currents alone names, all of these in doubt."""
    curves = chart.lines.curves
    if chart.kind is not ChartKind.TIME_TO_TRIP or chart.in_holds or len(curves) < LEAST_CURVES:
        return tuple(named)
    if len(named) >= len(curves) or any(len(one.parts) != 1 for one in named):
        return tuple(named)
    parts = _parts_in_order(chart, source, len(curves))
    order = sorted(range(len(curves)), key=lambda at: curves[at].points[0][0])
    if len(parts) != len(curves) or not _stand_apart(
        chart, [curves[at] for at in order], list(parts.values())
    ):
        return tuple(named)
    by_order = dict(zip(order, parts, strict=True))
    if any(by_order[one.curve] != one.parts[0] for one in named):
        return tuple(named)
    own = {one.curve for one in named}
    return (
        *named,
        *(NamedCurve(at, part, (part,), (BY_ORDER,)) for at, part in by_order.items() if at not in own),
    )


def _parts_in_order(chart: Chart, source: LabelSource, count: int) -> dict[str, float]:
    """Hold currents of the parts that the chart's labels name, if they are as many as its curves; else of all
    the sheet's parts; rising. None where one of them is not known."""
    labels = words_to_labels(chart.words, chart.frame.box, chart.box, source)
    named = dict.fromkeys(part for label in labels for part in label.naming.parts)
    holds = {fact.part_number: fact.hold_a for fact in source.facts}
    pool = list(named) if named else list(holds)
    known = {part: hold for part in pool if (hold := holds.get(part)) is not None}
    if len(known) != len(pool) or len(pool) != count:
        return {}
    return dict(sorted(known.items(), key=lambda item: item[1]))


def _stand_apart(chart: Chart, curves: Sequence[Drawn], holds: Sequence[float]) -> bool:
    """Whether curves from the left stand as far apart as hold currents do, at every height they share."""
    if any(b < CLEAR * a for a, b in pairwise(holds)):
        return False
    least = [chart.x_axis.value(curve.points[0][0]) * chart.x_factor for curve in curves]
    if any(current < BELOW_HOLD * hold for current, hold in zip(least, holds, strict=True)):
        return False
    rows = [_currents_at(chart, curves, height) for height in _shared_heights(curves)]
    full = [row for row in rows if row is not None]
    return bool(full) and all(_follow(row, holds) for row in full)


def _shared_heights(curves: Sequence[Drawn]) -> list[float]:
    """Heights that all curves reach."""
    low = max(curve.points[0][1] for curve in curves)
    high = min(curve.points[-1][1] for curve in curves)
    return [low + (high - low) * (at + 0.5) / HEIGHTS for at in range(HEIGHTS)] if high > low else []


def _currents_at(chart: Chart, curves: Sequence[Drawn], height: float) -> list[float] | None:
    """The logarithm of each curve's current at a height; None if one has none there."""
    places = [x_at(curve.points, height) for curve in curves]
    values = [chart.x_axis.value(x) * chart.x_factor for x in places if x is not None]
    return [math.log(v) for v in values] if len(values) == len(curves) and min(values) > 0 else None


def _follow(logs: Sequence[float], holds: Sequence[float]) -> bool:
    """Whether currents grow as a power of the hold currents, each near its own place."""
    known = [math.log(hold) for hold in holds]
    mean_h, mean_i = fmean(known), fmean(logs)
    square = sum((h - mean_h) ** 2 for h in known)
    power = sum((h - mean_h) * (i - mean_i) for h, i in zip(known, logs, strict=True)) / square
    least = min(b - a for a, b in pairwise(known))
    astray = max(abs(i - mean_i - power * (h - mean_h)) for h, i in zip(known, logs, strict=True))
    return STEEP[0] < power < STEEP[1] and astray < ASTRAY * least * power
