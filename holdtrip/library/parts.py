"""Parts out of a library: the rows of a list, and whole parts for a comparison.

Comes in: a connection, a version, a filter. Goes out: PartRow and Part, SI and points. Changes nothing.
Of all revisions of a part the one in force goes out, with each number as it may be used (numbers.py).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, and_, func, or_, select

from extract.schema import WHOLE_SERIES, Curve, Part, Particular, PartText, Place, Reading
from holdtrip.library.chunks import chunks
from holdtrip.library.curves import sheets_to_curves, stored_to_usable
from holdtrip.library.filing import names_then
from holdtrip.library.history import fact_holds_at, holds_at
from holdtrip.library.numbers import PartName, collecting_no_garbage, names_to_usable_readings
from holdtrip.library.part_numbers import fold
from holdtrip.library.particulars import particulars_by_part, sheets_to_particulars
from holdtrip.library.records import PartFilter, PartRow, PartState
from holdtrip.library.tables import part, part_state, part_text, sheet

EVERY_PART = PartFilter()


def connection_to_rows(
    connection: Connection, version: int, where: PartFilter = EVERY_PART, live_only: bool = False
) -> tuple[PartRow, ...]:
    """Parts in short, in the order imported; the whole series (`*`) is no part of a list."""
    query = _filtered(_select_rows(version), where)
    if live_only:
        query = query.where(part_state.c.live)
    names = names_then(connection, version)
    return tuple(_row_to_part_row(row[1:], names) for row in connection.execute(query))


def connection_to_count(connection: Connection, version: int) -> int:
    """How many parts are in force."""
    query = _select_rows(version).where(part_state.c.live).order_by(None)
    return int(connection.execute(query.with_only_columns(func.count())).scalar_one())


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


def connection_to_parts_of_ids(
    connection: Connection, version: int, part_ids: Sequence[int], accepted_only: bool = False
) -> tuple[Part, ...]:
    """As `connection_to_parts`, of some parts, in the order of their identifiers' rows."""
    rows = [row for some in chunks(part_ids)
            for row in _part_columns(connection, _select_rows(version).where(part.c.id.in_(some)))]
    return _rows_to_parts(connection, version, rows, accepted_only)


def connection_to_named_parts(connection: Connection, version: int, part_number: str) -> tuple[Part, ...]:
    """The parts in force of one number, however spaced or capitalised: one of each sheet that has it."""
    query = _select_rows(version).where(part.c.folded == fold(part_number), part_state.c.live)
    return _rows_to_parts(connection, version, _part_columns(connection, query), accepted_only=False)


def parts_to_readings(parts: Iterable[Part]) -> tuple[Reading, ...]:
    """The readings of parts, sheet by sheet, each once: those of a whole series after its parts."""
    sheets: dict[str, tuple[list[Reading], list[Reading]]] = {}
    for one in parts:
        own, series = sheets.setdefault(one.sha256, ([], []))
        own += [number for number in one.readings if number.part_number != WHOLE_SERIES]
        if not series:
            series += [number for number in one.readings if number.part_number == WHOLE_SERIES]
    return tuple(number for own, series in sheets.values() for number in (*own, *series))


def part_ids_of(
    connection: Connection, version: int, part_number: str, sha256: str = ""
) -> tuple[int, ...]:
    """Identifiers of the parts of a number, however spaced or capitalised: those in force, or any of the
    sheets whose sha256 begins so."""
    query = _select_rows(version, with_series=True).where(part.c.folded == fold(part_number))
    of_sheet = sheet.c.sha256.startswith(sha256, autoescape=True) if sha256 else part_state.c.live
    query = query.where(of_sheet)
    return tuple(connection.execute(query.with_only_columns(part.c.id)).scalars())


def part_ids_of_sheet(connection: Connection, version: int, sha256: str) -> tuple[int, ...]:
    """Identifiers of the parts of one sheet, its whole series (`*`) too, in the order read."""
    query = _select_rows(version, with_series=True).where(sheet.c.sha256 == sha256)
    return tuple(connection.execute(query.with_only_columns(part.c.id)).scalars())


