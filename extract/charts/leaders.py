"""Leaders, arrows and underlines: where the lines that start at a label end.

Comes in: the lines of a chart that are no curves, the filled shapes near them (heads of arrows), its labels.
Goes out: for each label the tip of its leader, or none. Follows no curve.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from extract.charts.drawn import Drawn
from extract.charts.frames import Frame
from extract.charts.geometry import Box, Point, length_of, to_box, to_polyline
from extract.charts.labels import Label
from extract.charts.matching import pairs_with_rivals

START_PT = 7.0  # a leader starts no farther from its label
CHAIN_PT = 1.2  # pieces of one leader meet so closely
SHORT_PT = 3.0  # shorter lines are heads of arrows or dots
HEAD_PT, AT_HEAD_PT = 10.0, 0.8  # heads of arrows are no larger; their leader ends so near them
LEAST_AWAY_PT = 3.0  # and never nearer
NEARLY = 26.0  # squared points: a pairing with another leader that costs no more is as good
NO_TURN = -0.35  # cosine of the sharpest turn of a leader
MANY_LINES = 300  # of so many none are put together
AWAY_PT = 9.0  # a tip stands so far from its own label at least


@dataclass(frozen=True, slots=True)
class Tip:
    """Where a leader ends: the point, the direction it arrives in (unit vector), its colour. `rivals` are the
    tips of other leaders that could be the label's as well."""

    point: Point
    direction: Point
    colour: tuple[int, int, int]
    rivals: tuple[Tip, ...] = ()


def labels_to_tips(
    labels: Sequence[Label], lines: Sequence[Drawn], heads: Sequence[Box], frame: Frame
) -> tuple[Tip | None, ...]:
    """The tip of each label's leader. Each leader goes to one label, all together with the least way."""
    parts = [part for line in lines if _could_lead(line, frame) for part in _cut_at_heads(line.points, heads)]
    chains = _chained(parts, heads)
    colours = {line.points[0]: line.colour for line in lines} | {
        line.points[-1]: line.colour for line in lines
    }
    rows = [
        [min(_start_cost(label, chain), _start_cost(label, chain[::-1])) for chain in chains]
        for label in labels
    ]
    near = [at for at in range(len(chains)) if any(row[at] <= START_PT**2 for row in rows)][:MANY_LINES]
    chains = [chains[at] for at in near]
    pairs = pairs_with_rivals([[row[at] for at in near] for row in rows], START_PT**2)

    def tip_of(index: int) -> Tip | None:
        if index not in pairs:
            return None
        at, others = pairs[index]
        tip = _to_tip(labels[index], chains[at], heads, colours)
        close = [other for other, more in others if more < NEARLY] + _wanted_by(at, pairs)
        rivals = [_to_tip(labels[index], chains[other], heads, colours) for other in close]
        return replace(tip, rivals=tuple(r for r in rivals if r is not None)) if tip is not None else None

    return tuple(map(tip_of, range(len(labels))))


