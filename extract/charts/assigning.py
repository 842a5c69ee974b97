"""Which label belongs to which curve: one assignment for the whole chart.

Comes in: labels with the tips of their leaders, curves, samples of a legend. Goes out: for each label its
curve, and the curves it could belong to nearly as well. All evidence is a cost in squared points; nothing is
decided label by label, since the nearest curve is the wrong one too often.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from statistics import median

from extract.charts.drawn import Drawn
from extract.charts.frames import Frame
from extract.charts.geometry import to_polyline
from extract.charts.labels import Label
from extract.charts.leaders import Tip
from extract.charts.matching import pairs_with_rivals

LIMIT = 700.0  # squared points: a label farther from every curve belongs to none
FAR_LIMIT = 8000.0  # if there are as many curves as labels: those were moved apart to find room
LOOSE = 0.2  # of the mean cost of a label: so much more is nearly as good where labels stand loosely
TIP_WEIGHT = 3.0  # a tip points more sharply than a label stands
NEARLY = 4.0  # squared points: a pairing that costs no more than this in addition is as good
SHIFTS_PT = tuple(float(step) for step in range(-10, 11))  # all labels of a chart may stand aside by as much
SHIFT_WEIGHT = 0.12
HALF_WAY = 0.5  # of the way to the next curve: labels that stand farther off may be the next one's
SAME_START_PT = 0.5  # curves that begin so near each other have no order
UNSHOWN = 100.0  # a label of a legend whose sample is not seen: where it stands says nothing
OTHER_DASHES, SAME_DASH = 30.0, 0.1  # of another pattern; dashes of one differ by no larger share
OTHER_COLOUR = 400.0  # what a colour costs that is not the label's
SLANTED = 8.0  # degrees off both axes
NEAR_END_PT = 16.0  # labels that stand at the ends of curves stand so near
REACH_PT = 4.0  # a leader may end so far before its curve
AT_END_PT = 0.9  # a leader that meets the end of a curve


@dataclass(frozen=True, slots=True)
class Claim:
    """A group of labels that name the same parts: where each stands, the tip of its leader, the colour of its
    sample in a legend."""

    labels: tuple[Label, ...]
    tips: tuple[Tip | None, ...]
    samples: tuple[Drawn | None, ...]


@dataclass(frozen=True, slots=True)
class Assignment:
    """A claim's curve, by number; the curves it could be as well; the way that led there."""

    claim: int
    curve: int
    rivals: tuple[int, ...]
    way: str


def claims_to_assignments(
    claims: Sequence[Claim], curves: Sequence[Drawn], frame: Frame
) -> tuple[Assignment, ...]:
    """The pairing of claims and curves with the least cost, over all common shifts of the labels."""
    if not claims or not curves:
        return ()
    way = _way(claims)
    by_end = _stand_at_ends(claims, curves, frame)
    shifts = SHIFTS_PT if way == "place" else (0.0,)
    limit = LIMIT if len(claims) > len(curves) or way == "leader" else FAR_LIMIT
    solved = []
    for shift in shifts:
        costs = [[_cost(claim, curve, shift, by_end, frame) for curve in curves] for claim in claims]
        if way == "legend":
            costs = [
                row if any(c.samples) else [UNSHOWN] * len(row) for row, c in zip(costs, claims, strict=True)
            ]
        _add_colours(costs, claims, curves, way)
        pairs = pairs_with_rivals(costs, limit)
        total = sum(costs[i][j] for i, (j, _) in pairs.items()) + limit * (len(claims) - len(pairs))
        solved.append((total + SHIFT_WEIGHT * len(claims) * shift * shift, pairs))
    best_total = min(total for total, _ in solved)
    nearly = NEARLY + (LOOSE * best_total / len(claims) if way == "place" else 0.0)
    assignments = _solved_to_assignments(solved, nearly, way)
    if way != "place":
        return assignments
    return _out_of_order(_in_loose_rows(assignments, best_total, curves), claims, curves, frame)


