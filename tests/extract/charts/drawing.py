"""Draws small charts of known content onto PDF pages, for the tests of extract.charts."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Any

import pypdfium2
from reportlab.pdfgen.canvas import Canvas

PAGE = (595.0, 842.0)


def canvas_to_page(draw: Any) -> Any:
    """The pdfium page that a function draws on a canvas (points, origin at the foot)."""
    data = io.BytesIO()
    canvas = Canvas(data, pagesize=PAGE)
    draw(canvas)
    canvas.showPage()
    canvas.save()
    return pypdfium2.PdfDocument(data.getvalue())[0]


def log_chart(
    canvas: Canvas,
    corner: tuple[float, float] = (100.0, 400.0),
    size: tuple[float, float] = (300.0, 250.0),
    decades: tuple[Sequence[int], Sequence[int]] = ((-1, 0, 1, 2), (-2, -1, 0, 1, 2)),
    titles: tuple[str, str] = ("Fault current (A)", "Time to trip (s)"),
    with_left: bool = True,
    with_bottom: bool = True,
) -> Any:
    """Frame, grid, tick labels, axis titles of a log-log chart, numbers at its left if `with_left`, below if
    `with_bottom`; gives the way from values to points."""
    (x0, y0), (wide, high), (xs, ys) = corner, size, decades

    def to_point(x: float, y: float) -> tuple[float, float]:
        return (
            x0 + wide * (math.log10(x) - xs[0]) / (xs[-1] - xs[0]),
            y0 + high * (math.log10(y) - ys[0]) / (ys[-1] - ys[0]),
        )

    canvas.setStrokeColorRGB(0.6, 0.6, 0.6)
    canvas.setLineWidth(0.3)
    for decade in xs[:-1]:
        for step in range(1, 11):
            x, _ = to_point(step * 10.0**decade, 1.0)
            canvas.line(x, y0, x, y0 + high)
    for decade in ys[:-1]:
        for step in range(1, 11):
            _, y = to_point(1.0, step * 10.0**decade)
            canvas.line(x0, y, x0 + wide, y)
    canvas.setFont("Helvetica", 7)
    for decade in xs if with_bottom else ():
        canvas.drawCentredString(to_point(10.0**decade, 1.0)[0], y0 - 9, f"{10.0**decade:g}")
    for decade in ys if with_left else ():
        canvas.drawRightString(x0 - 3, to_point(1.0, 10.0**decade)[1] - 2, f"{10.0**decade:g}")
    canvas.drawCentredString(x0 + wide / 2, y0 - 20, titles[0])
    canvas.saveState()
    canvas.translate(x0 - 25, y0 + high / 2)
    canvas.rotate(90)
    canvas.drawCentredString(0, 0, titles[1] if with_left else "")
    canvas.restoreState()
    return to_point


def polyline(
    canvas: Canvas, points: Sequence[tuple[float, float]], width: float = 1.0, colour: Any = (0, 0, 0)
) -> None:
    """One open path through points."""
    canvas.setStrokeColorRGB(*colour)
    canvas.setLineWidth(width)
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    canvas.drawPath(path)
