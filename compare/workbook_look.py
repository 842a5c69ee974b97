"""How every sheet of the workbook looks, and the one way a text gets into a cell.

Comes in: sheets, columns, rows. Goes out: written cells. A text stays a text whatever it begins with: only
a `Formula` made by this program is calculated. Colour is never the only sign: a verdict is also a word.
Knows nothing of parts.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from copy import copy
from dataclasses import dataclass

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.header_footer import HeaderFooterItem, _HeaderFooterPart
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from compare.clean_text import clean
from compare.records import THIN_BELOW

INK, PAPER, PALE, RULE_GREY, INPUT = "22384A", "FFFFFF", "EDF1F3", "AAB6BE", "FDEFD8"
VERDICT_TINTS = {"fits": "D5EADB", "fails": "F3D3CB", "undetermined": "ECE4C6", "recompute": "DCD7EA"}
"""Pale grounds under black words: legible in grey print too."""

TITLE = Font(name="Calibri", size=15, bold=True, color=INK)
HEADING = Font(name="Calibri", size=11, bold=True, color=INK)
COLUMN_HEAD = Font(name="Calibri", size=10, bold=True, color=PAPER)
BODY = Font(name="Calibri", size=10)
STRONG = Font(name="Calibri", size=10, bold=True)
ASIDE = Font(name="Calibri", size=9, italic=True, color="55636D")
HEAD_FILL = PatternFill("solid", fgColor=INK)
BAND_FILL = PatternFill("solid", fgColor=PALE)
INPUT_FILL = PatternFill("solid", fgColor=INPUT)
HAIR = Side(style="hair", color=RULE_GREY)
THIN = Side(style="thin", color=INK)
LINE_BELOW = Border(bottom=HAIR)
BOX = Border(left=THIN, right=THIN, top=THIN, bottom=THIN)

MARGIN_FORMAT = f'[<1]0.00;[<{THIN_BELOW:g}]0.00" thin";0.00'
"""A margin that is hardly met says so where it is shown."""
SENSIBLE = "[<1]0.0000;[<100]0.000;0.0"
"""Digits of a current, voltage, resistance or time that a datasheet could print."""
UNSEEN = ";;;"
"""A number that formulas need and no reader."""
PRINTED = 3
"""Of so many candidates every margin and number is printed; the sheets hold all."""
NOT_AVAILABLE = "#N/A"
"""What a formula is known to give where a chart shall leave a gap."""
LINE_HEIGHT, MOST_LINES = 13.5, 8
"""Points for a line of body text, and the lines of one row that are shown at most."""
LONGEST_TEXT = 32_000
"""Characters a cell may hold, with room to spare."""
_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "'")


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula of this program's own making, with its equals sign. No text of a datasheet may be in it.

    known: what it gives for the requirement as stated, for readers that do not calculate; None if unknown.
    """

    text: str
    known: str | float | None = None


