"""Numbers out of a library: as printed with what was said of each, and as each may be used.

Comes in: a connection, a version, parts. Goes out: StoredNumber and Reading, SI and points. Changes
nothing. Accepted and corrected numbers are marked as such, rejected ones are absent; a corrected one keeps
its printed text and says so in a note. Accepting in bulk raises nothing: a number read once stays single.
"""

from __future__ import annotations

import gc
import json
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import groupby
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection, Text, and_, select, type_coerce

from extract.schema import Kind, Place, Quantity, Reading, Status
from extract.standing import Standing, status_to_standing, weaker
from holdtrip.library.any_text import stored_to_text
from holdtrip.library.chunks import chunks
from holdtrip.library.filing import names_then
from holdtrip.library.history import SAID_AT, came_by, fact_holds_at, holds_at, text_to_time
from holdtrip.library.records import Decision, StoredNumber, Verdict
from holdtrip.library.signing import POSITIVE, needs_two, second_signatures, weaker_verdict
from holdtrip.library.tables import change, decision, part, reading, second_signature, sheet

FEW = 500
"""The decisions on the numbers of so many parts are asked for number by number."""

_QUANTITIES = {quantity.value: quantity for quantity in Quantity}
_KINDS = {kind.value: kind for kind in Kind}
_STATUSES = {status.value: status for status in Status}

_BULK_TO_STATUS = {
    status.value: status if weaker(status_to_standing(status), Standing.BULK) else Status.BULK
    for status in Status
}
"""Status as read → status once accepted in bulk: never a firmer one."""

_READING = (
    reading.c.quantity, reading.c.kind, reading.c.ambient_c, reading.c.test_current_a, reading.c.value,
    reading.c.status, reading.c.page, reading.c.x0, reading.c.top, reading.c.x1, reading.c.bottom,
    type_coerce(reading.c.raw, Text), type_coerce(reading.c.unit, Text), reading.c.notes,
)
"""Texts as stored: decoding each by its column type would take a third of a comparison's time."""

_SAID = (decision.c.verdict, decision.c.value, change.c.who, SAID_AT, change.c.reason)


@dataclass(frozen=True, slots=True)
class PartName:
    """What the readings and texts of a part are called by."""

    part_number: str
    document: str
    sha256: str


def connection_to_numbers(
    connection: Connection, version: int, part_ids: Iterable[int] | None = None
) -> tuple[StoredNumber, ...]:
    """Every number as printed with what was said of it, of some parts or of all, in the order imported."""
    query = (
        select(reading.c.id, *_READING, part.c.part_number, sheet.c.document, sheet.c.sha256,
               *_SAID)
        .join(part, part.c.id == reading.c.part_id).join(sheet, sheet.c.id == reading.c.sheet_id)
        .outerjoin(decision, and_(decision.c.reading_id == reading.c.id, holds_at(decision, version)))
        .outerjoin(change, change.c.id == decision.c.change_id)
        .where(sheet.c.change_id <= version, fact_holds_at(part, version), came_by(reading, version))
        .order_by(sheet.c.id, reading.c.position)
    )
    if part_ids is None:
        rows = list(connection.execute(query))
    else:
        rows = [row for some in chunks(part_ids)
                for row in connection.execute(query.where(reading.c.part_id.in_(some)))]
    two = needs_two(connection, version)
    decided = [row[0] for row in rows if row[-len(_SAID)] in POSITIVE] if two else []
    seconds = second_signatures(connection, version, second_signature.c.reading_id, decided)
    then = names_then(connection, version)
    stored = (_row_to_stored_number(row, seconds, two) for row in rows)
    return tuple(stored) if not then else tuple(
        replace(one, reading=replace(one.reading, document=then[one.reading.sha256]))
        if one.reading.sha256 in then else one for one in stored)


def names_to_usable_readings(
    connection: Connection, version: int, names: dict[int, PartName], accepted_only: bool
) -> dict[int, list[Reading]]:
    """Part → its numbers that may be used, in the order read; `accepted_only`: those a person stands for."""
    usable: dict[int, list[Reading]] = {}
    query = (select(*_READING, reading.c.id, reading.c.part_id).where(came_by(reading, version))
             .order_by(reading.c.part_id, reading.c.position))
    with collecting_no_garbage():
        for some in chunks(names):
            rows = connection.execute(query.where(reading.c.part_id.in_(some))).fetchall()
            said = said_of(connection, version, some, [row[-2] for row in rows], accepted_only)
            for part_id, of_part in groupby(rows, key=_PART_ID):
                name = names[part_id]
                if said.nothing:
                    usable[part_id] = [_row_to_reading(row, name) for row in of_part]
                    continue
                usable[part_id] = [one for row in of_part if (one := said.reading(row, name)) is not None]
    return {part_id: readings for part_id, readings in usable.items() if readings}


_PART_ID = itemgetter(-1)


