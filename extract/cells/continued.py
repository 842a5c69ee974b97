"""Tables that go on: over a page break, or below a gap, without headings of their own or with the same again.

Comes in: Grids in the order of the pages. Goes out: one Grid for a table in several pieces, or the headings
that a piece borrows. Understands no word.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.cells.ink import Ink, Line
from extract.cells.tables import Cell, Column, Grid, Head, Row, Source

SAME_PT = 8.0
OWN_HEADS = 0.4
"""A table with headings over more of its columns than this has its own."""
SAME_HEADS = 0.8
CROSSING = 0.2
"""Fewer words than this share of all may cross the separators of a description."""


def borrowed_heads(grid: Grid, earlier: Sequence[Grid]) -> tuple[Head, ...]:
    """The headings of an earlier table whose columns stand where these do, if these have none of their
    own."""
    own = {n for head in grid.heads for n in range(head.first, head.last + 1)}
    if len(own) > OWN_HEADS * len(grid.columns):
        return ()
    return next((other.heads for other in reversed(earlier) if _stands_alike(grid, other)), ())


def _stands_alike(grid: Grid, other: Grid) -> bool:
    """Whether the columns of two tables stand at the same places."""
    return len(grid.columns) == len(other.columns) and all(
        min(abs(a.x0 - b.x0), abs(a.x1 - b.x1), abs(a.mid_x - b.mid_x)) < SAME_PT
        for a, b in zip(grid.columns, other.columns, strict=True)
    )


def fits_in(lines: Sequence[Line], before: Grid) -> bool:
    """Whether rows fit in the columns of an earlier table: no number crosses a separator, no word one beside
    a column of bare numbers, and most columns are filled."""
    columns = before.columns
    atoms = [atom for line in lines for atom in line.atoms]
    homes = {n for n, c in enumerate(columns) for a in atoms if c.left <= a.x0 and a.x1 <= c.right}
    worded = [c for n, c in enumerate(columns) if not _is_of_numbers(before.texts(n))]
    crossing = [
        a for a in atoms if not any(c.left - 0.5 <= a.x0 and a.x1 <= c.right + 0.5 for c in columns)
    ]
    described = all(_is_among(a.x0, a.x1, columns, worded) for a in crossing)
    return described and len(homes) >= SAME_HEADS * len(columns) and len(crossing) < CROSSING * len(atoms)


def _is_of_numbers(texts: Sequence[str]) -> bool:
    filled = [text for text in texts if text]
    return 2 * sum(bool(re.fullmatch(r"[-–—\d.,]+", text)) for text in filled) > len(filled)


def _is_among(x0: float, x1: float, columns: Sequence[Column], worded: Sequence[Column]) -> bool:
    """Whether a text touches columns of words only: a description that blanks part otherwise on each page."""
    touched = [column for column in columns if x0 < column.right and column.left < x1]
    return len(touched) > 1 and all(column in worded for column in touched)


def has_new_rows(grid: Grid, before: Grid) -> bool:
    """Whether a piece has rows of its own: those of a second card, one for each part, are called the same."""
    known = set(before.texts(0))
    texts = [text for text in grid.texts(0) if text]
    return not texts or sum(text in known for text in texts) < 0.5 * len(texts)


def goes_on_from(grid: Grid, before: Grid, ink: Ink) -> bool:
    """Whether the first table of a page repeats the headings of the last one of the page before (`ink`), and
    nothing new stands above it: what does stood there as well, but for the number of the page."""
    if not _stands_alike(grid, before):
        return False
    pairs = [(_lowest(grid, n), _lowest(before, n)) for n in range(len(grid.columns))]
    alike = sum(bool(a) and a == b for a, b in pairs)
    furniture = {without_digits(line.text) for line in ink.lines}
    above = [text for text in grid.captions if without_digits(text) not in furniture]
    return alike >= SAME_HEADS * len(pairs) and not any(re.search(r"\d", text) for text in above)


def _lowest(grid: Grid, column: int) -> str:
    heads = grid.heads_over(column)
    return heads[-1].text if heads else ""


def without_digits(text: str) -> str:
    """A text that may differ from the one on the page before in its numbers only."""
    return re.sub(r"[\d\s]+", "", text)


def joined_grids(grid: Grid, more: Grid) -> Grid:
    """Two pieces of a table as one; a piece begins under the group, and below the row, that the one before
    ends with."""
    rows = list(grid.rows)
    for row in more.rows:
        cells = tuple(
            _with_page(cell, more) if cell is None or not _is_ditto(cell) else _as_above(rows, n, cell)
            for n, cell in enumerate(row.cells)
        )
        groups = row.groups or rows[-1].groups
        rows.append(Row(cells, groups, row.top, row.bottom, row.mid_y))
    return replace(grid, rows=tuple(rows), notes=(*grid.notes, *more.notes))


def _with_page(cell: Cell | None, grid: Grid) -> Cell | None:
    return replace(cell, content=cell.content or grid.content) if cell is not None else None


def _is_ditto(cell: Cell) -> bool:
    return len(cell.atoms) == 1 and cell.atoms[0].ditto


def _as_above(rows: Sequence[Row], column: int, cell: Cell) -> Cell:
    above = rows[-1].cells[column]
    return replace(above, source=Source.DITTO, signs=()) if above is not None else cell