def _cut_at_heads(points: Sequence[Point], heads: Sequence[Box]) -> list[Sequence[Point]]:
    """A line cut where the head of an arrow stands within it: there one leader ends and another begins."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    around = (min(xs), min(ys), max(xs), max(ys))
    near = [head for head in heads if _overlap(head, around)]
    cuts = [
        index
        for index in range(1, len(points) - 1)
        if any(to_box(points[index], head) < AT_HEAD_PT for head in near)
    ]
    edges = [0, *cuts, len(points) - 1]
    parts = [points[first : last + 1] for first, last in pairwise(edges) if last > first]
    return [part for part in parts if length_of(part) >= SHORT_PT] if cuts else [points]


def _overlap(one: Box, other: Box) -> bool:
    """Whether two boxes come as near each other as a leader does to its head."""
    return all(
        one[at] - AT_HEAD_PT <= other[at + 2] and other[at] <= one[at + 2] + AT_HEAD_PT for at in (0, 1)
    )


def _wanted_by(leader: int, pairs: Mapping[int, tuple[int, Sequence[tuple[int, float]]]]) -> list[int]:
    """The leaders of the labels that could nearly as well have this one: then its label may have theirs."""
    return [
        at
        for at, others in pairs.values()
        if at != leader and any(other == leader and more < NEARLY for other, more in others)
    ]


def _to_tip(
    label: Label,
    chain: list[Point],
    heads: Sequence[Box],
    colours: Mapping[Point, tuple[int, int, int]],
) -> Tip | None:
    """The tip of a leader that starts at a label; None if it ends there too."""
    if _start_cost(label, chain[::-1]) < _start_cost(label, chain):
        chain = chain[::-1]
    tip = _chain_to_tip(chain, heads, colours.get(chain[-1], (0, 0, 0)))
    return tip if to_box(tip.point, label.box) > 1.0 else None


def _could_lead(line: Drawn, frame: Frame) -> bool:
    """Whether a line is long enough to lead anywhere, and no line through the whole frame."""
    x0, top, x1, bottom = line.box
    level, upright = bottom - top < 0.4, x1 - x0 < 0.4
    whole = (level and x1 - x0 > 0.9 * frame.width) or (upright and bottom - top > 0.9 * frame.height)
    return length_of(line.points) >= SHORT_PT and not whole


def _chained(lines: Sequence[Sequence[Point]], heads: Sequence[Box]) -> list[list[Point]]:
    """Lines whose ends meet, no third one there and no head of an arrow, put together."""
    chains = [list(line) for line in lines]
    if len(chains) > MANY_LINES:
        return chains
    for _ in range(len(chains)):
        joint = _next_joint(chains, heads)
        if joint is None:
            break
        i, j, joined = joint
        chains = [chain for k, chain in enumerate(chains) if k not in (i, j)] + [joined]
    return chains


def _next_joint(chains: Sequence[list[Point]], heads: Sequence[Box]) -> tuple[int, int, list[Point]] | None:
    """Two lines that go on in each other, and what they are together."""
    places: dict[tuple[int, int], list[tuple[int, Point]]] = {}
    for index, chain in enumerate(chains):
        for end in (chain[0], chain[-1]):
            places.setdefault((round(end[0] / 4), round(end[1] / 4)), []).append((index, end))
    for index, chain in enumerate(chains):
        for end in (chain[0], chain[-1]):
            column, row = round(end[0] / 4), round(end[1] / 4)
            near = [
                (other, place)
                for dx in (-1, 0, 1)
                for dy in (-1, 0, 1)
                for other, place in places.get((column + dx, row + dy), ())
                if math.dist(end, place) < CHAIN_PT
            ]
            others = [other for other, _ in near if other != index]
            if len(near) == 2 and len(others) == 1 and not any(to_box(end, h) < AT_HEAD_PT for h in heads):
                first = chain if chain[-1] == end else chain[::-1]
                other = chains[others[0]]
                second = other if math.dist(other[0], end) < CHAIN_PT else other[::-1]
                if _goes_on(first, second):
                    return index, others[0], [*first, *second]
    return None


def _goes_on(first: Sequence[Point], second: Sequence[Point]) -> bool:
    """Whether the second line does not turn back: two leaders that meet in one point are two."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = first[-2], first[-1], second[0], second[1]
    one, other = (bx - ax, by - ay), (dx - cx, dy - cy)
    lengths = math.hypot(*one) * math.hypot(*other)
    return lengths > 0 and (one[0] * other[0] + one[1] * other[1]) / lengths > NO_TURN


def _start_cost(label: Label, chain: Sequence[Point]) -> float:
    """How far a leader starts from a label, squared: from its nearer end, its middle, or all along it if it
    underlines it."""
    start = chain[0]
    near = min(label.distance(start), 2.0 + to_box(start, label.box))
    if len(chain) > 2:
        samples = [label.start, label.mid, label.end]
        near = min(near, max(to_polyline(point, chain) for point in samples))
    if to_box(chain[-1], label.box) < max(LEAST_AWAY_PT, min(AWAY_PT, near)):
        return 1e6  # it ends where it starts: an underline or a box
    return near * near


def _chain_to_tip(chain: Sequence[Point], heads: Sequence[Box], colour: tuple[int, int, int]) -> Tip:
    """The end of a leader, moved on to the point of its arrow's head if it has one."""
    end = chain[-1]
    before = next((p for p in reversed(chain[:-1]) if math.dist(p, end) > 0.8), chain[0])
    length = math.dist(before, end) or 1.0
    dx, dy = (end[0] - before[0]) / length, (end[1] - before[1]) / length
    reach = 0.0
    for head in heads:
        if to_box(end, head) < AT_HEAD_PT:
            corners = [(x, y) for x in (head[0], head[2]) for y in (head[1], head[3])]
            reach = max(reach, max((x - end[0]) * dx + (y - end[1]) * dy for x, y in corners))
    reach = min(reach, HEAD_PT)
    return Tip((end[0] + dx * reach, end[1] + dy * reach), (dx, dy), colour)
