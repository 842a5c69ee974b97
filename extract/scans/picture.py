"""What part of a page is a picture, how fine it is, and the page drawn for recognition (pypdfium2).

Comes in: a pdfium page. Goes out: its pictures, or a grey array of the whole page. Recognises nothing.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:  # opening a sheet with text loads no numpy
    import numpy
    from numpy.typing import NDArray

Grey: TypeAlias = "NDArray[numpy.uint8]"

DPI = 300
"""The page is drawn so fine: what both recognisers were trained for. Common practice, no source."""
LEAST_DPI = 150
"""Below this a digit of 8 pt is 17 points high and its decimal point one or two: refused."""
LARGE_SHARE = 0.5  # of the page: a picture this large is a scan
FULL_SHARE = 0.85  # a picture this large may lie over text that somebody's recognition put there
ENDS = 40  # painted objects looked at, from either end
SPARSE_TEXT = 60  # letters: a page with more visible ones is a text page with pictures on it


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture on a page: its share of the page's area and its resolution there, dots per inch."""

    share: float
    dpi: float


def page_to_picture(page: Any) -> Picture | None:
    """The largest picture of a page, or None. A scan is painted first or last: of a page with many objects
    only
    those are looked at."""
    width, height = page.get_size()
    found = [_object_to_picture(handle, width * height) for handle in _page_to_images(page)]
    return max((p for p in found if p is not None), key=lambda p: p.share, default=None)


def _page_to_images(page: Any) -> Iterator[Any]:
    import pypdfium2.raw as raw

    count = raw.FPDFPage_CountObjects(page)
    for n in sorted({*range(min(count, ENDS)), *range(max(0, count - ENDS), count)}):
        handle = raw.FPDFPage_GetObject(page, n)
        if raw.FPDFPageObj_GetType(handle) == raw.FPDF_PAGEOBJ_IMAGE:
            yield handle


def _object_to_picture(image: Any, area: float) -> Picture | None:
    import pypdfium2.raw as raw

    edges = [ctypes.c_float() for _ in range(4)]
    raw.FPDFPageObj_GetBounds(image, *edges)
    left, bottom, right, top = (edge.value for edge in edges)
    wide, high = ctypes.c_uint(), ctypes.c_uint()
    if not raw.FPDFImageObj_GetImagePixelSize(image, wide, high) or right <= left or top <= bottom:
        return None
    fine = min(
        max(wide.value, high.value) * 72 / max(right - left, top - bottom),
        min(wide.value, high.value) * 72 / min(right - left, top - bottom),
    )
    return Picture((right - left) * (top - bottom) / max(area, 1.0), fine)


def is_scanned(page: Any, text: str) -> bool:
    """Whether a page is a picture with next to no text of its own that can be seen."""
    letters = sum(sign.isalnum() for sign in text)
    picture = page_to_picture(page)
    if picture is None or picture.share < LARGE_SHARE:
        return False
    if letters > SPARSE_TEXT and picture.share >= FULL_SHARE:
        from extract.hidden import page_to_hidden_glyphs

        letters -= sum(n for key, n in page_to_hidden_glyphs(page).items() if key[0].isalnum())
    return letters <= SPARSE_TEXT


def page_to_grey(page: Any) -> Grey:
    """The page as shown, grey, at DPI; row 0 is its top."""
    import numpy

    drawn = page.render(scale=DPI / 72, grayscale=True, may_draw_forms=False)
    return numpy.ascontiguousarray(drawn.to_numpy().reshape(drawn.height, drawn.width))
