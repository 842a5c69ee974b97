"""A CSV or XLSX file becomes the texts of its sheets.

Comes in: a path. Goes out: RawSheets. Finds out encoding and separator of a CSV; takes the stored
values of a workbook's formulas and runs none. Understands no heading.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections import Counter
from pathlib import Path
from typing import Any

from extract.errors import InputError
from extract.parts_table.records import RawSheet, TableOptions

WORKBOOKS = {".xlsx", ".xlsm"}
_LARGEST_UNPACKED = 2_000_000_000
_FORMULA = re.compile(rb"<f[ >/]")
_UNFIT = {
    ".xls": "an old Excel workbook",
    ".ods": "an OpenDocument sheet",
    ".pdf": "a PDF",
    ".numbers": "a Numbers sheet",
}


def path_to_sheets(path: Path, options: TableOptions) -> tuple[RawSheet, ...]:
    """Read the texts of a CSV (one sheet, named "") or of a workbook's visible sheets.

    Raises InputError where the file cannot be read as either.
    """
    if path.suffix.lower() in _UNFIT:
        raise InputError(
            str(path), f"{_UNFIT[path.suffix.lower()]}", "a CSV or XLSX file", "Save the table as CSV or XLSX"
        )
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            head = file.read(4)
    except OSError as error:
        raise InputError(str(path), error.strerror or "cannot be opened", "a CSV or XLSX file") from error
    if size > options.largest_bytes:
        raise InputError(
            str(path), f"{size} bytes", f"at most {options.largest_bytes} bytes", "Split the table"
        )
    if not size:
        raise InputError(str(path), "the file is empty", "a table with headings and parts")
    if head.startswith(b"PK"):
        return _workbook_to_sheets(path, options)
    if path.suffix.lower() in WORKBOOKS:
        raise InputError(str(path), "not a workbook", "an XLSX file", "Save the table again as XLSX")
    return (_csv_to_sheet(path, options),)


def _csv_to_sheet(path: Path, options: TableOptions) -> RawSheet:
    text = _bytes_to_text(path, options.encoding)
    separator = options.separator or text_to_separator(text)
    try:
        rows = tuple(
            tuple(cell.strip() for cell in row)
            for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator)
        )
    except csv.Error as error:
        raise InputError(
            str(path), f"not a CSV file ({error})", "a CSV file", "Save the table again as CSV UTF-8"
        ) from error
    return RawSheet("", rows)


def _bytes_to_text(path: Path, encoding: str | None) -> str:
    """UTF-8 with or without mark, UTF-16 with mark, else the Western code page of old spreadsheets."""
    data = path.read_bytes()
    if encoding is not None:
        try:
            return data.decode(encoding)
        except (UnicodeDecodeError, LookupError) as error:
            raise InputError(str(path), str(error), f"text in {encoding}", "Name another encoding") from error
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    if b"\x00" in data[:4096]:
        raise InputError(str(path), "binary data", "a CSV or XLSX file")
    for name in ("utf-8-sig", "cp1252"):
        try:
            return data.decode(name)
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1")


def text_to_separator(text: str) -> str:
    """The separator that gives the first lines the most equal number of cells, more than one."""
    lines = [line for line in text.splitlines()[:60] if line.strip()]
    if lines and lines[0].lower().startswith("sep=") and len(lines[0]) >= 5:
        return lines[0][4]
    best, score = ",", 0.0
    for separator in (";", "\t", ",", "|"):
        counts = [len(row) for row in csv.reader(lines, delimiter=separator)]
        if not counts:
            continue
        width, share = Counter(counts).most_common(1)[0]
        if width > 1 and share * width**0.5 > score:
            best, score = separator, share * width**0.5
    return best


def _workbook_to_sheets(path: Path, options: TableOptions) -> tuple[RawSheet, ...]:
    import openpyxl

    try:
        with zipfile.ZipFile(path) as archive:
            unpacked = sum(item.file_size for item in archive.infolist())
            if unpacked > _LARGEST_UNPACKED:
                raise InputError(str(path), f"{unpacked} bytes unpacked", "a workbook of usual size")
            has_formulas = any(
                _FORMULA.search(archive.read(name))
                for name in archive.namelist()
                if name.startswith("xl/worksheets/sheet")
            )
        book = openpyxl.load_workbook(path, data_only=True)
        formulas = openpyxl.load_workbook(path) if has_formulas else None
    except InputError:
        raise
    except (zipfile.BadZipFile, KeyError, ValueError, OSError, EOFError, TypeError, SyntaxError) as error:
        raise InputError(
            str(path), "a damaged or protected workbook", "an XLSX file", "Save the table again as XLSX"
        ) from error
    names = [sheet.title for sheet in book.worksheets]
    missing = [name for name in options.sheets if name not in names]
    if missing:
        raise InputError(str(path), f"no sheet '{missing[0]}'", f"one of {', '.join(names)}")
    return tuple(
        _worksheet_to_sheet(sheet, formulas[sheet.title] if formulas is not None else None)
        for sheet in book.worksheets
        if (sheet.title in options.sheets if options.sheets else sheet.sheet_state == "visible")
    )


def _worksheet_to_sheet(sheet: Any, formulas: Any) -> RawSheet:
    """Texts of a worksheet; a formula without a stored value stands as itself, so that it is noticed."""
    rows = [
        [_value_to_text(cell.value, cell.number_format if type(cell.value) is float else "") for cell in row]
        for row in sheet.iter_rows()
    ]
    for number, row in enumerate(formulas.iter_rows() if formulas is not None else ()):
        for index, cell in enumerate(row):
            if cell.data_type == "f" and not rows[number][index]:
                rows[number][index] = str(getattr(cell.value, "text", cell.value))
    merged = tuple((r.min_row, r.min_col, r.max_row, r.max_col) for r in sheet.merged_cells.ranges)
    return RawSheet(sheet.title, tuple(map(tuple, rows)), merged)


def _value_to_text(value: object, number_format: str) -> str:
    """A cell as its reader sees it: with the decimals and the percent sign of its format."""
    if value is None:
        return ""
    if isinstance(value, bool | str):
        return str(value).strip()
    if not isinstance(value, float):
        return str(value)
    is_percent = "%" in number_format
    shown = value * 100 if is_percent else value
    shortest = f"{shown:.12g}"
    decimals = number_format.split(";")[0].partition(".")[2]
    places = len(decimals) - len(decimals.lstrip("0"))
    if places and "e" not in shortest and len(shortest.partition(".")[2]) < places:
        shortest = f"{shown:.{places}f}"
    return shortest + ("%" if is_percent else "")
