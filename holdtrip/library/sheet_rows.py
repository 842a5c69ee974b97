"""Stored sheets: in short for a list, or whole as they were read.

Comes in: a connection, a version. Goes out: SheetRow or SheetReading. Changes nothing.
"""

from __future__ import annotations

import json
from collections import Counter

from sqlalchemy import Connection, func, select

from extract.schema import Finding, PartText, Place, Quantity, Severity, SheetReading
from holdtrip.library.curves import sheets_to_curves
from holdtrip.library.filing import filed_sheets
from holdtrip.library.history import SAID_AT, came_by, fact_holds_at, text_to_time, version_at
from holdtrip.library.numbers import connection_to_numbers
from holdtrip.library.particulars import sheets_to_particulars
from holdtrip.library.records import Failure, SheetRow
from holdtrip.library.sheet_notes import NoteKind, connection_to_notes
from holdtrip.library.tables import change, failure, finding, part, part_text, reading, sheet


def connection_to_sheet_rows(connection: Connection, version: int) -> tuple[SheetRow, ...]:
    """All sheets of a version, in the order imported."""
    parts = select(func.count()).where(part.c.sheet_id == sheet.c.id, part.c.part_number != "*",
                                       fact_holds_at(part, version))
    readings = (select(func.count()).join(part, part.c.id == reading.c.part_id)
                .where(reading.c.sheet_id == sheet.c.id, fact_holds_at(part, version),
                       came_by(reading, version)))
    query = (
        select(sheet.c.id, sheet.c.sha256, sheet.c.revision, sheet.c.page_count, sheet.c.pages_read,
               parts.scalar_subquery(), readings.scalar_subquery(), change.c.who, SAID_AT, sheet.c.house)
        .join(change, change.c.id == sheet.c.change_id)
        .where(sheet.c.change_id <= version).order_by(sheet.c.id))
    filed = filed_sheets(connection, version)
    names = {one.sheet_id: one.document for one in filed}
    newest = {one.sheet_id for one in {one.family: one for one in filed}.values()}
    assigned, comments = _notes(connection, version)
    return tuple(
        SheetRow(names[sheet_id], sha256, revision, pages, tuple(json.loads(read)), parts_of, numbers,
                 sheet_id in newest, who, text_to_time(at), house, assigned.get(sha256, ""), comments[sha256])
        for sheet_id, sha256, revision, pages, read, parts_of, numbers, who, at, house
        in connection.execute(query))


def _notes(connection: Connection, version: int) -> tuple[dict[str, str], Counter[str]]:
    """Sheet → who is to review it; sheet → how many comments it has."""
    notes = connection_to_notes(connection, version)
    return ({one.sha256: one.text for one in notes if one.kind is NoteKind.ASSIGNED},
            Counter(one.sha256 for one in notes if one.kind is NoteKind.COMMENT))


def connection_to_sheet(connection: Connection, sha256: str) -> SheetReading | None:
    """A sheet whole, as it was imported, decisions left aside; None if it is not stored."""
    row = connection.execute(select(sheet).where(sheet.c.sha256 == sha256)).mappings().one_or_none()
    if row is None:
        return None
    in_force = part.c.sheet_id == row["id"], part.c.replaced_by.is_(None)
    part_ids = connection.execute(select(part.c.id).where(*in_force)).scalars().all()
    version = version_at(connection)
    numbers = connection_to_numbers(connection, version, part_ids)
    return SheetReading(
        row["document"], sha256, row["page_count"], tuple(json.loads(row["pages_read"])), row["revision"],
        tuple(number.reading for number in numbers),
        _texts(connection, row["id"], row["document"], sha256),
        _findings(connection, row["id"], row["document"]),
        tuple(one.curve for one in sheets_to_curves(connection, version, [row["id"]]).get(row["id"], ())),
        tuple(sheets_to_particulars(connection, version, [row["id"]]).get(row["id"], ())),
        house=row["house"])


def _texts(connection: Connection, sheet_id: int, document: str, sha256: str) -> tuple[PartText, ...]:
    query = (select(part.c.part_number, part_text).join(part, part.c.id == part_text.c.part_id)
             .where(part_text.c.sheet_id == sheet_id, part.c.replaced_by.is_(None))
             .order_by(part_text.c.position))
    return tuple(PartText(document, sha256, row["part_number"], row["name"], row["text"],
                          Place(row["page"], row["x0"], row["top"], row["x1"], row["bottom"]))
                 for row in connection.execute(query).mappings())


def _findings(connection: Connection, sheet_id: int, document: str) -> tuple[Finding, ...]:
    """The findings of a sheet, under its name of today."""
    query = (select(finding).where(finding.c.sheet_id == sheet_id, finding.c.replaced_by.is_(None))
             .order_by(finding.c.position))
    return tuple(
        Finding(row["code"], Severity(row["severity"]), row["message"], row["found"], row["expected"],
                document if row["document"] else "", row["part_number"],
                Quantity(row["quantity"]) if row["quantity"] is not None else None,
                Place(row["page"], row["x0"], row["top"], row["x1"], row["bottom"])
                if row["page"] is not None else None)
        for row in connection.execute(query).mappings())


def connection_to_failures(connection: Connection, version: int) -> tuple[Failure, ...]:
    """The files that imports up to a version could not read; one stored since then is no failure."""
    query = (
        select(failure.c.document, failure.c.sha256, failure.c.reason, change.c.who, SAID_AT)
        .join(change, change.c.id == failure.c.change_id)
        .where(failure.c.change_id <= version,
               failure.c.sha256.not_in(select(sheet.c.sha256).where(sheet.c.change_id <= version)))
        .order_by(failure.c.id))
    return tuple(Failure(*row[:4], text_to_time(row[4])) for row in connection.execute(query))
