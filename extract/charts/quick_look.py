"""Whether a page could hold a chart at all: a quick look at its painted objects, before any is taken apart.

Comes in: a pdfium page. Goes out: yes or no. Finds no chart.
"""

from __future__ import annotations

import ctypes
import math
from collections import Counter
from typing import Any

from extract.charts.ink import FEW_SEGMENTS, InkLimits
from extract.charts.painting import object_to_matrix

_SMALL_CURVE_PT, _CURVE_PT = 4.0, 14.0  # a curve is no smaller, one way and the other
_LARGE_PT = 40.0  # nor one drawn as a filled outline
_DOT_PT, _ROUND = 6.0, 0.8  # many round dots of one size could be a curve too
_DASH_PT, _SLANT_PT, _MANY_DASHES = (2.0, 20.0), 2.5, 12  # dashes that could be those of a curve


def could_hold_curve(page: Any) -> bool:
    """Whether a page paints a path that could be a curve: a quick look, which takes nothing apart."""
    import pypdfium2.raw as raw

    count = raw.FPDFPage_CountObjects(page)
    look = _QuickLook()
    return any(look.could_be_curve(raw.FPDFPage_GetObject(page, index), 1.0, 0) for index in range(count))


class _QuickLook:
    """Looks for a path large enough for a curve, for so many slanted dashes, or so many dots of one size."""

    def __init__(self) -> None:
        self._dashes = 0
        self._dots: Counter[tuple[float, float]] = Counter()

    def could_be_curve(self, handle: Any, scale: float, depth: int) -> bool:
        """Whether an object, or what is in it, could be a curve; or the last of many dashes."""
        import pypdfium2.raw as raw

        kind = raw.FPDFPageObj_GetType(handle)
        if kind == raw.FPDF_PAGEOBJ_FORM and depth < InkLimits().depth:
            a, b, c, d = object_to_matrix(handle)[:4]
            inner = scale * math.sqrt(abs(a * d - b * c))
            parts = (
                raw.FPDFFormObj_GetObject(handle, i) for i in range(raw.FPDFFormObj_CountObjects(handle))
            )
            return any(self.could_be_curve(part, inner, depth + 1) for part in parts)
        if kind != raw.FPDF_PAGEOBJ_PATH:
            return False
        segments = raw.FPDFPath_CountSegments(handle)
        mode, stroked = ctypes.c_int(), ctypes.c_int()
        raw.FPDFPath_GetDrawMode(handle, ctypes.byref(mode), ctypes.byref(stroked))
        if not stroked.value and segments <= FEW_SEGMENTS:
            return False
        edges = [ctypes.c_float() for _ in range(4)]
        raw.FPDFPageObj_GetBounds(handle, *map(ctypes.byref, edges))
        left, foot, right, head = (edge.value * scale for edge in edges)
        less, longer = sorted((right - left, head - foot))
        if stroked.value and _DASH_PT[0] < longer < _DASH_PT[1]:
            self._dashes += less > _SLANT_PT
        if not stroked.value and 0.0 < longer <= _DOT_PT:
            self._dots[round(less, 1), round(longer, 1)] += less > _ROUND * longer
            return max(self._dots.values()) >= _MANY_DASHES
        if not stroked.value:
            return bool(less > _LARGE_PT)
        return bool(less > _SMALL_CURVE_PT and longer > _CURVE_PT) or self._dashes >= _MANY_DASHES
