"""A page's grids become the tables worth keeping: the best reading of each place, in page order.

Comes in: a PageContent. Goes out: Tables and the grids nobody understood. Where a ruled and an
aligned reading claim the same place, the one with more known numbers stays.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from extract.aligned_grid import add_heading_above, free_swallowed_rows, runs_to_aligned_grids
from extract.columns import Table, count_heading_rows, grid_to_halves, grid_to_table, stood_up_to_table
from extract.foreign_tables import table_to_foreign_word
from extract.grid import Box, Grid, runs_to_cell
from extract.heading_notes import with_noted_limits
from extract.lines import Run, glyphs_to_runs, part_decimals
from extract.merged_rows import split_stacked_rows
from extract.page import PageContent
from extract.quantities import CellSort, cell_to_numbers
from extract.rating_lines import cell_to_limits
from extract.ruled_grid import content_to_ruled_grids
from extract.schema import Quantity
from extract.transpose import grid_to_transposed, grid_to_turned_derating
from extract.two_up import content_to_halves

MOST_LACKING = 2  # so many columns of a table may be empty on its next page
CAPTION_EM = 4.0  # a caption stands so close above its table, in text heights
LEAST_SHARED = 5  # and so many at least must stand where they stood


@dataclass(frozen=True, slots=True)
class PageTables:
    """Tables of a page in reading order, and number-rich grids that were not understood."""

    tables: tuple[Table, ...]
    not_understood: tuple[Grid, ...]
    runs: tuple[Run, ...]


def content_to_tables(content: PageContent, before: Sequence[Table] = ()) -> PageTables:
    """Understand every table of a page, or of two pages on one sheet. `before` are the tables of the page
    before, for tables that go on without a heading."""
    halves = [_half_to_tables(half, before) for half in content_to_halves(content)]
    return PageTables(
        tuple(table for half in halves for table in half.tables),
        tuple(grid for half in halves for grid in half.not_understood),
        tuple(run for half in halves for run in half.runs),
    )


def _half_to_tables(content: PageContent, before: Sequence[Table]) -> PageTables:
    runs = part_decimals(glyphs_to_runs(content.glyphs))
    ruled = sorted(_ruled_grids(content, runs), key=_reading_order)
    tables = _grids_to_tables(ruled, before)
    solid = [table.grid.box for table in tables if _is_solid(table)]
    free = [run for run in runs if not any(_is_inside(run, box) for box in solid)]
    aligned = sorted(runs_to_aligned_grids(content, free), key=_reading_order)
    tables = sorted(
        [*tables, *_grids_to_tables(aligned, [*before, *tables])], key=lambda t: _reading_order(t.grid)
    )
    grids = [*ruled, *aligned]
    chosen = _keep_best(tables)
    rest = [
        g for g in grids if not any(_overlap(g.box, t.grid.box) > 0.3 for t in chosen) and _is_number_rich(g)
    ]
    captioned = tuple(with_noted_limits(_with_captions(table, runs), runs) for table in chosen)
    return PageTables(captioned, tuple(_without_overlap(rest)), runs)


_OF_SOME = re.compile(r"(?i)\b(?:for|except|only|unless|suffix|nur|außer)\b")
"""A limit of some parts, or under some condition, is none of the whole table."""


def _with_captions(table: Table, runs: Sequence[Run]) -> Table:
    """A table of hold currents with the texts just above it that rate all its parts ("Vmax 60 V")."""
    x0, top, x1, _ = table.grid.box
    top = min(top, table.grid.rows[0][0])
    over = [run for run in runs if run.x1 >= x0 and run.x0 <= x1]
    above = [run for run in over if 0 <= top - run.bottom + 2 <= CAPTION_EM * run.size]
    cells = [runs_to_cell((0, 0), (1, 1), [run], run.box) for run in above]
    captions = tuple(c for c in cells if cell_to_limits(c) and not _OF_SOME.search(c.text))
    rates = any(column.meaning.quantity is Quantity.HOLD_CURRENT for column in table.value_columns())
    return replace(table, captions=captions) if captions and rates and not table.is_derating else table


def _reading_order(grid: Grid) -> tuple[float, float]:
    return grid.box[1], grid.box[0]


def _grids_to_tables(grids: Sequence[Grid], before: Sequence[Table]) -> list[Table]:
    tables: list[Table] = []
    for grid in _cut_side_by_side(grids):
        table = grid_to_table(grid) or _continue_table(grid, [*before, *tables])
        if table is not None and not table_to_foreign_word(table):
            tables.append(table)
        stood_up = grid_to_transposed(grid)
        if stood_up is not None and (lying := stood_up_to_table(stood_up)) is not None:
            tables.append(lying)
        turned = grid_to_turned_derating(grid)
        if turned is not None and (derating := grid_to_table(turned)) is not None and derating.is_derating:
            tables.append(derating)
    return tables


def _is_solid(table: Table) -> bool:
    """Whether a ruled table is understood so well that no other reading of its place is wanted: parts
    named, every column of numbers known, several quantities or ambients."""
    known = {(c.meaning.quantity, c.meaning.kind, c.meaning.ambient_c) for c in table.value_columns()}
    ambients = sum(c.meaning.is_ambient_column for c in table.columns)
    parted = _known_numbers(table) >= len(table.body) * max(len(known), ambients) / 2  # one number a cell
    is_known = table.part_column is not None and not table.unknown_columns()
    return is_known and parted and max(len(known), ambients) >= 4


def _is_inside(run: Run, box: Box) -> bool:
    return box[0] <= run.mid_x <= box[2] and box[1] <= run.mid_y <= box[3]


def _cut_side_by_side(grids: Sequence[Grid]) -> list[Grid]:
    return [piece for grid in grids for piece in (grid_to_halves(grid) or (grid,))]


def _ruled_grids(content: PageContent, runs: Sequence[Run]) -> list[Grid]:
    """Ruled grids with their titles; one that begins with data takes the heading above its rules."""
    grids = []
    for grid in content_to_ruled_grids(content):
        freed = split_stacked_rows(free_swallowed_rows(grid))
        above = add_heading_above(freed, runs, content)
        if count_heading_rows(freed) == 0:
            grids += [freed, above]
        else:
            grids.append(replace(freed, titles=_titles_over(above, freed), section=None, _index={}))
    return grids


def _titles_over(above: Grid, grid: Grid) -> tuple[str, ...]:
    """The titles of a grid that has its own heading: what looked like the foot of a heading over it is
    the nearest of them."""
    added = len(above.rows) - len(grid.rows)
    line = " ".join(cell.text for cell in above.row_cells(added - 1) if cell.text) if added else ""
    nearest = above.section.text if above.section is not None else line
    return (*above.titles, " ".join(nearest.split())) if nearest else above.titles


def _continue_table(grid: Grid, earlier: Sequence[Table]) -> Table | None:
    """A headless grid with the columns of an earlier table goes on with that table's heading."""
    for table in reversed(earlier):
        if _has_other_heading(grid, table):
            continue
        whole = grid if _same_columns(grid, table.grid) else _fill_up_columns(grid, table.grid)
        if whole is not None:
            continued = grid_to_table(whole, inherited=table)
            if continued is not None:
                return continued
    return None


