"""Lines that were drawn as filled outlines: a long thin area becomes the line in its middle.

Comes in: the points of a closed filled shape. Goes out: its middle line and its width, or None for an area
that is no line. Joins nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

Point = tuple[float, float]

WIDEST = 3.2  # an area wider than this, in points, is no line
LEAST_TIMES = 4.0  # and a line is so many times longer than wide
MOST_STEPS, STEPS_A_VERTEX = 120, 4  # of a middle line
BUTT_TIMES = 1.6  # a square end is no longer than so many widths of the line
BUTT_COSINE = 0.5  # and stands across it


def outline_to_middle(points: Sequence[Point]) -> tuple[list[Point], float] | None:
    """The middle line of a long thin closed shape, and its width in points."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    is_upright = len({round(x, 1) for x in xs}) <= 2
    if max(wide, high) < LEAST_TIMES * 0.2 or (len(points) == 5 and is_upright and min(wide, high) > WIDEST):
        return None
    ring = list(points[:-1]) if points[0] == points[-1] else list(points)
    if len(ring) < 4:
        return None
    around = sum(math.dist(a, b) for a, b in pairwise([*ring, ring[0]]))
    area = abs(sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairwise([*ring, ring[0]]))) / 2
    width = 2 * area / around if around else 0.0
    if not 0 < width <= WIDEST or around / 2 < LEAST_TIMES * width:
        return None
    first, last = _far_ends(ring)
    one = ring[first : last + 1]
    other = [*ring[last:], *ring[: first + 1]][::-1]
    return _between(*_butted(*_butted(one, other, width), width)), width


def _butted(
    one: Sequence[Point], other: Sequence[Point], width: float
) -> tuple[Sequence[Point], Sequence[Point]]:
    """Both sides of a shape, turned round, with the square end they began with taken off: there one of them
    first runs across the line, as long as the line is wide."""
    sides = [list(one), list(other)]
    for index in (0, 1):
        side, facing = sides[index], sides[1 - index]
        if len(side) > 2 and math.dist(side[0], side[1]) < BUTT_TIMES * width:
            across, along = _way(side[0], side[1]), _way(side[1], side[2])
            if abs(across[0] * along[0] + across[1] * along[1]) < BUTT_COSINE and len(facing) > 1:
                sides[index] = side[1:]
                break
    return sides[0][::-1], sides[1][::-1]


def _way(start: Point, end: Point) -> Point:
    """The direction from one point to another."""
    length = math.dist(start, end) or 1.0
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length


def _far_ends(ring: Sequence[Point]) -> tuple[int, int]:
    """Where the shape turns back at its two ends: the farthest vertex from its middle, and from that one."""
    cx, cy = sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)
    start = max(range(len(ring)), key=lambda i: math.dist(ring[i], (cx, cy)))
    end = max(range(len(ring)), key=lambda i: math.dist(ring[i], ring[start]))
    return min(start, end), max(start, end)


def _between(one: Sequence[Point], other: Sequence[Point]) -> list[Point]:
    """The line half way between two sides, both walked from the same end."""
    steps = min(MOST_STEPS, STEPS_A_VERTEX * (len(one) + len(other) - 3))
    left, right = resample(one, steps), resample(other, steps)
    return [((ax + bx) / 2, (ay + by) / 2) for (ax, ay), (bx, by) in zip(left, right, strict=True)]


def resample(points: Sequence[Point], steps: int) -> list[Point]:
    """`steps` + 1 points at equal ways along a polyline."""
    ways = [0.0]
    for a, b in pairwise(points):
        ways.append(ways[-1] + math.dist(a, b))
    if ways[-1] == 0:
        return [points[0]] * (steps + 1)
    found, index = [], 0
    for step in range(steps + 1):
        way = ways[-1] * step / steps
        while index < len(ways) - 2 and ways[index + 1] < way:
            index += 1
        length = ways[index + 1] - ways[index]
        share = (way - ways[index]) / length if length else 0.0
        (ax, ay), (bx, by) = points[index], points[index + 1]
        found.append((ax + share * (bx - ax), ay + share * (by - ay)))
    return found
