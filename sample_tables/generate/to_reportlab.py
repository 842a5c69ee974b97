"""Draw a sheet with reportlab.

Comes in: a `Sheet`. Goes out: the bytes of a PDF, the same every time.
Does not decide what a sheet says.
"""

from __future__ import annotations

import io
import itertools
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from reportlab.lib import colors
from reportlab.lib.enums import TA_CENTER, TA_LEFT, TA_RIGHT
from reportlab.lib.pagesizes import A4, LETTER, landscape
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.cidfonts import UnicodeCIDFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    Flowable,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from sample_tables.generate import blocks
from sample_tables.generate.chart_drawing import draw_chart
from sample_tables.generate.chart_plan import ChartPlan
from sample_tables.generate.curves import AXIS_A, AXIS_S, unit_point
from sample_tables.generate.underlays import UNDERLAYS
from sample_tables.generate.words import FICTITIOUS

BASE_FONTS = {
    "": ("Helvetica", "Helvetica-Bold"),
    "times": ("Times-Roman", "Times-Bold"),
    "dejavu": ("DejaVu", "DejaVu-Bold"),
    "zh": ("STSong-Light", "STSong-Light"),
    "ja": ("HeiseiKakuGo-W5", "HeiseiKakuGo-W5"),
}


GAP = re.compile(r"(?<=[\d.,])~(?=\d)")


@cache
def register_fonts() -> None:
    """Make known matplotlib's DejaVu fonts (the standard fonts hold no ohm sign) and Adobe's Asian fonts."""
    import matplotlib

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    pdfmetrics.registerFont(TTFont("DejaVu", str(folder / "DejaVuSans.ttf")))
    pdfmetrics.registerFont(TTFont("DejaVu-Bold", str(folder / "DejaVuSans-Bold.ttf")))
    for name in ("STSong-Light", "HeiseiKakuGo-W5"):
        pdfmetrics.registerFont(UnicodeCIDFont(name))


class GappedNumber(Flowable):
    """A number whose pieces are drawn apart, as loose kerning leaves them: no space character is written."""

    def __init__(self, text: str, font: str, size: float, gap: float = 2.6) -> None:
        super().__init__()
        self.pieces, self.font, self.size, self.gap = text.split("~"), font, size, gap

    def wrap(self, available: float, _height: float) -> tuple[float, float]:
        self.room = available
        return available, self.size * 1.25

    def draw(self) -> None:
        widths = [pdfmetrics.stringWidth(piece, self.font, self.size) for piece in self.pieces]
        x = (self.room - sum(widths) - self.gap * (len(widths) - 1)) / 2
        self.canv.setFont(self.font, self.size)
        for piece, width in zip(self.pieces, widths, strict=True):
            self.canv.drawString(x, self.size * 0.25, piece)
            x += width + self.gap


class LogLog(Flowable):
    """The drawing of typical trip times."""

    def __init__(self, curves: blocks.Curves, font: str) -> None:
        super().__init__()
        self.curves, self.font, self.width, self.height = curves, font, 260, 190

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        left, low, wide, high = 40, 28, 200, 150
        canvas = self.canv
        canvas.setLineWidth(0.3)
        canvas.setFont(self.font, 6)
        for value in AXIS_A:
            x = left + wide * unit_point(value, 1)[0]
            canvas.line(x, low, x, low + high)
            canvas.drawCentredString(x, low - 9, f"{value:g}")
        for value in AXIS_S:
            y = low + high * unit_point(1, value)[1]
            canvas.line(left, y, left + wide, y)
            canvas.drawRightString(left - 4, y - 2, f"{value:g}")
        canvas.drawCentredString(left + wide / 2, 6, "Fault current (A)")
        canvas.setLineWidth(0.8)
        for label, line in zip(self.curves.labels, self.curves.lines, strict=True):
            points = [(left + wide * u, low + high * v) for u, v in (unit_point(*p) for p in line)]
            for (x0, y0), (x1, y1) in itertools.pairwise(points):
                canvas.line(x0, y0, x1, y1)
            canvas.drawString(points[0][0], points[0][1] + 3, label)


class TripChart(Flowable):
    """A chart of trip times at its place on the page."""

    def __init__(self, plan: ChartPlan) -> None:
        super().__init__()
        self.plan = plan

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        return width, self.plan.size[1] + 200.0

    def draw(self) -> None:
        draw_chart(self.canv, replace(self.plan, corner=(50.0, 110.0)))


class Underlaid(Flowable):
    """A table with something drawn under it that a reader must not see."""

    def __init__(self, table: Table, underlay: str) -> None:
        super().__init__()
        self.table, self.underlay = table, UNDERLAYS[underlay]

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = self.table.wrapOn(self.canv, width, height)
        return self.width, self.height

    def draw(self) -> None:
        self.underlay(self.canv, self.table._colWidths, self.table._rowHeights)
        self.table.drawOn(self.canv, 0, 0)


