"""The tables that libraries exchange, put into a library.

Comes in: records, a writing connection, who imports. Goes out: rows, and an outcome. All of a file or
nothing. What the library knows already stays as it is: a sheet of the same bytes is not stored twice, and
a number that somebody here decided keeps that decision, unless it is the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from itertools import groupby
from typing import TypeVar

from sqlalchemy import Connection, select

from extract.asked import Answer, Remembered
from extract.errors import InputError
from extract.safe_text import name_to_text
from extract.schema import (
    Finding,
    Kind,
    Particular,
    ParticularName,
    PartText,
    Place,
    Quantity,
    Reading,
    Severity,
    SheetReading,
    Status,
)
from holdtrip.library.answers import take_in_answers
from holdtrip.library.comparisons import Comparison, JudgedPart, add_comparison, connection_to_comparisons
from holdtrip.library.decisions import add_decisions
from holdtrip.library.exchange_curves import record_to_curve, store_curve_decisions
from holdtrip.library.exchange_judging import check_records, sheet_to_judged
from holdtrip.library.exchange_numbers import numbered_readings
from holdtrip.library.exchange_records import (
    AnswerRecord,
    ComparedPartRecord,
    ComparisonRecord,
    CurveDecisionRecord,
    CurveRecord,
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
    records_of,
)
from holdtrip.library.exchange_team import (
    sheet_renamed,
    store_filing,
    store_notes,
    store_second_signatures,
)
from holdtrip.library.history import add_change, time_to_text, version_at
from holdtrip.library.records import Action, ImportOutcome, ImportState, PartState, Signature, Verdict
from holdtrip.library.sheet_rows import connection_to_sheet
from holdtrip.library.sheets import store_failure, store_sheet
from holdtrip.library.silences import FindingKey, add_silence
from holdtrip.library.state_rows import renew_states
from holdtrip.library.tables import change, decision, part, part_state, sheet
from holdtrip.library.withdrawing import withdraw


@dataclass(frozen=True, slots=True)
class ExchangeOutcome:
    """What importing a file did. `left` are the numbers whose decisions here were kept; `differing` the
    sheets stored here with other readings of the same bytes, which were left as they are."""

    sheets_new: int
    sheets_known: int
    decisions: int
    left: int
    differing: tuple[str, ...]


def store_records(connection: Connection, records: Sequence[Record], by: Signature) -> ExchangeOutcome:
    """Store all tables of a file; raises InputError naming table and row for what does not fit together."""
    check_records(records)
    add_change(connection, Action.EXCHANGE, by)
    sheets = [(sheet_to_judged(read), importer) for read, importer in _records_to_sheets(records)]
    said = _by_sheet(records_of(DecisionRecord, records))
    reviews = _by_sheet(records_of(ReviewRecord, records))
    of_curves = _by_sheet(records_of(CurveDecisionRecord, records))
    reasons = {one.sha256: one.withdrawn for one in records_of(SheetRecord, records)}
    filed = {one.sha256: one.revision_of for one in records_of(SheetRecord, records)}
    new = known = decided = left = 0
    differing = []
    for read, importer in sheets:
        outcome = store_sheet(connection, read, importer)
        new += outcome.state is not ImportState.UNCHANGED
        known += outcome.state is ImportState.UNCHANGED
        if outcome.state is ImportState.UNCHANGED and not _is_stored_so(connection, read):
            differing.append(read.document)
            continue
        added, kept = _store_decisions(connection, read, said.get(read.sha256, ()))
        drawn = store_curve_decisions(connection, read.sha256, of_curves.get(read.sha256, ()))
        decided, left = decided + added + drawn[0], left + kept + drawn[1]
        store_second_signatures(connection, read.sha256, records)
        if outcome.state is not ImportState.UNCHANGED:
            store_filing(connection, read.sha256, filed.get(read.sha256, ""), by)
        _store_withdrawal(connection, outcome, reasons.get(read.sha256, ""), by)
        _store_reviews(connection, read.sha256, reviews.get(read.sha256, ()), by)
    _store_memory(connection, records)
    return ExchangeOutcome(new, known, decided, left, tuple(differing))


def _store_withdrawal(
    connection: Connection, outcome: ImportOutcome, reason: str, by: Signature
) -> None:
    """A sheet that counts no longer there does not begin to count here."""
    if reason and outcome.state is not ImportState.UNCHANGED:
        withdraw(connection, outcome.sha256, Signature(by.who, reason))


def _is_stored_so(connection: Connection, read: SheetReading) -> bool:
    """Whether a stored sheet was read as it was elsewhere; its name, its maker and what it says
    beside the ratings are no part of that."""
    stored = connection_to_sheet(connection, read.sha256)
    if stored is None:
        return False
    stored = sheet_renamed(stored, read.document)
    curves = read.curves or stored.curves  # older files carry none
    return replace(stored, house=read.house, particulars=()) == replace(read, curves=curves, particulars=())


_OfSheet = TypeVar("_OfSheet", NumberRecord, DecisionRecord, TextRecord, FindingRecord, ReviewRecord,
                   ParticularRecord, CurveRecord, CurveDecisionRecord)


def _by_sheet(records: Iterable[_OfSheet]) -> dict[str, list[_OfSheet]]:
    found: dict[str, list[_OfSheet]] = {}
    for record in records:
        found.setdefault(record.sha256, []).append(record)
    return found


def _records_to_sheets(records: Sequence[Record]) -> list[tuple[SheetReading, Signature]]:
    """Every sheet whole, with who imported it when."""
    sheets = {one.sha256: replace(one, document=name_to_text(one.document))
              for one in records_of(SheetRecord, records)}
    numbers = _by_sheet(records_of(NumberRecord, records))
    texts = _by_sheet(records_of(TextRecord, records))
    findings = _by_sheet(records_of(FindingRecord, records))
    curves = _by_sheet(records_of(CurveRecord, records))
    particulars = _by_sheet(records_of(ParticularRecord, records))
    for sha256 in (*numbers, *texts, *findings, *curves, *particulars):
        if sha256 not in sheets:
            raise InputError(f"table sheets, sha256 {sha256[:12]}", "no such row",
                             "a row for each sheet that other tables name")

    def whole(one: SheetRecord) -> SheetReading:
        rows = sorted(numbers.get(one.sha256, ()), key=lambda row: row.number)
        return SheetReading(
            one.document, one.sha256, one.page_count, one.pages_read, one.revision,
            tuple(_to_reading(one, row) for row in rows),
            tuple(PartText(one.document, one.sha256, row.part_number, row.name, row.text, _place(row))
                  for row in texts.get(one.sha256, ())),
            tuple(map(_to_finding, findings.get(one.sha256, ()))),
            tuple(record_to_curve(one, row)
                  for row in sorted(curves.get(one.sha256, ()), key=lambda row: row.curve)),
            tuple(_to_particular(one, row) for row in particulars.get(one.sha256, ())), house=one.house)

    return [(whole(one), Signature(one.imported_by, said_at=_time("sheets", one.imported_at)))
            for one in sheets.values()]


def _to_reading(of: SheetRecord, row: NumberRecord) -> Reading:
    where = f"table numbers, {of.document} number {row.number}"
    return Reading(
        of.document, of.sha256, row.part_number, _choice(where, Quantity, row.quantity),
        _choice(where, Kind, row.kind), row.ambient_c, row.test_current_a, row.value,
        _choice(where, Status, row.status), _place(row), row.raw, row.unit, row.notes)


def _to_particular(of: SheetRecord, row: ParticularRecord) -> Particular:
    where = f"table particulars, {of.document}, {row.name}"
    return Particular(
        of.document, of.sha256, row.part_number, _choice(where, ParticularName, row.name),
        _choice(where, Kind, row.kind), row.value, row.text, _choice(where, Status, row.status), _place(row),
        row.raw, row.label, row.unit, row.notes)


def _to_finding(row: FindingRecord) -> Finding:
    where = f"table findings, code {row.code}"
    return Finding(
        row.code, _choice(where, Severity, row.severity), row.message, row.found, row.expected, row.document,
        row.part_number, _choice(where, Quantity, row.quantity) if row.quantity is not None else None,
        _place_or_none(row))


def _place(row: NumberRecord | TextRecord | ParticularRecord) -> Place:
    return Place(row.page, row.x0, row.top, row.x1, row.bottom)


def _place_or_none(row: FindingRecord) -> Place | None:
    if row.page is None or row.x0 is None or row.top is None or row.x1 is None or row.bottom is None:
        return None
    return Place(row.page, row.x0, row.top, row.x1, row.bottom)


_Name = TypeVar("_Name", bound=StrEnum)


def _choice(where: str, names: type[_Name], text: str) -> _Name:
    try:
        return names(text)
    except ValueError:
        known = ", ".join(name.value or "(empty)" for name in names)
        raise InputError(where, f"found '{text}'", f"one of {known}") from None


def _time(table: str, text: str) -> datetime:
    try:
        time = datetime.fromisoformat(text)
    except ValueError:
        time = datetime.min
    if time.tzinfo is None:
        raise InputError(f"table {table}", f"the time '{text}'", "a time such as 2030-01-31T12:00:00+00:00")
    return time


def _store_decisions(
    connection: Connection, read: SheetReading, said: Sequence[DecisionRecord]
) -> tuple[int, int]:
    """(decisions added, numbers left as decided here)."""
    numbered = numbered_readings(version_at(connection))
    ids: dict[int, int] = dict(connection.execute(
        select(numbered.c.number, numbered.c.reading_id).join(sheet, sheet.c.id == numbered.c.sheet_id)
        .where(sheet.c.sha256 == read.sha256)).all())
    here = _stories(connection, read.sha256)
    there: dict[int, list[tuple[str, float | None, str, str]]] = {}
    for row in said:
        if row.number not in ids:
            raise InputError(f"table decisions, {read.document}", f"number {row.number}",
                             f"a number from 1 to {len(ids)}")
        there.setdefault(row.number, []).append((row.verdict, row.value, row.who, row.reason))
    taken = {number for number in there if number in here}
    left = {number for number in taken if here[number] != there[number]}
    news = [row for row in said if row.number not in taken]
    for (who, at, reason, verdict), rows in groupby(
            news, key=lambda row: (row.who, row.at, row.reason, row.verdict)):
        what = _choice(f"table decisions, {read.document}", Verdict, verdict)
        version = add_change(connection, _ACTION_OF[what], Signature(who, reason, _time("decisions", at)))
        add_decisions(connection, version, [(ids[row.number], what, row.value) for row in rows])
    if news:
        part_ids = connection.execute(
            select(part.c.id).join(sheet, sheet.c.id == part.c.sheet_id)
            .where(sheet.c.sha256 == read.sha256, part.c.replaced_by.is_(None))).scalars().all()
        renew_states(connection, version_at(connection), part_ids)
    return len(news), len(left)


_ACTION_OF = {
    Verdict.ACCEPTED: Action.ACCEPT, Verdict.BULK: Action.BULK, Verdict.CORRECTED: Action.CORRECT,
    Verdict.REJECTED: Action.REJECT,
    Verdict.REOPENED: Action.REOPEN,
}


def _stories(connection: Connection, sha256: str) -> dict[int, list[tuple[str, float | None, str, str]]]:
    """Number → all that was said of it here."""
    numbered = numbered_readings(version_at(connection))
    query = (
        select(numbered.c.number, decision.c.verdict, decision.c.value, change.c.who, change.c.reason)
        .join(decision, decision.c.reading_id == numbered.c.reading_id)
        .join(sheet, sheet.c.id == numbered.c.sheet_id)
        .join(change, change.c.id == decision.c.change_id)
        .where(sheet.c.sha256 == sha256).order_by(decision.c.id))
    stories: dict[int, list[tuple[str, float | None, str, str]]] = {}
    for number, verdict, value, who, reason in connection.execute(query):
        stories.setdefault(number, []).append((verdict, value, who, reason))
    return stories


def _store_reviews(
    connection: Connection, sha256: str, marked: Iterable[ReviewRecord], by: Signature
) -> None:
    """Mark parts as being in review that nobody has looked at here."""
    numbers = {row.part_number for row in marked}
    unread = (
        select(part.c.id, part.c.part_number).join(part_state, part_state.c.part_id == part.c.id)
        .join(sheet, sheet.c.id == part.c.sheet_id)
        .where(sheet.c.sha256 == sha256, part_state.c.replaced_by.is_(None),
               part_state.c.own_state == PartState.READ.value))
    part_ids = [part_id for part_id, number in connection.execute(unread) if number in numbers]
    if part_ids:
        renew_states(connection, add_change(connection, Action.START_REVIEW, by), part_ids, under_review=True)


def _to_remembered(row: AnswerRecord) -> Remembered:
    said = Answer(row.sha256, row.document, row.code, row.reach, row.answer, row.who,
                  time_to_text(_time("answers", row.at)), row.reason, row.learnt_from)
    return Remembered(said, row.house, row.series, row.words)


def _store_memory(connection: Connection, records: Sequence[Record]) -> None:
    """Failures, silences, answers and comparisons that are not known here."""
    store_notes(connection, records)
    take_in_answers(connection, map(_to_remembered, records_of(AnswerRecord, records)))
    for failed in records_of(FailureRecord, records):
        store_failure(connection, name_to_text(failed.document), failed.sha256, failed.reason,
                      Signature(failed.who, said_at=_time("failures", failed.at)))
    for row in records_of(SilenceRecord, records):
        quantity = None if row.quantity is None else _choice("table silences", Quantity, row.quantity)
        add_silence(connection, FindingKey(row.code, row.part_number, quantity, row.value),
                    Signature(row.who, row.reason, _time("silences", row.at)))
    known = {one.comparison.name for one in connection_to_comparisons(connection, version_at(connection))}
    parts = records_of(ComparedPartRecord, records)
    for kept in records_of(ComparisonRecord, records):
        if kept.name not in known:
            judged = tuple(JudgedPart(one.part_number, one.sha256) for one in parts if one.name == kept.name)
            add_comparison(connection, Comparison(kept.name, kept.requirement, kept.result, judged),
                           Signature(kept.who, kept.reason, _time("comparisons", kept.at)))
