"""What every table is made of, whichever way it was found: a Grid of cells with spans and texts.

Comes in: nothing. Goes out: the records, and the levels of a column's heading. Does not find tables:
ruled_grid.py and aligned_grid.py do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from extract.lines import Run, runs_to_lines, runs_to_text

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: first row and column, spans, printed runs, and the box of its text (or of itself)."""

    row: int
    column: int
    row_span: int
    column_span: int
    runs: tuple[Run, ...]
    box: Box
    text: str = ""
    marks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Grid:
    """A table in turned page coordinates.

    `columns` are x ranges, `rows` y ranges; `cells` cover the grid without overlap, empty ones
    included; `origin` is "ruled" or "aligned"; `titles` are the lines just above, nearest last;
    `section` is a line between heading and data that names a group of rows; `turned`: rows stand for
    columns of the page.
    """

    page: int
    origin: str
    box: Box
    columns: tuple[tuple[float, float], ...]
    rows: tuple[tuple[float, float], ...]
    cells: tuple[Cell, ...]
    titles: tuple[str, ...] = ()
    section: Cell | None = None
    turned: bool = False
    _index: dict[tuple[int, int], Cell] = field(default_factory=dict, compare=False, repr=False)

    def __post_init__(self) -> None:
        for cell in self.cells:
            for row in range(cell.row, cell.row + cell.row_span):
                for column in range(cell.column, cell.column + cell.column_span):
                    self._index[row, column] = cell

    def cell_at(self, row: int, column: int) -> Cell | None:
        """The cell that covers a place of the grid."""
        return self._index.get((row, column))

    def row_cells(self, row: int) -> tuple[Cell, ...]:
        """The distinct cells that cover a row, left to right."""
        cells = (self._index.get((row, column)) for column in range(len(self.columns)))
        return tuple({id(cell): cell for cell in cells if cell is not None}.values())


def runs_to_cell(at: tuple[int, int], spans: tuple[int, int], runs: Sequence[Run], box: Box) -> Cell:
    """A cell with its text, marks and the tight box of its text."""
    if runs:
        box = (
            min(r.x0 for r in runs),
            min(r.top for r in runs),
            max(r.x1 for r in runs),
            max(r.bottom for r in runs),
        )
    marks = tuple(mark for run in runs for mark in run.marks)
    return Cell(at[0], at[1], spans[0], spans[1], tuple(runs), box, runs_to_text(runs), marks)


def column_to_levels(grid: Grid, column: int, rows: Sequence[int]) -> tuple[str, ...]:
    """The heading of a column in the given rows, from the top, spanning headings included."""
    levels: list[str] = []
    seen: set[int] = set()
    for row in rows:
        cell = grid.cell_at(row, column)
        if cell is None or id(cell) in seen or not cell.text:
            continue
        seen.add(id(cell))
        text = cell.text if cell.column_span == 1 else _share_of_column(grid, cell, column)
        if text:
            levels.append(" ".join(text.split()))
    return tuple(levels)


def _share_of_column(grid: Grid, cell: Cell, column: int) -> str:
    """The part of a spanning heading that speaks to one column.

    A line whose runs stand one over each column ("MIN   MAX") is shared out; any other line speaks
    to all columns it spans.
    """
    inside = range(cell.column, cell.column + cell.column_span)
    words: list[str] = []
    for line in runs_to_lines(cell.runs):
        homes = [_home_of_run(grid, run, inside) for run in line]
        if len(line) > 1 and None not in homes and set(homes) == set(inside):
            words += [run.text for run, home in zip(line, homes, strict=True) if home == column]
        else:
            words += [run.text for run in line]
    return " ".join(words)


def _home_of_run(grid: Grid, run: Run, inside: range) -> int | None:
    """The one column a run stands in, or None if it straddles."""
    for column in inside:
        x0, x1 = grid.columns[column]
        if x0 - 2 <= run.x0 and run.x1 <= x1 + 2:
            return column
    return None