def connection_to_sheet_parts(connection: Connection, version: int, sha256: str) -> tuple[PartRow, ...]:
    """The parts of one sheet, or of every one, in short, the whole series (`*`) too, in the order read."""
    query = _select_rows(version, with_series=True)
    if sha256:
        query = query.where(sheet.c.sha256 == sha256)
    names = names_then(connection, version)
    return tuple(_row_to_part_row(row[1:], names) for row in connection.execute(query))


def part_id_to_row(connection: Connection, version: int, part_id: int) -> PartRow:
    """One part in short."""
    row = connection.execute(_select_rows(version, with_series=True).where(part.c.id == part_id)).one()
    return _row_to_part_row(row[1:], names_then(connection, version))


def _select_rows(version: int, with_series: bool = False) -> Select[Any]:
    query = (
        select(part.c.id, part.c.part_number, sheet.c.document, sheet.c.sha256, sheet.c.revision,
               part_state.c.own_state, part_state.c.superseded, part_state.c.live, part_state.c.undecided,
               part_state.c.disputed, part_state.c.accepted, part_state.c.rejected,
               part_state.c.hold_current_min_a, part_state.c.hold_current_max_a, part_state.c.change_id,
               part_state.c.single, part_state.c.in_bulk, part_state.c.waiting)
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


def _row_to_part_row(row: Sequence[Any], names: dict[str, str]) -> PartRow:
    """`names`: of sheets that were called otherwise at that time."""
    number, document, sha256, revision, own_state, superseded, *rest = row
    state = PartState.SUPERSEDED if superseded else PartState(own_state)
    return PartRow(number, names.get(sha256, document), sha256, revision, state, *rest)


@collecting_no_garbage()
def _rows_to_parts(
    connection: Connection, version: int, found: Sequence[Sequence[Any]], accepted_only: bool
) -> tuple[Part, ...]:
    then = names_then(connection, version)
    names = {row[0]: PartName(row[2], then.get(row[4], row[3]), row[4]) for row in found}
    sheets = {row[1]: PartName(WHOLE_SERIES, then.get(row[4], row[3]), row[4]) for row in found}
    series = _series_of_sheets(connection, version, sheets)
    texts = _texts(connection, names)
    drawn = {sheet_id: stored_to_usable(stored, accepted_only)
             for sheet_id, stored in sheets_to_curves(connection, version, sheets).items()}
    no_lines: dict[str, tuple[Curve, ...]] = {}
    said = {sheet_id: particulars_by_part(of_sheet)
            for sheet_id, of_sheet in sheets_to_particulars(connection, version, sheets).items()}
    nothing: dict[str, tuple[Particular, ...]] = {}
    numbers = names_to_usable_readings(
        connection, version, names | dict(series.values()), accepted_only)
    none: tuple[int, None] = (-1, None)
    return tuple(
        Part(name.part_number, name.document, name.sha256,
             (*numbers.get(row[0], ()), *numbers.get(series.get(row[1], none)[0], ())),
             tuple(texts.get(row[0], ())),
             (*said.get(row[1], nothing).get(name.part_number, ()),
              *said.get(row[1], nothing).get(WHOLE_SERIES, ())),
             (*drawn.get(row[1], no_lines).get(name.part_number, ()),
              *drawn.get(row[1], no_lines).get(WHOLE_SERIES, ())))
        for row, name in zip(found, names.values(), strict=True)
    )


def _series_of_sheets(
    connection: Connection, version: int, sheets: dict[int, PartName]
) -> dict[int, tuple[int, PartName]]:
    """Sheet → the identifier of its whole series (`*`), where it gives numbers for that."""
    return {
        sheet_id: (part_id, sheets[sheet_id]) for some in chunks(sheets)
        for part_id, sheet_id in connection.execute(
            select(part.c.id, part.c.sheet_id)
            .where(part.c.sheet_id.in_(some), part.c.part_number == WHOLE_SERIES,
                   fact_holds_at(part, version)))
    }


def _texts(connection: Connection, names: dict[int, PartName]) -> dict[int, list[PartText]]:
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
