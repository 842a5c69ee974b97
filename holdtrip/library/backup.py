"""Backup and restore: every row of every table, with its identifiers, into one file and back.

Comes in: a library, or a backup. Goes out: a file (gzip, JSON by line, the same for both databases), or a
library of either kind; copies of datasheets too. A backup is of one moment, whoever writes meanwhile; a file
cut short is refused. Only a library where nothing has happened is restored into.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Table,
    Text,
    column,
    func,
    insert,
    inspect,
    select,
    table,
    text,
    type_coerce,
)
from sqlalchemy.exc import DataError, IntegrityError, NoSuchTableError, ProgrammingError

from extract.errors import InputError
from holdtrip.library.address import shown_address
from holdtrip.library.any_text import AnyText
from holdtrip.library.chunks import chunks
from holdtrip.library.connections import address_to_engine, reading_connection, writing_connection
from holdtrip.library.migrating import (
    NEWEST,
    STEPS,
    check_no_others,
    migrate,
    step_of,
    use_write_ahead_log,
)
from holdtrip.library.tables import change, metadata, sheet_copy

FORMAT = "holdtrip backup"


def write_backup(
    connection: Connection, path: Path, copies: Iterable[tuple[str, bytes]] = ()
) -> tuple[int, int]:
    """Write a backup, with copies of datasheets (sha256, bytes); returns how many rows and copies it holds.
    One cut short is told by its missing last line."""
    rows = kept = 0
    with gzip.open(path, "wt", encoding="ascii") as file:
        file.write(json.dumps({"format": FORMAT, "step": step_of(connection)}) + "\n")
        for one in _tables():
            head = {"table": one.name, "columns": [held.name for held in one.columns]}
            file.write(json.dumps(head) + "\n")
            for row in connection.execute(select(*map(_as_stored, one.columns))):
                file.write(json.dumps(list(row)) + "\n")
                rows += 1
        for sha256, data in copies:
            file.write(json.dumps({"copy": sha256, "base64": base64.b64encode(data).decode("ascii")}) + "\n")
            kept += 1
        file.write(json.dumps({"rows": rows, "copies": kept}) + "\n")
    return rows, kept


def _tables() -> list[Table]:
    """All tables but that of copies, which stand in a backup by themselves wherever they are kept."""
    return [one for one in metadata.sorted_tables if one is not sheet_copy]


def check_copies(path: Path) -> None:
    """Look at all copies of datasheets in a backup; raises InputError where one is damaged or missing."""
    kept = sum(1 for _ in backup_to_copies(path))
    headings = (line for line in _lines(path) if isinstance(line, dict))
    told = next((line["copies"] for line in headings if "copies" in line), kept)
    if told != kept:
        raise InputError(str(path), f"{kept} copies of datasheets", f"{told}, as its last line says",
                         "Nothing was restored")


def backup_to_copies(path: Path) -> Iterator[tuple[str, bytes]]:
    """The copies of datasheets in a whole backup, each as the bytes that its sha256 names; raises InputError
    where they are not."""
    for line in _lines(path):
        if isinstance(line, dict) and "copy" in line:
            with _damage_as_error(path):
                data = base64.b64decode(line["base64"])
            if hashlib.sha256(data).hexdigest() != line["copy"]:
                raise InputError(str(path), f"the copy {line['copy'][:12]} is damaged", "a whole backup",
                                 "Nothing was restored")
            yield line["copy"], data


def _as_stored(held: ColumnElement[Any]) -> ColumnElement[Any]:
    """Texts in the form any database takes."""
    return type_coerce(held, Text) if isinstance(held.type, AnyText) else held


def restore_library(path: Path, address: str | Path) -> int:
    """Make the library of a backup at an address; returns the number of rows.

    Raises InputError if the file is no whole backup or something is at the address already; then nothing
    is changed there.
    """
    lines = _lines(path)
    step = _first_line_to_step(path, next(lines, None))
    engine = address_to_engine(address)
    try:
        with reading_connection(engine, address) as connection:
            _check_empty(connection, shown_address(address), step)
        if engine.dialect.name == "sqlite":
            use_write_ahead_log(engine, address)
        with writing_connection(engine, address) as connection:
            _make_empty(connection, shown_address(address), step)
            with _damage_as_error(path):
                rows = _insert_lines(connection, path, lines)
            _continue_counting(connection)
            migrate(connection, NEWEST)
    finally:
        engine.dispose()
    return rows


def _lines(path: Path) -> Iterator[Any]:
    with _damage_as_error(path), gzip.open(path, "rt", encoding="ascii") as file:
        for line in file:
            yield json.loads(line)


@contextmanager
def _damage_as_error(path: Path) -> Iterator[None]:
    """What a file provokes that no `holdtrip backup` wrote, or that somebody changed, in one line."""
    try:
        yield
    except (EOFError, gzip.BadGzipFile, zlib.error, ValueError, TypeError, KeyError, RecursionError,
            IntegrityError, DataError, ProgrammingError, NoSuchTableError) as error:
        raise InputError(str(path), "not a backup, or a damaged one", "a file written by `holdtrip backup`",
                         "Nothing was restored") from error


def _first_line_to_step(path: Path, head: Any) -> str:
    """The form of the library the backup was made from."""
    if not isinstance(head, dict) or head.get("format") != FORMAT:
        raise InputError(str(path), "not a backup", "a file written by `holdtrip backup`")
    if head.get("step") not in STEPS:
        raise InputError(str(path), f"a backup by a newer holdtrip (its form is {head.get('step')})",
                         f"{NEWEST} or older", "Upgrade holdtrip to restore it")
    return str(head["step"])


def _make_empty(connection: Connection, shown: str, step: str) -> None:
    """An empty library in the form of the backup."""
    _check_empty(connection, shown, step)
    if step_of(connection) is None:
        migrate(connection, step)


def _check_empty(connection: Connection, shown: str, step: str) -> None:
    """Raise InputError where anything is already, of a library or of somebody else."""
    here = step_of(connection)
    if here is None:
        check_no_others(connection, shown)
    elif here != step or connection.execute(select(change.c.id).limit(1)).first():
        raise InputError(shown, "there is a library already", "an address where nothing is yet",
                         "Nothing was changed. Restore to another file or database")


def _insert_lines(connection: Connection, path: Path, lines: Iterator[Any]) -> int:
    """Insert the rows of a backup after its first line; returns how many there were."""
    rows, there = 0, inspect(connection)
    tables = {*there.get_table_names()}
    for name, columns, some in _batches(lines):
        if name is None:
            if columns != rows:
                break
            return rows
        if name not in tables:
            raise KeyError(f"{name}, a table that no library has")
        if {*columns} - {one["name"] for one in there.get_columns(name)}:
            raise KeyError(f"columns of {name} that no library has")
        into = table(name, *map(column, columns))
        connection.execute(insert(into), [dict(zip(columns, row, strict=True)) for row in some])
        rows += len(some)
    raise InputError(str(path), "a backup that was cut short", "a whole one", "Nothing was restored")


def _batches(lines: Iterator[Any]) -> Iterator[tuple[str | None, Any, tuple[list[Any], ...]]]:
    """(table, columns, some rows), and at the end (None, number of rows, nothing)."""
    name = ""
    columns: list[str] = []
    waiting: list[list[Any]] = []
    for line in lines:
        if not isinstance(line, (list, dict)):
            raise TypeError("neither a row nor a heading")
        if isinstance(line, list):
            waiting.append(_checked_row(line))
            continue
        if "copy" in line:
            continue
        for some in chunks(waiting):
            yield name, columns, some
        waiting = []
        if "rows" in line:
            yield None, line["rows"], ()
            return
        name, columns = line["table"], line["columns"]


def _checked_row(row: list[Any]) -> list[Any]:
    """The row; raises TypeError for a cell that no database holds."""
    for cell in row:
        if isinstance(cell, (list, dict)) or (isinstance(cell, int) and not -(2**63) <= cell < 2**63):
            raise TypeError("a cell that no database holds")
    return row


def _continue_counting(connection: Connection) -> None:
    """PostgreSQL counts identifiers by itself and must be told where to go on."""
    if connection.dialect.name != "postgresql":
        return
    for one in _tables():
        last = connection.execute(select(func.max(one.c.id))).scalar()
        if last is not None:
            connection.execute(text("SELECT setval(pg_get_serial_sequence(:name, 'id'), :last)"),
                               {"name": one.name, "last": last})
