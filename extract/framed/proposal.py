"""How the model would take a frame: its columns, where its heading ends, what each column holds.

Comes in: an opened document, a page, a box. Goes out: a Frame that a person corrects. Reads no number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from extract.boxes import Box
from extract.cells.grids import inks_to_grids
from extract.cells.ink import Line, content_to_ink
from extract.cells.tables import Grid
from extract.document import Document
from extract.errors import InputError
from extract.framed.frames import Frame, FrameColumn, Role, framed_content
from extract.framed.headed import AMPERES, CELSIUS, heading_to_only
from extract.framed.plain import content_to_plain, heights_to_rows, lines_to_gaps
from extract.meanings.fields import place_to_unit
from extract.meanings.orientation import grid_to_table
from extract.meanings.tables import Axis, Table
from extract.meanings.words import QUANTITY_OF, Meaning
from extract.page import PageContent, box_to_place, place_to_box
from extract.schema import Quantity


def document_to_proposal(document: Document, page: int, box: Box, turned: bool | None = None) -> Frame:
    """Columns, heading and meanings of a frame, as far as the model knows them; where its parts stand side by
    side (`turned`; None: as the model takes it), its rows.

    Raises InputError for a frame in which no columns are told.
    """
    content = framed_content(document, page, box)
    grids = inks_to_grids([content_to_ink(content)])
    if not grids:
        plain = content_to_plain(content, Frame(page, box, box[3], (), bool(turned)))
        if plain is None:
            raise InputError(
                document.name,
                "no columns of numbers in the frame",
                "a table with its heading",
                "Frame the whole table",
            )
        return replace(plain, columns=tuple(map(_with_conditions, plain.columns)))
    grid = max(grids, key=lambda one: len(one.columns) * len(one.rows))
    table = grid_to_table(grid)
    beside = table is not None and table.axis is Axis.COLUMNS
    understood = beside and table is not None and bool(table.meanings())
    if turned if turned is not None else understood:
        return _turned_frame(grid, table if understood else None, content, Frame(page, box, box[0], (), True))
    upright = None if beside else table
    columns = tuple(_column(grid, upright, index, content, box) for index in range(len(grid.columns)))
    inside = grid.columns[0].x0, grid.rows[0].top - 1.0, grid.columns[-1].x1, grid.rows[0].top - 1.0
    told = _with_part_column(tuple(map(_with_conditions, columns)))
    return Frame(page, box, box_to_place(content, inside).top, told)


def _turned_frame(grid: Grid, table: Table | None, content: PageContent, frame: Frame) -> Frame:
    """The frame with a row for each line of its heading, the first naming the parts, and one for each row
    below."""
    lines = content_to_ink(content).lines
    above = [line for line in lines if line.mid_y < grid.rows[0].top]
    first, last = grid.rows[0].top - 1.0, grid.rows[-1].bottom + 1.0
    labels = _label_columns(grid)
    right = (grid.columns[labels - 1].x1 + grid.columns[min(labels, len(grid.columns) - 1)].x0) / 2
    edges = [(before.bottom + row.top) / 2 for before, row in pairwise(grid.rows)]
    heights = [place_to_box(content, frame.box)[1], *lines_to_gaps(above), first, *edges, last]
    heights = sorted({*heights, *_gaps_in_rows(lines, heights, right)})
    head, *rows = heights_to_rows(content, heights, right)
    told = [
        _with_meaning(row, table, _row_at(grid, top, bottom))
        for row, (top, bottom) in zip(rows, pairwise(heights[1:]), strict=True)
    ]
    edge = box_to_place(content, (grid.columns[0].x0, first, right, last)).x1
    return replace(frame, heading_bottom=edge, columns=(head, *map(_with_conditions, told)))


def _gaps_in_rows(lines: Sequence[Line], heights: Sequence[float], right: float) -> list[float]:
    """The heights between lines of one row that both have numbers right of the labels: they are two rows."""
    numbered = [any(atom.number and atom.mid_x > right for atom in line.atoms) for line in lines]
    pairs = zip(pairwise(lines), pairwise(numbered), lines_to_gaps(lines), strict=True)
    return [
        gap
        for (line, below), both, gap in pairs
        if all(both) and not any(line.mid_y < at <= below.mid_y for at in heights)
    ]


def _row_at(grid: Grid, top: float, bottom: float) -> int:
    """Which row of a grid stands between two heights; -1 if none does."""
    return next((n for n, row in enumerate(grid.rows) if top <= row.mid_y < bottom), -1)


def _label_columns(grid: Grid) -> int:
    """How many columns stand before the first that mostly holds numbers; one at least."""
    for index in range(1, len(grid.columns)):
        cells = [cell for row in grid.rows if (cell := row.cells[index]) is not None]
        if sum(any(a.number for a in cell.atoms) for cell in cells) * 2 > len(cells):
            return index
    return 1


def _with_conditions(column: FrameColumn) -> FrameColumn:
    """The column with the only ambient and the only current that its heading names, where none is known."""
    ambient_c, current_a = column.ambient_c, column.test_current_a
    return replace(
        column,
        ambient_c=heading_to_only(column.heading, CELSIUS) if ambient_c is None else ambient_c,
        test_current_a=heading_to_only(column.heading, AMPERES) if current_a is None else current_a,
    )


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
        return FrameColumn(
            column.x0, column.x1, Role.VALUE, quantity, unit=name, ambient_c=ambient_c, heading=column.heading
        )
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
        for n, column in enumerate(columns)
    )