def _has_other_heading(grid: Grid, earlier: Table) -> bool:
    """Whether a grid begins with a heading of its own that shares few texts with the earlier table's: a
    column of part numbers alone makes no common heading."""
    rows = [[c.text for c in grid.row_cells(row) if c.text] for row in range(count_heading_rows(grid))]
    own = {" ".join(text.split()) for row in rows for text in row}
    known = {level for column in earlier.columns for level in column.levels}
    return any(len(row) >= 3 for row in rows) and len(own & known) * 2 < len(own)


def _fill_up_columns(grid: Grid, earlier: Grid) -> Grid | None:
    """The grid with the columns it lacks of an earlier one, empty: the text of a cell merged over a page
    break stands on the page before only. None if its columns are not plainly the others of that grid."""
    homes = [
        [n for n, (x0, x1) in enumerate(earlier.columns) if min(right, x1) - max(left, x0) > 0]
        for left, right in grid.columns
    ]
    order = [over[0] for over in homes if len(over) == 1]
    lacking = len(earlier.columns) - len(grid.columns)
    if not 0 < lacking <= MOST_LACKING or len(order) < max(LEAST_SHARED, len(grid.columns)):
        return None
    if any(after <= before for before, after in pairwise(order)):
        return None
    columns = list(earlier.columns)
    for here, there in enumerate(order):
        columns[there] = grid.columns[here]
    cells = tuple(
        replace(
            cell,
            column=order[cell.column],
            column_span=order[cell.column + cell.column_span - 1] - order[cell.column] + 1,
        )
        for cell in grid.cells
    )
    return replace(grid, columns=tuple(columns), cells=cells, _index={})


def _same_columns(a: Grid, b: Grid) -> bool:
    if len(a.columns) != len(b.columns):
        return False
    return all(
        min(ax1, bx1) - max(ax0, bx0) > 0 for (ax0, ax1), (bx0, bx1) in zip(a.columns, b.columns, strict=True)
    )


def _keep_best(tables: Sequence[Table]) -> list[Table]:
    """Of tables that claim one place the one with the most known numbers; ruled before aligned."""
    ranked = sorted(tables, key=lambda t: (-_known_numbers(t), t.grid.origin != "ruled"))
    kept: list[Table] = []
    for table in ranked:
        if not any(_overlap(table.grid.box, other.grid.box) > 0.1 for other in kept):
            kept.append(table)
    return sorted(kept, key=lambda t: (t.grid.box[1], t.grid.box[0]))


def _known_numbers(table: Table) -> int:
    columns = [
        c.index for c in table.columns if c.meaning.quantity is not None or c.meaning.is_ambient_column
    ]
    cells = [table.grid.cell_at(row, column) for row in table.body for column in columns]
    return sum(
        cell is not None and cell.column_span == 1 and cell_to_numbers(cell.text).sort is CellSort.NUMBERS
        for cell in cells
    )


def _overlap(a: Box, b: Box) -> float:
    """Shared area as a share of the smaller box."""
    width = min(a[2], b[2]) - max(a[0], b[0])
    height = min(a[3], b[3]) - max(a[1], b[1])
    smaller = min((a[2] - a[0]) * (a[3] - a[1]), (b[2] - b[0]) * (b[3] - b[1]))
    return max(0.0, width) * max(0.0, height) / smaller if smaller > 0 else 0.0


def _is_number_rich(grid: Grid) -> bool:
    """Enough rows of numbers to be a table a reader would miss."""
    rows = [
        row
        for row in range(len(grid.rows))
        if sum(cell_to_numbers(c.text).sort is CellSort.NUMBERS for c in grid.row_cells(row)) >= 3
    ]
    return len(rows) >= 2


def _without_overlap(grids: Sequence[Grid]) -> list[Grid]:
    kept: list[Grid] = []
    for grid in grids:
        if not any(_overlap(grid.box, other.box) > 0.3 for other in kept):
            kept.append(grid)
    return kept
