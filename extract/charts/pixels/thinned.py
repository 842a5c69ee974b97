"""The lines of a mask as paths one pixel wide: its middles, parted where lines meet.

Comes in: a mask. Goes out: Paths: each a run of middles from one end to the other, with the width of its ink.
Joins nothing and tells no curve from a letter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy
from numpy.typing import NDArray

Mask = NDArray[numpy.uint8]
Point = tuple[float, float]

MOST_ROUNDS = 40  # wider areas are no lines
SMOOTH = 5  # neighbours taken together
# The eight neighbours in a circle, each with its bit.
_RING = ((0, 1), (0, 2), (1, 2), (2, 2), (2, 1), (2, 0), (1, 0), (0, 0))


@dataclass(frozen=True, slots=True)
class Path:
    """A line between two ends or meetings: its middles in pixels and the width of its ink."""

    points: tuple[Point, ...]
    width: float


def mask_to_paths(mask: Mask, least_px: float) -> list[Path]:
    """The lines of a mask that are long enough, from meeting to meeting."""
    depth = cv2.distanceTransform(numpy.pad(mask, 1), cv2.DIST_L2, 5)[1:-1, 1:-1]
    thin = mask_to_thin(mask)
    neighbours = _neighbours(thin)
    meeting = ((thin > 0) & (neighbours > 2)).astype(numpy.uint8)
    parted = thin.copy()
    parted[cv2.dilate(meeting, numpy.ones((3, 3), numpy.uint8)) > 0] = 0
    count, labels, stats, _ = cv2.connectedComponentsWithStats(parted, connectivity=8)
    paths = []
    for number in range(1, count):
        x, y, wide, high, area = (int(v) for v in stats[number])
        if math.hypot(wide, high) < least_px or area < SMOOTH:
            continue
        rows, columns = numpy.nonzero(labels[y : y + high, x : x + wide] == number)
        ordered = _in_order(list(zip(columns.tolist(), rows.tolist(), strict=True)))
        if len(ordered) < SMOOTH:
            continue
        at = numpy.array(ordered) + numpy.array((x, y))
        width = max(1.0, 2 * float(numpy.median(depth[at[:, 1], at[:, 0]])) - 0.5)
        paths.append(Path(_smoothed(at), width))
    return paths


def mask_to_thin(mask: Mask) -> Mask:
    """The middles of the lines of a mask: its edge is taken off from alternate sides (Zhang and Suen 1984,
    "A fast parallel algorithm for thinning digital patterns", Communications of the ACM 27(3)) until nothing
    changes."""
    x, y, wide, high = cv2.boundingRect(mask)
    thin = (numpy.pad(mask[y : y + high, x : x + wide], 1) > 0).astype(numpy.uint8)
    tables = _goes_tables()
    for _ in range(MOST_ROUNDS):
        before = int(thin.sum())
        for table in tables:
            code = cv2.filter2D(thin, cv2.CV_16U, _bits(), borderType=cv2.BORDER_CONSTANT)
            thin[table[code] & (thin > 0)] = 0
        if int(thin.sum()) == before:
            break
    for table in _corner_tables():
        code = cv2.filter2D(thin, cv2.CV_16U, _bits(), borderType=cv2.BORDER_CONSTANT)
        thin[table[code] & (thin > 0)] = 0
    whole = numpy.zeros_like(mask)
    whole[y : y + high, x : x + wide] = thin[1:-1, 1:-1]
    return whole


@lru_cache(maxsize=1)
def _bits() -> NDArray[numpy.float32]:
    kernel = numpy.zeros((3, 3), numpy.float32)
    for bit, (row, column) in enumerate(_RING):
        kernel[row, column] = 1 << bit
    return kernel


@lru_cache(maxsize=1)
def _goes_tables() -> tuple[NDArray[numpy.bool_], NDArray[numpy.bool_]]:
    """For each pattern of neighbours whether its pixel is taken off, in the first and in the second half of a
    round."""
    first, second = numpy.zeros(256, bool), numpy.zeros(256, bool)
    for code in range(256):
        ring = [bool(code & (1 << bit)) for bit in range(8)]
        north, east, south, west = ring[0], ring[2], ring[4], ring[6]
        steps = sum(not a and b for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))
        if not 2 <= sum(ring) <= 6 or steps != 1:
            continue
        first[code] = not (north and east and south) and not (east and south and west)
        second[code] = not (north and east and west) and not (north and south and west)
    return first, second


@lru_cache(maxsize=1)
def _corner_tables() -> tuple[NDArray[numpy.bool_], ...]:
    """For each pattern of neighbours whether its pixel is the corner of a stair, which goes on without it;
    the four corners one after the other."""
    tables = []
    for corner in (0, 2, 4, 6):
        table = numpy.zeros(256, bool)
        for code in range(256):
            ring = [bool(code & (1 << (bit + corner) % 8)) for bit in range(8)]
            table[code] = ring[0] and ring[2] and not any(ring[at] for at in (4, 5, 6))
        tables.append(table)
    return tuple(tables)


def _neighbours(thin: Mask) -> NDArray[numpy.uint8]:
    ring = numpy.ones((3, 3), numpy.float32)
    ring[1, 1] = 0
    return numpy.asarray(cv2.filter2D(thin, cv2.CV_8U, ring, borderType=cv2.BORDER_CONSTANT))


def _in_order(pixels: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Pixels of one path from end to end; the longer way where a corner has two."""
    left = set(pixels)

    def beside(pixel: tuple[int, int]) -> list[tuple[int, int]]:
        x, y = pixel
        straight = [(x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)]
        slanted = [(x + 1, y + 1), (x + 1, y - 1), (x - 1, y + 1), (x - 1, y - 1)]
        return [one for one in (*straight, *slanted) if one in left]

    start = next((pixel for pixel in pixels if len(beside(pixel)) == 1), pixels[0])
    ordered = [start]
    left.discard(start)
    while following := beside(ordered[-1]):
        ordered.append(following[0])
        left.discard(following[0])
    return ordered


def _smoothed(at: NDArray[numpy.int64]) -> tuple[Point, ...]:
    """The middles of pixels, each the mean of its neighbours."""
    kernel = numpy.ones(SMOOTH) / SMOOTH
    inner = numpy.column_stack([numpy.convolve(at[:, k] + 0.5, kernel, mode="valid") for k in (0, 1)])
    whole = numpy.vstack([at[:1] + 0.5, inner, at[-1:] + 0.5])
    return tuple((float(x), float(y)) for x, y in whole)
