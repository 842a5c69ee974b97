"""Parts and numbers out of a library: the rows of a list, the parts for a comparison, one number's story.

Comes in: a connection, a version, a filter. Goes out: PartRow, Part and StoredNumber, SI and points.
Changes nothing. A part of a comparison carries each number as it may be used: accepted and corrected
ones marked as such, rejected ones absent; a corrected one keeps its printed text and says so in a note.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, and_, or_, select

from extract.schema import WHOLE_SERIES, Kind, Part, PartText, Place, Quantity, Reading, Status
from library.chunks import chunks
from library.history import holds_at, text_to_time
from library.part_numbers import fold
from library.records import Decision, PartFilter, PartRow, PartState, StoredNumber, Verdict
from library.tables import change, decision, part, part_state, part_text, reading, sheet

EVERY_PART = PartFilter()

_QUANTITIES = {quantity.value: quantity for quantity in Quantity}
_KINDS = {kind.value: kind for kind in Kind}
_STATUSES = {status.value: status for status in Status}


def connection_to_rows(
    connection: Connection, version: int, where: PartFilter = EVERY_PART, live_only: bool = False
) -> tuple[PartRow, ...]:
    """Parts in short, in the order imported; the whole series (`*`) is no part of a list."""
    query = _filtered(_select_rows(version), where)
    if live_only:
        query = query.where(part_state.c.live)
    return tuple(_row_to_part_row(row[1:]) for row in connection.execute(query))


def connection_to_parts(
    connection: Connection, version: int, where: PartFilter = EVERY_PART, accepted_only: bool = False
) -> tuple[Part, ...]:
    """The parts in force with every number that may be used, in the order imported.

    With `accepted_only` only numbers a person accepted or corrected, and only parts that have one.
    """
    query = _filtered(_select_rows(version), where).where(part_state.c.live)
    if accepted_only:
        query = query.where(part_state.c.accepted > 0)
    return _rows_to_parts(connection, version, _part_columns(connection, query), accepted_only)


def connection_to_named_parts(connection: Connection, version: int, part_number: str) -> tuple[Part, ...]:
    """The parts in force of one number, however spaced or capitalised: one of each sheet that has it."""
    query = _select_rows(version).where(part.c.folded == fold(part_number), part_state.c.live)
    return _rows_to_parts(connection, version, _part_columns(connection, query), accepted_only=False)


def parts_to_readings(parts: Iterable[Part]) -> tuple[Reading, ...]:
    """The readings of parts in the order read, each once: those of a whole series once for its sheet."""
    seen: set[str] = set()
    readings: list[Reading] = []
    for one in parts:
        readings += [number for number in one.readings if number.part_number != WHOLE_SERIES]
        if one.sha256 not in seen:
            seen.add(one.sha256)
            readings += [number for number in one.readings if number.part_number == WHOLE_SERIES]
    return tuple(readings)


def connection_to_numbers(
    connection: Connection, version: int, part_ids: Iterable[int] | None = None
) -> tuple[StoredNumber, ...]:
    """Every number as printed with what was said of it, of some parts or of all, in the order imported."""
    query = (
        select(reading.c.id, *_READING, part.c.part_number, sheet.c.document, sheet.c.sha256,
               decision.c.verdict, decision.c.value, change.c.who, change.c.at, change.c.reason)
        .join(part, part.c.id == reading.c.part_id).join(sheet, sheet.c.id == reading.c.sheet_id)
        .outerjoin(decision, and_(decision.c.reading_id == reading.c.id, holds_at(decision, version)))
        .outerjoin(change, change.c.id == decision.c.change_id)
        .where(sheet.c.change_id <= version).order_by(sheet.c.id, reading.c.position)
    )
    if part_ids is None:
        rows = list(connection.execute(query))
    else:
        rows = [row for some in chunks(part_ids)
                for row in connection.execute(query.where(reading.c.part_id.in_(some)))]
    return tuple(_row_to_stored_number(row) for row in rows)


def part_ids_of(
    connection: Connection, version: int, part_number: str, sha256: str = ""
) -> tuple[int, ...]:
    """Identifiers of the parts of a number, however spaced or capitalised: those in force, or any of the
    sheets whose sha256 begins so."""
    query = _select_rows(version, with_series=True).where(part.c.folded == fold(part_number))
    of_sheet = sheet.c.sha256.startswith(sha256, autoescape=True) if sha256 else part_state.c.live
    query = query.where(of_sheet)
    return tuple(connection.execute(query.with_only_columns(part.c.id)).scalars())


def part_id_to_row(connection: Connection, version: int, part_id: int) -> PartRow:
    """One part in short."""
    row = connection.execute(_select_rows(version, with_series=True).where(part.c.id == part_id)).one()
    return _row_to_part_row(row[1:])


def _select_rows(version: int, with_series: bool = False) -> Select[Any]:
    query = (
        select(part.c.id, part.c.part_number, sheet.c.document, sheet.c.sha256, sheet.c.revision,
               part_state.c.own_state, part_state.c.superseded, part_state.c.live, part_state.c.undecided,
               part_state.c.disputed, part_state.c.accepted, part_state.c.rejected,
               part_state.c.hold_current_min_a, part_state.c.hold_current_max_a, part_state.c.change_id)
        .join(sheet, sheet.c.id == part.c.sheet_id).join(part_state, part_state.c.part_id == part.c.id)
        .where(holds_at(part_state, version)).order_by(sheet.c.id, part.c.position)
    )
    return query if with_series else query.where(part.c.part_number != WHOLE_SERIES)


def _part_columns(connection: Connection, query: Select[Any]) -> Sequence[Sequence[Any]]:
    """What _rows_to_parts needs of each part."""
    return connection.execute(query.with_only_columns(
        part.c.id, part.c.sheet_id, part.c.part_number, sheet.c.document, sheet.c.sha256)).all()


def _filtered(query: Select[Any], where: PartFilter) -> Select[Any]:
    conditions: list[ColumnElement[bool]] = []
    if where.like:
        conditions.append(part.c.folded.contains(fold(where.like), autoescape=True))
    if where.states:
        conditions.append(or_(*map(_state_condition, where.states)))
    if where.hold_current_min_a is not None:
        largest = part_state.c.hold_current_max_a
        conditions.append(or_(largest.is_(None), largest >= where.hold_current_min_a))
    if where.hold_current_max_a is not None:
        least = part_state.c.hold_current_min_a
        conditions.append(or_(least.is_(None), least <= where.hold_current_max_a))
    return query.where(*conditions).limit(where.limit).offset(where.offset or None)


def _state_condition(state: PartState) -> ColumnElement[bool]:
    if state is PartState.SUPERSEDED:
        return part_state.c.superseded
    return and_(~part_state.c.superseded, part_state.c.own_state == state.value)


def _row_to_part_row(row: Sequence[Any]) -> PartRow:
    number, document, sha256, revision, own_state, superseded, *rest = row
    state = PartState.SUPERSEDED if superseded else PartState(own_state)
    return PartRow(number, document, sha256, revision, state, *rest)


_READING = (
    reading.c.quantity, reading.c.kind, reading.c.ambient_c, reading.c.test_current_a, reading.c.value,
    reading.c.status, reading.c.page, reading.c.x0, reading.c.top, reading.c.x1, reading.c.bottom,
    reading.c.raw, reading.c.unit, reading.c.notes,
)



@dataclass(frozen=True, slots=True)
class _Name:
    """What the readings and texts of a part are called by."""

    part_number: str
    document: str
    sha256: str


def _row_to_reading(row: Sequence[Any], name: _Name) -> Reading:
    """A reading as printed, from the columns of _READING. The hot path of a comparison: no detours."""
    (quantity, kind, ambient_c, test_current_a, value, status, page, x0, top, x1, bottom, raw, unit,
     notes) = row
    return Reading(
        name.document, name.sha256, name.part_number, _QUANTITIES[quantity], _KINDS[kind], ambient_c,
        test_current_a, value, _STATUSES[status], Place(page, x0, top, x1, bottom), raw, unit,
        tuple(json.loads(notes)) if notes else ())


def decided_reading(number: StoredNumber) -> Reading | None:
    """A number as it may be used: accepted, corrected, as read; None if a person rejected it."""
    reading, said = number.reading, number.decision
    if said is None or said.verdict is Verdict.REOPENED:
        return reading
    if said.verdict is Verdict.REJECTED:
        return None
    if said.verdict is Verdict.ACCEPTED:
        return replace(reading, status=Status.ACCEPTED)
    assert said.value is not None, "a correction has a value"
    note = f"printed {reading.raw!r}, corrected by {said.who} on {said.at.date().isoformat()}"
    note += f": {said.reason}" if said.reason else ""
    return replace(reading, value=said.value, status=Status.CORRECTED, notes=(*reading.notes, note))


def _rows_to_parts(
    connection: Connection, version: int, found: Sequence[Sequence[Any]], accepted_only: bool
) -> tuple[Part, ...]:
    names = {row[0]: _Name(*row[2:]) for row in found}
    series = _series_of_sheets(connection, {row[1]: _Name(WHOLE_SERIES, row[3], row[4]) for row in found})
    texts = _texts(connection, names)
    numbers = _usable_readings(
        connection, version, names | dict(series.values()), accepted_only)
    none: tuple[int, None] = (-1, None)
    return tuple(
        Part(name.part_number, name.document, name.sha256,
             (*numbers.get(row[0], ()), *numbers.get(series.get(row[1], none)[0], ())),
             tuple(texts.get(row[0], ())))
        for row, name in zip(found, names.values(), strict=True)
    )


def _series_of_sheets(connection: Connection, sheets: dict[int, _Name]) -> dict[int, tuple[int, _Name]]:
    """Sheet → the identifier of its whole series (`*`), where it gives numbers for that."""
    return {
        sheet_id: (part_id, sheets[sheet_id]) for some in chunks(sheets)
        for part_id, sheet_id in connection.execute(
            select(part.c.id, part.c.sheet_id)
            .where(part.c.sheet_id.in_(some), part.c.part_number == WHOLE_SERIES))
    }


def _usable_readings(
    connection: Connection, version: int, names: dict[int, _Name], accepted_only: bool
) -> dict[int, list[Reading]]:
    """Part → its numbers that may be used, in the order read."""
    decided = _decisions(connection, version, names)
    usable: dict[int, list[Reading]] = {}
    query = select(reading.c.id, reading.c.part_id, *_READING).order_by(reading.c.part_id, reading.c.position)
    for some in chunks(names):
        for number_id, part_id, *row in connection.execute(query.where(reading.c.part_id.in_(some))):
            said = decided.get(number_id)
            if accepted_only and (said is None or said.verdict is Verdict.REOPENED):
                continue
            printed = _row_to_reading(row, names[part_id])
            one = decided_reading(StoredNumber(number_id, printed, said)) if said else printed
            if one is not None:
                usable.setdefault(part_id, []).append(one)
    return usable


def _decisions(connection: Connection, version: int, part_ids: Iterable[int]) -> dict[int, Decision]:
    """Number → what was said of it."""
    query = (
        select(decision.c.reading_id, decision.c.verdict, decision.c.value, change.c.who, change.c.at,
               change.c.reason)
        .join(change, change.c.id == decision.c.change_id)
        .join(reading, reading.c.id == decision.c.reading_id).where(holds_at(decision, version)))
    return {row[0]: _row_to_decision(row[1:]) for some in chunks(part_ids)
            for row in connection.execute(query.where(reading.c.part_id.in_(some)))}


def _row_to_decision(row: Sequence[Any]) -> Decision:
    verdict, value, who, at, reason = row
    return Decision(Verdict(verdict), value, who, text_to_time(at), reason)


def _row_to_stored_number(row: Sequence[Any]) -> StoredNumber:
    number_id, *rest = row
    name, said = _Name(*rest[len(_READING):len(_READING) + 3]), rest[len(_READING) + 3:]
    return StoredNumber(number_id, _row_to_reading(rest[:len(_READING)], name),
                        _row_to_decision(said) if said[0] is not None else None)


def _texts(connection: Connection, names: dict[int, _Name]) -> dict[int, list[PartText]]:
    """Part → what its sheet says of it in words, in the order read."""
    columns = part_text.c
    query = select(
        columns.part_id, columns.name, columns.text, columns.page, columns.x0, columns.top, columns.x1,
        columns.bottom).order_by(columns.part_id, columns.position)
    texts: dict[int, list[PartText]] = {}
    for some in chunks(names):
        for part_id, name, text, *place in connection.execute(query.where(columns.part_id.in_(some))):
            of = names[part_id]
            texts.setdefault(part_id, []).append(
                PartText(of.document, of.sha256, of.part_number, name, text, Place(*place)))
    return texts
