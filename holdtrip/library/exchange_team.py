"""What a team says beside its decisions, in exchange files: second signatures, notes on sheets, how sheets
are filed.

Comes in: a connection and a version, or records. Goes out: records, or what they say stored. What was said
here stays as it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from sqlalchemy import ColumnElement, Connection, Subquery, select

from extract.errors import InputError
from extract.schema import SheetReading
from holdtrip.library.exchange_curves import numbered_curves
from holdtrip.library.exchange_numbers import numbered_readings
from holdtrip.library.exchange_records import (
    CurveSecondRecord,
    NoteRecord,
    Record,
    SecondRecord,
    records_of,
)
from holdtrip.library.filing import APART, file_after, set_apart
from holdtrip.library.history import SAID_AT, add_change, holds_at, text_to_time, time_to_text, version_at
from holdtrip.library.records import Action, Signature, Verdict
from holdtrip.library.sheet_notes import NoteKind, SheetNote, connection_to_notes, take_in_notes
from holdtrip.library.signing import POSITIVE, add_seconds, is_same_person
from holdtrip.library.state_rows import renew_states
from holdtrip.library.tables import (
    change,
    curve_decision,
    decision,
    part,
    second_signature,
    sheet,
)

_Seconds = SecondRecord | CurveSecondRecord


def connection_to_second_records(connection: Connection, version: int) -> Iterator[_Seconds]:
    """The second signatures in force."""
    numbers, curves = numbered_readings(version), numbered_curves(version)
    signed = second_signature.c
    for row in _second_rows(connection, version, numbers, signed.reading_id, numbers.c.reading_id):
        yield SecondRecord(*row)
    for row in _second_rows(connection, version, curves, signed.curve_id, curves.c.curve_id):
        yield CurveSecondRecord(*row)


def _second_rows(
    connection: Connection, version: int, numbered: Subquery, signed: ColumnElement[int | None],
    counted: ColumnElement[int],
) -> Iterator[tuple[str, int, str, str, str, str]]:
    query = (
        select(sheet.c.sha256, numbered.c.number, second_signature.c.verdict, change.c.who, SAID_AT,
               change.c.reason)
        .join(numbered, counted == signed).join(sheet, sheet.c.id == numbered.c.sheet_id)
        .join(change, change.c.id == second_signature.c.change_id)
        .where(holds_at(second_signature, version)).order_by(second_signature.c.id))
    yield from map(tuple, connection.execute(query))


def connection_to_note_records(connection: Connection, version: int) -> Iterator[NoteRecord]:
    """Assignments and comments in force."""
    for one in connection_to_notes(connection, version):
        yield NoteRecord(one.sha256, one.kind.value, one.text, one.who, time_to_text(one.at))


def store_notes(connection: Connection, records: Sequence[Record]) -> None:
    """Assignments and comments that are not known here."""
    rows = records_of(NoteRecord, records)
    for row in rows:
        if row.what not in set(NoteKind):
            raise InputError("table notes", f"found '{row.what}'", " or ".join(NoteKind))
    take_in_notes(connection, [
        SheetNote(row.sha256, NoteKind(row.what), row.text, row.who, text_to_time(row.at)) for row in rows])


def store_filing(connection: Connection, sha256: str, revision_of: str, by: Signature) -> None:
    """File a new sheet as a person of the other library said, where that older sheet is here too."""
    told = Signature(by.who, by.reason or "as the file says")
    if revision_of == APART:
        family = select(sheet.c.family).where(sheet.c.sha256 == sha256).scalar_subquery()
        if len(connection.execute(select(sheet.c.id).where(sheet.c.family == family)).all()) > 1:
            set_apart(connection, sha256, told)
    elif revision_of and connection.execute(select(sheet.c.id).where(sheet.c.sha256 == revision_of)).first():
        try:
            file_after(connection, sha256, revision_of, told)
        except InputError:
            return  # it was found to be just that


def store_second_signatures(connection: Connection, sha256: str, records: Sequence[Record]) -> int:
    """Sign second, as the file says, what is decided here by another person in the same way; returns how
    many."""
    version = version_at(connection)
    numbers, curves = numbered_readings(version), numbered_curves(version)
    of_numbers = {row.number: row for row in records_of(SecondRecord, records) if row.sha256 == sha256}
    of_curves = {row.curve: row for row in records_of(CurveSecondRecord, records) if row.sha256 == sha256}
    count = 0
    for rows, numbered, counted, table, decided, signed in (
            (of_numbers, numbers, numbers.c.reading_id, decision, decision.c.reading_id,
             second_signature.c.reading_id),
            (of_curves, curves, curves.c.curve_id, curve_decision, curve_decision.c.curve_id,
             second_signature.c.curve_id)):
        if not rows:
            continue
        known = select(signed).where(second_signature.c.replaced_by.is_(None), signed.is_not(None))
        query = (
            select(numbered.c.number, counted, change.c.who).join(table, decided == counted)
            .join(change, change.c.id == table.c.change_id).join(sheet, sheet.c.id == numbered.c.sheet_id)
            .where(sheet.c.sha256 == sha256, table.c.replaced_by.is_(None), counted.not_in(known),
                   table.c.verdict.in_([verdict.value for verdict in POSITIVE])))
        found = [(rows[number], row_id) for number, row_id, who in connection.execute(query)
                 if number in rows and not is_same_person(who, rows[number].who)]
        count += _sign(connection, found, signed)
    if count:
        part_ids = connection.execute(
            select(part.c.id).join(sheet, sheet.c.id == part.c.sheet_id)
            .where(sheet.c.sha256 == sha256, part.c.replaced_by.is_(None))).scalars().all()
        renew_states(connection, version_at(connection), part_ids)
    return count


def _sign(
    connection: Connection, found: Sequence[tuple[_Seconds, int]], signed: ColumnElement[int | None]
) -> int:
    """One change for those who signed at once."""
    ordered = sorted(found, key=lambda pair: (pair[0].at, pair[0].who, pair[0].reason))
    for (at, who, reason), pairs in groupby(ordered, key=lambda pair: (
            pair[0].at, pair[0].who, pair[0].reason)):
        version = add_change(connection, Action.SECOND, Signature(who, reason, text_to_time(at)))
        add_seconds(connection, version, [(row_id, _verdict(row)) for row, row_id in pairs], signed)
    return len(found)


def _verdict(row: _Seconds) -> Verdict:
    if row.verdict not in {one.value for one in POSITIVE}:
        raise InputError(f"table {row.TABLE}", f"found '{row.verdict}'", ", ".join(POSITIVE))
    return Verdict(row.verdict)


def sheet_renamed(read: SheetReading, document: str) -> SheetReading:
    """The same sheet under another name."""
    return replace(
        read, document=document,
        readings=tuple(replace(one, document=document) for one in read.readings),
        texts=tuple(replace(one, document=document) for one in read.texts),
        curves=tuple(replace(one, document=document) for one in read.curves),
        findings=tuple(replace(one, document=document if one.document else "") for one in read.findings))
