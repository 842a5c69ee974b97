"""Cells of a library that hold what no holdtrip writes: a word for a number, an unknown state, half a list.

Comes in: a connection. Goes out: one line for each column with such cells. Mends nothing. SQLite keeps any
value in any column, so a hand that strays or a bad disk may leave them.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
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
    for table in metadata.sorted_tables:
        for column in table.columns:
            if isinstance(column.type, LargeBinary):
                continue  # held against its hash elsewhere
            found = connection.execute(
                select(func.count(), func.max(cast(column, Text))).select_from(table)
                .where(_is_wrong(connection, table, column))).one()
            if found[0]:
                yield f"{table.name}.{column.name}: cells that cannot be: {found[0]}, such as {found[1]!r}"
    for column, parse in _PARSED.items():
        yield from _unparsed(connection, column, parse)
    yield from _without_state(connection)


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
    return len(cell) == 64 and int(cell, 16) >= 0


_PARSED: dict[Column[str], Callable[[str], bool]] = {
    sheet.c.sha256: _is_hash, sheet.c.pages_read: _is_list, reading.c.notes: _is_list,
    curve.c.notes: _is_list, curve.c.points: _is_list, particular.c.notes: _is_list,
    answer.c.words: _is_list,
    change.c.at: _is_time, change.c.said_at: _is_time,
}
"""Columns of texts that must be something more, and what."""


def _unparsed(connection: Connection, column: Column[str], parse: Callable[[str], bool]) -> Iterator[str]:
    wrong = []
    for cell in connection.execute(select(column).distinct().where(column.is_not(None))).scalars():
        try:
            if not parse(cell):
                wrong.append(cell)
        except (ValueError, TypeError):
            wrong.append(cell)
    if wrong:
        yield (f"{column.table.name}.{column.name}: cells that cannot be: {len(wrong)}, such as"
               f" {str(wrong[0])[:60]!r}")


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
