"""The straight lines of a painted chart that are no curve: leaders, arrows, lines of a table.

Comes in: the paths of one colour, its mask with the grid still in it, the curves found in it. Goes out:
Straights: each line from where its ink begins to where it ends, across the lines it crosses. Knows no label.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy
from numpy.typing import NDArray

from extract.charts.geometry import bend_of
from extract.charts.pixels.linked import Chain
from extract.charts.pixels.thinned import Path

Mask = NDArray[numpy.uint8]
Place = NDArray[numpy.float64]

LEAST_PT, MOST_BEND_PX = 7.0, 1.5  # a leader is no shorter; a piece of one bends no more
SLANT = 0.03  # a line that rises or runs less of its length is the grid's
ON_CURVE = 0.5  # of a piece: it is a piece of a curve
BESIDE_PX = 2
HOLE_PT = 0.9  # ink that stops for longer has ended
ROUNDS, FARTHER = 8, 2.0  # a line is followed on by so many times its length, then laid anew
ASIDE_PX = 2  # ink is looked for so far to either side
MOST_PIECES = 400  # the longest pieces are followed


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight line between two ends in pixels, and the width of its ink."""

    ends: tuple[tuple[float, float], tuple[float, float]]
    width: float


def paths_to_straight(
    paths: Sequence[Path], curves: Sequence[Chain], inked: Mask, scale: float
) -> list[Straight]:
    """The straight slanted lines among the paths of a picture, longest pieces first."""
    taken = _curves_to_mask(curves, inked.shape)
    pieces = [
        path
        for path in paths
        if bend_of(path.points) < MOST_BEND_PX and _is_slanted(path) and _share_on(path, taken) < ON_CURVE
    ]
    pieces.sort(key=lambda path: -math.dist(path.points[0], path.points[-1]))
    found = []
    for path in pieces[:MOST_PIECES]:
        if _share_on(path, taken) >= ON_CURVE:
            continue
        start, end = _followed(inked, path, HOLE_PT * scale)
        if math.dist(start, end) < LEAST_PT * scale:
            continue
        one = Straight(((float(start[0]), float(start[1])), (float(end[0]), float(end[1]))), path.width)
        found.append(one)
        ends = numpy.array(one.ends, dtype=numpy.int32)
        cv2.polylines(taken, [ends], False, (1,), math.ceil(path.width) + 2 * BESIDE_PX)
    return found


def _is_slanted(path: Path) -> bool:
    (ax, ay), (bx, by) = path.points[0], path.points[-1]
    return min(abs(bx - ax), abs(by - ay)) > SLANT * math.hypot(bx - ax, by - ay)


def _followed(inked: Mask, path: Path, hole: float) -> tuple[Place, Place]:
    """A piece followed on at both ends as far as its ink goes, laid anew through the middles of its ink after
    each stretch."""
    start, end = numpy.array(path.points[0]), numpy.array(path.points[-1])
    for _ in range(ROUNDS):
        length = float(numpy.hypot(*(end - start))) or 1.0
        way = (end - start) / length
        reach = FARTHER * length
        on, back = _ink_ahead(inked, end, way, reach, hole), _ink_ahead(inked, start, -way, reach, hole)
        start, end = _laid(inked, start - back * way, end + on * way)
        if on + back < 1.0:
            break
    return start, end


def _ink_ahead(inked: Mask, place: Place, way: Place, reach: float, hole: float) -> float:
    """How far ink goes on from a place in a direction."""
    steps = numpy.arange(1.0, max(2.0, reach) + 1.0)
    is_inked = _profile(inked, place + steps[:, None] * way, way, 1).any(axis=1)
    gaps = numpy.diff(numpy.concatenate([[0.0], steps[is_inked], [math.inf]]))
    ended = int(numpy.argmax(gaps > hole + 1.0))
    return float(steps[is_inked][ended - 1]) if ended else 0.0


def _profile(inked: Mask, places: Place, way: Place, aside: int) -> NDArray[numpy.bool_]:
    """For each place whether the pixels across the way are inked."""
    across = numpy.array((-way[1], way[0]))
    offsets = numpy.arange(-aside, aside + 1)
    at = numpy.floor(places[:, None, :] + offsets[None, :, None] * across).astype(numpy.int64)
    x, y = at[..., 0], at[..., 1]
    within = (x >= 0) & (y >= 0) & (x < inked.shape[1]) & (y < inked.shape[0])
    x, y = x.clip(0, inked.shape[1] - 1), y.clip(0, inked.shape[0] - 1)
    return numpy.asarray((inked[y, x] > 0) & within)


def _laid(inked: Mask, start: Place, end: Place) -> tuple[Place, Place]:
    """A line laid through the middles of the ink along it."""
    length = float(numpy.hypot(*(end - start))) or 1.0
    way = (end - start) / length
    steps = numpy.arange(0.0, length + 1.0)
    seen = _profile(inked, start + steps[:, None] * way, way, ASIDE_PX)
    counts = seen.sum(axis=1)
    slim = (counts > 0) & (counts <= 2 * ASIDE_PX)
    if slim.sum() < 4:
        return start, end
    offsets = numpy.arange(-ASIDE_PX, ASIDE_PX + 1)
    middles = (seen * offsets).sum(axis=1)[slim] / counts[slim]
    slope, first = numpy.polyfit(steps[slim], middles, 1)
    across = numpy.array((-way[1], way[0]))
    return start + first * across, end + (first + slope * length) * across


def _curves_to_mask(curves: Sequence[Chain], shape: tuple[int, ...]) -> Mask:
    mask = numpy.zeros(shape[:2], numpy.uint8)
    for curve in curves:
        line = numpy.array(curve.points, dtype=numpy.int32)
        cv2.polylines(mask, [line], False, (1,), math.ceil(curve.width) + 2 * BESIDE_PX)
    return mask


def _share_on(path: Path, mask: Mask) -> float:
    at = numpy.array(path.points, dtype=numpy.int32)
    columns, rows = at[:, 0].clip(0, mask.shape[1] - 1), at[:, 1].clip(0, mask.shape[0] - 1)
    return float(mask[rows, columns].mean())
