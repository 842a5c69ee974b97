"""Libraries as a workbook: one worksheet for each table, a heading row, one row for each record.

Comes in: records and a path. Goes out: the file, or records. Every text is a text cell, never a formula. A
text that a cell cannot hold (control characters, more than 32,767 characters) stands on the worksheet
`long_texts`, in pieces as JSON, and the cell points there.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from itertools import zip_longest
from pathlib import Path
from typing import Any
from zipfile import BadZipFile

from openpyxl import Workbook, load_workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.utils.exceptions import InvalidFileException

from extract.errors import InputError
from holdtrip.library.exchange_cells import TABLES, check_tables, row_to_record
from holdtrip.library.exchange_records import Cell, Record, columns_of, record_to_cells, records_of

LONG_TEXTS = "long_texts"
_POINTER = "see long_texts "
_PIECE = 16_000
"""Characters of JSON in one cell; a cell holds 32,767."""


def write_xlsx(records: Sequence[Record], path: Path) -> None:
    """Write a workbook; values are SI, lists JSON texts."""
    book = Workbook(write_only=True)
    long_texts: list[str] = []
    for name, kind in TABLES.items():
        sheet = _add_sheet(book, name, list(columns_of(kind)))
        for record in records_of(kind, records):
            sheet.append([_cell(sheet, value, long_texts) for value in record_to_cells(record)])
    sheet = _add_sheet(book, LONG_TEXTS, ["text", "piece"])
    for number, text in enumerate(long_texts, 1):
        encoded = json.dumps(text)
        for start in range(0, len(encoded), _PIECE):
            sheet.append([number, _text_cell(sheet, encoded[start:start + _PIECE])])
    book.save(path)


def _add_sheet(book: Workbook, name: str, columns: list[str]) -> Any:
    sheet: Any = book.create_sheet(name)
    sheet.freeze_panes = "A2"
    headings = []
    for index, column in enumerate(columns, 1):
        heading = WriteOnlyCell(sheet, value=column)
        heading.font = Font(bold=True)
        headings.append(heading)
        sheet.column_dimensions[get_column_letter(index)].width = max(10, len(column) + 2)
    sheet.append(headings)
    return sheet


def _cell(sheet: Any, value: Cell, long_texts: list[str]) -> Any:
    if isinstance(value, tuple):
        value = json.dumps(value) if value else ""
    if isinstance(value, float):
        return _number_cell(sheet, value)
    if not isinstance(value, str):
        return value
    if _fits(value):
        return _text_cell(sheet, value) if value else None
    long_texts.append(value)
    return _text_cell(sheet, f"{_POINTER}{len(long_texts)}")


def _fits(text: str) -> bool:
    """Whether a cell gives a text back unchanged."""
    if len(text) > _PIECE or text.startswith(_POINTER) or "_x" in text:
        return False
    return text.isprintable() or not any(letter < " " or letter > "\ud7ff" for letter in text)


def _number_cell(sheet: Any, value: float) -> Any:
    cell = WriteOnlyCell(sheet, value=repr(value))
    cell.data_type = "n"  # by itself openpyxl writes 16 digits, and some numbers need 17
    return cell


def _text_cell(sheet: Any, text: str) -> Any:
    cell = WriteOnlyCell(sheet, value=text)
    cell.data_type = "s"  # also where it begins with an equals sign
    return cell


def read_xlsx(path: Path) -> tuple[Record, ...]:
    """The records of a workbook; raises InputError for anything but a library."""
    try:
        book = load_workbook(path, read_only=True)
    except (BadZipFile, InvalidFileException, KeyError, ValueError) as error:
        raise InputError(str(path), "not a workbook", "a library as XLSX") from error
    try:
        check_tables(str(path), [name for name in book.sheetnames if name != LONG_TEXTS])
        pieces: dict[Any, str] = {}
        for row in _rows(book[LONG_TEXTS].values) if LONG_TEXTS in book.sheetnames else ():
            pieces[row["text"]] = pieces.get(row["text"], "") + row["piece"]
        long_texts = {f"{_POINTER}{number}": json.loads(text) for number, text in pieces.items()}
        return tuple(
            row_to_record(name, index, {column: long_texts.get(cell, cell) for column, cell in row.items()})
            for name in TABLES if name in book.sheetnames
            for index, row in enumerate(_rows(book[name].values), 2))
    finally:
        book.close()


def _rows(values: Iterator[tuple[Any, ...]]) -> Iterator[dict[Any, Any]]:
    """The rows below the headings as heading → cell; empty cells at the end of a row are not in the file."""
    headings = next(values, ())
    for row in values:
        yield dict(zip_longest(headings, row[:len(headings)]))
