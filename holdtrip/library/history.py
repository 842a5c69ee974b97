"""Changes: one row for each thing done, and which change was the last at a given time.

Comes in: a connection. Goes out: versions (identifiers of changes) and conditions that pick what held then.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from sqlalchemy import ColumnElement, Connection, Insert, Table, and_, func, insert, or_, select

from extract.errors import InputError
from holdtrip.library.records import Action, Moment, Signature
from holdtrip.library.tables import change

SAID_AT = func.coalesce(change.c.said_at, change.c.at)
"""When somebody said it: in this library, or earlier in the one it was imported from."""


def add_change(connection: Connection, action: Action, by: Signature) -> int:
    """Add a change now and return its version. Its time is never before that of the last change."""
    if not by.who.strip():
        raise InputError("library", "nobody's name stands by the change", "a name",
                         "Say who does it, such as --who NAME")
    last = connection.execute(select(func.max(change.c.at))).scalar()
    now = datetime.now(UTC)
    if last is not None:
        now = max(now, text_to_time(last) + timedelta(microseconds=1))
    return inserted_id(connection, insert(change).values(
        at=time_to_text(now), said_at=time_to_text(by.said_at) if by.said_at else None, who=by.who,
        action=action.value, reason=by.reason))


def inserted_id(connection: Connection, statement: Insert) -> int:
    """Insert one row and return its identifier."""
    key = connection.execute(statement).inserted_primary_key
    assert key is not None, "every table has one"
    return int(key[0])


def time_to_text(time: datetime) -> str:
    """UTC in ISO 8601 with microseconds, always as wide; raises InputError for a time without a zone."""
    if time.tzinfo is None:
        raise InputError("library", f"the time {time.isoformat()} has no zone", "a time with its zone",
                         "Write it such as 2030-01-31T12:00:00+00:00")
    return time.astimezone(UTC).isoformat(timespec="microseconds")


def text_to_time(text: str) -> datetime:
    """The time that `time_to_text` was given, in UTC."""
    return datetime.fromisoformat(text)


def version_at(connection: Connection, as_of: Moment | None = None) -> int:
    """The last version at a time, or not after a version; today's without one; 0 where nothing was done."""
    last = select(func.coalesce(func.max(change.c.id), 0))
    if isinstance(as_of, int):
        last = last.where(change.c.id <= as_of)
    elif as_of is not None:
        last = last.where(change.c.at <= time_to_text(as_of))
    return int(connection.execute(last).scalar_one())


def first_time(connection: Connection) -> datetime | None:
    """When the first change was made; None where nothing was done."""
    first = connection.execute(select(func.min(change.c.at))).scalar()
    return None if first is None else text_to_time(first)


def fact_holds_at(table: Table, version: int) -> ColumnElement[bool]:
    """As `holds_at`, for rows that are as old as their sheet where they name no change."""
    return and_(or_(table.c.change_id.is_(None), table.c.change_id <= version),
                or_(table.c.replaced_by.is_(None), table.c.replaced_by > version))


def holds_at(table: Table, version: int) -> ColumnElement[bool]:
    """Condition: the row had been added at a version and not been replaced."""
    return and_(table.c.change_id <= version,
                or_(table.c.replaced_by.is_(None), table.c.replaced_by > version))


def came_by(table: Table, version: int) -> ColumnElement[bool]:
    """Condition: the row came with its sheet, or by a change up to a version."""
    return or_(table.c.added_by.is_(None), table.c.added_by <= version)