@dataclass(frozen=True, slots=True)
class Said:
    """What was said of some numbers: verdicts, those that wait for a second signature, corrections."""

    verdicts: dict[int, str]
    waiting: set[int]
    corrections: dict[int, Decision]
    accepted_only: bool

    @property
    def nothing(self) -> bool:
        """Whether each number goes out as it was read."""
        return not (self.verdicts or self.accepted_only)

    def worth(self, number_id: int, status: str, value: float) -> tuple[Status, float] | None:
        """Status and value of a number as it may be used; None for one that may not."""
        verdict = self.verdicts.get(number_id)
        is_waiting = number_id in self.waiting
        if verdict == Verdict.REJECTED or (self.accepted_only and (verdict is None or is_waiting)):
            return None
        if is_waiting:  # two values stand against each other where somebody corrected it
            return Status.DISPUTED if number_id in self.corrections else _STATUSES[status], value
        if verdict == Verdict.CORRECTED:
            corrected = self.corrections[number_id].value
            assert corrected is not None, "a correction has a value"
            return Status.CORRECTED, corrected
        if verdict is None:
            return _STATUSES[status], value
        return _BULK_TO_STATUS[status] if verdict == Verdict.BULK else Status.ACCEPTED, value

    def reading(self, row: Sequence[Any], name: PartName) -> Reading | None:
        """A number as it may be used, from a row of its columns, its own identifier and that of its part;
        None for one that may not. Its printed text stays, and a note tells who corrected it."""
        number_id = row[-2]
        worth = self.worth(number_id, row[5], row[4])
        if worth is None:
            return None
        read, said = _row_to_reading(row, name, worth[0]), self.corrections.get(number_id)
        if said is None:
            return read
        if number_id in self.waiting:
            note = f"corrected to {said.value:g} by {said.who}, not yet signed by a second person"
        else:
            note = f"printed {read.raw!r}, corrected by {said.who} on {said.at.date().isoformat()}"
            note += f": {said.reason}" if said.reason else ""
        return replace(read, value=worth[1], notes=(*read.notes, note))


def said_of(
    connection: Connection, version: int, part_ids: Sequence[int], number_ids: Sequence[int],
    accepted_only: bool,
) -> Said:
    """What was said of the numbers of some parts. number_ids: all of theirs."""
    verdicts = _verdicts(connection, version, part_ids, number_ids)
    waiting = _signed_once(connection, version, verdicts) if needs_two(connection, version) else set()
    corrected = [one for one, verdict in verdicts.items() if verdict == Verdict.CORRECTED]
    return Said(verdicts, waiting, _corrections(connection, version, corrected), accepted_only)


@contextmanager
def collecting_no_garbage() -> Iterator[None]:
    """While a hundred thousand records are made, looking for garbage among them takes half of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _row_to_reading(row: Sequence[Any], name: PartName, said: Status | None = None) -> Reading:
    """A reading from a row that begins with the columns of _READING, with the status it was read with or the
    one a person gave it.

    The hot path of a comparison: no detours.
    """
    (quantity, kind, ambient_c, test_current_a, value, status, page, x0, top, x1, bottom, raw, unit,
     notes, *_) = row
    return Reading(
        name.document, name.sha256, name.part_number, _QUANTITIES[quantity], _KINDS[kind], ambient_c,
        test_current_a, value, said or _STATUSES[status], Place(page, x0, top, x1, bottom),
        stored_to_text(raw), stored_to_text(unit), tuple(json.loads(notes)) if notes else ())


def _signed_once(connection: Connection, version: int, verdicts: dict[int, str]) -> set[int]:
    """The numbers that wait for a second signature; the verdicts of others become what both are worth."""
    decided = [one for one, verdict in verdicts.items() if verdict in POSITIVE]
    seconds = second_signatures(connection, version, second_signature.c.reading_id, decided)
    for one, second in seconds.items():
        verdicts[one] = weaker_verdict(Verdict(verdicts[one]), second.verdict)
    return set(decided) - seconds.keys()


def _verdicts(
    connection: Connection, version: int, part_ids: Sequence[int], number_ids: Sequence[int]
) -> dict[int, str]:
    """Number → accepted, corrected or rejected, where something was said that was not taken back.

    Of some parts; number_ids: all of theirs.
    """
    said = (select(decision.c.reading_id, decision.c.verdict)
            .where(holds_at(decision, version), decision.c.verdict != Verdict.REOPENED.value))
    if len(part_ids) <= FEW:  # PostgreSQL would look through every decision to join these
        queries = [said.where(decision.c.reading_id.in_(few)) for few in chunks(number_ids)]
    else:
        queries = [said.join(reading, reading.c.id == decision.c.reading_id)
                   .where(reading.c.part_id.in_(part_ids))]
    return {number_id: verdict for query in queries
            for number_id, verdict in connection.execute(query).fetchall()}


def _corrections(connection: Connection, version: int, number_ids: Iterable[int]) -> dict[int, Decision]:
    """Number → its correction; few, so that only these are fetched with who and why."""
    query = (
        select(decision.c.reading_id, *_SAID).join(change, change.c.id == decision.c.change_id)
        .where(holds_at(decision, version)))
    return {row[0]: _row_to_decision(row[1:]) for some in chunks(number_ids)
            for row in connection.execute(query.where(decision.c.reading_id.in_(some)))}


def _row_to_decision(row: Sequence[Any]) -> Decision:
    verdict, value, who, at, reason = row
    return Decision(Verdict(verdict), value, who, text_to_time(at), reason)


def _row_to_stored_number(row: Sequence[Any], seconds: dict[int, Decision], two: bool) -> StoredNumber:
    number_id, *rest = row
    name, said = PartName(*rest[len(_READING):len(_READING) + 3]), rest[len(_READING) + 3:]
    second = seconds.get(number_id)
    return StoredNumber(number_id, _row_to_reading(rest[:len(_READING)], name),
                        _row_to_decision(said) if said[0] is not None else None, second,
                        two and said[0] in POSITIVE and second is None)
