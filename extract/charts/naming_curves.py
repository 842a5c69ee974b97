"""The names of a chart's curves: labels, their leaders and samples, put together and assigned.

Comes in: a chart and what its sheet says of parts. Goes out: NamedCurves: a curve by number, the parts it
stands for, the parts it could stand for. Reads no value.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from extract.charts.assigning import Assignment, Claim, claims_to_assignments, tip_cost
from extract.charts.chart import Chart
from extract.charts.drawn import Drawn
from extract.charts.geometry import length_of, to_polyline
from extract.charts.ink import Stroke
from extract.charts.kinds import ChartKind
from extract.charts.labels import (
    Label,
    LabelSource,
    quantity_labels,
    words_to_labels,
    words_to_like_names,
)
from extract.charts.leaders import HEAD_PT, labels_to_tips
from extract.charts.outlines import resample
from extract.charts.pieces import DASH_PT
from extract.charts.samples import labels_to_samples, patches_to_lines

MOST_DOUBTED, LEAST_LABELS = 0.5, 4  # of so many labels
GOES_ON_PT = 4.5  # ends of pieces of one curve stand no farther apart
DASHES_GO_ON_PT = 14.0  # if they are dashes
CLOSE_DASHES_PT, LOOKS = 2.5, 60  # looked for at so many points
OTHER_STYLE = "curves of another style stand beside this one: which of them are the parts' own is not told"
MISSED = 4.5  # squared points: a leader that costs more does not reach its curve
TAIL_PT, SAME_LINE_PT = 12.0, 0.25  # a curve that lies on another's end so long and so closely


@dataclass(frozen=True, slots=True)
class NamedCurve:
    """A curve by number with its label. `parts` it stands for; `doubts` says why it could stand for others,
    or belong to another label; empty if nothing speaks for that."""

    curve: int
    label: str
    parts: tuple[str, ...]
    doubts: tuple[str, ...]
    quantity: str = ""


def chart_to_named_curves(
    chart: Chart, strokes: Sequence[Stroke], source: LabelSource
) -> tuple[NamedCurve, ...]:
    """The curves of a chart that labels name."""
    labels = words_to_labels(chart.words, chart.frame.box, chart.box, source)
    if len(labels) < 2 and chart.kind is ChartKind.TIME_TO_TRIP:
        alike = replace(source, names=source.names | words_to_like_names(chart.words, chart.box))
        labels = words_to_labels(chart.words, chart.frame.box, chart.box, alike)
    return _labels_to_named_curves(labels, chart, strokes)


def chart_to_quantities(chart: Chart, strokes: Sequence[Stroke]) -> tuple[NamedCurve, ...]:
    """The curves of a derating chart that are labelled hold or trip."""
    labels = quantity_labels(chart.words, chart.frame.box, chart.box)
    return _labels_to_named_curves(labels, chart, strokes)


def _labels_to_named_curves(
    labels: Sequence[Label], chart: Chart, strokes: Sequence[Stroke]
) -> tuple[NamedCurve, ...]:
    """The curves that labels name; where those of one style alone are as many as the labels, these, in
    doubt."""
    curves = chart.lines.curves
    named = _labels_to_named(labels, chart, curves, strokes)
    names_of = {(*label.naming.parts, *label.naming.candidates) for label in labels}
    own = _of_one_style(curves, len(names_of))
    if not own or not any(one.doubts for one in named):
        return named
    again = _labels_to_named(labels, chart, [curves[at] for at in own], strokes)
    return tuple(replace(o, curve=own[o.curve], doubts=(*o.doubts, OTHER_STYLE)) for o in again)


def _of_one_style(curves: Sequence[Drawn], count: int) -> list[int]:
    """The numbers of the whole lines, or else of the dashed ones, if they alone are as many as asked."""
    styles = [
        [at for at, curve in enumerate(curves) if curve.is_dashed is dashed] for dashed in (False, True)
    ]
    fitting = [own for own in styles if 1 < len(own) == count < len(curves)]
    return fitting[0] if len(fitting) == 1 else []


def _labels_to_named(
    labels: Sequence[Label], chart: Chart, curves: Sequence[Drawn], strokes: Sequence[Stroke]
) -> tuple[NamedCurve, ...]:
    samples = labels_to_samples(labels, [*chart.lines.leaders, *patches_to_lines(strokes)], curves)
    leading = _leading(chart.lines.leaders, samples, curves)
    tips = labels_to_tips(labels, leading, _heads(strokes), chart.frame)
    groups: dict[tuple[str, ...], list[int]] = {}
    for index, label in enumerate(labels):
        groups.setdefault((*label.naming.parts, "?", *label.naming.candidates), []).append(index)
    claims = [
        Claim(
            tuple(labels[i] for i in group),
            tuple(tips[i] if samples[i] is None else None for i in group),
            tuple(samples[i] for i in group),
        )
        for group in groups.values()
    ]
    assignments = claims_to_assignments(claims, curves, chart.frame)
    named = [_assignment_to_named(a, claims, assignments, curves) for a in assignments]
    named = _pushed_aside(named, claims, assignments, curves)
    every = [*curves, *_loose(curves, chart.lines.leaders)]
    return _mostly_doubted(
        [replace(one, doubts=(*one.doubts, *_may_go_on(one.curve, every))) for one in named]
    )


def _mostly_doubted(named: Sequence[NamedCurve]) -> tuple[NamedCurve, ...]:
    """Labels are given all at once: where most of a chart's are in doubt, the others are too."""
    doubted = sum(bool(one.doubts) for one in named)
    if len(named) < LEAST_LABELS or doubted < MOST_DOUBTED * len(named):
        return tuple(named)
    why = f"{doubted} of the {len(named)} labels of this chart are in doubt, and all are given together"
    return tuple(one if one.doubts else replace(one, doubts=(why,)) for one in named)


