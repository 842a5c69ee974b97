"""A table lying on its side (parameters in rows) is stood up: parameters become columns.

Comes in: a Grid. Goes out: a Grid whose heading rows are the words of each parameter row (name,
symbol, condition, unit) and whose data rows are its value columns; or None if the rows name no
quantities. Cells keep their places on the page.
"""

from __future__ import annotations

import re
from dataclasses import replace

from extract.grid import Cell, Grid
from extract.headings import Role, heading_to_meaning
from extract.quantities import CellSort, cell_to_numbers
from extract.temperatures import text_to_bare_ambient, texts_are_temperatures

MIN_PARAMETERS = 3
MIN_TEMPERATURES = 4


def grid_to_transposed(grid: Grid) -> Grid | None:
    """The grid stood up, or None if fewer than three rows begin with a quantity's name."""
    grid = _without_numbering(grid)
    named = [row for row in range(len(grid.rows)) if _names_quantity(grid, row)]
    if len(named) < MIN_PARAMETERS:
        return None
    values = [c for c in range(len(grid.columns)) if _is_value_column(grid, c, named)]
    words = [c for c in range(len(grid.columns)) if c not in values]
    if not values or not words or min(words) > min(values):
        return None
    first = min(named)
    rows = [row for row in range(len(grid.rows)) if row >= first or _names_columns(grid, row)]
    heads = [row for row in rows if row < first]
    order = [*words, *values]
    return _turn(grid, [*heads[-1:], *(row for row in rows if row >= first)], order)


def grid_to_turned_derating(grid: Grid) -> Grid | None:
    """The grid turned if its first column is a row of temperatures set upright, else None."""
    below = list(range(1, len(grid.rows)))
    labels = [cell.text for row in below if (cell := grid.cell_at(row, 0)) is not None and cell.text]
    upright = [text for text in labels if text_to_bare_ambient(text) is not None]
    if len(upright) < MIN_TEMPERATURES or not texts_are_temperatures(upright):
        return None
    first = next(row for row in below if (c := grid.cell_at(row, 0)) is not None and c.text == upright[0])
    rows = [row for row in below if row >= first]
    if any((c := grid.cell_at(row, 0)) is None or c.text not in upright for row in rows):
        return None
    return _turn(grid, [*range(first), *rows], list(range(len(grid.columns))))


def _without_numbering(grid: Grid) -> Grid:
    """The grid without a first column that only counts its rows (1, 2, 3 or 4.1, 4.2, 4.3)."""
    texts = [cell.text.strip(" .)") for cell in grid.cells if cell.column == 0 and cell.text]
    counted = [text for text in texts if re.fullmatch(r"\d+(?:[.-]\d+)*", text)]
    chapter = re.sub(r"\d+$", "", counted[0]) if counted else ""
    in_turn = [f"{chapter}{n}" for n in range(1, len(counted) + 1)]
    if len(counted) < MIN_PARAMETERS or counted != in_turn:
        return grid
    if len(counted) < len(texts) - 1:
        return grid
    cells = tuple(replace(cell, column=cell.column - 1) for cell in grid.cells if cell.column > 0)
    return replace(grid, columns=grid.columns[1:], cells=cells, _index={})


def _names_quantity(grid: Grid, row: int) -> bool:
    cells = [cell for cell in grid.row_cells(row) if cell.text]
    if len(cells) < 2 or not any(cell_to_numbers(c.text).sort is CellSort.NUMBERS for c in cells[1:]):
        return False
    words = [c.text for c in cells if cell_to_numbers(c.text).sort is not CellSort.NUMBERS]
    return bool(words) and cells[0].text == words[0] and heading_to_meaning(tuple(words)).quantity is not None


def _is_value_column(grid: Grid, column: int, named: list[int]) -> bool:
    cells = [cell for row in named if (cell := grid.cell_at(row, column)) is not None and cell.text]
    sorts = [cell_to_numbers(cell.text).sort for cell in cells]
    numbers = sum(sort in (CellSort.NUMBERS, CellSort.ABSENT) for sort in sorts)
    return CellSort.NUMBERS in sorts and numbers >= 0.6 * len(sorts)


def _names_columns(grid: Grid, row: int) -> bool:
    """Whether a row over the parameters heads the value columns (Value, Min., a part number)."""
    return sum(bool(cell.text) for cell in grid.row_cells(row)) >= 2


def _turn(grid: Grid, rows: list[int], columns: list[int]) -> Grid:
    cells: list[Cell] = []
    for new_row, column in enumerate(columns):
        for new_column, row in enumerate(rows):
            cell = grid.cell_at(row, column)
            if cell is not None:
                cells.append(replace(cell, row=new_row, column=new_column, row_span=1, column_span=1))
    return Grid(
        grid.page,
        grid.origin,
        grid.box,
        tuple(grid.rows[r] for r in rows),
        tuple(grid.columns[c] for c in columns),
        tuple(cells),
        grid.titles,
        grid.section,
        turned=True,
    )


def is_value_heading(text: str) -> bool:
    """Whether a label of a stood-up table's row heads values ("Value", "Min.") and names no part."""
    meaning = heading_to_meaning((text,))
    return meaning.role is not Role.PART_NUMBER and not any(ch.isdigit() for ch in text)
