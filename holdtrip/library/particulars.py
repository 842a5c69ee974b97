"""What sheets say beside the ratings, stored and given out: sizes, temperatures, approvals, marking.

Comes in: a connection, particulars of sheets. Goes out: rows, and particulars again. Nobody decides on them
one by one: each goes out with the status it was read with.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, func, insert, select, update

from extract.schema import Kind, Particular, ParticularName, Place, Status
from holdtrip.library.chunks import chunks
from holdtrip.library.history import fact_holds_at
from holdtrip.library.tables import particular, sheet

_COLUMNS = (
    sheet.c.id, sheet.c.document, sheet.c.sha256, particular.c.part_number, particular.c.name,
    particular.c.kind, particular.c.value, particular.c.text, particular.c.status, particular.c.page,
    particular.c.x0, particular.c.top, particular.c.x1, particular.c.bottom, particular.c.raw,
    particular.c.label, particular.c.unit, particular.c.notes)


def particular_to_row(one: Particular) -> dict[str, str | float | None]:
    """The cells of a particular, without sheet and position."""
    place = one.place
    return {
        "part_number": one.part_number, "name": one.name.value, "label": one.label, "kind": one.kind.value,
        "value": one.value, "text": one.text, "status": one.status.value, "page": place.page, "x0": place.x0,
        "top": place.top, "x1": place.x1, "bottom": place.bottom, "raw": one.raw, "unit": one.unit,
        "notes": json.dumps(one.notes) if one.notes else "",
    }


def take_particulars_again(
    connection: Connection, sheet_id: int, said: Sequence[Particular], version: int
) -> None:
    """Put what a sheet says beside the ratings, as read now, in the place of what was read before."""
    own = particular.c.sheet_id == sheet_id
    connection.execute(update(particular).values(replaced_by=version)
                       .where(own, particular.c.replaced_by.is_(None)))
    highest = func.coalesce(func.max(particular.c.position), -1)
    last = connection.execute(select(highest).where(own)).scalar_one()
    rows = [particular_to_row(one) | {"sheet_id": sheet_id, "change_id": version, "position": last + index}
            for index, one in enumerate(said, 1)]
    if rows:
        connection.execute(insert(particular), rows)


def sheets_to_particulars(
    connection: Connection, version: int, sheet_ids: Iterable[int]
) -> dict[int, list[Particular]]:
    """Sheet → what it says, in the order read."""
    found: dict[int, list[Particular]] = {}
    query = (select(*_COLUMNS).join(sheet, sheet.c.id == particular.c.sheet_id)
             .where(fact_holds_at(particular, version))
             .order_by(particular.c.sheet_id, particular.c.position))
    for some in chunks(sheet_ids):
        for sheet_id, *row in connection.execute(query.where(particular.c.sheet_id.in_(some))):
            found.setdefault(sheet_id, []).append(_row_to_particular(row))
    return found


def particulars_by_part(said: Iterable[Particular]) -> dict[str, tuple[Particular, ...]]:
    """Part → what a sheet says of it by name; what it says of all its parts under their `*`."""
    found: dict[str, tuple[Particular, ...]] = {}
    for one in said:
        found[one.part_number] = (*found.get(one.part_number, ()), one)
    return found


def _row_to_particular(row: Sequence[Any]) -> Particular:
    (document, sha256, number, name, kind, value, text, status, page, x0, top, x1, bottom, raw, label, unit,
     notes) = row
    return Particular(document, sha256, number, ParticularName(name), Kind(kind), value, text, Status(status),
                      Place(page, x0, top, x1, bottom), raw, label, unit,
                      tuple(json.loads(notes)) if notes else ())