def _out_of_order(
    assignments: Sequence[Assignment], claims: Sequence[Claim], curves: Sequence[Drawn], frame: Frame
) -> tuple[Assignment, ...]:
    """Labels above a frame stand in the order in which their curves begin: two that do not could be each
    other's."""
    places = {own.claim: _place_above(claims[own.claim], frame) for own in assignments}
    above = [(place, own) for own in assignments if (place := places[own.claim]) is not None]
    swapped: dict[int, list[int]] = {}
    for (x, own), (other_x, other) in combinations(above, 2):
        starts = curves[own.curve].points[0][0] - curves[other.curve].points[0][0]
        if (x - other_x) * starts < 0 and abs(starts) > SAME_START_PT:
            swapped.setdefault(own.claim, []).append(other.curve)
            swapped.setdefault(other.claim, []).append(own.curve)
    return tuple(
        replace(own, rivals=tuple(dict.fromkeys((*own.rivals, *swapped.get(own.claim, ())))))
        for own in assignments
    )


def _place_above(claim: Claim, frame: Frame) -> float | None:
    """Where along a frame's head the first label of a claim stands that is above it."""
    return next((label.mid[0] for label in claim.labels if label.box[3] < frame.box[1] + 2.0), None)


def _in_loose_rows(
    assignments: Sequence[Assignment], total: float, curves: Sequence[Drawn]
) -> tuple[Assignment, ...]:
    """Labels that stand off their curves by more than half the way to the next one may all be one curve off,
    if a curve is left without a label: then each could be another's."""
    free = tuple(sorted(set(range(len(curves))) - {own.curve for own in assignments}))
    starts = sorted(curve.points[0][0] for curve in curves)
    gaps = [b - a for a, b in pairwise(starts)]
    if not free or not assignments or not gaps:
        return tuple(assignments)
    off = math.sqrt(total / len(assignments))
    if off <= HALF_WAY * median(gaps):
        return tuple(assignments)
    return tuple(replace(own, rivals=tuple(dict.fromkeys((*own.rivals, *free)))) for own in assignments)


_Pairs = Mapping[int, tuple[int, Sequence[tuple[int, float]]]]


def _solved_to_assignments(
    solved: Sequence[tuple[float, _Pairs]], nearly: float, way: str
) -> tuple[Assignment, ...]:
    """The pairing with the least total; rivals are what its pairs could be for little more, and what pairings
    with another shift have that cost nearly as little."""
    best_total, best = min(solved, key=lambda item: item[0])
    found = []
    for i, (j, rivals) in sorted(best.items()):
        close = [other for other, more in rivals if more < nearly]
        close += [pairs[i][0] for total, pairs in solved if total - best_total < nearly and i in pairs]
        found.append(Assignment(i, j, tuple(dict.fromkeys(c for c in close if c != j)), way))
    return tuple(found)


def _way(claims: Sequence[Claim]) -> str:
    """What ties most labels to curves: samples of a legend, leaders, or the place they stand at."""
    samples = sum(any(claim.samples) for claim in claims)
    tips = sum(any(claim.tips) for claim in claims)
    if samples >= 0.6 * len(claims) and samples >= tips:
        return "legend"
    return "leader" if tips >= 0.6 * len(claims) else "place"


def _cost(claim: Claim, curve: Drawn, shift: float, by_end: bool, frame: Frame) -> float:
    """How badly a claim's labels fit a curve, in squared points."""
    total = 0.0
    for label, tip, sample in zip(claim.labels, claim.tips, claim.samples, strict=True):
        if sample is not None:
            total += _sample_cost(sample, curve)
        elif tip is not None:
            total += TIP_WEIGHT * tip_cost(tip, curve)
        else:
            distance = (
                _end_distance(label, curve, shift, frame) if by_end else _way_distance(label, curve, shift)
            )
            total += distance * distance
    return total / math.sqrt(len(claim.labels))


