"""Words that stand before the number in every cell of a column without heading: they are its heading.

Comes in: Grids. Goes out: the Grids, such a word put over its column and taken from its cells.

    TQ-005 | 0.05 | R 6.60 to 11.6 | R1 19.4 | at 0.25 A
    TQ-008 | 0.08 | R 3.54 to 6.25 | R1 10.4 | at 0.40 A
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.cells.tables import Cell, Grid, Head, Row
from extract.vocabulary import fold, vocabulary

LEAST_CELLS = 3
MOSTLY = 0.8
TEST_CURRENT = "test current"
_WORDED = re.compile(r"([^\W\d_][\w.]{0,7}?)[\s=:]+(?=[<>≤≥]*\s*[\d.,]*\d)")


def grids_to_hoisted(grids: Sequence[Grid]) -> tuple[Grid, ...]:
    """The grids, the words of their cells over columns that have no heading."""
    return tuple(_hoisted(grid) for grid in grids)


def _hoisted(grid: Grid) -> Grid:
    found = {
        column: word
        for column in range(len(grid.columns))
        if not grid.heading(column) and (word := _column_to_word(grid.texts(column)))
    }
    if not found:
        return grid
    level = 1 + max((head.level for head in grid.heads), default=0)
    heads = (Head(_word_to_heading(word), level, column, column, ()) for column, word in found.items())
    return replace(
        grid, heads=(*grid.heads, *heads), rows=tuple(_without_words(row, found) for row in grid.rows)
    )


def _column_to_word(texts: Sequence[str]) -> str:
    """The word before the number of nearly every text; empty if there is none."""
    filled = [text for text in texts if text]
    words = [match[1] for text in filled if (match := _WORDED.match(text)) is not None]
    same = len(set(words)) == 1 and len(words) >= max(LEAST_CELLS, MOSTLY * len(filled))
    return words[0] if same else ""


def _word_to_heading(word: str) -> str:
    """A word that says at which current a time is measured, as a heading says it."""
    return TEST_CURRENT if fold(word) in vocabulary()["wording"]["at"] else word


def _without_words(row: Row, found: dict[int, str]) -> Row:
    cells = [_without_word(cell, found.get(column, "")) for column, cell in enumerate(row.cells)]
    return replace(row, cells=tuple(cells))


def _without_word(cell: Cell | None, word: str) -> Cell | None:
    match = _WORDED.match(cell.text) if cell is not None and word else None
    same = match is not None and match[1] == word
    return replace(cell, text=cell.text[match.end() :]) if cell is not None and match and same else cell
