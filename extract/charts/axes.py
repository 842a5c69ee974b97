"""The scale of an axis: one regular scale through the lines, robustly.

Comes in: the places of lines and ticks along an axis, and the numbers printed beside it. Goes out: an Axis,
or None where none fits. The numbers only name the decades (or the steps): they place nothing. Grid lines are
hand-made art: what disagrees with the regular scale is left out, and what remains of disagreement is the
error.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from statistics import median

from extract.charts.even_axis import labels_to_even_scale, labels_to_exact_scale
from extract.charts.numbers import TickLabel
from extract.charts.soft_axis import labels_to_agreed, labels_to_own_scale

CLOSE = 0.025  # of a decade: a line that lies nearer to a place of the scale belongs to it
REFIT = 0.012  # of a decade: lines nearer than this take part in the last fit
DISPUTED = 0.05  # of a decade, or of a step: beyond it the chart is disputed
NEARLY_AS_GOOD = 0.93  # a second scale with this share of the best score leaves the chart disputed
ASTRAY = 0.42  # of a decade: no label stands so far off its line
APART = 0.03  # of a decade: scales that differ less are the same
FAR_OFF, AT_LINES = 0.1, 0.03  # of a decade: numbers stand off their lines, or at them
FARTHEST = 0.22  # of a decade: numbers stood off by a factor of 1.5 at most on charts that were measured
HALF_AS_GOOD = 0.6  # of the best score
AT_LINE_PT = 2.0  # a number at its line stands no farther from it
SPARSE = 5.0  # lines to a decade, fewer than which may be other multiples than they seem
_STEPS = tuple(math.log10(step) for step in range(1, 10))
_HALF, _ROUND = math.log10(1.5), 1e-6  # 1.5 is printed along axes too
_LEAST_LABELS, _FEW_LINES = 2, 3
_LEAST_EVEN, _EVEN = 4, 0.01  # so many numbers, astray by such a share of their length at most


@dataclass(frozen=True, slots=True)
class Axis:
    """A regular scale: place = `origin` + `unit` * value, of the value's decimal logarithm if `is_log`.

    `error` is how well the lines fit: in decades if `is_log`, else in values. `is_disputed` if the lines fit
    badly or another scale as well; `lines` took part in the fit.
    """

    is_log: bool
    origin: float
    unit: float
    error: float
    is_disputed: bool
    lines: int

    def value(self, place: float) -> float:
        """The value at a place."""
        found = (place - self.origin) / self.unit
        return 10.0 ** max(-30.0, min(30.0, found)) if self.is_log else found

    def place(self, value: float) -> float:
        """The place of a value (positive if `is_log`)."""
        return self.origin + self.unit * (math.log10(value) if self.is_log else value)


def labels_to_axis(
    labels: Sequence[TickLabel], lines: Sequence[float], edges: tuple[float, float], is_log: bool = False
) -> Axis | None:
    """The scale that lines (and the frame's edges) draw and labels name; `is_log` if the chart is on log
    paper for all that is known of it. Where they give none of its kind, the one that most labels agree on,
    disputed."""
    if len(labels) < _LEAST_LABELS:
        return None
    axis = _lines_to_axis(labels, lines, edges, is_log)
    if axis is not None and (axis.is_log == is_log or not axis.is_disputed):
        return _few_lines_doubted(axis, labels, edges)
    agreed = labels_to_agreed(labels, is_log)
    again = _lines_to_axis(agreed, lines, edges, is_log) if 0 < len(agreed) < len(labels) else None
    if again is not None and again.is_log == is_log:
        return replace(again, is_disputed=True)
    own = labels_to_own_scale(labels, is_log)
    return axis if own is None else Axis(is_log, *own, True, 0)


def _few_lines_doubted(axis: Axis, labels: Sequence[TickLabel], edges: tuple[float, float]) -> Axis:
    """A scale through hardly more than the edges of a frame, which need stand at no round number: where its
    numbers agree on another one, that one holds, disputed."""
    own = labels_to_own_scale(labels, axis.is_log) if axis.is_log and axis.lines <= _FEW_LINES else None
    if own is None or _log_apart(axis, own[:2], edges) < CLOSE:
        return axis
    return Axis(True, *own, True, 0)


def _lines_to_axis(
    labels: Sequence[TickLabel], lines: Sequence[float], edges: tuple[float, float], is_log: bool
) -> Axis | None:
    """The scale through lines that labels name."""
    places = sorted({*lines, *edges})
    labels = _without_bare_digits(labels)
    has_powers = is_log and len(_powers(labels)) >= _LEAST_LABELS and not _are_even(labels)
    if labels_are_logarithmic(labels) or has_powers:
        exact = labels_to_exact_scale(labels, lines)
        if exact is not None:
            return Axis(True, *exact, False, len(labels))
        axis = None if _are_roots(labels) else _log_axis(labels, places)
        even = labels_to_even_scale(labels, lines) if axis is None or axis.is_disputed else None
        axis = _log_axis(labels, places) if axis is None and even is None else axis
        return Axis(True, *even, False, len(lines)) if even else axis
    axis = _linear_axis(labels, places)
    if all(label.value > 0 for label in labels) and len(labels) <= 3 and len(lines) >= 6:
        log = _log_axis(labels, places)
        if log is not None and (
            axis is None or _share_explained(log, places) > _share_explained(axis, places)
        ):
            return log
    return axis


def labels_are_logarithmic(labels: Sequence[TickLabel]) -> bool:
    """Whether the numbers follow each other as powers do."""
    values = sorted({label.value for label in labels})
    if len(values) < 3 or values[0] <= 0:
        return (
            len(values) == 2
            and values[0] > 0
            and math.isclose(values[1] / values[0], 10)
            and values[0] not in (10.0,)
        )
    ordered = sorted({(label.value, label.at) for label in labels})
    return _misfit([(math.log10(v), at) for v, at in ordered]) < 0.6 * _misfit(ordered)


def _without_bare_digits(labels: Sequence[TickLabel]) -> Sequence[TickLabel]:
    """Without the digits that some programs print between powers of ten and that stand for their multiples
    (0.1, 2, 5, 1, 2, 5, 10): numbers that neither rise nor fall along an axis."""
    values = [label.value for label in sorted(labels, key=lambda label: label.at)]
    steps = {b > a for a, b in pairwise(values) if a != b}
    powers = [label for label in labels if label.value in _powers(labels)]
    return powers if len(steps) > 1 and len(powers) >= _LEAST_LABELS else labels


def _are_even(labels: Sequence[TickLabel]) -> bool:
    """Whether the numbers stand at even steps: 0, 10, 20 ... 100 are no powers of ten."""
    ordered = sorted({(label.value, label.at) for label in labels})
    return len(ordered) >= _LEAST_EVEN and _misfit(ordered) < _EVEN


def _powers(labels: Sequence[TickLabel]) -> set[float]:
    """The powers of ten among the numbers."""
    values = {label.value for label in labels if label.value > 0}
    return {value for value in values if abs(math.log10(value) - round(math.log10(value))) < 1e-9}


def _are_roots(labels: Sequence[TickLabel]) -> bool:
    """Whether numbers are roots of ten, as 10^0.5 is: no grid of 1, 2 ... 9 has lines for them."""
    parts = [math.log10(label.value) % 1.0 for label in labels if label.value > 0]
    return any(min(abs(part - step) for step in (*_STEPS, _HALF, 1.0)) > _ROUND for part in parts)


def _misfit(points: Sequence[tuple[float, float]]) -> float:
    """How far points lie from their straight line, in shares of its length (mean)."""
    slope, start = _theil_sen(points)
    length = abs(points[-1][1] - points[0][1]) or 1.0
    return sum(abs(start + slope * v - at) for v, at in points) / len(points) / length + 1e-6


def _theil_sen(points: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Slope and start of the line through the medians of all pairs (Theil 1950, Sen 1968)."""
    slopes = [(b[1] - a[1]) / (b[0] - a[0]) for a, b in combinations(points, 2) if b[0] != a[0]]
    slope = median(slopes) if slopes else 0.0
    return slope, median(at - slope * value for value, at in points)


def _log_axis(labels: Sequence[TickLabel], places: Sequence[float]) -> Axis | None:
    named = [(math.log10(label.value), label.at) for label in labels if label.value > 0]
    rough = _theil_sen(named)
    if len(named) < _LEAST_LABELS or abs(rough[0]) < 8.0:
        return None
    scored = sorted(
        (
            (_score(origin, unit, places), origin, unit)
            for origin, unit in (*_log_scales(rough, places), *_named_scales(named, places))
        ),
        reverse=True,
    )
    scored, is_unclear = _as_labelled(scored, named, places)
    if not scored:
        return None
    best = _refit_log(scored[0][1], scored[0][2], places)
    rival = any(
        score > NEARLY_AS_GOOD * scored[0][0] and _log_apart(best, (origin, unit), places) > APART
        for score, origin, unit in scored[1:]
    )
    astray = any(abs((at - best.origin) / best.unit - value) > ASTRAY for value, at in named)
    return replace(best, is_disputed=best.is_disputed or rival or astray or is_unclear)


def _as_labelled(
    scored: list[tuple[float, float, float]], named: Sequence[tuple[float, float]], places: Sequence[float]
) -> tuple[list[tuple[float, float, float]], bool]:
    """Of a few lines (1 and 5 of each decade) another scale may explain as many: there those count whose
    numbers stand at their lines, if the best one's do not. Where the lines are many it is unclear which
    holds, and so it is where the numbers stand farther off than any drawn chart had them."""
    if not scored or _astray(scored[0], named) < FAR_OFF:
        return scored, False
    (_, _, unit), span = scored[0], places[-1] - places[0]
    own = [one for one in scored if one[0] > HALF_AS_GOOD * scored[0][0] and _astray(one, named) < AT_LINES]
    is_sparse = len(places) * abs(unit) < SPARSE * span
    if own and is_sparse:
        return own, False
    return scored, bool(own) or _astray(scored[0], named) > FARTHEST


def _astray(scale: tuple[float, float, float], named: Sequence[tuple[float, float]]) -> float:
    """How far numbers stand off their places on a scale, in decades (median)."""
    _, origin, unit = scale
    return median(abs((at - origin) / unit - value) for value, at in named)


def _log_scales(rough: tuple[float, float], places: Sequence[float]) -> Iterator[tuple[float, float]]:
    """Origin and unit of the scales on which two lines stand at whole decades, near where the labels have
    them."""
    slope, start = rough
    decades = [
        (place, round(value))
        for place in places
        if abs((value := (place - start) / slope) - round(value)) < 0.4
    ]
    for (one, low), (other, high) in combinations(decades, 2):
        if low == high:
            continue
        unit = (other - one) / (high - low)
        if 0.75 < unit / slope < 1.33:
            yield one - unit * low, unit


def _named_scales(
    named: Sequence[tuple[float, float]], places: Sequence[float]
) -> Iterator[tuple[float, float]]:
    """Origin and unit of the scales on which two numbers stand at their lines."""
    nearest = [(value, min(places, key=lambda place: abs(place - at)), at) for value, at in named]
    at_lines = sorted({(value, place) for value, place, at in nearest if abs(place - at) < AT_LINE_PT})
    for (low, one), (high, other) in combinations(at_lines, 2):
        if high > low and abs(other - one) >= 8.0 * (high - low):
            unit = (other - one) / (high - low)
            yield one - unit * low, unit


def _offsets(origin: float, unit: float, places: Sequence[float]) -> list[float]:
    """How far each line lies from the nearest 1, 2 ... 9 of the scale, in decades (signed)."""
    found = []
    for place in places:
        value = (place - origin) / unit
        part = value - math.floor(value)
        found.append(min((part - step for step in (*_STEPS, 1.0)), key=abs))
    return found


def _score(origin: float, unit: float, places: Sequence[float]) -> float:
    """How many lines a scale explains, those that lie well more than those that lie nearly; whole decades
    count more, since 7, 8 and 9 lie so close that anything fits them."""
    score = 0.0
    for place, off in zip(places, _offsets(origin, unit, places), strict=True):
        if abs(off) < CLOSE:
            value = (place - origin) / unit - off
            step = 10 ** (value - math.floor(value + 1e-6))
            weight = 2.0 if step < 1.5 else 1.5 if step < 2.5 else 1.0 if step < 5.5 else 0.5
            score += weight * (1 - (off / CLOSE) ** 2)
    return score


def _refit_log(origin: float, unit: float, places: Sequence[float]) -> Axis:
    """Least squares through the lines that lie close, twice; the error is what is left of them and of the
    decades."""
    for reach in (CLOSE, REFIT):
        points = [
            ((place - origin) / unit - off, place)
            for place, off in zip(places, _offsets(origin, unit, places), strict=True)
            if abs(off) < reach
        ]
        if len({round(value, 3) for value, _ in points}) < 2:
            break
        unit, origin = _least_squares(points)
    offsets = _offsets(origin, unit, places)
    near = [off for off in offsets if abs(off) < 2 * CLOSE]
    error = math.sqrt(sum(off * off for off in near) / len(near)) if near else 1.0
    decades = [
        off
        for place, off in zip(places, offsets, strict=True)
        if abs((value := (place - origin) / unit) - round(value)) < 0.15
        and abs(off - (value - round(value))) < 1e-6
    ]
    worst = sorted(map(abs, decades))[: max(1, len(decades) - 1)]
    error = max(error, worst[-1] if worst else error)
    return Axis(True, origin, unit, error, error > DISPUTED or len(near) < 2, len(near))


def _least_squares(points: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Slope and start of the straight line through points of (value, place)."""
    n = len(points)
    mean_v, mean_p = sum(v for v, _ in points) / n, sum(p for _, p in points) / n
    square = sum((v - mean_v) ** 2 for v, _ in points)
    slope = sum((v - mean_v) * (p - mean_p) for v, p in points) / square
    return slope, mean_p - slope * mean_v


def _log_apart(axis: Axis, other: tuple[float, float], places: Sequence[float]) -> float:
    """The largest difference of two scales over the axis, in decades."""
    origin, unit = other
    return max(abs((p - axis.origin) / axis.unit - (p - origin) / unit) for p in (places[0], places[-1]))


def _linear_axis(labels: Sequence[TickLabel], places: Sequence[float]) -> Axis | None:
    named = sorted({(label.value, label.at) for label in labels})
    if len({value for value, _ in named}) < 2:
        return None
    slope, start = _theil_sen(named)
    if abs(slope) < 1e-9:
        return None
    step = median(b - a for (a, _), (b, _) in pairwise(named) if b > a)
    points = _nearest_lines([value for value, _ in named], places, (slope, start), 0.35 * abs(slope) * step)
    if len({value for value, _ in points}) < 2:
        return None
    unit, origin = _theil_sen(points)
    kept = [(v, p) for v, p in points if abs(p - origin - unit * v) < 0.1 * abs(unit) * step]
    if len({value for value, _ in kept}) >= 2:
        unit, origin = _least_squares(kept)
    left = [abs(p - origin - unit * v) / abs(unit) for v, p in kept] or [abs(step)]
    error = math.sqrt(sum(e * e for e in left) / len(left))
    few = len(kept) < max(2, 0.6 * len(named))
    return Axis(False, origin, unit, error, error > DISPUTED * step or few, len(kept))


def _nearest_lines(
    values: Sequence[float], places: Sequence[float], rough: tuple[float, float], reach: float
) -> list[tuple[float, float]]:
    """Each value with the line nearest to where a rough scale (slope, start) has it, none beyond reach."""
    slope, start = rough
    points = []
    for value in values:
        place = min(places, key=lambda p: abs(start + slope * value - p))
        if abs(start + slope * value - place) <= reach:
            points.append((value, place))
    return points


def _share_explained(axis: Axis, places: Sequence[float]) -> float:
    """The share of lines that stand at round places of a scale."""
    if axis.is_log:
        return sum(abs(off) < REFIT / 2 for off in _offsets(axis.origin, axis.unit, places)) / len(places)
    gaps = [b - a for a, b in pairwise(places)]
    return sum(abs(gap - median(gaps)) < 0.05 * median(gaps) for gap in gaps) / max(1, len(gaps))
