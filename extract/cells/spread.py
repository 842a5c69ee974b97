"""A row's one value that stands in the middle of several columns is given to all of them.

Comes in: the cells of a row, its line, the columns, the rules of the table and where its values stand. Goes
out: the row's cells. Merges no rows: rows.py does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from statistics import median
from typing import TypeGuard

from extract.cells.ink import Line
from extract.cells.tables import Cell, Column, Source
from extract.page import Rule

CENTRED = 0.36
ON_COLUMN = 0.25


def columns_to_middles(filled: Sequence[Sequence[Cell | None]]) -> dict[int, float | None]:
    """The columns that hold values, each with where they stand in rows that hold several."""
    valued = [n for n, cells in enumerate(filled) if sum(_has_number(cell) for cell in cells) > 1]
    return {n: _cells_to_middle(filled[n], filled) for n in valued}


def row_to_spread(
    cells: tuple[Cell | None, ...],
    line: Line,
    columns: Sequence[Column],
    table: tuple[Sequence[Rule], Mapping[int, float | None]],
) -> tuple[Cell | None, ...]:
    """A row whose one value stands in the middle of columns that no rule parts here, given to all of them
    that hold values in other rows (`table`: its rules, and where the values of these columns stand); a column
    of units has none. Where it stands with the middle one's values and no rules part these columns in other
    rows, it may be that one's alone: how far it reaches is guessed.

    Max. voltage | V |            16            |
    Max. current | A |      40      |    100    |
    """
    verticals, valued = table
    spread = list(cells)
    for number, cell in enumerate(cells):
        if not _has_number(cell):
            continue
        others = [
            n
            for n in _columns_around(cell, _upright(line, verticals), columns)
            if n in valued and n != number
        ]
        reached = [columns[n] for n in sorted((number, *others))]
        if others and not any(cells[n] for n in others) and _is_centred(cell, reached):
            own = _stands_at(cell, valued.get(number), reached) and not _are_parted(reached, verticals)
            source = Source.GUESSED if own else Source.MERGED
            for n in others:
                spread[n] = Cell(cell.text, cell.atoms, source)
    return tuple(spread)


def _upright(line: Line, verticals: Sequence[Rule]) -> list[float]:
    """Where rules cross a line."""
    return [rule.at for rule in verticals if rule.start - 1 < line.mid_y < rule.end + 1]


def _cells_to_middle(cells: Sequence[Cell | None], filled: Sequence[Sequence[Cell | None]]) -> float | None:
    """Where the values of a column stand in rows that hold several; None where none of them does."""
    rows = [sum(_has_number(cell) for cell in row) for row in zip(*filled, strict=True)]
    pairs = zip(cells, rows, strict=True)
    found = [_middle(cell) for cell, count in pairs if count > 1 and _has_number(cell)]
    return median(found) if found else None


def _stands_at(cell: Cell, middle: float | None, columns: Sequence[Column]) -> bool:
    """Whether a cell stands where the values of its own column do."""
    pitch = (columns[-1].mid_x - columns[0].mid_x) / (len(columns) - 1)
    return middle is not None and abs(middle - _middle(cell)) < ON_COLUMN * pitch


def _middle(cell: Cell) -> float:
    return (cell.box[0] + cell.box[2]) / 2


def _are_parted(columns: Sequence[Column], verticals: Sequence[Rule]) -> bool:
    """Whether a rule stands between each column and the next, in any row of their table."""
    gaps = [(left.mid_x, right.mid_x) for left, right in pairwise(columns)]
    return all(any(start < rule.at < end for rule in verticals) for start, end in gaps)


def _columns_around(cell: Cell, upright: Sequence[float], columns: Sequence[Column]) -> list[int]:
    """The columns between the rules beside a cell; without rules all but the first, which names the row."""
    left = max((x for x in upright if x <= cell.box[0] + 1), default=columns[0].right)
    right = min((x for x in upright if x >= cell.box[2] - 1), default=columns[-1].right + 1)
    return [n for n, c in enumerate(columns) if left - 1 <= c.mid_x <= right + 1]


def _is_centred(cell: Cell, columns: Sequence[Column]) -> bool:
    """Whether a cell stands in the middle of some columns."""
    x0, x1 = columns[0].x0, columns[-1].x1
    middle, pitch = (x0 + x1) / 2, (x1 - x0) / len(columns)
    return abs((cell.box[0] + cell.box[2]) / 2 - middle) < CENTRED * pitch + 2


def _has_number(cell: Cell | None) -> TypeGuard[Cell]:
    return cell is not None and any(atom.number for atom in cell.atoms)
