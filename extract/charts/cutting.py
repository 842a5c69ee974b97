"""Cuts a polyline along a box.

Comes in: points and a box. Goes out: the pieces within the box. Cuts along nothing but boxes.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

Point = tuple[float, float]
Box = tuple[float, float, float, float]


def cut_polyline(points: Sequence[Point], box: Box) -> list[list[Point]]:
    """The pieces of a polyline within a box (x0, top, x1, bottom), in drawing order."""
    x0, top, x1, bottom = box
    if all(x0 <= x <= x1 and top <= y <= bottom for x, y in points):
        return [list(points)]
    pieces: list[list[Point]] = []
    for start, end in pairwise(points):
        inside = _segment_within(start, end, box)
        if inside is None:
            continue
        first, last = inside
        if pieces and pieces[-1][-1] == first:
            pieces[-1].append(last)
        else:
            pieces.append([first, last])
    return [piece for piece in pieces if len(piece) > 2 or piece[0] != piece[1]]


def _segment_within(start: Point, end: Point, box: Box) -> tuple[Point, Point] | None:
    """The part of a segment within a box (Liang and Barsky, ACM Transactions on Graphics 3(1), 1984)."""
    (ax, ay), (bx, by) = start, end
    dx, dy = bx - ax, by - ay
    enter, leave = 0.0, 1.0
    for step, room in ((-dx, ax - box[0]), (dx, box[2] - ax), (-dy, ay - box[1]), (dy, box[3] - ay)):
        if step == 0:
            if room < 0:
                return None
        elif step < 0:
            enter = max(enter, room / step)
        else:
            leave = min(leave, room / step)
    if enter > leave:
        return None
    first = start if enter == 0.0 else (ax + enter * dx, ay + enter * dy)
    last = end if leave == 1.0 else (ax + leave * dx, ay + leave * dy)
    return first, last
