"""A copy of the user's workbook with every finding marked at its cell.

Comes in: a report of an XLSX table. Goes out: a workbook with a fill and a comment at each cell found;
values, formulas with what they last gave, and all other formatting stay as they were. Of a CSV a plain
workbook is made. Charts are lost: the library that writes the copy does not keep them.
"""

from __future__ import annotations

from collections import defaultdict
from io import BytesIO
from pathlib import Path
from typing import Any

from extract.parts_table.files import path_to_sheets
from extract.parts_table.records import TableFinding, TableOptions, TableReport, column_to_letters
from extract.parts_table.stored_values import file_to_stored_values, with_stored_values
from extract.parts_table.workbooks import WORKBOOKS
from extract.schema import Severity

_FILLS = {Severity.ERROR: "FFF4B6B6", Severity.DOUBT: "FFFBE3A6", Severity.NOTE: "FFD6E6F5"}
_AUTHOR = "holdtrip"
WRITER = "holdtrip: marked copy"
"""Who saved the file last: a copy that a person worked on since names another."""
_LONGEST = 1500


def write_marked_copy(report: TableReport, path: Path) -> int:
    """Write the marked copy, never onto the table itself, and return the number of cells marked."""
    book = open_copy(report.table.path)
    cells: dict[tuple[str, str], list[TableFinding]] = defaultdict(list)
    for finding in report.findings:
        if finding.cell:
            cells[finding.sheet, finding.cell].append(finding)
    for (sheet, address), findings in cells.items():
        worst = min((f.severity for f in findings), key=[*_FILLS].index)
        text = "\n\n".join(_finding_to_text(f) for f in findings)
        mark_cell(book, sheet, address, _FILLS[worst], text)
    save_copy(book, report.table.path, path, WRITER)
    return len(cells)


def open_copy(source: Path) -> Any:
    """The workbook to mark: the user's, or of a CSV a plain one that holds its texts."""
    import openpyxl

    if source.suffix.lower() in WORKBOOKS:
        return openpyxl.load_workbook(source, keep_vba=source.suffix.lower() == ".xlsm")
    book = openpyxl.Workbook()
    worksheet = book.worksheets[0]
    (sheet,) = path_to_sheets(source, TableOptions())
    for number, row in enumerate(sheet.rows, start=1):
        for index, text in enumerate(row, start=1):
            if text:
                cell = worksheet.cell(number, index)
                cell.value, cell.data_type = text, "s"
    for index in range(1, max(map(len, sheet.rows), default=0) + 1):
        worksheet.column_dimensions[column_to_letters(index)].width = 14
    worksheet.freeze_panes = "B2"
    return book


def save_copy(book: Any, source: Path, path: Path, writer: str) -> None:
    """Save a copy of a workbook with the values that its formulas last gave; programs calculate anew."""
    from openpyxl.workbook.properties import CalcProperties

    book.properties.lastModifiedBy = writer
    book.calculation = CalcProperties(fullCalcOnLoad=True)
    saved = BytesIO()
    book.save(saved)
    values = file_to_stored_values(source) if source.suffix.lower() in WORKBOOKS else {}
    path.write_bytes(with_stored_values(saved.getvalue(), book.sheetnames, values))


def copy_cell(book: Any, sheet: str, address: str) -> Any:
    """The cell of an address, or the one a merged range shows."""
    worksheet = book[sheet] if sheet else book.worksheets[0]
    for merged in worksheet.merged_cells.ranges:
        if address in merged:
            return worksheet.cell(merged.min_row, merged.min_col)
    return worksheet[address]


def mark_cell(book: Any, sheet: str, address: str, colour: str, text: str) -> None:
    """Fill a cell and add a comment behind one that is there."""
    from openpyxl.comments import Comment
    from openpyxl.styles import PatternFill

    cell = copy_cell(book, sheet, address)
    cell.fill = PatternFill("solid", start_color=colour, end_color=colour)
    text = text[:_LONGEST]
    if cell.comment is not None:
        text = f"{cell.comment.text}\n\n{text}"
    cell.comment = Comment(text, _AUTHOR, height=180, width=340)


def _finding_to_text(finding: TableFinding) -> str:
    lines = [f"{finding.severity.value}: {finding.code}", finding.message]
    if finding.expected:
        lines.append(f"expected: {finding.expected}")
    if finding.evidence:
        lines.append(finding.evidence)
    if finding.cause:
        lines.append(f"likely cause: {finding.cause}")
    if finding.proposed:
        lines.append(f"the sheet gives: {finding.proposed}")
    return "\n".join(lines)
