"""Curves that come to a stored sheet later, by a person's word: a chart that is a picture, its scale marked.

Comes in: a writing connection, curves of the sheet. Goes out: how many came. Undecided curves of the same
chart make room; decided ones stay. Reads no PDF.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, func, insert, select, update

from extract.errors import InputError
from extract.schema import Curve, Place
from holdtrip.library.curves import StoredCurve, connection_to_curves, curve_to_row
from holdtrip.library.history import add_change, version_at
from holdtrip.library.records import Action, Signature
from holdtrip.library.tables import curve, sheet


def add_curves(connection: Connection, sha256: str, curves: Sequence[Curve], by: Signature) -> int:
    """Add curves to a sheet, in the place of undecided ones of the same chart. Raises InputError for a sheet
    not stored, or without curves."""
    sheet_id = connection.execute(select(sheet.c.id).where(sheet.c.sha256 == sha256)).scalar()
    if sheet_id is None:
        raise InputError("library", f"no sheet {sha256[:12]}", "a stored sheet")
    if not curves:
        raise InputError("library", "no line was found in the picture", "marks on a chart with curves")
    stored = connection_to_curves(connection, version_at(connection), sha256=sha256)
    went = [one.curve_id for one in stored if _makes_room(one, curves[0].place)]
    change_id = add_change(connection, Action.CALIBRATE, by)
    if went:
        connection.execute(update(curve).values(replaced_by=change_id).where(curve.c.id.in_(went)))
    last = select(func.coalesce(func.max(curve.c.position), -1)).where(curve.c.sheet_id == sheet_id)
    first = int(connection.execute(last).scalar_one()) + 1
    rows = [curve_to_row(one) | {"sheet_id": sheet_id, "position": first + number, "change_id": change_id}
            for number, one in enumerate(curves)]
    connection.execute(insert(curve), rows)
    return len(rows)


def _makes_room(one: StoredCurve, place: Place) -> bool:
    """Whether an undecided curve stands in the same chart: the middle of its frame lies within."""
    own = one.curve.place
    x, y = (own.x0 + own.x1) / 2, (own.top + own.bottom) / 2
    inside = place.x0 <= x <= place.x1 and place.top <= y <= place.bottom
    return one.decision is None and own.page == place.page and inside