class LiveBook(Workbook):
    """A workbook that remembers what its formulas are known to give: by sheet title, then by cell."""

    def __init__(self) -> None:
        super().__init__()
        self.remove(self.worksheets[0])
        self.known: dict[str, dict[str, str | float]] = {}

    def remember(self, cell: Cell, known: str | float) -> None:
        """Keep what the formula in a cell gives."""
        self.known.setdefault(cell.parent.title, {})[cell.coordinate] = known


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: heading with unit, width in characters, number format."""

    title: str
    width: float
    number_format: str = ""
    wrap: bool = False


Value = str | float | int | Formula | None


def put(cell: Cell, value: Value, number_format: str = "", font: Font = BODY, *, wrap: bool = False) -> None:
    """Write and style one cell."""
    if number_format:
        cell.number_format = number_format
    cell.font = font
    # a number at the right edge would touch the text beside it
    side, indent = ("right", 1) if number_format else (None, 0)
    cell.alignment = Alignment(horizontal=side, indent=indent, vertical="top", wrap_text=wrap)
    put_value(cell, value)


def put_value(cell: Cell, value: Value) -> None:
    """Write a number, a formula of ours, or a text that stays a text; what is not finite stays blank."""
    if isinstance(value, Formula):
        cell.value = value.text
        book = cell.parent.parent
        if value.known is not None and isinstance(book, LiveBook):
            known = value.known
            book.remember(cell, clean(known)[:LONGEST_TEXT] if isinstance(known, str) else known)
    elif isinstance(value, str):
        _put_text(cell, value)
    elif value is not None and math.isfinite(value):
        cell.value = value


def _put_text(cell: Cell, text: str) -> None:
    shown = clean(text)[:LONGEST_TEXT]
    if not shown:
        return
    cell.value = shown
    cell.data_type = "s"
    if shown.startswith(_STARTS_FORMULA):
        cell.quotePrefix = True


def put_title(sheet: Worksheet, title: str, said: str = "") -> int:
    """Title and a line of explanation at the top; returns the next free row, one left blank."""
    put(at(sheet, 1, 1), title, font=TITLE)
    sheet.row_dimensions[1].height = 24
    if said:
        put(at(sheet, 2, 1), said, font=ASIDE)
    return 4


def at(sheet: Worksheet, row: int, column: int) -> Cell:
    """The cell of a row and a column, both from 1; never one hidden under a merge."""
    cell = sheet.cell(row, column)
    assert isinstance(cell, Cell)
    return cell


def put_head(sheet: Worksheet, row: int, columns: Sequence[Column]) -> None:
    """Headings of a table, and the widths of its columns."""
    for number, column in enumerate(columns, 1):
        cell = at(sheet, row, number)
        put(cell, column.title, font=COLUMN_HEAD, wrap=True)
        cell.fill = HEAD_FILL
        cell.alignment = Alignment(vertical="center", wrap_text=True)
        sheet.column_dimensions[get_column_letter(number)].width = column.width
    sheet.row_dimensions[row].height = 32


def put_table(sheet: Worksheet, row: int, columns: Sequence[Column], rows: Iterable[Sequence[Value]], *,
              sparse: bool = False) -> int:
    """A whole table with its headings at `row`; returns the last row written.

    sparse: leave blank cells out, which cost as much as full ones; for large tables that few people read.
    """
    put_head(sheet, row, columns)
    last = row
    for last, values in enumerate(rows, row + 1):
        put_row(sheet, last, columns, values, like=row + 1, sparse=sparse)
    return last


def put_row(sheet: Worksheet, row: int, columns: Sequence[Column], values: Sequence[Value], like: int, *,
            sparse: bool = False) -> None:
    """One row of a table, a hair line below, styled as row `like`, its first."""
    for number, (column, value) in enumerate(zip(columns, values, strict=True), 1):
        if sparse and row != like and (value is None or value == ""):
            continue
        cell = at(sheet, row, number)
        if row == like:
            put(cell, None, column.number_format, wrap=column.wrap)
            cell.border = LINE_BELOW
        else:  # copied, since looking up four parts of a style for each of 100,000 cells takes seconds
            cell._style = copy(at(sheet, like, number)._style)  # type: ignore[attr-defined]
        put_value(cell, value)
    lines = max((_lines(value, column.width) for column, value in zip(columns, values, strict=True)
                 if column.wrap), default=1)
    if lines > 1:  # not every program fits heights to wrapped text when it opens a file
        sheet.row_dimensions[row].height = LINE_HEIGHT * min(lines, MOST_LINES)


def _lines(value: Value, width: float) -> int:
    """Lines that a text takes in a column, a little generous."""
    said = value.known if isinstance(value, Formula) else value
    return math.ceil(len(said) / (1.1 * width)) if isinstance(said, str) else 1


def finish(sheet: Worksheet, head_row: int, last_column: int, *, freeze_columns: int = 1,
           filtered: bool = True, pages_wide: int = 1) -> None:
    """Frozen headings, a filter over the table, and a page set-up that prints on A4 across."""
    sheet.freeze_panes = at(sheet, head_row + 1, freeze_columns + 1)
    last = max(sheet.max_row, head_row + 1)
    if filtered:
        sheet.auto_filter.ref = f"A{head_row}:{get_column_letter(last_column)}{last}"
    set_page(sheet)
    if pages_wide > 1:
        sheet.page_setup.fitToWidth = pages_wide
        sheet.print_title_cols = f"A:{get_column_letter(freeze_columns)}"
    sheet.print_title_rows = f"{head_row}:{head_row}"


def set_page(sheet: Worksheet) -> None:
    """A4 across, as wide as the page, any number of pages long, with sheet and page in the foot."""
    sheet.sheet_view.showGridLines = False
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = 9
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_margins.left = sheet.page_margins.right = 0.5
    sheet.page_margins.top, sheet.page_margins.bottom, sheet.page_margins.footer = 0.6, 0.8, 0.4
    sheet.HeaderFooter.oddFooter = HeaderFooterItem(
        left=_HeaderFooterPart("holdtrip: calculated, not a safety approval"), center=_HeaderFooterPart("&A"),
        right=_HeaderFooterPart("page &P of &N"))


def print_rows(sheet: Worksheet, last_column: int, last_row: int) -> None:
    """Print so many rows of a long sheet and no more; the foot says that there are others."""
    foot = sheet.HeaderFooter.oddFooter
    if foot is not None and last_row < sheet.max_row:
        foot.center = _HeaderFooterPart(
            f"&A: rows to {last_row} of {sheet.max_row}, the best {PRINTED} parts")
    sheet.print_area = f"A1:{get_column_letter(last_column)}{last_row}"


def put_away(sheet: Worksheet) -> None:
    """A sheet that only calculates: hidden, so that it is not printed; anybody may show it."""
    sheet.sheet_state = "hidden"


def tint_verdicts(sheet: Worksheet, cells: str) -> None:
    """Pale grounds under the words of verdicts, following the word when it changes."""
    for word, tint in VERDICT_TINTS.items():
        fill = PatternFill("solid", bgColor=tint, fgColor=tint)
        sheet.conditional_formatting.add(cells, CellIsRule("equal", [f'"{word}"'], fill=fill))  # type: ignore[no-untyped-call]
