"""Numbers that come to a stored sheet later, by a person's word: an answer to a question, a framed table.

Comes in: a writing connection, readings of the sheet, the numbers they stand in place of. Goes out: what came
and what went. Nothing is altered: the numbers replaced are rejected by the same change, and taking it back
rejects what came and opens what went. Reads no PDF.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Select, Table, func, insert, select

from extract.errors import InputError
from extract.schema import Reading
from holdtrip.library.chunks import chunks
from holdtrip.library.decisions import add_decisions
from holdtrip.library.history import SAID_AT, add_change, text_to_time
from holdtrip.library.part_numbers import fold
from holdtrip.library.records import Action, Signature, Verdict
from holdtrip.library.sheets import reading_to_row
from holdtrip.library.state_rows import renew_states
from holdtrip.library.tables import change, decision, part, reading, sheet

_BY_WORD = (Action.ANSWER.value, Action.FRAME.value)


@dataclass(frozen=True, slots=True)
class LaterOutcome:
    """The change, identifiers of the numbers that came and of those that went."""

    version: int
    came: tuple[int, ...]
    went: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class LaterChange:
    """An answer or a framed table that holds: what it was, who, when, why, the numbers that came and went."""

    version: int
    action: Action
    who: str
    at: datetime
    reason: str
    came: tuple[int, ...]
    went: tuple[int, ...]


def connection_to_later(connection: Connection, sha256: str) -> tuple[LaterChange, ...]:
    """The answers and framed tables of a sheet that were not taken back, oldest first."""
    of_sheet = (select(reading.c.id).join(sheet, sheet.c.id == reading.c.sheet_id)
                .where(sheet.c.sha256 == sha256))
    back = (select(decision.c.reading_id).join(change, change.c.id == decision.c.change_id)
            .where(decision.c.replaced_by.is_(None), change.c.action == Action.TAKE_BACK.value))
    came = select(reading.c.added_by, reading.c.id).where(
        reading.c.id.in_(of_sheet), reading.c.added_by.is_not(None), reading.c.id.not_in(back))
    went = (select(decision.c.change_id, decision.c.reading_id)
            .join(change, change.c.id == decision.c.change_id)
            .where(decision.c.reading_id.in_(of_sheet), decision.c.replaced_by.is_(None),
                   change.c.action.in_(_BY_WORD)))
    found: dict[int, tuple[list[int], list[int]]] = {}
    for side, query in enumerate((came, went)):
        for version, number_id in connection.execute(query):
            found.setdefault(version, ([], []))[side].append(number_id)
    rows = connection.execute(
        select(change.c.id, change.c.action, change.c.who, SAID_AT, change.c.reason)
        .where(change.c.id.in_(found)).order_by(change.c.id))
    return tuple(
        LaterChange(version, Action(action), who, text_to_time(at), reason, *map(tuple, found[version]))
        for version, action, who, at, reason in rows)


def add_later(
    connection: Connection, sha256: str, readings: Sequence[Reading], instead_of: Iterable[int],
    action: Action, by: Signature,
) -> LaterOutcome:
    """Add readings to a stored sheet in place of numbers of it, as one change.

    Raises InputError without a reason, for a sheet not stored, for a number of another sheet, or where
    nothing would change.
    """
    _need_reason(by)
    sheet_id = _sheet_id(connection, sha256)
    went = _of_sheet(connection, sheet_id, instead_of)
    if not readings and not went:
        raise InputError("library", "nothing to add and nothing to replace", "numbers of the sheet")
    version = add_change(connection, action, by)
    part_ids = _part_ids(connection, sheet_id, [one.part_number for one in readings], version)
    first = _next(connection, reading, sheet_id)
    came: list[int] = []
    if readings:
        rows = [reading_to_row(one) | {"part_id": part_ids[one.part_number], "sheet_id": sheet_id,
                                       "position": first + number, "added_by": version}
                for number, one in enumerate(readings)]
        came = list(connection.execute(
            insert(reading).returning(reading.c.id, sort_by_parameter_order=True), rows).scalars())
    if went:
        add_decisions(connection, version, [(one, Verdict.REJECTED, None) for one in went])
    renew_states(connection, version, {*part_ids.values(), *_parts_of(connection, went)})
    return LaterOutcome(version, tuple(came), tuple(went))


def take_back_later(
    connection: Connection, sha256: str, number_ids: Iterable[int], by: Signature
) -> LaterOutcome:
    """Take back the changes by which some numbers came or went: all that came by them is rejected, all that
    went is open again. Raises InputError without a reason or where none of them came or went so."""
    _need_reason(by)
    chosen = _of_sheet(connection, _sheet_id(connection, sha256), number_ids)
    versions = _versions_of(connection, chosen)
    came = _column(connection, select(reading.c.id).where(reading.c.added_by.in_(versions)))
    went = _column(connection, select(decision.c.reading_id).where(
        decision.c.change_id.in_(versions), decision.c.replaced_by.is_(None)))
    if not came and not went:
        raise InputError("library", "no answer and no framed table gave these numbers",
                         "numbers that one gave")
    version = add_change(connection, Action.TAKE_BACK, by)
    add_decisions(connection, version, [*((one, Verdict.REJECTED, None) for one in came),
                                        *((one, Verdict.REOPENED, None) for one in went)])
    renew_states(connection, version, _parts_of(connection, [*came, *went]))
    return LaterOutcome(version, tuple(went), tuple(came))


def _versions_of(connection: Connection, number_ids: Sequence[int]) -> list[int]:
    """The changes by which numbers came, or went because others came in their place or none did."""
    came = _column(connection, select(reading.c.added_by).where(
        reading.c.id.in_(number_ids), reading.c.added_by.is_not(None)))
    went = _column(connection, select(decision.c.change_id).join(change, change.c.id == decision.c.change_id)
                   .where(decision.c.reading_id.in_(number_ids), decision.c.replaced_by.is_(None),
                          change.c.action.in_(_BY_WORD)))
    return sorted({*came, *went})


def _column(connection: Connection, query: Select[Any]) -> list[int]:
    return list(connection.execute(query).scalars())


def _need_reason(by: Signature) -> None:
    if not by.reason.strip():
        raise InputError("library", "numbers changed without a reason", "a reason that others can follow")


def _sheet_id(connection: Connection, sha256: str) -> int:
    found = connection.execute(select(sheet.c.id).where(sheet.c.sha256 == sha256)).scalar()
    if found is None:
        raise InputError("library", f"no sheet {sha256[:12]}", "a stored sheet")
    return int(found)


def _of_sheet(connection: Connection, sheet_id: int, number_ids: Iterable[int]) -> list[int]:
    """The numbers, in order; raises InputError if one is of another sheet."""
    wanted = sorted(set(number_ids))
    found = [one for some in chunks(wanted) for one in connection.execute(
        select(reading.c.id).where(reading.c.sheet_id == sheet_id, reading.c.id.in_(some))).scalars()]
    if len(found) != len(wanted):
        raise InputError("library", f"{len(wanted) - len(found)} numbers are not of this sheet")
    return wanted


def _part_ids(
    connection: Connection, sheet_id: int, numbers: Iterable[str], version: int
) -> dict[str, int]:
    """Part number → identifier; a part that the sheet did not have yet is added."""
    query = select(part.c.part_number, part.c.id).where(
        part.c.sheet_id == sheet_id, part.c.replaced_by.is_(None))
    known = {str(number): int(part_id) for number, part_id in connection.execute(query)}
    position = _next(connection, part, sheet_id)
    found: dict[str, int] = {}
    for number in dict.fromkeys(numbers):
        if number not in known:
            row = {"sheet_id": sheet_id, "position": position, "part_number": number,
                   "folded": fold(number), "change_id": version}
            known[number] = connection.execute(insert(part).values(row).returning(part.c.id)).scalar_one()
            position += 1
        found[number] = known[number]
    return found


def _next(connection: Connection, table: Table, sheet_id: int) -> int:
    last = select(func.coalesce(func.max(table.c.position), -1)).where(table.c.sheet_id == sheet_id)
    return int(connection.execute(last).scalar_one()) + 1


def _parts_of(connection: Connection, number_ids: Sequence[int]) -> set[int]:
    return {part_id for some in chunks(number_ids) for part_id in connection.execute(
        select(reading.c.part_id).distinct().where(reading.c.id.in_(some))).scalars()}
