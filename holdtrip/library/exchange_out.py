"""A library as the tables that libraries exchange.

Comes in: a connection, a version. Goes out: records, see exchange_records.py. Changes nothing. Everything
said of a number goes along, also what was said later otherwise; silences and comparisons as they stand.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import fields
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, RowMapping, select

from holdtrip.library.answers import connection_to_answers
from holdtrip.library.comparisons import connection_to_comparisons
from holdtrip.library.exchange_curves import (
    connection_to_curve_decision_records,
    connection_to_curve_records,
)
from holdtrip.library.exchange_numbers import numbered_readings
from holdtrip.library.exchange_order import in_canonical_order
from holdtrip.library.exchange_records import (
    AnswerRecord,
    ComparedPartRecord,
    ComparisonRecord,
    DecisionRecord,
    FailureRecord,
    FindingRecord,
    NumberRecord,
    ParticularRecord,
    Record,
    ReviewRecord,
    SheetRecord,
    SilenceRecord,
    TextRecord,
)
from holdtrip.library.exchange_team import connection_to_note_records, connection_to_second_records
from holdtrip.library.filing import filed_otherwise, refiled_beside
from holdtrip.library.history import SAID_AT, came_by, fact_holds_at, holds_at, time_to_text
from holdtrip.library.particulars import sheets_to_particulars
from holdtrip.library.records import PartState
from holdtrip.library.sheet_rows import connection_to_failures
from holdtrip.library.silences import connection_to_silences
from holdtrip.library.tables import (
    change,
    comparison,
    decision,
    finding,
    part,
    part_state,
    part_text,
    reading,
    sheet,
)
from holdtrip.library.withdrawing import withdrawn_because


def connection_to_records(connection: Connection, version: int) -> tuple[Record, ...]:
    """All tables, in the order of exchange_records.RECORDS, rows in the order said: the same library gives
    the same rows wherever it was."""
    return in_canonical_order([record for table in _TABLES for record in table(connection, version)])


def _sheets(connection: Connection, version: int) -> Iterator[SheetRecord]:
    query = (
        select(sheet, change.c.who.label("imported_by"), SAID_AT.label("imported_at"))
        .join(change, change.c.id == sheet.c.change_id)
        .where(sheet.c.change_id <= version).order_by(sheet.c.id))
    reasons, beside = withdrawn_because(connection, version), refiled_beside(connection, version)
    otherwise = filed_otherwise(connection, version)
    for row in connection.execute(query).mappings():
        document = otherwise[row["id"]].document if row["id"] in otherwise else row["document"]
        yield SheetRecord(row["sha256"], document, row["revision"], row["page_count"],
                          tuple(json.loads(row["pages_read"])), row["imported_by"], row["imported_at"],
                          row["house"], reasons.get(row["id"], ""), beside.get(row["id"], ""))


def _numbers(connection: Connection, version: int) -> Iterator[NumberRecord]:
    query = (
        select(reading, sheet.c.sha256, part.c.part_number)
        .join(sheet, sheet.c.id == reading.c.sheet_id).join(part, part.c.id == reading.c.part_id)
        .where(sheet.c.change_id <= version, fact_holds_at(part, version), came_by(reading, version))
        .order_by(sheet.c.id, reading.c.position))
    for _, rows in groupby(connection.execute(query).mappings(), key=lambda row: row["sheet_id"]):
        for number, row in enumerate(rows, 1):
            given = _plain(NumberRecord, row, "number", "notes")
            notes = tuple(json.loads(row["notes"])) if row["notes"] else ()
            yield NumberRecord(**given, number=number, notes=notes)


def _decisions(connection: Connection, version: int) -> Iterator[DecisionRecord]:
    numbered = numbered_readings(version)
    query = (
        select(sheet.c.sha256, numbered.c.number, decision.c.verdict, decision.c.value, change.c.who,
               SAID_AT, change.c.reason)
        .join(numbered, numbered.c.reading_id == decision.c.reading_id)
        .join(sheet, sheet.c.id == numbered.c.sheet_id)
        .join(change, change.c.id == decision.c.change_id)
        .where(decision.c.change_id <= version).order_by(decision.c.id))
    for sha256, number, *said in connection.execute(query):
        yield DecisionRecord(sha256, number, *said)


def _texts(connection: Connection, version: int) -> Iterator[TextRecord]:
    query = (
        select(part_text, sheet.c.sha256, part.c.part_number)
        .join(sheet, sheet.c.id == part_text.c.sheet_id).join(part, part.c.id == part_text.c.part_id)
        .where(sheet.c.change_id <= version, fact_holds_at(part, version))
        .order_by(sheet.c.id, part_text.c.position))
    for row in connection.execute(query).mappings():
        yield TextRecord(**_plain(TextRecord, row))


def _particulars(connection: Connection, version: int) -> Iterator[ParticularRecord]:
    ids = connection.execute(select(sheet.c.id).where(sheet.c.change_id <= version)).scalars().all()
    for said in sheets_to_particulars(connection, version, ids).values():
        for one in said:
            place = one.place
            yield ParticularRecord(
                one.sha256, one.part_number, one.name.value, one.label, one.kind.value, one.value, one.text,
                one.status.value, place.page, place.x0, place.top, place.x1, place.bottom, one.raw, one.unit,
                one.notes)


def _answers(connection: Connection, version: int) -> Iterator[AnswerRecord]:
    for stored in connection_to_answers(connection, version):
        one, said = stored.remembered, stored.remembered.answer
        yield AnswerRecord(
            said.sha256, said.document, said.code, said.reach, said.answer, said.who, time_to_text(stored.at),
            said.because, said.learnt_from, one.house, one.series, one.words)


def _findings(connection: Connection, version: int) -> Iterator[FindingRecord]:
    query = (
        select(finding, sheet.c.sha256, sheet.c.document.label("named"))
        .join(sheet, sheet.c.id == finding.c.sheet_id)
        .where(sheet.c.change_id <= version, fact_holds_at(finding, version))
        .order_by(sheet.c.id, finding.c.position))
    for row in connection.execute(query).mappings():
        yield FindingRecord(**_plain(FindingRecord, row, "document"),
                            document=row["named"] if row["document"] else "")


def _reviews(connection: Connection, version: int) -> Iterator[ReviewRecord]:
    """Parts that somebody has begun with; of others the decisions tell it."""
    query = (
        select(sheet.c.sha256, part.c.part_number)
        .join(part, part.c.sheet_id == sheet.c.id).join(part_state, part_state.c.part_id == part.c.id)
        .where(holds_at(part_state, version), part_state.c.own_state == PartState.IN_REVIEW.value,
               part_state.c.accepted + part_state.c.rejected + part_state.c.waiting == 0)
        .order_by(part.c.id))
    for sha256, number in connection.execute(query):
        yield ReviewRecord(sha256, number)


def _failures(connection: Connection, version: int) -> Iterator[FailureRecord]:
    for one in connection_to_failures(connection, version):
        yield FailureRecord(one.document, one.sha256, one.reason, one.who, time_to_text(one.at))


def _silences(connection: Connection, version: int) -> Iterator[SilenceRecord]:
    for one in connection_to_silences(connection, version):
        key = one.key
        quantity = key.quantity.value if key.quantity else None
        yield SilenceRecord(key.code, key.part_number, quantity, key.value, one.who, time_to_text(one.at),
                            one.reason)


def _comparisons(connection: Connection, version: int) -> Iterator[ComparisonRecord]:
    query = (
        select(comparison.c.name, comparison.c.requirement, comparison.c.result, change.c.who, SAID_AT,
               change.c.reason)
        .join(change, change.c.id == comparison.c.change_id)
        .where(holds_at(comparison, version)).order_by(comparison.c.id))
    for row in connection.execute(query):
        yield ComparisonRecord(*row)


def _compared_parts(connection: Connection, version: int) -> Iterator[ComparedPartRecord]:
    for saved in connection_to_comparisons(connection, version):
        for one in saved.comparison.parts:
            yield ComparedPartRecord(saved.comparison.name, one.part_number, one.sha256)


_TABLES = (_sheets, _numbers, _decisions, _texts, _findings, _reviews, _failures, _silences, _comparisons,
           _compared_parts, connection_to_curve_records, connection_to_curve_decision_records, _particulars,
           _answers, connection_to_second_records, connection_to_note_records)


def _plain(record: type[Record], row: RowMapping, *besides: str) -> dict[str, Any]:
    """The fields of a record that are columns of the same name."""
    return {field.name: row[field.name] for field in fields(record) if field.name not in besides}
