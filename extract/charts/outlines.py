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


def outline_to_middle(points: Sequence[Point]) -> tuple[list[Point], float] | None:
    """The middle line of a long thin closed shape, and its width in points."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    if max(wide, high) < LEAST_TIMES * 0.2 or (len(points) == 5 and min(wide, high) > WIDEST):
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
    return _between(one, other), width


def _far_ends(ring: Sequence[Point]) -> tuple[int, int]:
    """Where the shape turns back at its two ends: the farthest vertex from its middle, and from that one."""
    cx, cy = sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)
    start = max(range(len(ring)), key=lambda i: math.dist(ring[i], (cx, cy)))
    end = max(range(len(ring)), key=lambda i: math.dist(ring[i], ring[start]))
    return min(start, end), max(start, end)


def _between(one: Sequence[Point], other: Sequence[Point], steps: int = 120) -> list[Point]:
    """The line half way between two sides, both walked from the same end."""
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
