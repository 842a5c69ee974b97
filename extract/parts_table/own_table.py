"""Why a typed number differs from the sheet, seen in the table itself: a cell beside has it, or another row.

Comes in: a cell, the sheet's reading, the rows of the table. Goes out: a cause in words, or nothing. Says
nothing where the sheets prove the other cell right.
"""

from __future__ import annotations

from collections.abc import Sequence

from extract.parts_table.comparing import Verdict, cell_to_compared
from extract.parts_table.differences import is_same
from extract.parts_table.records import TypedCell, TypedRow
from extract.parts_table.sources import SourcePart
from extract.schema import UNIT_OF, Quantity, Reading, Status


def cell_to_cause(
    cell: TypedCell, reading: Reading, row: TypedRow, rows: Sequence[TypedRow], parts: Sequence[SourcePart]
) -> str:
    """Where the table has what the sheet prints for this cell."""
    return _exchanged(cell, reading, row, parts) or _typed_twice(cell, reading, row, rows)


def time_to_other_current(cell: TypedCell, part: SourcePart) -> float | None:
    """The test current at which the sheet prints the typed time, where it is not the typed one: which of the
    two is wrong cannot be told."""
    if cell.column.quantity is not Quantity.TIME_TO_TRIP or cell.test_current_a is None:
        return None
    others = (
        r
        for r in part.by_quantity.get(Quantity.TIME_TO_TRIP, ())
        if r.status is not Status.DISPUTED and is_same(r.value, cell.value)
    )
    return next(
        (
            r.test_current_a
            for r in others
            if r.test_current_a is not None and not is_same(r.test_current_a, cell.test_current_a)
        ),
        None,
    )


def _exchanged(cell: TypedCell, reading: Reading, row: TypedRow, parts: Sequence[SourcePart]) -> str:
    """A cell of the row that holds this one's number and is not known to be right."""
    beside = [
        c
        for c in row.cells
        if c.column.index != cell.column.index
        and c.column.quantity is not None
        and UNIT_OF[c.column.quantity] == UNIT_OF[reading.quantity]
        and is_same(c.value, reading.value)
    ]
    open_ones = [
        c for c in beside if cell_to_compared(c, parts).verdict not in (Verdict.RIGHT, Verdict.REVISION)
    ]
    name = open_ones[0].column.heading if open_ones else ""
    return f"exchanged with '{name}', which holds the printed value" if open_ones else ""


def _typed_twice(cell: TypedCell, reading: Reading, row: TypedRow, rows: Sequence[TypedRow]) -> str:
    """Another row of the same part that holds the printed value."""
    name = row.part_number.casefold()
    for other in rows:
        if other.row == row.row or other.part_number.casefold() != name:
            continue
        if any(c.column.index == cell.column.index and is_same(c.value, reading.value) for c in other.cells):
            first, last = sorted((row.row, other.row))
            return f"the part stands in rows {first} and {last}, which differ"
    return ""
