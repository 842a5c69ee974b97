"""How the model would take a frame: its columns, where its heading ends, what each column holds.

Comes in: an opened document, a page, a box. Goes out: a Frame that a person corrects. Reads no number.
"""

from __future__ import annotations

from extract.boxes import Box
from extract.cells.grids import inks_to_grids
from extract.cells.ink import content_to_ink
from extract.cells.tables import Grid
from extract.document import Document
from extract.errors import InputError
from extract.framed.frames import Frame, FrameColumn, Role, framed_content
from extract.meanings.fields import place_to_unit
from extract.meanings.orientation import grid_to_table
from extract.meanings.tables import Axis, Table
from extract.meanings.words import QUANTITY_OF, Meaning
from extract.page import PageContent, box_to_place
from extract.schema import Quantity


def document_to_proposal(document: Document, page: int, box: Box) -> Frame:
    """Columns, heading and meanings of a frame, as far as the model knows them.

    Raises InputError for a frame in which no columns are told.
    """
    content = framed_content(document, page, box)
    grids = inks_to_grids([content_to_ink(content)])
    if not grids:
        raise InputError(document.name, "no columns of numbers in the frame", "a table with its heading",
                         "Frame the whole table")
    grid = max(grids, key=lambda one: len(one.columns) * len(one.rows))
    table = grid_to_table(grid)
    upright = table if table is not None and table.axis is Axis.ROWS else None
    columns = tuple(_column(grid, upright, index, content, box) for index in range(len(grid.columns)))
    inside = grid.columns[0].x0, grid.rows[0].top - 1.0, grid.columns[-1].x1, grid.rows[0].top - 1.0
    return Frame(page, box, box_to_place(content, inside).top, _with_part_column(columns))


def _column(grid: Grid, table: Table | None, index: int, content: PageContent, box: Box) -> FrameColumn:
    column = grid.columns[index]
    last = len(grid.columns) - 1
    left = column.x0 - 2.0 if index == 0 else (grid.columns[index - 1].x1 + column.x0) / 2
    right = column.x1 + 2.0 if index == last else (column.x1 + grid.columns[index + 1].x0) / 2
    place = box_to_place(content, (left, grid.box[1], right, grid.box[3]))
    x0, x1 = max(place.x0, box[0]), min(place.x1, box[2])
    return _with_meaning(FrameColumn(x0, x1, Role.LEFT_OUT, heading=grid.heading(index)), table, index)


def _with_meaning(column: FrameColumn, table: Table | None, index: int) -> FrameColumn:
    """The column with what the model takes it for."""
    if table is None:
        return column
    field = next((series for series in table.fields if series.index == index), None)
    if field is None:
        return column
    unit = place_to_unit(field, 0)
    name = unit.name if unit is not None else ""
    ambient_c = table.ambients[table.fields.index(field)]
    if ambient_c is not None:
        quantity = Quantity.HOLD_RATIO if name == "%" else Quantity.HOLD_CURRENT
        return FrameColumn(column.x0, column.x1, Role.VALUE, quantity, unit=name, ambient_c=ambient_c,
                           heading=column.heading)
    told = next((a for a in table.assigned if a.candidate.series == index and a.candidate.place == 0), None)
    if told is None or told.meaning is Meaning.OTHER:
        return column
    if told.meaning is Meaning.TEST_CURRENT:
        return FrameColumn(column.x0, column.x1, Role.TEST_CURRENT, unit=name, heading=column.heading)
    quantity, kind = QUANTITY_OF[told.meaning]
    return FrameColumn(column.x0, column.x1, Role.VALUE, quantity, kind, name, heading=column.heading)


def _with_part_column(columns: tuple[FrameColumn, ...]) -> tuple[FrameColumn, ...]:
    """The first column that holds no values names the parts, until somebody says otherwise."""
    first = next((n for n, column in enumerate(columns) if column.role is Role.LEFT_OUT), None)
    return tuple(
        FrameColumn(column.x0, column.x1, Role.PART, heading=column.heading) if n == first else column
        for n, column in enumerate(columns))
