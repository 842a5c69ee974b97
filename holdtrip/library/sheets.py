"""Storing what was read from one datasheet: all of it or nothing, the same bytes once.

Comes in: SheetReading (SI, points). Goes out: rows of sheet, part, reading, part_text, finding.
Does not read PDFs and changes no number.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from itertools import chain

from sqlalchemy import Connection, Table, func, insert, select

from extract.schema import (
    WHOLE_SERIES,
    Finding,
    Particular,
    PartText,
    Place,
    Reading,
    SheetReading,
)
from holdtrip.library.chunks import chunks
from holdtrip.library.curves import curve_to_row
from holdtrip.library.history import add_change, inserted_id
from holdtrip.library.part_numbers import fold
from holdtrip.library.particulars import particular_to_row
from holdtrip.library.records import Action, ImportOutcome, ImportState, Signature
from holdtrip.library.revisions import StoredSheet, family_to_age, sheets_to_match
from holdtrip.library.state_rows import renew_states
from holdtrip.library.tables import curve, failure, finding, part, part_text, particular, reading, sheet

Row = dict[str, str | float | None]
"""The cells of a row by their columns."""


def store_sheet(connection: Connection, read: SheetReading, by: Signature) -> ImportOutcome:
    """Store a sheet inside the connection's transaction; a sheet whose bytes are stored does nothing.

    Raises ValueError for a reading that belongs to another file or is not a finite number: an error of
    the caller's, not of the user's.
    """
    _check(read)
    numbers = list(dict.fromkeys([*(one.part_number for one in read.readings),
                                  *(text.part_number for text in read.texts)]))
    parts = len(numbers) - (WHOLE_SERIES in numbers)
    if connection.execute(select(sheet.c.id).where(sheet.c.sha256 == read.sha256)).first():
        return ImportOutcome(ImportState.UNCHANGED, read.document, read.sha256, parts,
                             len(read.readings))
    match, family, age = _place_among_revisions(connection, read, numbers)
    version = add_change(connection, Action.IMPORT, by)
    sheet_id = _insert_sheet(connection, read, version, family, age)
    part_ids = insert_parts(connection, sheet_id, numbers)
    _insert_content(connection, read, sheet_id, part_ids)
    renew_states(connection, version, part_ids.values())
    return ImportOutcome(
        ImportState.REVISION if match else ImportState.NEW, read.document, read.sha256, parts,
        len(read.readings), match.sha256 if match else "", match is not None and age < match.age)


def store_failure(connection: Connection, document: str, sha256: str, reason: str, by: Signature) -> None:
    """Record a file that could not be read; the same file with the same reason is recorded once."""
    known = select(failure.c.id).where(failure.c.document == document, failure.c.sha256 == sha256,
                                       failure.c.reason == reason)
    if connection.execute(known).first() is None:
        version = add_change(connection, Action.FAILURE, by)
        connection.execute(insert(failure).values(
            change_id=version, document=document, sha256=sha256, reason=reason))


def stored_hashes(connection: Connection) -> frozenset[str]:
    """The sha256 of every sheet stored, for an import that goes on where it was interrupted."""
    return frozenset(connection.execute(select(sheet.c.sha256)).scalars())


def stored_documents(connection: Connection) -> dict[str, str]:
    """sha256 → name of every sheet stored."""
    rows = connection.execute(select(sheet.c.sha256, sheet.c.document).order_by(sheet.c.id))
    return {row.sha256: row.document for row in rows}


def _check(read: SheetReading) -> None:
    ours: tuple[Reading | PartText | Particular, ...] = (*read.readings, *read.texts, *read.particulars)
    for one in ours:
        if one.sha256 != read.sha256 or one.document != read.document:
            raise ValueError(f"{one.part_number} of {one.document} is not of {read.document}")
    for number in read.readings:
        if not _are_finite(number.value, number.ambient_c, number.test_current_a, *number.place.box):
            raise ValueError(f"{read.document}, {number.part_number}: not a finite number")
    for line in read.curves:
        if line.sha256 != read.sha256 or not _are_finite(*chain(*line.points)):
            raise ValueError(f"{read.document}, {line.part_number}: not a curve of it, or not finite")
    for said in read.particulars:
        if not _are_finite(said.value, *said.place.box):
            raise ValueError(f"{read.document}, {said.name}: not a finite number")


def _are_finite(*values: float | None) -> bool:
    """Whether the values that are known are numbers a database can hold and compare."""
    return all(value is None or math.isfinite(value) for value in values)


def _place_among_revisions(
    connection: Connection, read: SheetReading, numbers: list[str]
) -> tuple[StoredSheet | None, int, float]:
    """The sheet it is a revision of, the family it belongs to, and its age in it."""
    folded = {fold(number) for number in numbers if number != WHOLE_SERIES}
    match = sheets_to_match(read.document, len(folded), _stored_sheets(connection, folded))
    if match is None:
        last = connection.execute(select(func.coalesce(func.max(sheet.c.family), 0))).scalar_one()
        return None, last + 1, 1.0
    family = connection.execute(
        select(sheet.c.age, sheet.c.revision).where(sheet.c.family == match.family)).all()
    return match, match.family, family_to_age(read.revision, family)


def _stored_sheets(connection: Connection, folded: Iterable[str]) -> list[StoredSheet]:
    """Every stored sheet that lists one of the part numbers."""
    shared: dict[int, int] = {}
    for some in chunks(folded):
        for sheet_id, count in connection.execute(
            select(part.c.sheet_id, func.count(part.c.folded.distinct()))
            .where(part.c.folded.in_(some)).group_by(part.c.sheet_id)
        ):
            shared[sheet_id] = shared.get(sheet_id, 0) + count
    query = (
        select(sheet.c.id, sheet.c.family, sheet.c.age, sheet.c.document, sheet.c.sha256, sheet.c.revision,
               func.count(part.c.folded.distinct()))
        .join(part, part.c.sheet_id == sheet.c.id)
        .where(part.c.part_number != WHOLE_SERIES).group_by(sheet.c.id))
    return [StoredSheet(family, age, document, sha256, revision, parts, shared[sheet_id])
            for some_ids in chunks(shared)
            for sheet_id, family, age, document, sha256, revision, parts
            in connection.execute(query.where(sheet.c.id.in_(some_ids)))]


def _insert_sheet(connection: Connection, read: SheetReading, version: int, family: int, age: float) -> int:
    return inserted_id(connection, insert(sheet).values(
        change_id=version, sha256=read.sha256, document=read.document, page_count=read.page_count,
        pages_read=json.dumps(read.pages_read), revision=read.revision, family=family, age=age,
        house=read.house))


def insert_parts(
    connection: Connection, sheet_id: int, numbers: list[str], version: int | None = None
) -> dict[str, int]:
    """Part number → identifier; `version` is that of the change that read the sheet again."""
    if not numbers:
        return {}
    rows = [{"sheet_id": sheet_id, "position": position, "part_number": number, "folded": fold(number),
             "change_id": version}
            for position, number in enumerate(numbers)]
    ids = connection.execute(insert(part).returning(part.c.id, sort_by_parameter_order=True), rows).scalars()
    return dict(zip(numbers, ids, strict=True))


def _insert_content(
    connection: Connection, read: SheetReading, sheet_id: int, part_ids: dict[str, int]
) -> None:
    for table, rows in content_to_rows(read, part_ids):
        if rows:
            connection.execute(insert(table), [row | {"sheet_id": sheet_id, "position": position}
                                               for position, row in enumerate(rows)])


def content_to_rows(read: SheetReading, part_ids: dict[str, int]) -> tuple[tuple[Table, list[Row]], ...]:
    """The rows of what was read, by table, without sheet and position."""
    return (
        (reading, [reading_to_row(one) | {"part_id": part_ids[one.part_number]} for one in read.readings]),
        (part_text, [_text_to_row(one) | {"part_id": part_ids[one.part_number]} for one in read.texts]),
        (finding, [_finding_to_row(one) for one in read.findings]),
        (curve, [curve_to_row(one) for one in read.curves]),
        (particular, [particular_to_row(one) for one in read.particulars]),
    )


def reading_to_row(one: Reading) -> Row:
    """A reading as the columns of its row, without the sheet and the part it belongs to."""
    return {
        "quantity": one.quantity.value, "kind": one.kind.value, "ambient_c": one.ambient_c,
        "test_current_a": one.test_current_a, "value": one.value, "status": one.status.value,
        **_place_to_row(one.place), "raw": one.raw, "unit": one.unit,
        "notes": json.dumps(one.notes) if one.notes else "",
    }


def _text_to_row(one: PartText) -> Row:
    return {"name": one.name, "text": one.text, **_place_to_row(one.place)}


def _finding_to_row(one: Finding) -> Row:
    return {
        "code": one.code, "severity": one.severity.value, "message": one.message, "found": one.found,
        "expected": one.expected, "document": one.document, "part_number": one.part_number,
        "quantity": one.quantity.value if one.quantity is not None else None, **_place_to_row(one.place),
    }


def _place_to_row(place: Place | None) -> Row:
    if place is None:
        return dict.fromkeys(("page", "x0", "top", "x1", "bottom"))
    return {"page": place.page, "x0": place.x0, "top": place.top, "x1": place.x1, "bottom": place.bottom}
