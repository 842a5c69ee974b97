"""Headings that were taken for a row, and blocks of one part each that were taken for one table.

Comes in: Grids. Goes out: the Grids, a first row of headings put over the columns; a grid whose labels begin
anew below a line of its own taken apart there, the line as the heading of what follows; the letters of a
drawing's frame left out.

    Filter    |  Type   | Hold current |        headings, in the row of the box's own text
    60 V (3)  |  TQ-050 | 0.50 A       |

    TQ-050       | 3216 size                    a block
    Hold current | 0.50 A
    TQ-075       | 3216 size                    another one
    Hold current | 0.75 A
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import replace

from extract.cells.tables import Cell, Grid, Head, Row
from extract.joined.part_names import letters_of, may_name_a_part
from extract.meanings.words import text_to_hits

BARE = 0.6
"""So many columns have no heading."""
LEAST_KNOWN = 3
WIDE = 4
MOSTLY = 0.8
"""So many labels of a block stand in the next one again."""
MAKES_A_HEADING = ("quantity", "part_number")


def grids_to_headed(grids: Sequence[Grid]) -> tuple[Grid, ...]:
    """The grids without headings of their own, their first row over the columns if it is one of headings."""
    return tuple(_headed(grid) if _is_headed_by_row(grid) else grid for grid in grids)


def _is_headed_by_row(grid: Grid) -> bool:
    count = len(grid.columns)
    bare = sum(not _heads_alone(grid, column) for column in range(count))
    if bare < BARE * count or len(grid.rows) < LEAST_KNOWN:
        return False
    if _names_parts(grid.rows[0]) and not _names_parts(grid.rows[1]):
        return True
    known = sum(cell is not None and _is_heading(cell) for cell in grid.rows[0].cells)
    below = sum(cell is not None and _is_heading(cell) for cell in grid.rows[1].cells)
    return known >= LEAST_KNOWN and below < known / 2


def _heads_alone(grid: Grid, column: int) -> bool:
    """Whether a heading stands over a column, or over it and a few beside it: one over many is a title."""
    return any(head.last - head.first < WIDE for head in grid.heads_over(column))


def _names_parts(row: Row) -> bool:
    """Whether the last cells of a row are part numbers of one family: "Item | Unit | TQ-050 | TQ-075"."""
    cells = [cell for cell in row.cells if cell is not None]
    coded = (cell.text for cell in cells if re.search(r"[^\W\d_].*\d", cell.text))
    names = list(filter(may_name_a_part, coded))
    at_end = names == [cell.text for cell in cells[-len(names) :]]
    return LEAST_KNOWN <= len(names) == len(set(names)) and at_end and len(set(map(letters_of, names))) == 1


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


def grids_to_unframed(grids: Sequence[Grid]) -> tuple[Grid, ...]:
    """The grids without the zone letters of a drawing's frame ("C" left and right of every row)."""
    return tuple(_unframed(grid) for grid in grids)


def _unframed(grid: Grid) -> Grid:
    last = len(grid.columns) - 1
    first, end = int(_is_zone(grid, 0)), last - int(_is_zone(grid, last))
    if (first, end) == (0, last) or end - first < 1:
        return grid
    heads = tuple(
        replace(head, first=max(0, head.first - first), last=min(end, head.last) - first)
        for head in grid.heads
        if head.last >= first and head.first <= end
    )
    rows = tuple(replace(row, cells=row.cells[first : end + 1]) for row in grid.rows)
    return replace(grid, columns=grid.columns[first : end + 1], heads=heads, rows=rows)


def _is_zone(grid: Grid, column: int) -> bool:
    """Whether a column without a heading holds one letter, the same in all its cells."""
    texts = {text for text in grid.texts(column) if text}
    one = len(texts) == 1 and re.fullmatch(r"[A-Z]", texts.pop()) is not None
    return one and not grid.heading(column) and len(grid.rows) > 1


def grids_to_parted(grids: Sequence[Grid]) -> tuple[Grid, ...]:
    """The grids of several blocks, one for each block."""
    return tuple(part for grid in grids for part in _parted(grid))


def _parted(grid: Grid) -> tuple[Grid, ...]:
    runs = [tuple(rows) for _, rows in itertools.groupby(grid.rows, key=lambda row: row.groups)]
    if len(runs) < 2 or not all(_is_alike(runs[0], rows) for rows in runs[1:]):
        return (grid,)
    return tuple(_block(grid, rows) for rows in runs)


def _is_alike(first: Sequence[Row], rows: Sequence[Row]) -> bool:
    """Whether rows below a line of their own have the labels of the first rows, beginning with the first."""
    labels, others = _labels(first), _labels(rows)
    named = sum(any(hit.sense == "quantity" for hit in text_to_hits(label)) for label in labels)
    same = sum(one == other for one, other in zip(labels, others, strict=False))
    return len(rows[0].groups) == 1 and named >= LEAST_KNOWN and same >= MOSTLY * len(labels)


def _labels(rows: Sequence[Row]) -> list[str]:
    return [cell.text if (cell := row.cells[0]) is not None else "" for row in rows]


def _block(grid: Grid, rows: Sequence[Row]) -> Grid:
    """One block, with the line over it as its heading."""
    bare = tuple(replace(row, groups=()) for row in rows)
    if not rows[0].groups or not grid.heads:
        return replace(grid, rows=bare)
    head = replace(grid.heads[0], text=rows[0].groups[0], first=0, last=0)
    box = (grid.box[0], rows[0].top, grid.box[2], rows[-1].bottom)
    return replace(grid, heads=(head,), rows=bare, box=box)


def grids_to_prefixed(grids: Sequence[Grid]) -> tuple[Grid, ...]:
    """The grids with what begins the part numbers, as the heading of the first column ends, before each of
    its digits.

    Type    |  Ihold          Type   | Ihold
    TQ60-   |  A        ->    TQ60-  | A
    010     |  0.10       TQ60-010   | 0.10
    """
    return tuple(_prefixed(grid) for grid in grids)


def _prefixed(grid: Grid) -> Grid:
    begins = _PREFIX.search(grid.heading(0))
    texts = grid.texts(0)
    if begins is None or len(texts) < 2 or not all(_DIGITS.fullmatch(text.strip()) for text in texts):
        return grid
    prefix = begins[1] or begins[2]
    return replace(grid, rows=tuple(_with_prefix(row, prefix) for row in grid.rows))


def _with_prefix(row: Row, begins: str) -> Row:
    cell = row.cells[0]
    if cell is None:
        return row
    return replace(row, cells=(replace(cell, text=begins + cell.text), *row.cells[1:]))


_PREFIX = re.compile(
    r"(?:^|\s)(?:([A-ZА-Я][A-ZА-Я0-9]{1,9}[-–/])|([A-ZА-Я][A-ZА-Я0-9]{1,9}[-–/]?[A-ZА-Я0-9]{0,3})(?:…|\.{3}))$"
)
_DIGITS = re.compile(r"\d{2,5}[A-Z]{0,2}")
"""What begins the numbers of a column, and what goes on below it."""
