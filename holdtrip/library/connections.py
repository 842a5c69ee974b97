"""Connections to a library's database: one way to read, one way to write, errors in plain words.

Comes in: an address. Goes out: an engine, and connections inside a transaction. Names no table.

One writer at a time on both databases: SQLite begins writing transactions IMMEDIATE, PostgreSQL takes one
advisory lock. Changes are short, so a queue costs little, and neither deadlocks nor lost updates can arise.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import DatabaseError, DisconnectionError
from sqlalchemy.pool import ConnectionPoolEntry

from extract.errors import InputError
from holdtrip.library.address import address_to_url, shown_address
from holdtrip.library.form import connection_to_lacks

BUSY_TIMEOUT_MS = 60_000
"""How long a writer waits for the writers before it, ms."""

_WRITER_LOCK = 0x686F6C64
"""Key of the advisory lock in PostgreSQL; any number that other programs do not use."""


def address_to_engine(address: str | Path) -> Engine:
    """An engine for a library; opens nothing yet."""
    url = address_to_url(address)
    if url.get_backend_name() != "sqlite":
        return create_engine(url, connect_args={"connect_timeout": 10})
    engine = create_engine(url, connect_args={"timeout": BUSY_TIMEOUT_MS / 1000})
    event.listen(engine, "connect", _set_up_sqlite)
    file = _OpenFile(Path(str(url.database)), shown_address(address))
    event.listen(engine, "do_connect", file.before_connecting)
    event.listen(engine, "checkout", file.before_using)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


class _OpenFile:
    """Watches over the file of an open library: what is said to a file that was removed since would be lost.
    Where another file stands in its place, that one is opened."""

    def __init__(self, path: Path, shown: str) -> None:
        self._path, self._shown = path, shown
        self._was_there = False

    def before_connecting(self, *_: object) -> None:
        """Refuse, where the file is gone: connecting would make an empty one."""
        if self._was_there and _file_to_number(self._path) is None:
            raise InputError(self._shown, "the file was removed while it was open", "",
                             "Nothing was stored. Put it back, or restore it from a backup")

    def before_using(self, _: DBAPIConnection, entry: ConnectionPoolEntry, _proxy: object) -> None:
        """The same of a connection that is open already; one to another file is made anew."""
        self.before_connecting()
        now = _file_to_number(self._path)
        self._was_there = now is not None
        if entry.info.setdefault("file", now) != now:
            raise DisconnectionError("another file stands in its place")


def _file_to_number(path: Path) -> tuple[int, int] | None:
    """What names a file whatever it is called; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _set_up_sqlite(connection: DBAPIConnection, _: ConnectionPoolEntry) -> None:
    connection.isolation_level = None  # transactions are begun by _begin_sqlite, not by the driver
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    writing = connection.get_execution_options().get("writing", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")


@contextmanager
def reading_connection(engine: Engine, address: str | Path) -> Iterator[Connection]:
    """A connection that only reads, inside one transaction that sees one moment."""
    snapshot = {"isolation_level": "REPEATABLE READ"} if engine.dialect.name == "postgresql" else {}
    with (_plain_errors(engine, address), engine.connect().execution_options(**snapshot) as connection,
          connection.begin()):
        yield connection


@contextmanager
def writing_connection(engine: Engine, address: str | Path) -> Iterator[Connection]:
    """A connection inside the one writing transaction; committed at the end, rolled back on any error."""
    with (_plain_errors(engine, address), engine.connect().execution_options(writing=True) as connection,
          connection.begin()):
        if connection.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _WRITER_LOCK})
        yield connection


@contextmanager
def _plain_errors(engine: Engine, address: str | Path) -> Iterator[None]:
    try:
        yield
    except DatabaseError as error:
        shown = shown_address(address)
        plain = _broken_form(error, engine, shown) or _error_to_plain(error, shown)
        if plain is None:
            raise
        raise plain from error


_PLAIN = {
    "database is locked": ("another holdtrip has been writing for a minute", "Try again when it is done"),
    "file is not a database": ("not a library", "Name another file, or move this one away"),
    "database disk image is malformed": ("the file is damaged", "Restore it from a backup"),
    "unable to open database file": ("cannot be opened or made", "Check that the folder exists and is yours"),
    "readonly database": ("may only be read", "Check the permissions of the file and its folder"),
    "database or disk is full": ("the disk is full", "Nothing was stored. Make room and repeat"),
    "disk i/o error": ("the disk could not be read or written",
                       "Nothing was stored. If it is full make room and repeat; else run `holdtrip verify`"),
    "authentication failed": ("user or password is wrong", "Check the address"),
    "connection refused": ("the server does not answer", "Check the address and that the server runs"),
    "could not translate host name": ("there is no such server", "Check the address"),
    "failed to resolve host": ("there is no such server", "Check the address"),
    "connection timeout expired": ("the server does not answer", "Check the address and the network"),
    "server closed the connection": ("the server ended the connection", "Nothing was stored. Try again"),
    "terminating connection": ("the server ended the connection", "Nothing was stored. Try again"),
    "permission denied": ("the user of the address may not do this", "Ask the server's keeper for the right"),
    'database "': ("the server has no such database", "Create it, or check the address"),
    'role "': ("the server has no such user", "Create it, or check the address"),
}
"""What a driver says → what is wrong, what to do."""
_NOT_THERE = ("no such table", "no such column", 'relation "', "column ")
"""What a driver says of a table or column that is not there."""


def _broken_form(error: DatabaseError, engine: Engine, shown: str) -> InputError | None:
    """Where a table or column that was asked for is not there: whether the library lacks it."""
    said = str(error.orig).lower()
    if not any(words in said for words in _NOT_THERE):
        return None
    with engine.connect() as connection:
        lacks = connection_to_lacks(connection)
    return InputError(shown, f"its form is broken ({', '.join(lacks[:3])} not there)", "",
                      "Restore it from a backup") if lacks else None


def _error_to_plain(error: DatabaseError, shown: str) -> InputError | None:
    said = str(error.orig).lower()
    for words, (found, advice) in _PLAIN.items():
        if words in said:
            return InputError(shown, found, "", advice)
    return None
