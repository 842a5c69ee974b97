"""Strips of a picture along its curves, laid level: what is printed along a curve can be read in them.

Comes in: a grey picture and curves. Goes out: one sheet with the strips below each other, and the way back to
places in the picture. Reads nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy
from numpy.typing import NDArray

Grey = NDArray[numpy.uint8]
Point = tuple[float, float]

ABOVE_PT, BELOW_PT = 9.0, 5.0  # of a curve: so far a strip reaches
BETWEEN_PX = 12
WIPED_PX = 1.5  # a curve's ink reaches so far beyond its width
STEADY_PT = 8.0  # the direction of a curve is taken over so long a way
MOST_STRIPS = 40


@dataclass(frozen=True, slots=True)
class Strips:
    """A sheet of strips. For each strip its first row, and for each of its columns the place on the curve and
    the direction up from it; `above` is how many rows of a strip lie above the curve."""

    sheet: Grey
    tops: tuple[int, ...]
    places: tuple[NDArray[numpy.float64], ...]
    ups: tuple[NDArray[numpy.float64], ...]
    above: int

    def to_picture(self, column: float, row: float) -> Point:
        """The place in the picture of a place on the sheet."""
        at = max(0, sum(top <= row for top in self.tops) - 1)
        column_at = min(max(0, round(column)), len(self.places[at]) - 1)
        x, y = self.places[at][column_at] + (self.above - (row - self.tops[at])) * self.ups[at][column_at]
        return float(x), float(y)


def curves_to_strips(
    grey: Grey, curves: Sequence[tuple[Sequence[Point], float]], scale: float, is_wiped: bool
) -> Strips | None:
    """The strips along curves (points and width), the ink of the curve itself wiped out if that is asked for;
    None without curves."""
    above, below = round(ABOVE_PT * scale), round(BELOW_PT * scale)
    pieces, places, ups, tops = [], [], [], []
    top = 0
    for curve, width in curves[:MOST_STRIPS]:
        place, up = _curve_to_columns(curve, STEADY_PT * scale)
        rows = numpy.arange(above, -below - 1, -1, dtype=numpy.float64)
        at = place[None, :, :] + rows[:, None, None] * up[None, :, :]
        piece = cv2.remap(
            grey, at[..., 0].astype(numpy.float32), at[..., 1].astype(numpy.float32), cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_CONSTANT, borderValue=(255,),
        )  # fmt: skip
        if is_wiped:
            piece[numpy.abs(rows) <= width / 2 + WIPED_PX] = 255
        pieces.append(piece)
        places.append(place)
        ups.append(up)
        tops.append(top)
        top += len(rows) + BETWEEN_PX
    if not pieces:
        return None
    sheet = numpy.full((top, max(piece.shape[1] for piece in pieces)), 255, numpy.uint8)
    for first, piece in zip(tops, pieces, strict=True):
        sheet[first : first + piece.shape[0], : piece.shape[1]] = piece
    return Strips(sheet, tuple(tops), tuple(places), tuple(ups), above)


def _curve_to_columns(
    curve: Sequence[Point], steady: float
) -> tuple[NDArray[numpy.float64], NDArray[numpy.float64]]:
    """Places along a curve one pixel apart, and the direction up from each, steady over a way."""
    points = numpy.array(curve, dtype=numpy.float64)
    ways = numpy.concatenate([[0.0], numpy.cumsum(numpy.hypot(*numpy.diff(points, axis=0).T))])
    steps = numpy.arange(0.0, max(2.0, math.floor(ways[-1])), 1.0)
    place = numpy.column_stack([numpy.interp(steps, ways, points[:, k]) for k in (0, 1)])
    ahead = numpy.clip(steps + steady / 2, 0, ways[-1])
    behind = numpy.clip(steps - steady / 2, 0, ways[-1])
    way = numpy.column_stack(
        [numpy.interp(ahead, ways, points[:, k]) - numpy.interp(behind, ways, points[:, k]) for k in (0, 1)]
    )
    way /= numpy.maximum(numpy.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]
    return place, numpy.column_stack([way[:, 1], -way[:, 0]])
