"""Text that nobody can see: invisible, white on white, or covered by a later box (pypdfium2).

Comes in: a pdfium page. Goes out: how many hidden glyphs stand where, for page.py to set apart.
Does not look inside pictures: text on a picture counts as seen.
"""

from __future__ import annotations

import ctypes
from collections import Counter
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from extract.page import glyph_key

_INVISIBLE_MODE = 3
_NEARLY_WHITE = 245


@dataclass(frozen=True, slots=True)
class _Painted:
    """One painted object: its order, box in PDF points (left, bottom, right, top), colour, kind."""

    order: int
    box: tuple[float, float, float, float]
    colour: tuple[int, int, int, int]
    is_text: bool
    is_box: bool
    mode: int
    address: int


def page_to_hidden_glyphs(page: Any) -> Counter[tuple[str, int, int]]:
    """Glyphs that are painted but cannot be seen: glyph_key -> how many."""
    painted = _page_to_painted(page)
    grounds = [p for p in painted if not p.is_text]
    hidden = {p.address for p in painted if p.is_text and _is_hidden(p, grounds)}
    return _addresses_to_keys(page, hidden) if hidden else Counter()


def _page_to_painted(page: Any) -> list[_Painted]:
    import pypdfium2.raw as raw

    seen = (
        raw.FPDF_PAGEOBJ_TEXT,
        raw.FPDF_PAGEOBJ_PATH,
        raw.FPDF_PAGEOBJ_IMAGE,
        raw.FPDF_PAGEOBJ_SHADING,
        raw.FPDF_PAGEOBJ_FORM,
    )
    painted = []
    for order in range(raw.FPDFPage_CountObjects(page)):
        handle = raw.FPDFPage_GetObject(page, order)
        kind = raw.FPDFPageObj_GetType(handle)
        is_path = kind == raw.FPDF_PAGEOBJ_PATH
        if kind not in seen or (is_path and not _is_filled(handle)):
            continue
        box = _bounds(handle)
        is_text = kind == raw.FPDF_PAGEOBJ_TEXT
        if not is_text and (box[2] - box[0] < 4 or box[3] - box[1] < 4):
            continue
        colour = _colour(handle) if is_text or is_path else (128, 128, 128, 255)
        is_box = is_path and _is_upright_box(handle)
        mode = raw.FPDFTextObj_GetTextRenderMode(handle) if is_text else 0
        painted.append(_Painted(order, box, colour, is_text, is_box, mode, ctypes.addressof(handle.contents)))
    return painted


def _bounds(handle: Any) -> tuple[float, float, float, float]:
    import pypdfium2.raw as raw

    values = [ctypes.c_float() for _ in range(4)]
    raw.FPDFPageObj_GetBounds(handle, *(ctypes.byref(value) for value in values))
    left, bottom, right, top = (value.value for value in values)
    return left, bottom, right, top


def _colour(handle: Any) -> tuple[int, int, int, int]:
    import pypdfium2.raw as raw

    values = [ctypes.c_uint() for _ in range(4)]
    raw.FPDFPageObj_GetFillColor(handle, *(ctypes.byref(value) for value in values))
    red, green, blue, alpha = (value.value for value in values)
    return red, green, blue, alpha


def _is_upright_box(handle: Any) -> bool:
    """Whether a path is a box along the axes: one that stands askew does not cover all its bounds hold."""
    import pypdfium2.raw as raw

    count = raw.FPDFPath_CountSegments(handle)
    matrix = raw.FS_MATRIX()
    if count > 6 or not raw.FPDFPageObj_GetMatrix(handle, ctypes.byref(matrix)):
        return bool(count <= 6)
    x, y = ctypes.c_float(), ctypes.c_float()
    corners = []
    for index in range(count):
        segment = raw.FPDFPath_GetPathSegment(handle, index)
        raw.FPDFPathSegment_GetPoint(segment, ctypes.byref(x), ctypes.byref(y))
        corners.append((matrix.a * x.value + matrix.c * y.value, matrix.b * x.value + matrix.d * y.value))
    return all(abs(ax - bx) < 0.5 or abs(ay - by) < 0.5 for (ax, ay), (bx, by) in pairwise(corners))


def _is_filled(handle: Any) -> bool:
    import pypdfium2.raw as raw

    mode, stroke = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(handle, ctypes.byref(mode), ctypes.byref(stroke))
    return bool(mode.value != raw.FPDF_FILLMODE_NONE)


def _is_hidden(text: _Painted, grounds: list[_Painted]) -> bool:
    """Invisible by its mode, under an opaque box painted later, or white with nothing dark behind it."""
    if text.mode == _INVISIBLE_MODE:
        return True
    x, y = (text.box[0] + text.box[2]) / 2, (text.box[1] + text.box[3]) / 2
    here = [g for g in grounds if g.box[0] <= x <= g.box[2] and g.box[1] <= y <= g.box[3]]
    if any(
        g.is_box and g.colour[3] == 255 and g.order > text.order and _contains(g.box, text.box) for g in here
    ):
        return True
    if min(text.colour[:3]) < _NEARLY_WHITE or text.mode not in (0, 4):
        return False
    return all(min(g.colour[:3]) >= _NEARLY_WHITE for g in here if g.order < text.order)


def _contains(outer: tuple[float, float, float, float], inner: tuple[float, float, float, float]) -> bool:
    return (
        outer[0] - 1 <= inner[0]
        and outer[1] - 1 <= inner[1]
        and inner[2] <= outer[2] + 1
        and inner[3] <= outer[3] + 1
    )


def _addresses_to_keys(page: Any, hidden: set[int]) -> Counter[tuple[str, int, int]]:
    """The glyphs of hidden text objects, keyed as page.py keys them."""
    import pypdfium2.raw as raw

    textpage = page.get_textpage()
    keys: Counter[tuple[str, int, int]] = Counter()
    for index in range(raw.FPDFText_CountChars(textpage)):
        handle = raw.FPDFText_GetTextObject(textpage, index)
        if not handle or ctypes.addressof(handle.contents) not in hidden:
            continue
        x, y = ctypes.c_double(), ctypes.c_double()
        raw.FPDFText_GetCharOrigin(textpage, index, ctypes.byref(x), ctypes.byref(y))
        keys[glyph_key(chr(raw.FPDFText_GetUnicode(textpage, index)), x.value, y.value)] += 1
    return keys
