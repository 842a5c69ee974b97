"""What part of a page is a picture, how fine it is, and the page drawn for recognition (pypdfium2).

Comes in: a pdfium page. Goes out: its pictures, or a grey array of the whole page. Recognises nothing.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from extract.boxes import Box

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
DEEP = 3  # forms within forms that are looked into
SPARSE_TEXT = 60  # letters: a page with more visible ones is a text page with pictures on it


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture on a page: its share of the page's area, its resolution there, dots per inch, and its box:
    points from the top left of the page."""

    share: float
    dpi: float
    box: Box


def page_to_picture(page: Any) -> Picture | None:
    """The largest picture of a page, or None."""
    return max(page_to_pictures(page), key=lambda p: p.share, default=None)


def page_to_pictures(page: Any) -> list[Picture]:
    """The pictures of a page. Of a page with many objects the first and the last painted are looked at."""
    import pypdfium2.raw as raw

    count = raw.FPDFPage_CountObjects(page)
    ends = sorted({*range(min(count, ENDS)), *range(max(0, count - ENDS), count)})
    handles = [raw.FPDFPage_GetObject(page, n) for n in ends]
    images = _handles_to_images(handles, _AS_IT_IS)
    found = [_image_to_picture(image, bounds, page) for image, bounds in images]
    return [picture for picture in found if picture is not None]


Matrix = tuple[float, float, float, float, float, float]
_AS_IT_IS: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def _handles_to_images(handles: Sequence[Any], placed: Matrix, depth: int = 0) -> Iterator[tuple[Any, Box]]:
    """Each image with its bounds (left, bottom, right, top) on the page; forms are looked into."""
    import pypdfium2.raw as raw

    for handle in handles:
        kind = raw.FPDFPageObj_GetType(handle)
        if kind == raw.FPDF_PAGEOBJ_IMAGE:
            yield handle, _bounds(handle, placed)
        elif kind == raw.FPDF_PAGEOBJ_FORM and depth < DEEP:
            own = raw.FS_MATRIX()
            raw.FPDFPageObj_GetMatrix(handle, own)
            count = min(ENDS, raw.FPDFFormObj_CountObjects(handle))
            inner = [raw.FPDFFormObj_GetObject(handle, n) for n in range(count)]
            yield from _handles_to_images(inner, _times(own, placed), depth + 1)


def _times(own: Any, outer: Matrix) -> Matrix:
    """A form's matrix followed by that of what it stands in."""
    a, b, c, d, e, f = own.a, own.b, own.c, own.d, own.e, own.f
    m = outer
    return (
        a * m[0] + b * m[2], a * m[1] + b * m[3],
        c * m[0] + d * m[2], c * m[1] + d * m[3],
        e * m[0] + f * m[2] + m[4], e * m[1] + f * m[3] + m[5],
    )  # fmt: skip


def _bounds(handle: Any, placed: Matrix) -> Box:
    import pypdfium2.raw as raw

    edges = [ctypes.c_float() for _ in range(4)]
    raw.FPDFPageObj_GetBounds(handle, *edges)
    left, bottom, right, top = (edge.value for edge in edges)
    m = placed
    xs = [m[0] * x + m[2] * y + m[4] for x in (left, right) for y in (bottom, top)]
    ys = [m[1] * x + m[3] * y + m[5] for x in (left, right) for y in (bottom, top)]
    return min(xs), min(ys), max(xs), max(ys)


def _image_to_picture(image: Any, bounds: Box, page: Any) -> Picture | None:
    import pypdfium2.raw as raw

    left, bottom, right, top = bounds
    wide, high = ctypes.c_uint(), ctypes.c_uint()
    if not raw.FPDFImageObj_GetImagePixelSize(image, wide, high) or right <= left or top <= bottom:
        return None
    fine = min(
        max(wide.value, high.value) * 72 / max(right - left, top - bottom),
        min(wide.value, high.value) * 72 / min(right - left, top - bottom),
    )
    width, height = page.get_size()
    corner = page.get_cropbox()
    box = left - corner[0], corner[3] - top, right - corner[0], corner[3] - bottom
    return Picture((right - left) * (top - bottom) / max(width * height, 1.0), fine, box)


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
