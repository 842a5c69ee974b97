"""What a team has settled for its library: where copies of datasheets are kept, who may accept.

Comes in: a connection, values. Goes out: the settings in force; copies kept in the database. Each setting is
a change with its name in the history.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from sqlalchemy import Connection, insert, select, update

from extract.errors import InputError
from holdtrip.library.history import add_change, holds_at, version_at
from holdtrip.library.records import Action, Signature
from holdtrip.library.signing import SIGNATURES, TWO, is_same_person, needs_two
from holdtrip.library.state_rows import renew_decided
from holdtrip.library.tables import setting, sheet_copy

IN_DATABASE = "database"
_COPIES, _ACCEPTORS = "copies", "acceptors"


@dataclass(frozen=True, slots=True)
class Settings:
    """`copies`: empty for the usual folder, `database`, or a folder that all share; `acceptors`: who may
    accept and correct, nobody named means everybody; `signatures`: how many different people must accept a
    number before it counts as accepted, 1 or 2."""

    copies: str = ""
    acceptors: tuple[str, ...] = ()
    signatures: int = 1


def connection_to_settings(connection: Connection, version: int) -> Settings:
    """The settings in force at a version."""
    rows = connection.execute(select(setting.c.name, setting.c.value).where(holds_at(setting, version)))
    values: dict[str, str] = {name: value for name, value in rows}  # noqa: C416 - rows are no tuples
    return Settings(values.get(_COPIES, ""), tuple(filter(None, values.get(_ACCEPTORS, "").split("\n"))),
                    2 if values.get(SIGNATURES) == TWO else 1)


def change_settings(
    connection: Connection, by: Signature, copies: str | None = None,
    acceptors: tuple[str, ...] | None = None, signatures: int | None = None,
) -> None:
    """Settle something by one change; None stays as it is. Other signatures count all parts anew."""
    named = connection_to_settings(connection, version_at(connection)).acceptors
    will_accept = named if acceptors is None else acceptors
    for first, second in combinations(will_accept, 2):
        if is_same_person(first, second):
            raise InputError("library", f"{first} and {second} are one person", "each name once")
    will_sign = signatures or (2 if needs_two(connection, version_at(connection)) else 1)
    if will_sign == 2 and len(will_accept) == 1:
        raise InputError("library", f"two signatures, and {will_accept[0]} alone may accept",
                         "two who may accept, or nobody named", "--acceptors 'NAME, NAME'")
    version = add_change(connection, Action.SETTING, by)
    given = {_COPIES: copies, _ACCEPTORS: None if acceptors is None else "\n".join(acceptors),
             SIGNATURES: None if signatures is None else str(signatures)}
    for name, value in given.items():
        if value is not None:
            connection.execute(update(setting).values(replaced_by=version)
                               .where(setting.c.name == name, setting.c.replaced_by.is_(None)))
            connection.execute(insert(setting).values(change_id=version, name=name, value=value))
    if signatures is not None:
        renew_decided(connection, version)


def check_acceptor(settings: Settings, who: str) -> None:
    """Raise InputError for somebody who may not accept here."""
    if settings.acceptors and not any(is_same_person(who, one) for one in settings.acceptors):
        raise InputError("library", f"{who} may not accept or correct in this library",
                         f"one of {', '.join(settings.acceptors)}", "`holdtrip settings` shows who may")


def copy_of(connection: Connection, sha256: str) -> bytes | None:
    """The bytes of a datasheet kept in the database, or None."""
    found = connection.execute(select(sheet_copy.c.data).where(sheet_copy.c.sha256 == sha256)).scalar()
    return None if found is None else bytes(found)


def has_copy(connection: Connection, sha256: str) -> bool:
    """Whether the database keeps the bytes of a datasheet."""
    query = select(sheet_copy.c.id).where(sheet_copy.c.sha256 == sha256)
    return connection.execute(query).first() is not None


def keep_copy(connection: Connection, sha256: str, data: bytes) -> None:
    """Keep the bytes of a datasheet in the database; those that are there stay."""
    if not has_copy(connection, sha256):
        connection.execute(insert(sheet_copy).values(sha256=sha256, data=data))
