"""A workbook becomes the texts of its sheets, each cell as its reader sees it.

Comes in: a path and options. Goes out: RawSheets, streamed: only cells with content are kept, and a stray
cell far from everything else is left out and named. Takes the stored values of formulas and runs none.
Understands no heading.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from pathlib import Path
from typing import Any

from extract.errors import InputError
from extract.parts_table.number_formats import number_to_text
from extract.parts_table.records import RawSheet, TableOptions, place_to_address

WORKBOOKS = {".xlsx", ".xlsm"}
MOST_CELLS = 2_000_000
"""Cells of one workbook, empty but formatted ones too: far above any parts table."""
_LARGEST_UNPACKED = 1_000_000_000
_ROW_GAP, _COLUMN_GAP = 500, 60
"""Content behind a larger gap does not belong to the table (common practice, no source)."""
_PIECE = 1 << 20
_MERGED = re.compile(rb'<mergeCell [^>]*?ref="([A-Z]+)(\d+):([A-Z]+)(\d+)"')


def workbook_to_sheets(path: Path, options: TableOptions) -> tuple[RawSheet, ...]:
    """The sheets asked for, else the visible ones; raises InputError for a file that is no workbook."""
    import openpyxl

    try:
        _check_size(path)
        book = openpyxl.load_workbook(path, read_only=True, data_only=True)
        formulas = openpyxl.load_workbook(path, read_only=True) if _has_formulas(path) else None
        try:
            return tuple(_book_to_sheets(path, options, book, formulas))
        finally:
            book.close()
            if formulas is not None:
                formulas.close()
    except InputError:
        raise
    except (zipfile.BadZipFile, KeyError, ValueError, OSError, EOFError, TypeError, SyntaxError) as error:
        raise InputError(
            str(path), "a damaged or protected workbook", "an XLSX file", "Save the table again as XLSX"
        ) from error


def _book_to_sheets(path: Path, options: TableOptions, book: Any, formulas: Any) -> Iterator[RawSheet]:
    names = book.sheetnames
    missing = [name for name in options.sheets if name not in names]
    if missing:
        raise InputError(str(path), f"no sheet '{missing[0]}'", f"one of {', '.join(names)}")
    for sheet in book.worksheets:
        if options.sheets and sheet.title not in options.sheets:
            continue
        if not options.sheets and sheet.sheet_state != "visible":
            yield RawSheet(sheet.title, (), is_hidden=True)
            continue
        beside = formulas[sheet.title] if formulas is not None else None
        yield _worksheet_to_sheet(path, sheet, beside)


def _check_size(path: Path) -> None:
    """Refuse what would take the machine down before anything is built from it."""
    cells = 0
    with zipfile.ZipFile(path) as archive:
        unpacked = sum(item.file_size for item in archive.infolist())
        if unpacked > _LARGEST_UNPACKED:
            raise InputError(
                str(path),
                f"{unpacked} bytes unpacked",
                f"at most {_LARGEST_UNPACKED}",
                "Copy the table into a new workbook",
            )
        for name in _sheet_files(archive):
            for piece in _pieces(archive, name):
                cells += piece.count(b"<c ")
                if cells > MOST_CELLS:
                    raise InputError(
                        str(path),
                        f"more than {MOST_CELLS} cells",
                        "a parts table",
                        "Copy the table into a new workbook",
                    )


def _sheet_files(archive: zipfile.ZipFile) -> list[str]:
    return [
        name for name in archive.namelist() if name.startswith("xl/worksheets/") and name.endswith(".xml")
    ]


def _pieces(archive: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    with archive.open(name) as file:
        while piece := file.read(_PIECE):
            yield piece


def _has_formulas(path: Path) -> bool:
    with zipfile.ZipFile(path) as archive:
        return any(
            b"<f" in piece and re.search(rb"<f[ >/]", piece) is not None
            for name in _sheet_files(archive)
            for piece in _pieces(archive, name)
        )


@dataclass(slots=True)
class _Content:
    """The cells with content while a sheet is streamed: row → column → text."""

    rows: dict[int, dict[int, str]] = field(default_factory=dict)

    def add(self, row: int, column: int, text: str) -> None:
        self.rows.setdefault(row, {})[column] = text


def _worksheet_to_sheet(path: Path, sheet: Any, formulas: Any) -> RawSheet:
    """Texts of a worksheet; a formula without a stored value stands as itself, so that it is noticed."""
    content = _Content()
    for row, column, cell in _cells(sheet):
        content.add(row, column, _cell_to_text(cell))
    for row, column, cell in _cells(formulas) if formulas is not None else ():
        if cell.data_type == "f" and not content.rows.get(row, {}).get(column):
            content.add(row, column, str(getattr(cell.value, "text", cell.value)))
    last_row = _end_of(sorted(content.rows), _ROW_GAP)
    columns = sorted({c for number, row in content.rows.items() if number <= last_row for c in row})
    last_column = _end_of(columns, _COLUMN_GAP)
    rows = tuple(
        tuple(content.rows.get(number, {}).get(column, "") for column in range(1, last_column + 1))
        for number in range(1, last_row + 1)
    )
    left_out = tuple(
        place_to_address((number, column))
        for number, row in sorted(content.rows.items())
        for column in sorted(row)
        if number > last_row or column > last_column
    )
    return RawSheet(sheet.title, rows, tuple(_merged(path, sheet)), left_out=left_out)


def _cells(sheet: Any) -> Iterator[tuple[int, int, Any]]:
    """Row, column and cell of everything that has content."""
    sheet.reset_dimensions()  # what a file says of its size is not believed
    for row in sheet.iter_rows():
        for cell in row:
            if cell.value is not None and cell.value != "":
                yield cell.row, cell.column, cell


def _end_of(places: Iterable[int], gap: int) -> int:
    """The last place before a gap too large to be part of one table; 0 for none."""
    end = 0
    for place in places:
        if end and place - end > gap:
            break
        end = place
    return end


def _merged(path: Path, sheet: Any) -> Iterator[tuple[int, int, int, int]]:
    from openpyxl.utils import column_index_from_string

    part = getattr(sheet, "_worksheet_path", "")
    with zipfile.ZipFile(path) as archive:
        if part not in archive.namelist():
            return
        rest = b""
        for piece in _pieces(archive, part):
            for first, top, last, bottom in _MERGED.findall(rest + piece):
                yield (
                    int(top),
                    column_index_from_string(first.decode()),
                    int(bottom),
                    column_index_from_string(last.decode()),
                )
            rest = (rest + piece)[-60:]


def _cell_to_text(cell: Any) -> str:
    """A cell as its reader sees it; a date stands as `date 2026-05-01`, which no number looks like."""
    value = cell.value
    if isinstance(value, bool | str):
        return str(value).strip()
    if isinstance(value, date | time | timedelta):
        return f"date {value}".removesuffix(" 00:00:00")
    if isinstance(value, int | float):
        return number_to_text(value, cell.number_format or "General")
    return str(value)