def _sample_cost(sample: Drawn, curve: Drawn) -> float:
    """A legend's sample and a curve: their colours, whether both are dashed, and alike."""
    far = math.dist(sample.colour, curve.colour)
    is_other = sample.is_dashed != curve.is_dashed or not _dashed_alike(sample.dashes, curve.dashes)
    return 0.02 * far * far + (OTHER_DASHES if is_other else 0.0)


def _dashed_alike(one: Sequence[float], other: Sequence[float]) -> bool:
    """Whether two patterns of dashes could be one, as long as both are known."""
    if not one or not other:
        return True
    ends = zip(one, other, strict=False)
    return len(one) == len(other) and all(abs(a - b) <= SAME_DASH * max(a, b) + 0.05 for a, b in ends)


def tip_cost(tip: Tip, curve: Drawn) -> float:
    """From a leader's tip to a curve: at its end exactly, at the tip, or a little farther along."""
    (x, y), (dx, dy) = tip.point, tip.direction
    if min(math.dist(tip.point, curve.points[0]), math.dist(tip.point, curve.points[-1])) < AT_END_PT:
        return 0.0
    ways = (0.0, 1.0, 2.0, 3.0, REACH_PT)
    return min((to_polyline((x + way * dx, y + way * dy), curve.points) + 0.35 * way) ** 2 for way in ways)


def _end_distance(label: Label, curve: Drawn, shift: float, frame: Frame) -> float:
    """From a label to the nearer end of a curve; above the frame it is the way along the frame that
    counts."""
    start, end = curve.points[0], curve.points[-1]
    top = frame.box[1]
    if label.box[3] < top + 2.0:
        x = label.start[0] if abs(label.start[1] - top) < abs(label.end[1] - top) else label.end[0]
        x = label.mid[0] if abs(label.start[1] - label.end[1]) < 2.0 else x
        return math.hypot(x + shift - start[0], max(0.0, start[1] - top - 25.0))
    return min(label.distance((end[0] - shift, end[1])), label.distance((start[0] - shift, start[1])))


def _way_distance(label: Label, curve: Drawn, shift: float) -> float:
    """From a label to the line of a curve: all along it if it is slanted, else from its nearest letter."""
    points = [(x + shift, y) for x, y in (label.start, label.mid, label.end)]
    ways = [to_polyline(point, curve.points) for point in points]
    slanted = min(label.angle % 90, 90 - label.angle % 90) > SLANTED
    return sum(ways) / 3 if slanted else min(ways)


def _stand_at_ends(claims: Sequence[Claim], curves: Sequence[Drawn], frame: Frame) -> bool:
    """Whether labels without leader stand at the ends of curves."""
    free = [
        label
        for claim in claims
        for label, tip, sample in zip(claim.labels, claim.tips, claim.samples, strict=True)
        if tip is None and sample is None
    ]
    slanted = sum(min(label.angle % 90, 90 - label.angle % 90) > SLANTED for label in free)
    if not free or 2 * slanted > len(free):
        return False
    nearest = (min(_end_distance(label, curve, 0.0, frame) for curve in curves) for label in free)
    return median(nearest) < NEAR_END_PT


def _add_colours(
    costs: list[list[float]], claims: Sequence[Claim], curves: Sequence[Drawn], way: str
) -> None:
    """Labels or leaders in the colours of the curves: another colour costs more."""
    if way == "legend":
        return
    hues = {curve.colour for curve in curves}
    takes: tuple[Callable[[Claim], tuple[int, int, int] | None], ...] = (
        lambda claim: claim.labels[0].colour,
        lambda claim: claim.tips[0].colour if claim.tips[0] is not None else None,
    )
    for take in takes:
        own = [take(claim) for claim in claims]
        if len(set(own)) < 2 or not all(colour in hues for colour in own):
            continue
        for i, colour in enumerate(own):
            for j, curve in enumerate(curves):
                costs[i][j] += OTHER_COLOUR if curve.colour != colour else 0.0
