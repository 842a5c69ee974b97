"""A copy of the user's table in which repairs that a person accepted are done.

Comes in: a report and the findings accepted. Goes out: a workbook in which each changed cell is filled and
its comment says what stood there, why it was changed and by which page; of a CSV also a CSV, without marks.
Repairs only what a sheet gives, or what moves cells the user typed; never a value the rules only suspect.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from extract.errors import InputError
from extract.parts_table.files import csv_to_text, path_to_sheets, text_to_separator
from extract.parts_table.marked_copy import copy_cell, mark_cell, open_copy, save_copy
from extract.parts_table.number_formats import number_to_text
from extract.parts_table.records import TableFinding, TableOptions, TableReport
from extract.parts_table.written import NUMBER
from extract.spreadsheet_text import guard

WRITER = "holdtrip: corrected copy"
"""Who saved the file last: a copy that a person worked on since names another."""
_FILL = "FFCDE9C8"

Change = tuple[str, str, str, TableFinding]
"""Sheet, address, new text, and the finding it answers."""


def findings_to_changes(findings: Iterable[TableFinding]) -> list[Change]:
    """The cells to change, each once: the first finding that changes a cell counts."""
    changes: dict[tuple[str, str], Change] = {}
    for finding in findings:
        for address, text in finding.changes:
            changes.setdefault((finding.sheet, address), (finding.sheet, address, text, finding))
    return list(changes.values())


def write_corrected_copy(
    report: TableReport, findings: Sequence[TableFinding], path: Path, ending: str
) -> int:
    """Write the corrected copy and return the number of cells changed; raises InputError where a finding
    has no repair."""
    for finding in findings:
        if not finding.changes:
            raise InputError(
                f"finding {finding.code} in row {finding.row}",
                "no repair to do by itself",
                "a finding whose value a sheet gives, or that moves cells",
                "Correct it by hand, and leave it out of --repair",
            )
    changes = findings_to_changes(findings)
    if ending == ".csv":
        _write_csv(report.table.path, changes, path)
        return len(changes)
    book = open_copy(report.table.path)
    for sheet, address, text, finding in changes:
        cell = copy_cell(book, sheet, address)
        before = cell.value
        cell.value = _to_value(before, text, cell.number_format)
        page = f", {finding.document} page {finding.page}" if finding.page is not None else ""
        was = "empty" if before is None else before
        told = f"was: {was}\nnow: {text or 'empty'}\n{finding.code}{page}\n{finding.message}"
        mark_cell(book, sheet, address, _FILL, told)
    save_copy(book, report.table.path, path, WRITER)
    return len(changes)


def _to_value(before: Any, text: str, number_format: str) -> Any:
    """A number where a number stood and its format shows the text, else the text."""
    if not text:
        return None
    found = NUMBER.search(text)
    if found is None or isinstance(before, str):
        return text
    number = float(found[0].replace(",", "."))
    for value in (number, number / 100):
        if _plain(number_to_text(value, number_format)) == _plain(text):
            return value
    return number if found[0] == text else text


def _plain(text: str) -> str:
    """A shown number without the zeros at its end."""
    return NUMBER.sub(lambda found: f"{float(found[0].replace(',', '.')):.10g}", text).replace(" ", "")


def _write_csv(source: Path, changes: Sequence[Change], path: Path) -> None:
    (sheet,) = path_to_sheets(source, TableOptions())
    rows = [list(row) for row in sheet.rows]
    for _, address, text, _ in changes:
        letters = address.rstrip("0123456789")
        row, column = int(address[len(letters) :]), _letters_to_index(letters)
        rows[row - 1] += [""] * (column - len(rows[row - 1]))
        rows[row - 1][column - 1] = text
    out = io.StringIO()
    writer = csv.writer(out, delimiter=text_to_separator(csv_to_text(source)))
    writer.writerows([[guard(cell) if cell.startswith(("=", "@")) else cell for cell in row] for row in rows])
    path.write_bytes(out.getvalue().encode("utf-8", errors="backslashreplace"))


def _letters_to_index(letters: str) -> int:
    index = 0
    for letter in letters:
        index = 26 * index + ord(letter) - 64
    return index
