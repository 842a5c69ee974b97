"""Distances between points, boxes and polylines, in points of the page.

Comes in: points. Goes out: numbers. Knows nothing of charts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

Point = tuple[float, float]
Box = tuple[float, float, float, float]


def to_segment(point: Point, start: Point, end: Point) -> float:
    """Distance from a point to a straight piece."""
    (px, py), (ax, ay), (bx, by) = point, start, end
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    share = max(0.0, min(1.0, ((px - ax) * dx + (py - ay) * dy) / square)) if square else 0.0
    return math.hypot(px - ax - share * dx, py - ay - share * dy)


def to_polyline(point: Point, points: Sequence[Point]) -> float:
    """Distance from a point to a polyline; as `to_segment` for each piece, written out since it is asked for
    hundreds of thousands of times a page."""
    px, py = point
    ax, ay = points[0]
    best = (px - ax) ** 2 + (py - ay) ** 2
    for bx, by in points[1:]:
        dx, dy, wx, wy = bx - ax, by - ay, px - ax, py - ay
        along = wx * dx + wy * dy
        if along > 0.0:
            square = dx * dx + dy * dy
            share = along / square if along < square else 1.0
            wx, wy = wx - share * dx, wy - share * dy
        far = wx * wx + wy * wy
        if far < best:
            best = far
        ax, ay = bx, by
    return math.sqrt(best)


def to_box(point: Point, box: Box) -> float:
    """Distance from a point to a box; 0 within."""
    x0, top, x1, bottom = box
    return math.hypot(max(x0 - point[0], 0.0, point[0] - x1), max(top - point[1], 0.0, point[1] - bottom))


def is_within(inner: Box, outer: Box) -> bool:
    """Whether a box lies within another."""
    return outer[0] <= inner[0] and inner[2] <= outer[2] and outer[1] <= inner[1] and inner[3] <= outer[3]


def length_of(points: Sequence[Point]) -> float:
    """The way along a polyline."""
    return sum(math.dist(a, b) for a, b in pairwise(points))


def bend_of(points: Sequence[Point]) -> float:
    """How far a polyline departs from the straight line between its ends."""
    start, end = points[0], points[-1]
    return max(to_segment(point, start, end) for point in points)


def x_at(points: Sequence[Point], y: float) -> float | None:
    """Where a line that runs from left to right crosses a height first; None if it does not."""
    for (ax, ay), (bx, by) in pairwise(points):
        if min(ay, by) <= y <= max(ay, by):
            return ax if ay == by else ax + (bx - ax) * (y - ay) / (by - ay)
    return None
