"""The second way to a curve: the page as rendered.

Comes in: a pdfium page and curves as drawn. Goes out: whether ink in a curve's colour is seen along it, with
the ground beside it, and no other curve's ink in its stead. Reads no value: it looks whether what the page's
objects say is what the eye sees.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from extract.charts.drawn import Drawn
from extract.charts.geometry import Point
from extract.charts.outlines import resample

DPI = 300
STEP_PT = 1.5  # looked at so often along a curve
NEAR = 70.0  # distance of two colours that are the same to the eye
SEEN = 0.8  # of the looks must find the curve
DASH_SEEN = 0.4  # of a dashed curve


class PagePicture:
    """A page rendered when it is first looked at."""

    def __init__(self, page: Any, width: float, height: float) -> None:
        self._page, self._width, self._height = page, width, height
        self._pixels: Any = None

    def colours_at(self, points: Sequence[Point]) -> list[list[tuple[int, int, int]]]:
        """For each point of the page the colours of the pixels around it (3 x 3)."""
        if self._pixels is None:
            self._pixels = self._page.render(scale=DPI / 72, may_draw_forms=False).to_numpy()
        high, wide = self._pixels.shape[:2]
        left, top = self._offset()
        found: list[list[tuple[int, int, int]]] = []
        for x, y in points:
            column, row = int((x - left) * DPI / 72), int((y - top) * DPI / 72)
            if not (1 <= column < wide - 1 and 1 <= row < high - 1):
                found.append([])
                continue
            square = self._pixels[row - 1 : row + 2, column - 1 : column + 2].reshape(
                -1, self._pixels.shape[2]
            )
            found.append([(int(p[2]), int(p[1]), int(p[0])) for p in square])
        return found

    def _offset(self) -> Point:
        """How far the shown part of the page lies within its sheet."""
        x0, _, _, y1 = self._page.get_mediabox()
        left, _, _, top = self._page.get_cropbox()
        return left - x0, y1 - top


def drawn_is_seen(drawn: Drawn, picture: PagePicture) -> bool:
    """Whether the rendered page shows a curve's colour along it."""
    length = sum(math.dist(a, b) for a, b in zip(drawn.points, drawn.points[1:], strict=False))
    points = resample(drawn.points, max(8, int(length / STEP_PT)))
    looks = picture.colours_at(points)
    hits = [any(math.dist(colour, drawn.colour) < NEAR for colour in look) for look in looks]
    return sum(hits) >= (DASH_SEEN if drawn.is_dashed else SEEN) * len(hits)
