"""How libraries count the numbers of a sheet: from 1, in the order read, those in force.

Comes in: a version. Goes out: a subquery of sheet, reading and number. Changes nothing.
"""

from __future__ import annotations

from sqlalchemy import Subquery, func, select

from holdtrip.library.history import came_by, fact_holds_at
from holdtrip.library.tables import part, reading


def numbered_readings(version: int) -> Subquery:
    """`sheet_id`, `reading_id`, `number` of every number in force at a version."""
    count = func.row_number().over(partition_by=reading.c.sheet_id, order_by=reading.c.position)
    return (
        select(reading.c.sheet_id, reading.c.id.label("reading_id"), count.label("number"))
        .join(part, part.c.id == reading.c.part_id)
        .where(fact_holds_at(part, version), came_by(reading, version)).subquery())
