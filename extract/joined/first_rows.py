"""Headings that were taken for the first row: a box beside a table draws them into its rows.

Comes in: Grids. Goes out: the Grids, a first row of headings put over the columns. Changes no grid that has
headings of its own.

    Filter    |  Type   | Hold current |        headings, in the row of the box's own text
    60 V (3)  |  TQ-050 | 0.50 A       |
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from extract.cells.tables import Cell, Grid, Head
from extract.meanings.words import text_to_hits

BARE = 0.6
"""So many columns have no heading."""
LEAST_KNOWN = 3
MAKES_A_HEADING = ("quantity", "part_number")


def grids_to_headed(grids: Sequence[Grid]) -> tuple[Grid, ...]:
    """The grids without headings of their own, their first row over the columns if it is one of headings."""
    return tuple(_headed(grid) if _is_headed_by_row(grid) else grid for grid in grids)


def _is_headed_by_row(grid: Grid) -> bool:
    count = len(grid.columns)
    bare = sum(not grid.heading(column) for column in range(count))
    if bare < BARE * count or len(grid.rows) < LEAST_KNOWN:
        return False
    known = sum(cell is not None and _is_heading(cell) for cell in grid.rows[0].cells)
    below = sum(cell is not None and _is_heading(cell) for cell in grid.rows[1].cells)
    return known >= LEAST_KNOWN and below < known / 2


def _is_heading(cell: Cell) -> bool:
    """Whether a cell names what stands below it: a known wording, and no number but in brackets."""
    hits = text_to_hits(cell.text)
    return any(hit.sense in MAKES_A_HEADING for hit in hits) and not cell.text[:1].isdigit()


def _headed(grid: Grid) -> Grid:
    level = max((head.level for head in grid.heads), default=-1) + 1
    heads = tuple(
        Head(cell.text, level, column, column, cell.atoms)
        for column, cell in enumerate(grid.rows[0].cells)
        if cell is not None
    )
    return replace(grid, heads=(*grid.heads, *heads), rows=grid.rows[1:])
