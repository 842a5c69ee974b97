"""Signs at the points of curves: crosses, triangles, squares that programs put on a line.

Comes in: the lines of a chart. Goes out: the same lines without such signs. A sign in the colour of its line
would else be taken for a dash of it, or for a piece that goes on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from extract.charts.drawn import Drawn
from extract.charts.geometry import Point, length_of

MARKER_PT = 10.0  # a sign is no larger
LINE_PT = 40.0  # a line with signs is no shorter
AT_POINT_PT = 0.45  # the middle of a sign stands so near a point of its line
LEAST_MARKERS, LEAST_SHARE = 3, 0.25  # a line with fewer, or at fewer of its points, has none

_Places = dict[tuple[tuple[int, int, int], int, int], list[tuple[float, float, int]]]


def without_markers(lines: Sequence[Drawn]) -> list[Drawn]:
    """The lines that are no signs at the points of a longer one."""
    small = [line for line in lines if _size(line) <= MARKER_PT]
    if len(small) < LEAST_MARKERS:
        return list(lines)
    places: _Places = {}
    for number, line in enumerate(lines):
        if _size(line) > MARKER_PT and length_of(line.points) >= LINE_PT:
            for x, y in line.points:
                places.setdefault((line.colour, round(x), round(y)), []).append((x, y, number))
    owners: dict[int, list[Drawn]] = {}
    for line in small:
        owner = _line_at(line, places)
        if owner is not None:
            owners.setdefault(owner, []).append(line)
    least = {number: max(LEAST_MARKERS, LEAST_SHARE * len(lines[number].points)) for number in owners}
    signs = {id(line) for number, own in owners.items() if len(own) >= least[number] for line in own}
    return [line for line in lines if id(line) not in signs]


def _line_at(sign: Drawn, places: _Places) -> int | None:
    """The number of the line of its colour that has a point where the middle of a sign is."""
    point = _middle(sign)
    column, row = round(point[0]), round(point[1])
    near = (
        (math.dist(point, (x, y)), number)
        for dx in (-1, 0, 1)
        for dy in (-1, 0, 1)
        for x, y, number in places.get((sign.colour, column + dx, row + dy), ())
    )
    best = min(near, default=None)
    return best[1] if best is not None and best[0] < AT_POINT_PT else None


def _size(line: Drawn) -> float:
    x0, top, x1, bottom = line.box
    return max(x1 - x0, bottom - top)


def _middle(line: Drawn) -> Point:
    x0, top, x1, bottom = line.box
    return (x0 + x1) / 2, (top + bottom) / 2
