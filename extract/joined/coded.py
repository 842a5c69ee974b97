"""Part numbers printed in pieces, a column for each: "TQ | 60 | 0500 | K" is ordered as "TQ60-0500K".

Comes in: Grids, the sheet's lines. Goes out: the Grids, the columns of pieces made one column of part
numbers. Believes only what the sheet prints whole elsewhere: most of the numbers in another table, or one of
them where a heading that says part number stands over just these columns.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from extract.cells.tables import Cell, Column, Grid, Head, Row
from extract.joined.part_names import name_to_key
from extract.meanings.words import text_to_hits

MOST_PIECES, FEWEST_PIECES = 5, 3
"""Of two pieces another module takes care, column by column."""
PRINTED = 0.6
_CODE = re.compile(r"(?<![\w./-])[A-Za-z][A-Za-z0-9/.-]*\d[A-Za-z0-9/.-]*(?!\w)")


def grids_to_coded(grids: Sequence[Grid], lines: Iterable[str]) -> tuple[Grid, ...]:
    """The grids with the pieces of part numbers joined, where the sheet prints the whole."""
    first = [text for grid in grids for text in grid.texts(0)]
    codes = [code.rstrip(".-/") for text in (*lines, *first) for code in _CODE.findall(text)]
    printed = {name_to_key(code): code for code in codes}
    return tuple(_coded(grid, printed) for grid in grids)


def _coded(grid: Grid, printed: dict[str, str]) -> Grid:
    for count in range(min(MOST_PIECES, len(grid.columns) - 2), FEWEST_PIECES - 1, -1):
        pieces = [[cell for cell in row.cells[:count] if cell is not None] for row in grid.rows]
        names = _pieces_to_names(pieces, printed, _is_headed(grid, count))
        if names is not None:
            return _merged(grid, count, names)
    return grid


def _is_headed(grid: Grid, count: int) -> bool:
    """Whether a heading that says part number stands over the first columns and no other."""
    return any(
        (head.first, head.last) == (0, count - 1)
        and any(hit.sense == "part_number" for hit in text_to_hits(head.text))
        for head in grid.heads
    )


def _pieces_to_names(
    pieces: Sequence[Sequence[Cell]], printed: dict[str, str], headed: bool
) -> list[str] | None:
    """The part number of each row; None where the sheet does not print enough of them."""
    texts = [[cell.text.strip() for cell in row] for row in pieces]
    if len(texts) < 2 or not all(len(row) > 1 and re.match(r"[^\W\d_]", row[0]) for row in texts):
        return None
    found = [printed.get(name_to_key("".join(row)), "") for row in texts]
    count = sum(map(bool, found))
    if count < PRINTED * len(texts) and not headed:
        return None
    usual = _usual_signs(texts, found)
    names = [code or _with_signs(row, usual) for row, code in zip(texts, found, strict=True)]
    return names if all(names) and len(set(names)) == len(names) else None


def _usual_signs(texts: Sequence[Sequence[str]], found: Sequence[str]) -> dict[int, tuple[str, ...]]:
    """Count of signs -> those that most of the printed numbers have between their pieces."""
    signs = Counter(s for row, code in zip(texts, found, strict=True) if code and (s := _signs(row, code)))
    return {len(s): s for s, _ in reversed(signs.most_common())}


def _signs(row: Sequence[str], code: str) -> tuple[str, ...]:
    """What a whole number prints between its pieces; empty where the pieces do not stand in it."""
    pattern = r"(\W*)".join(map(re.escape, row))
    match = re.fullmatch(pattern, code, re.IGNORECASE)
    return match.groups() if match is not None else ()


def _with_signs(row: Sequence[str], usual: dict[int, tuple[str, ...]]) -> str:
    """The pieces joined as so many are elsewhere; empty where that is nowhere printed."""
    signs = usual.get(len(row) - 1)
    return row[0] + "".join(map(str.__add__, signs, row[1:])) if signs is not None else ""


def _merged(grid: Grid, count: int, names: Sequence[str]) -> Grid:
    """A grid whose first columns are one, with a part number in each row."""
    whole = grid.columns[:count]
    column = Column(whole[0].left, whole[-1].right, whole[0].x0, whole[-1].x1)
    rows = tuple(_merged_row(row, count, name) for row, name in zip(grid.rows, names, strict=True))
    heads = tuple(_moved(head, count) for head in grid.heads if head.last == 0 or head.last >= count - 1)
    return replace(grid, columns=(column, *grid.columns[count:]), heads=heads, rows=rows)


def _merged_row(row: Row, count: int, name: str) -> Row:
    atoms = tuple(atom for cell in row.cells[:count] if cell is not None for atom in cell.atoms)
    return replace(row, cells=(Cell(name, atoms), *row.cells[count:]))


def _moved(head: Head, count: int) -> Head:
    """A heading over the columns as they are numbered now."""
    return replace(head, first=max(0, head.first - count + 1), last=max(0, head.last - count + 1))
