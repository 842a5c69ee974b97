"""Text that lies hidden under a table: an older revision's figures that no reader of the page sees.

Comes in: a canvas, column widths and row heights of the table about to be drawn. Goes out: nothing.
Does not draw the visible table. Three ways of hiding: white on white, invisible render mode,
and black text under an opaque white box.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from reportlab.lib import colors
from reportlab.pdfgen.canvas import Canvas

Underlay = Callable[[Canvas, Sequence[float], Sequence[float]], None]


def cell_origins(
    widths: Sequence[float], heights: Sequence[float]
) -> Iterator[tuple[int, int, float, float]]:
    """Row, column and lower left corner of every cell but the headings and part numbers."""
    y = sum(heights)
    for row, height in enumerate(heights):
        y -= height
        for column in range(1, len(widths)):
            if row:
                yield row, column, sum(widths[:column]), y


def stale_number(row: int, column: int) -> str:
    """A figure that stood there once, different from any visible one."""
    return f"{(row * 7 + column * 3) % 9 + 1}.{(row * 5 + column) % 10}7"


def white_text(canvas: Canvas, widths: Sequence[float], heights: Sequence[float]) -> None:
    """Old figures in white."""
    canvas.setFillColor(colors.white)
    canvas.setFont("Helvetica", 8)
    for row, column, x, y in cell_origins(widths, heights):
        canvas.drawString(x + 6, y + 4, stale_number(row, column))
    canvas.setFillColor(colors.black)


def invisible_text(canvas: Canvas, widths: Sequence[float], heights: Sequence[float]) -> None:
    """Old figures in text render mode 3: neither filled nor stroked."""
    text = canvas.beginText()
    text.setFont("Helvetica", 8)
    text.setTextRenderMode(3)
    for row, column, x, y in cell_origins(widths, heights):
        text.setTextOrigin(x + 8, y + 3.5)
        text.textOut(stale_number(row, column))
    text.setTextRenderMode(0)
    canvas.drawText(text)


def covered_text(canvas: Canvas, widths: Sequence[float], heights: Sequence[float]) -> None:
    """Old figures in black under an opaque white box."""
    canvas.setFont("Helvetica", 8)
    for row, column, x, y in cell_origins(widths, heights):
        canvas.drawString(x + 5, y + 4, stale_number(row, column))
    canvas.setFillColor(colors.white)
    canvas.rect(-1, -1, sum(widths) + 2, sum(heights) + 2, stroke=0, fill=1)
    canvas.setFillColor(colors.black)


UNDERLAYS: dict[str, Underlay] = {"white": white_text, "invisible": invisible_text, "covered": covered_text}
