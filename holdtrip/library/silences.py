"""Findings a person has looked at: "the source really says this" is remembered and not raised again.

Comes in: the key of a finding, a signature. Goes out: the keys in force. Does not check anything.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, insert, select, update

from extract.errors import InputError
from extract.schema import Finding, Quantity
from holdtrip.library.history import SAID_AT, add_change, holds_at, text_to_time, version_at
from holdtrip.library.part_numbers import fold
from holdtrip.library.records import Action, Signature
from holdtrip.library.tables import change, silence


@dataclass(frozen=True, slots=True)
class FindingKey:
    """What makes a finding the same one again. `part_number` is folded; `value` is what was found."""

    code: str
    part_number: str
    quantity: Quantity | None
    value: str


@dataclass(frozen=True, slots=True)
class Silence:
    """A finding not to be raised again, and who said so."""

    key: FindingKey
    who: str
    at: datetime
    reason: str


def finding_to_key(finding: Finding) -> FindingKey:
    """The key of a finding: raised again for another value, it is another finding."""
    return FindingKey(finding.code, fold(finding.part_number), finding.quantity, finding.found)


def add_silence(connection: Connection, key: FindingKey, by: Signature) -> None:
    """Remember a finding as looked at; a reason is needed. One remembered already stays as it is."""
    if not by.reason.strip():
        raise InputError("library", f"{key.code} silenced without a reason", "a reason others can follow",
                         "Say why, such as --because 'page 3 prints it so'")
    if not _in_force(connection, key):
        version = add_change(connection, Action.SILENCE, by)
        connection.execute(insert(silence).values(change_id=version, **_key_to_row(key)))


def remove_silence(connection: Connection, key: FindingKey, by: Signature) -> None:
    """Let a finding be raised again; raises InputError if it was not silenced."""
    found = _in_force(connection, key)
    if not found:
        raise InputError("library", f"{key.code} of {key.part_number or 'the table'} is not silenced")
    version = add_change(connection, Action.UNSILENCE, by)
    connection.execute(update(silence).values(replaced_by=version).where(silence.c.id.in_(found)))


def connection_to_silences(connection: Connection, version: int) -> tuple[Silence, ...]:
    """All silences in force at a version, oldest first."""
    query = (
        select(silence.c.code, silence.c.part_number, silence.c.quantity, silence.c.value, change.c.who,
               SAID_AT, change.c.reason)
        .join(change, change.c.id == silence.c.change_id).where(holds_at(silence, version))
        .order_by(silence.c.id))
    return tuple(
        Silence(FindingKey(code, number, Quantity(quantity) if quantity else None, value), who,
                text_to_time(at), reason)
        for code, number, quantity, value, who, at, reason in connection.execute(query))


def _in_force(connection: Connection, key: FindingKey) -> list[int]:
    columns = [silence.c[name] == value for name, value in _key_to_row(key).items()]
    return list(connection.execute(
        select(silence.c.id).where(holds_at(silence, version_at(connection)), *columns)).scalars())


def _key_to_row(key: FindingKey) -> dict[str, str]:
    return {"code": key.code, "part_number": fold(key.part_number),
            "quantity": key.quantity.value if key.quantity is not None else "", "value": key.value}