def markup(text: str, size: float) -> str:
    """The text in reportlab's paragraph markup; lowered and raised glyphs are smaller and shifted."""
    small, shift = size * 0.65, size * 0.3
    tags = {
        "low": f'<sub size="{small:.1f}" rise="{shift * 0.7:.1f}">%s</sub>',
        "high": f'<super size="{small:.1f}" rise="{shift:.1f}">%s</super>',
        "plain": "%s",
    }
    out = ""
    for style, piece in blocks.markup_pieces(text):
        piece = piece.replace("&", "&amp;").replace("<", "&lt;")
        out += "<br/>" if style == "line" else tags[style] % piece
    return out


def paragraph(text: str, font: str, size: float, align: str = "left", colour: str = "#000000") -> Paragraph:
    """A paragraph in one font."""
    style = ParagraphStyle(
        "p",
        fontName=font,
        fontSize=size,
        leading=size * 1.25,
        splitLongWords=False,
        alignment={"center": TA_CENTER, "right": TA_RIGHT}.get(align, TA_LEFT),
        textColor=colors.HexColor(colour),
    )
    return Paragraph(markup(text, size), style)


def cell_flowable(cell: blocks.Cell, fonts: tuple[str, str], size: float, head: bool) -> Flowable:
    """A cell's content; gaps inside numbers need drawing by hand."""
    font = fonts[1] if cell.bold or head else fonts[0]
    if GAP.search(cell.text):
        return GappedNumber(cell.text, font, size)
    return paragraph(cell.text, font, size, cell.align)


def grid_style(grid: blocks.Grid, head_rows: int, rows: int, colour: str) -> list[tuple[Any, ...]]:
    """Rules and shading of a table."""
    style: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("RIGHTPADDING", (0, 0), (-1, -1), 2),
    ]
    if grid.rules == "full":
        style.append(("GRID", (0, 0), (-1, -1), 0.5, colors.black))
    if grid.rules == "outer":
        style += [
            ("BOX", (0, 0), (-1, -1), 1, colors.black),
            ("LINEBELOW", (0, head_rows - 1), (-1, head_rows - 1), 0.7, colors.black),
        ]
    if grid.rules == "horizontal":
        style += [
            ("LINEABOVE", (0, 0), (-1, 0), 1, colors.black),
            ("LINEBELOW", (0, head_rows - 1), (-1, head_rows - 1), 0.7, colors.black),
            ("LINEBELOW", (0, head_rows), (-1, -1), 0.25, colors.grey),
        ]
    if grid.rules == "labels":
        labels = [(row, cell) for row, column, cell in blocks.placed(grid.body) if column == 0]
        ends = [(0, head_rows + row + cell.down - 1) for row, cell in labels]
        style += [
            ("LINEABOVE", (0, 0), (-1, 0), 0.7, colors.black),
            ("LINEBELOW", (0, head_rows - 1), (-1, head_rows - 1), 0.7, colors.black),
            *(("LINEBELOW", end, end, 0.5, colors.black) for end in ends),
            ("LINEBELOW", (0, -1), (-1, -1), 0.7, colors.black),
        ]
    if grid.zebra:
        style += [
            ("BACKGROUND", (0, row), (-1, row), colors.HexColor("#e6ecf3"))
            for row in range(head_rows, rows, 2)
        ]
    if grid.rules == "full" and not grid.underlay:
        style.append(
            ("BACKGROUND", (0, 0), (-1, head_rows - 1), colors.HexColor(colour + "22", hasAlpha=True))
        )
    return style


def longest_piece(cell: blocks.Cell, head: bool, font: str, size: float) -> float:
    """Width in points of the longest piece of a cell that cannot be broken."""
    bare = re.sub(r"[_^]\{|\}", "", cell.text)
    pieces = [piece for line in bare.split("|") for piece in (line.split() if head else [line])]
    return max((pdfmetrics.stringWidth(piece, font, size) for piece in pieces), default=0) + 8


def fitted_widths(grid: blocks.Grid, font: str, room: float) -> list[float] | None:
    """Columns that fit their text within `room` points; None where they need more."""
    widths: dict[int, float] = {}
    places = blocks.placed(grid.head + grid.body)
    for row, column, cell in places:
        if cell.across == 1:
            needed = longest_piece(cell, row < len(grid.head), font, grid.size)
            widths[column] = max(widths.get(column, 0), needed)
    for row, column, cell in places:
        if 1 < cell.across < len(widths):
            under = range(column, column + cell.across)
            missing = longest_piece(cell, row < len(grid.head), font, grid.size) - sum(
                widths[k] for k in under
            )
            widths |= {k: widths[k] + max(0, missing) / cell.across for k in under}
    left = room - sum(widths.values())
    more = left / len(widths) if grid.fit == "spread" else 0
    return [widths[column] + more for column in sorted(widths)] if left >= 0 else None


