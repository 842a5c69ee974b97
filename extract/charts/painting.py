"""How an object of a PDF is painted: its matrix, its colour, the width and the dashes of its line.

Comes in: a handle of pdfium. Goes out: plain numbers. Takes no path apart.
"""

from __future__ import annotations

import ctypes
import math
from typing import Any

Point = tuple[float, float]
Matrix = tuple[float, float, float, float, float, float]

SAME_MATRIX: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
MOST_DASHES = 16  # lengths of a pattern of dashes


def multiply(first: Matrix, then: Matrix) -> Matrix:
    """The matrix that applies `first`, then `then`."""
    a, b, c, d, e, f = first
    p, q, r, s, t, u = then
    return a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u


def apply(matrix: Matrix, x: float, y: float) -> Point:
    """Where a matrix takes a point."""
    a, b, c, d, e, f = matrix
    return a * x + c * y + e, b * x + d * y + f


def object_to_matrix(handle: Any) -> Matrix:
    """The matrix of a painted object."""
    import pypdfium2.raw as raw

    matrix = raw.FS_MATRIX()
    if not raw.FPDFPageObj_GetMatrix(handle, ctypes.byref(matrix)):
        return SAME_MATRIX
    return matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f


def object_to_width(handle: Any, matrix: Matrix) -> float:
    """The width of its line on the page."""
    import pypdfium2.raw as raw

    width = ctypes.c_float()
    raw.FPDFPageObj_GetStrokeWidth(handle, ctypes.byref(width))
    return width.value * _matrix_to_scale(matrix)


def _matrix_to_scale(matrix: Matrix) -> float:
    """How much longer lines become."""
    a, b, c, d = matrix[:4]
    return math.sqrt(abs(a * d - b * c))


def object_to_dashes(handle: Any, matrix: Matrix) -> tuple[float, ...]:
    """The lengths of its dashes and gaps, in turn; none of a whole line."""
    import pypdfium2.raw as raw

    count = int(min(max(raw.FPDFPageObj_GetDashCount(handle), 0), MOST_DASHES))
    lengths = (ctypes.c_float * count)()
    if not count or not raw.FPDFPageObj_GetDashArray(handle, lengths, count):
        return (1.0,) * count
    scale = _matrix_to_scale(matrix)
    return tuple(float(length) * scale for length in lengths)


def object_to_colour(handle: Any, stroked: bool) -> tuple[int, int, int] | None:
    """Its colour; None if it is transparent."""
    import pypdfium2.raw as raw

    values = [ctypes.c_uint() for _ in range(4)]
    get = raw.FPDFPageObj_GetStrokeColor if stroked else raw.FPDFPageObj_GetFillColor
    if not get(handle, *(ctypes.byref(value) for value in values)):
        return (0, 0, 0)
    red, green, blue, alpha = (value.value for value in values)
    return (red, green, blue) if alpha > 0 else None
