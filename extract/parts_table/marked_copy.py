"""A copy of the user's workbook with every finding marked at its cell.

Comes in: a report of an XLSX table. Goes out: a workbook with a fill and a comment at each cell found;
values, formulas and all other formatting stay as they were. Of a CSV a plain workbook is made.
Charts are lost: the library that writes the copy does not keep them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from extract.parts_table.files import path_to_sheets
from extract.parts_table.records import TableFinding, TableOptions, TableReport, column_to_letters
from extract.parts_table.workbooks import WORKBOOKS
from extract.schema import Severity

_FILLS = {Severity.ERROR: "FFF4B6B6", Severity.DOUBT: "FFFBE3A6", Severity.NOTE: "FFD6E6F5"}
_AUTHOR = "holdtrip"
WRITER = "holdtrip: marked copy"
"""Who saved the file last: a copy that a person worked on since names another."""
_LONGEST = 1500


def write_marked_copy(report: TableReport, path: Path) -> int:
    """Write the marked copy, never onto the table itself, and return the number of cells marked."""
    book = _open(report.table.path)
    cells: dict[tuple[str, str], list[TableFinding]] = defaultdict(list)
    for finding in report.findings:
        if finding.cell:
            cells[finding.sheet, finding.cell].append(finding)
    for (sheet, address), findings in cells.items():
        worksheet = book[sheet] if sheet else book.worksheets[0]
        _mark(_anchor(worksheet, address), findings)
    book.properties.lastModifiedBy = WRITER
    book.save(path)
    return len(cells)


def _open(source: Path) -> Any:
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
    for index in range(1, worksheet.max_column + 1):
        longest = max((len(row[index - 1]) for row in sheet.rows if len(row) >= index), default=0)
        worksheet.column_dimensions[column_to_letters(index)].width = min(40, longest + 2)
    return book


def _anchor(worksheet: Any, address: str) -> Any:
    """The cell itself, or the first of the merged cells it lies in: only that one can carry a comment."""
    for merged in worksheet.merged_cells.ranges:
        if address in merged:
            return worksheet.cell(merged.min_row, merged.min_col)
    return worksheet[address]


def _mark(cell: Any, findings: Sequence[TableFinding]) -> None:
    from openpyxl.comments import Comment
    from openpyxl.styles import PatternFill

    gravest = min((f.severity for f in findings), key=[*_FILLS].index)
    cell.fill = PatternFill("solid", start_color=_FILLS[gravest], end_color=_FILLS[gravest])
    text = "\n\n".join(_finding_to_text(f) for f in findings)[:_LONGEST]
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
