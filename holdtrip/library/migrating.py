"""Brings a library to the form this program knows: steps run by name, forward, in one transaction.

Comes in: a writing connection. Goes out: nothing; the tables are there afterwards. A library of a newer
program, or a database that is no library, is refused and left as it was.
"""

from __future__ import annotations

import sqlite3
import time
from contextlib import closing
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text

from extract.errors import InputError
from holdtrip.library.address import shown_address
from holdtrip.library.connections import BUSY_TIMEOUT_MS, writing_connection

STEPS = ("0001_first", "0002_screening", "0003_bulk", "0004_answers", "0005_curves", "0006_particulars",
         "0007_settings", "0008_later", "0009_team")
"""The names of all migrations, oldest first; one file each in library/migrations/versions."""

NEWEST = STEPS[-1]


def step_of(connection: Connection) -> str | None:
    """The last migration a library has taken; None where there is no library yet."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()


def check_known(connection: Connection, shown: str) -> bool:
    """Whether the library is up to date; raises InputError if this program must not touch it."""
    step = step_of(connection)
    if step is None:
        check_no_others(connection, shown)
        return False
    if step not in STEPS:
        raise InputError(shown, f"a library made by a newer holdtrip (its form is {step})",
                         f"{NEWEST} or older", "Nothing was changed. Upgrade holdtrip to open it")
    return step == NEWEST


def check_no_others(connection: Connection, shown: str) -> None:
    """Raise InputError for a database without a library that holds tables of somebody else."""
    others = inspect(connection).get_table_names()
    if others:
        raise InputError(shown, f"a database with other tables ({', '.join(sorted(others)[:3])})",
                         "a library or an empty database", "Name another file or database")


def bring_up_to_date(engine: Engine, address: str | Path) -> None:
    """Run the missing migrations in one transaction; several programs may try at once."""
    if engine.dialect.name == "sqlite":
        use_write_ahead_log(engine, address)
    with writing_connection(engine, address) as connection:
        if not check_known(connection, shown_address(address)):
            migrate(connection)


def use_write_ahead_log(engine: Engine, address: str | Path) -> None:
    """Readers and the writer no longer wait for each other; kept in the file. Not possible in a transaction.

    SQLite does not wait for a lock here, whatever the timeout says, so this does.
    """
    give_up = time.monotonic() + BUSY_TIMEOUT_MS / 1000
    while True:
        try:
            with closing(engine.raw_connection()) as connection, closing(connection.cursor()) as cursor:
                cursor.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            if "locked" not in str(error) or time.monotonic() > give_up:
                raise InputError(shown_address(address), f"the file cannot be written ({error})", "",
                                 "Check its permissions and the disk") from error
            time.sleep(0.02)


def migrate(connection: Connection, step: str = NEWEST) -> None:
    """Run the migrations up to a step, inside the transaction of a writing connection."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, step)
