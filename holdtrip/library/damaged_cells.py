"""Cells of a library that hold what no holdtrip writes: a word for a number, an unknown state, half a list.

Comes in: a connection. Goes out: one line for each column with such cells. Mends nothing. SQLite keeps any
value in any column, so a hand that strays or a bad disk may leave them. Texts are read whatever their bytes.
"""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from enum import StrEnum

from sqlalchemy import (
    Boolean,
    Column,
    ColumnElement,
    Connection,
    Float,
    Integer,
    LargeBinary,
    Table,
    Text,
    cast,
    false,
    func,
    or_,
    select,
    type_coerce,
)
from sqlalchemy.exc import DatabaseError

from extract.schema import ChartName, Kind, ParticularName, Quantity, Severity, Status
from holdtrip.library.any_text import stored_to_text
from holdtrip.library.records import Action, PartState, Verdict
from holdtrip.library.sheet_notes import NoteKind
from holdtrip.library.tables import (
    answer,
    change,
    curve,
    metadata,
    part,
    part_state,
    particular,
    reading,
    sheet,
)

_LARGEST = 1.797e308
_CLOSED: dict[str, type[StrEnum]] = {
    "status": Status, "verdict": Verdict, "severity": Severity, "own_state": PartState, "action": Action,
    "chart": ChartName, "kind": Kind, "sheet_note.kind": NoteKind, "reading.quantity": Quantity,
    "particular.name": ParticularName,
}
"""Column → the closed list it is of."""
_SOME = 3


def connection_to_damaged_cells(connection: Connection) -> Iterator[str]:
    """Every column with cells that cannot be, how many they are, and one of them."""
    with _any_bytes(connection):
        for table in metadata.sorted_tables:
            for column in table.columns:
                if isinstance(column.type, LargeBinary):
                    continue  # held against its hash elsewhere
                found = connection.execute(
                    select(func.count(), func.max(cast(column, Text))).select_from(table)
                    .where(_is_wrong(connection, table, column))).one()
                if found[0]:
                    yield (f"{table.name}.{column.name}: cells that cannot be: {found[0]}, such as"
                           f" {found[1]!r:.60}")
        for held, parse in _PARSED.items():
            yield from _unparsed(connection, held, parse)
        yield from _without_state(connection)


@contextmanager
def _any_bytes(connection: Connection) -> Iterator[None]:
    """SQLite gives texts whatever their bytes, and knows `is_readable`."""
    raw = connection.connection.dbapi_connection
    if not isinstance(raw, sqlite3.Connection):
        yield
        return
    usual = raw.text_factory
    raw.create_function("is_readable", 1, _is_readable, deterministic=True)
    raw.text_factory = _bytes_to_text
    try:
        yield
    finally:
        raw.text_factory = usual


def _bytes_to_text(data: bytes) -> str:
    return data.decode("utf-8", errors="surrogateescape")


def _is_readable(data: bytes | None) -> bool:
    """Whether bytes kept as a text are one."""
    try:
        return data is None or isinstance(stored_to_text(data.decode("utf-8")), str)
    except (ValueError, RecursionError):
        return False


def first_damaged(connection: Connection) -> str | None:
    """One such line; None where there is none, or where the connection can say no more."""
    try:
        return next(connection_to_damaged_cells(connection), None)
    except DatabaseError:
        return None


def _is_wrong(connection: Connection, table: Table, column: Column[object]) -> ColumnElement[bool]:
    """Which cells of a column are of another kind than it holds."""
    wrong: list[ColumnElement[bool]] = [false()]
    if not column.nullable:
        wrong.append(column.is_(None))
    if connection.dialect.name == "sqlite" and not column.foreign_keys:
        wrong.append(func.typeof(column).not_in(["null", *_storage_of(column)]))
        if _storage_of(column) == ["text"]:
            wrong.append(func.is_readable(cast(column, LargeBinary)) == 0)
    if isinstance(column.type, Float):
        wrong.append(func.abs(column) > _LARGEST)
    if column.name == "page":
        wrong.append(column < 1)
    closed = _CLOSED.get(f"{table.name}.{column.name}") or _CLOSED.get(column.name)
    if closed is not None:
        wrong.append(type_coerce(column, Text).not_in([one.value for one in closed]))
    return or_(*wrong)


def _storage_of(column: Column[object]) -> list[str]:
    """How SQLite keeps what a column holds."""
    if isinstance(column.type, Float):
        return ["real", "integer"]
    if isinstance(column.type, (Integer, Boolean)):
        return ["integer"]
    return ["text"]


def _is_list(cell: str) -> bool:
    return cell == "" or isinstance(json.loads(cell), list)


def _is_time(cell: str) -> bool:
    return datetime.fromisoformat(cell).tzinfo is not None


def _is_hash(cell: str) -> bool:
    return re.fullmatch("[0-9a-f]{64}", cell) is not None


_PARSED: dict[Column[str], Callable[[str], bool]] = {
    sheet.c.sha256: _is_hash, sheet.c.pages_read: _is_list, reading.c.notes: _is_list,
    curve.c.notes: _is_list, curve.c.points: _is_list, particular.c.notes: _is_list,
    answer.c.words: _is_list,
    change.c.at: _is_time, change.c.said_at: _is_time,
}
"""Columns of texts that must be something more, and what."""


def _unparsed(connection: Connection, column: Column[str], parse: Callable[[str], bool]) -> Iterator[str]:
    cells = select(type_coerce(column, Text)).distinct().where(column.is_not(None))
    wrong = [cell for cell in connection.execute(cells).scalars() if not _parses(cell, parse)]
    if wrong:
        yield (f"{column.table.name}.{column.name}: cells that cannot be: {len(wrong)}, such as"
               f" {str(wrong[0])[:60]!r}")


def _parses(cell: str, parse: Callable[[str], bool]) -> bool:
    try:
        return parse(stored_to_text(cell))
    except (ValueError, TypeError, RecursionError):
        return False


def _without_state(connection: Connection) -> Iterator[str]:
    """Parts of which it is not told how far they are reviewed: no list would show them."""
    now = part_state.c.replaced_by.is_(None)
    query = (select(part.c.part_number)
             .outerjoin(part_state, (part_state.c.part_id == part.c.id) & now)
             .where(part.c.replaced_by.is_(None)).group_by(part.c.id, part.c.part_number)
             .having(func.count(part_state.c.id) != 1))
    lost = connection.execute(query).scalars().all()
    if lost:
        yield f"parts without one state: {len(lost)} ({', '.join(lost[:_SOME])})"