def _pushed_aside(
    named: Sequence[NamedCurve],
    claims: Sequence[Claim],
    assignments: Sequence[Assignment],
    curves: Sequence[Drawn],
) -> list[NamedCurve]:
    """A label whose leader misses its curve is doubtful, and so is one whose leader points better at a curve
    that a doubtful label has taken; so are two whose leaders end at one curve."""
    doubted = {one.curve: one.label for one in named if one.doubts}
    owners = {one.curve: one.label for one in named}
    why: dict[int, str] = {}
    for one, assignment in zip(named, assignments, strict=True):
        tip = claims[assignment.claim].tips[0]
        costs = [tip_cost(tip, curve) for curve in curves] if tip is not None else [0.0]
        best = min(range(len(costs)), key=costs.__getitem__)
        if tip is not None and costs[one.curve] > MISSED:
            why[one.curve] = "its leader ends beside every curve that is left for it"
        if tip is None or best == one.curve or costs[best] >= costs[one.curve]:
            continue
        if best in doubted:
            why[one.curve] = f"its leader points rather at the curve of '{doubted[best]}', which is in doubt"
        elif best in owners and costs[best] == 0.0 and costs[one.curve] > MISSED:
            why[one.curve] = f"its leader ends at the curve of '{owners[best]}'"
            why[best] = f"the leader of '{one.label}' ends at this curve"
    return [
        replace(one, doubts=(why[one.curve],)) if one.curve in why and not one.doubts else one
        for one in named
    ]


def _nearest(point: tuple[float, float], curves: Sequence[Drawn]) -> int:
    """The curve that passes nearest to a point."""
    return min(range(len(curves)), key=lambda index: to_polyline(point, curves[index].points))


def _loose(curves: Sequence[Drawn], lines: Sequence[Drawn]) -> list[Drawn]:
    """Lines in the look of a curve that are none: they may be pieces of one."""
    looks = {_look(curve) for curve in curves}
    return [line for line in lines if _look(line) in looks]


