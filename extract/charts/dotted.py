"""Curves that are rows of dots: one small filled shape for each point, no line between them.

Comes in: the strokes of a page. Goes out: a Drawn for each colour whose dots make one curve. Dots of two
curves in one colour make none: whose is whose cannot be told.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from extract.charts.drawn import Drawn
from extract.charts.ink import Point, Stroke

LARGEST_PT, SQUARE = 6.0, 1.25  # a dot is no larger, and so many times longer than high at most
LEAST_DOTS = 12
GAP_PT, GAP_TIMES = 12.0, 3.0  # dots of one curve leave no wider gap, and none so many times the usual one
LEAST_SPAN_PT = 30.0


def strokes_to_dotted(strokes: Sequence[Stroke]) -> list[Drawn]:
    """The curves that are rows of dots, one for each colour and size."""
    dots: dict[tuple[tuple[int, int, int], int], list[Stroke]] = {}
    for stroke in strokes:
        x0, top, x1, bottom = stroke.box
        less, more = sorted((x1 - x0, bottom - top))
        if stroke.is_filled and 0 < more <= LARGEST_PT and more <= SQUARE * less:
            dots.setdefault((stroke.colour, round(2 * more)), []).append(stroke)
    found = []
    for (colour, size), own in dots.items():
        points = sorted(_middle(dot) for dot in own)
        if len(points) >= LEAST_DOTS and _is_one_curve(points):
            order = min(dot.order for dot in own)
            found.append(Drawn(tuple(points), size / 4, colour, True, order, is_joined=True))
    return found


def _middle(stroke: Stroke) -> Point:
    x0, top, x1, bottom = stroke.box
    return (x0 + x1) / 2, (top + bottom) / 2


def _is_one_curve(points: Sequence[Point]) -> bool:
    """Whether dots from the left follow each other downwards, one close behind the other."""
    gaps = [math.dist(a, b) for a, b in pairwise(points)]
    falls = all(b[1] >= a[1] - 0.1 for a, b in pairwise(points))
    is_close = max(gaps) < min(GAP_PT, GAP_TIMES * median(gaps))
    return falls and is_close and points[-1][0] - points[0][0] > LEAST_SPAN_PT
