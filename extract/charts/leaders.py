"""Leaders, arrows and underlines: where the lines that start at a label end.

Comes in: the lines of a chart that are no curves, the filled shapes near them (heads of arrows), its labels. Goes
out: for each label the tip of its leader, or none. Follows no curve.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from extract.charts.curves import Drawn
from extract.charts.frames import Frame
from extract.charts.geometry import Box, Point, length_of, to_box, to_polyline
from extract.charts.labels import Label

START_PT = 7.0  # a leader starts no farther from its label
CHAIN_PT = 1.2  # pieces of one leader meet so closely
SHORT_PT = 3.0  # shorter lines are heads of arrows or dots
HEAD_PT = 10.0  # heads of arrows are no larger
AWAY_PT = 9.0  # a tip stands so far from its own label at least


@dataclass(frozen=True, slots=True)
class Tip:
    """Where a leader ends: the point, the direction it arrives in (unit vector), its colour."""

    point: Point
    direction: Point
    colour: tuple[int, int, int]


def labels_to_tips(
    labels: Sequence[Label], lines: Sequence[Drawn], heads: Sequence[Box], frame: Frame
) -> tuple[Tip | None, ...]:
    """The tip of each label's leader. Each leader goes to one label, all together with the least way."""
    from extract.charts.matching import least_pairs

    chains = _chained([line.points for line in lines if _could_lead(line, frame)])
    colours = {line.points[0]: line.colour for line in lines} | {line.points[-1]: line.colour for line in lines}
    costs = [[min(_start_cost(label, chain), _start_cost(label, chain[::-1])) for chain in chains] for label in labels]
    found: list[Tip | None] = [None] * len(labels)
    for index, at in least_pairs(costs, START_PT**2):
        chain, label = chains[at], labels[index]
        if _start_cost(label, chain[::-1]) < _start_cost(label, chain):
            chain = chain[::-1]
        tip = _chain_to_tip(chain, heads, colours.get(chain[-1], (0, 0, 0)))
        found[index] = tip if to_box(tip.point, label.box) > 1.0 else None
    return tuple(found)


def _could_lead(line: Drawn, frame: Frame) -> bool:
    """Whether a line is no line of the grid and long enough to lead anywhere."""
    x0, top, x1, bottom = line.box
    if length_of(line.points) < SHORT_PT:
        return False
    level, upright = bottom - top < 0.4, x1 - x0 < 0.4
    if level and (x1 - x0 > 0.9 * frame.width or _is_among(top, frame.rows, x1 - x0 > 0.5 * frame.width)):
        return False
    return not (upright and (bottom - top > 0.9 * frame.height or _is_among(x0, frame.columns, bottom - top > 0.5 * frame.height)))


def _is_among(place: float, lines: Sequence[float], is_long: bool) -> bool:
    return is_long and any(abs(place - line) < 0.3 for line in lines)


def _chained(lines: Sequence[Sequence[Point]]) -> list[list[Point]]:
    """Lines whose ends meet, no third one there, put together."""
    chains = [list(line) for line in lines]
    changed = True
    while changed:
        changed = False
        for i, one in enumerate(chains):
            for j, other in enumerate(chains):
                joined = _join(one, other) if i != j else None
                if joined is not None and _meeting(joined[1], chains) == 2:
                    chains = [chain for k, chain in enumerate(chains) if k not in (i, j)] + [joined[0]]
                    changed = True
                    break
            if changed:
                break
    return chains


def _join(one: list[Point], other: list[Point]) -> tuple[list[Point], Point] | None:
    for first in (one, one[::-1]):
        for second in (other, other[::-1]):
            if math.dist(first[-1], second[0]) < CHAIN_PT:
                return [*first, *second], first[-1]
    return None


def _meeting(point: Point, chains: Sequence[Sequence[Point]]) -> int:
    """How many ends of lines meet in a point."""
    return sum(math.dist(end, point) < CHAIN_PT for chain in chains for end in (chain[0], chain[-1]))


def _start_cost(label: Label, chain: Sequence[Point]) -> float:
    """How far a leader starts from a label, squared: from its nearer end, its middle, or all along it if it
    underlines it."""
    start = chain[0]
    near = min(label.distance(start), 2.0 + to_box(start, label.box))
    if len(chain) > 2:
        samples = [label.start, label.mid, label.end]
        near = min(near, max(to_polyline(point, chain) for point in samples))
    if to_box(chain[-1], label.box) < min(AWAY_PT, near):
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
        if to_box(end, head) < 0.8:
            corners = [(x, y) for x in (head[0], head[2]) for y in (head[1], head[3])]
            reach = max(reach, max((x - end[0]) * dx + (y - end[1]) * dy for x, y in corners))
    reach = min(reach, HEAD_PT)
    return Tip((end[0] + dx * reach, end[1] + dy * reach), (dx, dy), colour)