def _may_go_on(number: int, curves: Sequence[Drawn]) -> tuple[str, ...]:
    """Whether a curve ends where another of its look begins or runs: it may be a piece of a longer one."""
    own = curves[number]
    if own.is_doubtful:
        return ("dashes of another curve lie where those of this one could go on",)
    for index, other in enumerate(curves):
        if index == number or other.colour != own.colour:
            continue
        if own.is_dashed and own.is_joined and other.is_joined and _come_close(own, other):
            return ("dashes of another curve of its colour come so close that they could be its own",)
        reach = DASHES_GO_ON_PT if own.is_dashed else GOES_ON_PT
        goes_on = math.dist(own.points[-1], other.points[0]) < reach
        comes_from = math.dist(own.points[0], other.points[-1]) < reach
        if goes_on or comes_from or _runs_on(own, other):
            return ("the curve ends where another of its colour goes on: it may be a piece of a longer one",)
    return ()


def _come_close(own: Drawn, other: Drawn) -> bool:
    return any(to_polyline(point, other.points) < CLOSE_DASHES_PT for point in resample(own.points, LOOKS))


def _runs_on(own: Drawn, other: Drawn) -> bool:
    """Whether another curve lies on the end of this one for a while and then leaves it behind."""
    for points in (own.points, own.points[::-1]):
        tail = [point for point in points if 0.0 < math.dist(point, points[-1]) < TAIL_PT]
        on = all(to_polyline(point, other.points) < SAME_LINE_PT for point in (*tail, points[-1]))
        beyond = min(math.dist(points[-1], end) for end in (other.points[0], other.points[-1])) > GOES_ON_PT
        if tail and on and beyond:
            return True
    return False


def _leading(lines: Sequence[Drawn], samples: Sequence[Drawn | None], curves: Sequence[Drawn]) -> list[Drawn]:
    """The lines that are no samples of a legend and no lost dashes of a curve drawn in dashes."""
    taken = {id(sample) for sample in samples if sample is not None}
    dashed = {_look(curve) for curve in curves if curve.is_dashed and curve.is_joined}
    return [
        line
        for line in lines
        if id(line) not in taken and not (_look(line) in dashed and length_of(line.points) < DASH_PT)
    ]


def _look(line: Drawn) -> tuple[tuple[int, int, int], float]:
    return line.colour, round(line.width, 1)


def _heads(strokes: Sequence[Stroke]) -> list[tuple[float, float, float, float]]:
    """The boxes of small filled shapes that could be heads of arrows."""
    boxes = [stroke.box for stroke in strokes if stroke.is_filled and min(stroke.colour) < 245]
    return [box for box in boxes if 1.0 < max(box[2] - box[0], box[3] - box[1]) <= HEAD_PT]


def _assignment_to_named(
    own: Assignment, claims: Sequence[Claim], assignments: Sequence[Assignment], curves: Sequence[Drawn]
) -> NamedCurve:
    label: Label = claims[own.claim].labels[0]
    doubts = []
    if label.naming.candidates:
        doubts.append(f"label '{label.text}' could name {' or '.join(label.naming.candidates)}")
    for rival in own.rivals:
        owner = next((claims[a.claim].labels[0].text for a in assignments if a.curve == rival), "")
        doubts.append(
            f"label '{label.text}' fits another curve nearly as well"
            + (f", that of '{owner}'" if owner else "")
        )
    for tip in claims[own.claim].tips:
        if tip is not None and any(_nearest(rival.point, curves) != own.curve for rival in tip.rivals):
            doubts.append(f"another leader could be that of label '{label.text}'")
    if own.way == "leader" and not any(claims[own.claim].tips) and not any(claims[own.claim].samples):
        doubts.append(f"label '{label.text}' has no leader that could be found, as most labels here have")
    for other in assignments:
        if other is not own and own.curve in other.rivals:
            doubts.append(f"label '{claims[other.claim].labels[0].text}' fits this curve nearly as well")
    return NamedCurve(
        own.curve, label.text, (*label.naming.parts, *label.naming.candidates), tuple(dict.fromkeys(doubts))
    )
