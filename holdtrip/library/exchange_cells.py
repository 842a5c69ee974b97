"""Rows of a file become records again, each cell checked for what its column holds.

Comes in: rows as the file's format gives them. Goes out: records. Raises InputError naming table, row and
column; does not check that the rows fit together.
"""

from __future__ import annotations

import json
import math
from collections.abc import Collection, Mapping
from dataclasses import MISSING, fields
from typing import Any

from extract.errors import InputError
from holdtrip.library.exchange_records import LATER, RECORDS, Record, columns_of

TABLES: dict[str, type[Record]] = {record.TABLE: record for record in RECORDS}
"""Name → its record."""

NOT_GUESSED = "Nothing was taken in: what is not known is not guessed"


def row_to_record(table: str, row_number: int, row: Mapping[str, Any]) -> Record:
    """The record of a row. Lists may be given as JSON text, whole numbers as 3.0, as table files do."""
    kind = TABLES[table]
    unknown = sorted(str(column) for column in row if column not in columns_of(kind))
    if unknown:
        raise InputError(f"table {table}, row {row_number}", f"the column {', '.join(unknown)}",
                         ", ".join(columns_of(kind)), NOT_GUESSED)
    given = {field.name for field in fields(kind) if field.default is not MISSING}
    cells: dict[str, Any] = {}
    for column, holds in columns_of(kind).items():
        where = f"table {table}, row {row_number}, column {column}"
        if column not in row and column in given:
            continue
        if column not in row:
            raise InputError(where, "no such column", ", ".join(columns_of(kind)))
        cells[column] = _READERS[str(holds)](where, row[column])
    return kind(**cells)


def check_tables(where: str, names: Collection[str]) -> None:
    """Raise InputError if a file lacks a table, or has one that is not known."""
    unknown = sorted(name for name in names if name not in TABLES)
    if unknown:
        raise InputError(where, f"the table {', '.join(unknown)}", ", ".join(TABLES), NOT_GUESSED)
    missing = [name for name in TABLES if name not in names and name not in LATER]
    if missing:
        raise InputError(where, f"no table {', '.join(missing)}", ", ".join(TABLES),
                         "Write such files with `holdtrip export`")


def _text(where: str, cell: Any) -> str:
    if cell is None:
        return ""
    if not isinstance(cell, str):
        raise InputError(where, f"found {cell!r}", "a text")
    return cell


def _text_or_none(where: str, cell: Any) -> str | None:
    return _text(where, cell) or None


def _number(where: str, cell: Any) -> float:
    if isinstance(cell, bool) or not isinstance(cell, (int, float)) or not math.isfinite(cell):
        raise InputError(where, f"found {cell!r}", "a number")
    return float(cell)


def _number_or_none(where: str, cell: Any) -> float | None:
    return None if cell is None else _number(where, cell)


def _whole(where: str, cell: Any) -> int:
    number = _number(where, cell)
    if not number.is_integer():
        raise InputError(where, f"found {cell!r}", "a whole number")
    return int(number)


def _whole_or_none(where: str, cell: Any) -> int | None:
    return None if cell is None else _whole(where, cell)


def _list(where: str, cell: Any) -> list[Any]:
    if isinstance(cell, str) and cell:
        try:
            cell = json.loads(cell)
        except json.JSONDecodeError:
            raise InputError(where, f"found {cell!r}", 'a JSON list such as ["a", "b"]') from None
    cell = [] if cell is None or cell == "" else cell
    if not isinstance(cell, list):
        raise InputError(where, f"found {cell!r}", "a list")
    return cell


def _texts(where: str, cell: Any) -> tuple[str, ...]:
    return tuple(_text(where, one) for one in _list(where, cell))


def _wholes(where: str, cell: Any) -> tuple[int, ...]:
    return tuple(_whole(where, one) for one in _list(where, cell))


_READERS = {
    str(str): _text, str(str | None): _text_or_none, str(int): _whole, str(int | None): _whole_or_none,
    str(float): _number, str(float | None): _number_or_none, str(tuple[str, ...]): _texts,
    str(tuple[int, ...]): _wholes,
}
"""What a column holds → how its cells are read."""
