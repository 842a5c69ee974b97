"""The history as a person reads it: who did what to which part or sheet, newest last.

Comes in: a connection, a version. Goes out: Change records, each with its subject in words.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Any

from sqlalchemy import Column, Connection, Select, func, literal, select

from extract.schema import UNIT_OF, WHOLE_SERIES, Quantity
from holdtrip.library.chunks import chunks
from holdtrip.library.history import text_to_time
from holdtrip.library.part_numbers import fold
from holdtrip.library.records import Action, Change, PartState
from holdtrip.library.tables import (
    answer,
    change,
    comparison,
    curve,
    curve_decision,
    decision,
    failure,
    part,
    part_state,
    reading,
    refiling,
    second_signature,
    setting,
    sheet,
    sheet_note,
    silence,
)


def connection_to_history(
    connection: Connection, version: int, part_number: str = ""
) -> tuple[Change, ...]:
    """All changes up to a version, or those that touched a part however spaced or capitalised."""
    query = select(change).where(change.c.id <= version).order_by(change.c.id)
    if part_number:
        touched = (select(part_state.c.change_id).join(part, part.c.id == part_state.c.part_id)
                   .where(part.c.folded == fold(part_number)))
        query = query.where(change.c.id.in_(touched))
    rows = connection.execute(query).mappings().all()
    subjects = dict(_subjects(connection, [row["id"] for row in rows]))
    return tuple(Change(row["id"], text_to_time(row["at"]), row["who"], Action(row["action"]), row["reason"],
                        subjects.get(row["id"], ""), row["said_at"] is not None) for row in rows)


def _subjects(connection: Connection, versions: list[int]) -> Iterator[tuple[int, str]]:
    """(version, what it was about)."""
    for some in chunks(versions):
        for query in _SUBJECTS:
            for version, *words in connection.execute(query.where(query.selected_columns[0].in_(some))):
                yield version, " ".join(map(str, words))
        yield from _second_subjects(connection, some)
        yield from _decision_subjects(connection, some)


def _decision_subjects(connection: Connection, versions: tuple[int, ...]) -> Iterator[tuple[int, str]]:
    """A single number decided is told with its printed text and its correction, several by their count, parts
    too."""
    query = (
        select(decision.c.change_id, func.count(), func.min(reading.c.quantity), func.min(reading.c.raw),
               func.min(decision.c.value), part.c.part_number, sheet.c.document)
        .join(reading, reading.c.id == decision.c.reading_id).join(part, part.c.id == reading.c.part_id)
        .join(sheet, sheet.c.id == reading.c.sheet_id).where(decision.c.change_id.in_(versions))
        .group_by(decision.c.change_id, part.c.id, part.c.part_number, sheet.c.document)
        .order_by(decision.c.change_id, part.c.part_number))
    for version, rows in groupby(connection.execute(query).all(), key=lambda row: row[0]):
        told = list(rows)
        _, count, quantity, raw, value, number, document = told[0]
        if len(told) == 1 and count == 1:
            corrected = "" if value is None else f", corrected to {value:g} {UNIT_OF[Quantity(quantity)]}"
            yield version, f"{number} of {document}: {quantity} {raw}{corrected}"
        else:
            yield version, _parts_to_words([(row[5], row[6], row[1]) for row in told])


def _second_subjects(connection: Connection, versions: tuple[int, ...]) -> Iterator[tuple[int, str]]:
    """Numbers that somebody signed second, by nothing but that."""
    signed = second_signature.c.change_id
    query = (
        select(signed, part.c.part_number, sheet.c.document, func.count())
        .join(reading, reading.c.id == second_signature.c.reading_id)
        .join(part, part.c.id == reading.c.part_id).join(sheet, sheet.c.id == part.c.sheet_id)
        .where(signed.in_(versions), signed.not_in(select(decision.c.change_id)))
        .group_by(signed, part.c.id, part.c.part_number, sheet.c.document)
        .order_by(signed, part.c.part_number))
    for version, rows in groupby(connection.execute(query).all(), key=lambda row: row[0]):
        yield version, _parts_to_words([(number, document, count) for _, number, document, count in rows])


def _parts_to_words(told: list[tuple[str, str, int]]) -> str:
    """(part, datasheet, how many numbers) of one change in words: a part by its name, several by their
    count; what the sheet says of the whole series counts along."""
    parts = sorted({(number, document) for number, document, _ in told if number != WHOLE_SERIES})
    documents = sorted({document for _, document, _ in told})
    whose = documents[0] if len(documents) == 1 else f"{len(documents)} datasheets"
    named = parts[0][0] if len(parts) == 1 else f"{len(parts)} parts" if parts else WHOLE_SERIES
    count = sum(numbers for *_, numbers in told)
    return f"{named} of {whose}: {count} {'number' if count == 1 else 'numbers'}"


def _state_subjects() -> Select[Any]:
    """Reviews that decided nothing yet name the part."""
    return (select(part_state.c.change_id, part.c.part_number)
            .join(part, part.c.id == part_state.c.part_id)
            .join(change, change.c.id == part_state.c.change_id)
            .where(change.c.action == Action.START_REVIEW.value))


def _withdrawn_subjects(version: Column[int], action: Action) -> Select[Any]:
    """The sheet whose parts are withdrawn from a change on, or were until it; other revisions, which count
    instead of it, are touched as well."""
    return (select(version, sheet.c.document).distinct()
            .join(part, part.c.id == part_state.c.part_id).join(sheet, sheet.c.id == part.c.sheet_id)
            .join(change, change.c.id == version)
            .where(change.c.action == action.value, part_state.c.own_state == PartState.WITHDRAWN.value))


_older = sheet.alias("older")

_SUBJECTS: tuple[Select[Any], ...] = (
    _state_subjects(),
    select(sheet.c.change_id, sheet.c.document),
    select(reading.c.added_by, sheet.c.document, literal("gained"), func.count(), literal("numbers"))
    .join(sheet, sheet.c.id == reading.c.sheet_id).group_by(reading.c.added_by, sheet.c.document),
    select(failure.c.change_id, failure.c.document),
    select(silence.c.change_id, silence.c.code, silence.c.part_number),
    select(silence.c.replaced_by, silence.c.code, silence.c.part_number),
    select(curve_decision.c.change_id, func.min(curve.c.part_number), literal("curve, of"), func.count(),
           func.max(curve_decision.c.part_number))
    .join(curve, curve.c.id == curve_decision.c.curve_id).group_by(curve_decision.c.change_id),
    select(comparison.c.change_id, comparison.c.name),
    (select(part_state.c.change_id, sheet.c.document).distinct()
     .join(part, part.c.id == part_state.c.part_id).join(sheet, sheet.c.id == part.c.sheet_id)
     .join(change, change.c.id == part_state.c.change_id)
     .where(change.c.action == Action.READ_AGAIN.value)),
    (select(part.c.change_id, sheet.c.document).distinct().join(sheet, sheet.c.id == part.c.sheet_id)
     .join(change, change.c.id == part.c.change_id).where(change.c.action == Action.READ_AGAIN.value)),
    _withdrawn_subjects(part_state.c.change_id, Action.WITHDRAW),
    _withdrawn_subjects(part_state.c.replaced_by, Action.PUT_BACK),
    select(setting.c.change_id, setting.c.name, setting.c.value),
    (select(refiling.c.change_id, refiling.c.document, literal("to"), refiling.c.now_document)
     .where(refiling.c.now_beside.is_(None))),
    (select(refiling.c.change_id, refiling.c.document, literal("from its revisions"))
     .where(refiling.c.now_beside == "")),
    (select(refiling.c.change_id, refiling.c.document, literal("after"), _older.c.document)
     .join(_older, _older.c.sha256 == refiling.c.now_beside)),
    (select(sheet_note.c.change_id, sheet.c.document, literal(":"), sheet_note.c.text)
     .join(sheet, sheet.c.id == sheet_note.c.sheet_id)),
    (select(second_signature.c.change_id, literal("curve of"), curve.c.part_number)
     .join(curve, curve.c.id == second_signature.c.curve_id)),
    select(answer.c.replaced_by, answer.c.document, answer.c.code, answer.c.answer),
    select(answer.c.change_id, answer.c.document, answer.c.code, answer.c.answer),
)
