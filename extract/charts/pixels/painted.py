"""A picture on a page as pixels, with the way back to points of the page.

Comes in: a pdfium page and the box of a picture on it. Goes out: a Painted: its colours, drawn twice as fine
as the picture is, and where each pixel stands. Understands nothing of charts.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy
from numpy.typing import NDArray

from extract.charts.ink import Box
from extract.scans.picture import page_to_pictures

FINER = 2.0  # drawn so many times finer than the picture is: lines of one pixel keep their middle
LEAST_DPI, MOST_DPI, MOST_PX = 200.0, 600.0, 2200
COARSEST_DPI = 60.0  # a coarser picture is not read
SAME_PT = 2.0

Pixels = NDArray[numpy.uint8]


@dataclass(frozen=True, slots=True)
class Painted:
    """Colours (rows, columns, red green blue), how many pixels go to a point, and the page's place (points
    from the top left of the sheet) of the first pixel."""

    rgb: Pixels
    scale: float
    left: float
    top: float

    def to_page(self, x: float, y: float) -> tuple[float, float]:
        """The place on the page of a place in pixels."""
        return self.left + x / self.scale, self.top + y / self.scale


def page_to_painted(page: Any, box: Box) -> Painted | None:
    """The pixels of a picture on a page; None on a turned page or of a picture too coarse to read."""
    if page.get_rotation():
        return None
    x0, _, _, y1 = page.get_mediabox()
    left, foot, right, head = page.get_cropbox()
    inset = (left - x0, y1 - head)
    own = (box[0] - inset[0], box[1] - inset[1], box[2] - inset[0], box[3] - inset[1])
    dpi = max((p.dpi for p in page_to_pictures(page) if _is_same(p.box, own)), default=0.0)
    if dpi < COARSEST_DPI:
        return None
    longest = max(box[2] - box[0], box[3] - box[1]) / 72
    fine = min(max(FINER * dpi, LEAST_DPI), MOST_DPI, MOST_PX / longest)
    high = head - foot
    crop = (max(0.0, own[0]), max(0.0, high - own[3]), max(0.0, right - left - own[2]), max(0.0, own[1]))
    drawn = page.render(scale=fine / 72, crop=crop, may_draw_forms=False, rev_byteorder=True).to_numpy()
    rgb = numpy.ascontiguousarray(drawn[:, :, :3] if drawn.ndim == 3 else numpy.dstack([drawn] * 3))
    return Painted(rgb, fine / 72, max(box[0], inset[0]), max(box[1], inset[1]))


def _is_same(one: Box, other: Box) -> bool:
    return all(abs(a - b) < SAME_PT for a, b in zip(one, other, strict=True))
