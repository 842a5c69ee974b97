"""What part of a page is a picture, how fine it is, and the page drawn for recognition (pypdfium2).

Comes in: a pdfium page. Goes out: its pictures, or a grey array of the whole page. Recognises nothing.
"""

from __future__ import annotations

import ctypes
from dataclasses import dataclass
from typing import Any

import numpy
from numpy.typing import NDArray

Grey = NDArray[numpy.uint8]

DPI = 300
"""The page is drawn so fine: what both recognisers were trained for. Common practice, no source."""
LEAST_DPI = 150
"""Below this a digit of 8 pt is 17 points high and its decimal point one or two: refused."""
LARGE_SHARE = 0.5  # of the page: a picture this large is a scan
SPARSE_TEXT = 60  # letters: a page with more visible ones is a text page with pictures on it


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture on a page: its share of the page's area and its resolution there, dots per inch."""

    share: float
    dpi: float


def page_to_picture(page: Any) -> Picture | None:
    """The largest picture of a page, or None."""
    import pypdfium2.raw as raw

    width, height = page.get_size()
    found = [
        _object_to_picture(handle, width * height)
        for handle in page.get_objects(filter=[raw.FPDF_PAGEOBJ_IMAGE], max_depth=3)
    ]
    return max((p for p in found if p is not None), key=lambda p: p.share, default=None)


def _object_to_picture(image: Any, area: float) -> Picture | None:
    import pypdfium2.raw as raw

    left, bottom, right, top = image.get_bounds()
    wide, high = ctypes.c_uint(), ctypes.c_uint()
    if not raw.FPDFImageObj_GetImagePixelSize(image, wide, high) or right <= left or top <= bottom:
        return None
    fine = min(
        max(wide.value, high.value) * 72 / max(right - left, top - bottom),
        min(wide.value, high.value) * 72 / min(right - left, top - bottom),
    )
    return Picture((right - left) * (top - bottom) / max(area, 1.0), fine)


def is_scanned(page: Any, visible_letters: int) -> bool:
    """Whether a page is a picture with next to no text of its own."""
    if visible_letters > SPARSE_TEXT:
        return False
    picture = page_to_picture(page)
    return picture is not None and picture.share >= LARGE_SHARE


def page_to_grey(page: Any) -> Grey:
    """The page as shown, grey, at DPI; row 0 is its top."""
    drawn = page.render(scale=DPI / 72, grayscale=True, may_draw_forms=False)
    return numpy.ascontiguousarray(drawn.to_numpy().reshape(drawn.height, drawn.width))
