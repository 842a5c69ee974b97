"""Whether a library is sound: the database's own check, its form, cells, rows that point nowhere, counts.

Comes in: a reading connection. Goes out: one line for each fault. Mends nothing, knows no copies of sheets.
"""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection, and_, func, select, text

from holdtrip.library.damaged_cells import connection_to_damaged_cells
from holdtrip.library.form import connection_to_lacks
from holdtrip.library.history import holds_at
from holdtrip.library.migrating import NEWEST, step_of
from holdtrip.library.numbers import connection_to_numbers
from holdtrip.library.part_states import numbers_to_counts
from holdtrip.library.records import StoredNumber
from holdtrip.library.tables import metadata, part, part_state, sheet


def connection_to_faults(connection: Connection, version: int) -> Iterator[str]:
    """Every fault, in plain words."""
    step = step_of(connection)
    if step != NEWEST:
        yield f"its form is {step}, this holdtrip knows {NEWEST}"
    yield from (f"its form is broken: {lack} is not there" for lack in connection_to_lacks(connection))
    if connection.dialect.name == "sqlite":
        said = connection.execute(text("PRAGMA integrity_check")).scalars()
        yield from (f"the file is damaged: {line}" for line in said if line != "ok")
    yield from _orphans(connection)
    damaged = tuple(connection_to_damaged_cells(connection))
    yield from damaged
    if not damaged:  # else they cannot be counted
        yield from _wrong_states(connection, version)


def _orphans(connection: Connection) -> Iterator[str]:
    """Rows that point to rows that are not there."""
    for table in metadata.sorted_tables:
        for key in table.foreign_keys:
            there = key.column.table.alias()
            missing = select(func.count()).select_from(table.outerjoin(
                there, key.parent == there.c[key.column.name])).where(
                and_(key.parent.is_not(None), there.c[key.column.name].is_(None)))
            if count := connection.execute(missing).scalar_one():
                yield f"{table.name}: rows that point to a {key.column.table.name} that is not there: {count}"


def _wrong_states(connection: Connection, version: int) -> Iterator[str]:
    """Parts whose counts do not follow from what was said of their numbers."""
    numbers: dict[tuple[str, str], list[StoredNumber]] = {}
    for one in connection_to_numbers(connection, version):
        numbers.setdefault((one.reading.sha256, one.reading.part_number), []).append(one)
    query = (select(sheet.c.sha256, sheet.c.document, part.c.part_number, part_state.c.undecided,
                    part_state.c.accepted, part_state.c.rejected)
             .join(part, part.c.sheet_id == sheet.c.id).join(part_state, part_state.c.part_id == part.c.id)
             .where(holds_at(part_state, version)))
    for sha256, document, number, *stored in connection.execute(query):
        counts = numbers_to_counts(numbers.get((sha256, number), []))
        if stored != [counts.undecided, counts.accepted, counts.rejected]:
            yield f"{number} of {document}: its counts do not follow from its decisions"