def grid_flowable(grid: blocks.Grid, fonts: tuple[str, str], colour: str, room: float) -> Flowable:
    """A table within `room` points."""
    rows = grid.head + grid.body
    places = blocks.placed(rows)
    width = max(column + cell.across for _, column, cell in places)
    data: list[list[Any]] = [[""] * width for _ in rows]
    style = grid_style(grid, len(grid.head), len(rows), colour)
    for row, column, cell in places:
        data[row][column] = cell_flowable(cell, fonts, grid.size, row < len(grid.head))
        if cell.across > 1 or cell.down > 1:
            style.append(("SPAN", (column, row), (column + cell.across - 1, row + cell.down - 1)))
    widths = fitted_widths(grid, fonts[1], room) if grid.fit else grid.widths or None
    table = Table(
        data,
        colWidths=widths,
        repeatRows=len(grid.head) if grid.repeat_head else 0,
        style=TableStyle(style),
    )
    return Underlaid(table, grid.underlay) if grid.underlay else table


def block_flowables(
    block: blocks.Block, fonts: tuple[str, str], look: blocks.Look, room: float
) -> list[Flowable]:
    """One block of a sheet as reportlab flowables."""
    if isinstance(block, blocks.Heading):
        return [Spacer(0, 8), paragraph(block.text, fonts[1], 11, colour=look.colour), Spacer(0, 4)]
    if isinstance(block, blocks.Text):
        return [paragraph(block.text, fonts[0], 6.5 if block.small else 9), Spacer(0, 3)]
    if isinstance(block, blocks.Bullets):
        mark = "· " if look.font == "zh" else "• "  # the Chinese font holds no bullet
        return [paragraph(mark + line, fonts[0], 9) for line in block.lines]
    if isinstance(block, blocks.Grid):
        return [grid_flowable(block, fonts, look.colour, room), Spacer(0, 6)]
    if isinstance(block, blocks.Curves):
        return [LogLog(block, fonts[0])]
    if isinstance(block, blocks.Chart):
        return [TripChart(block.plan)]
    return [PageBreak()]


def page_decorator(
    sheet: blocks.Sheet, size: tuple[float, float], fonts: tuple[str, str]
) -> Callable[[Canvas, Any], None]:
    """Draw what every page carries, on a page turned as the sheet wants it."""

    def decorate(canvas: Canvas, document: Any) -> None:
        width, height = size
        if sheet.look.turn:
            # reportlab itself swaps width and height of a page it marks as turned
            canvas.setPageSize((width, height) if sheet.look.turn == "rotate" else (height, width))
            canvas.translate(height, 0)
            canvas.rotate(90)
        canvas.setFont(fonts[1], 9)
        canvas.setFillColor(colors.HexColor(sheet.look.colour))
        canvas.drawString(50, height - 34, sheet.vendor)
        canvas.rect(50, height - 40, width - 100, 2, stroke=0, fill=1)
        canvas.setFillColor(colors.black)
        canvas.setFont(fonts[0], 6.5)
        canvas.drawString(50, 26, FICTITIOUS[sheet.look.lang])
        canvas.drawRightString(width - 50, 26, f"Page {document.page}")

    return decorate


def draw(sheet: blocks.Sheet) -> bytes:
    """The PDF of a sheet."""
    register_fonts()
    fonts = BASE_FONTS[sheet.look.font]
    page = {"a4": A4, "letter": LETTER}[sheet.look.page]
    size = landscape(page) if sheet.look.turn else page
    target = io.BytesIO()
    document = SimpleDocTemplate(
        target,
        pagesize=size,
        leftMargin=50,
        rightMargin=50,
        topMargin=50,
        bottomMargin=44,
        title=sheet.title,
        author=sheet.vendor,
        invariant=1,
        rotation=90 if sheet.look.turn == "rotate" else 0,
    )
    flowables: list[Flowable] = [
        paragraph(sheet.title, fonts[1], 15, colour=sheet.look.colour),
        Spacer(0, 14),
    ]
    for block in sheet.blocks:
        flowables += block_flowables(block, fonts, sheet.look, size[0] - 112)
    decorate = page_decorator(sheet, size, fonts)
    document.build(flowables, onFirstPage=decorate, onLaterPages=decorate)
    return target.getvalue()
