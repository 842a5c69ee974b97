"""What stands left of a place and above it in the tables of a generic library.

Comes in: GenericCells of a page, its SecondPage, the places of values. Goes out: Sights, as looking.py gives
them. Where a cell holds more than the value, nothing can be told.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from extract.boxes import Box
from extract.second.generic import GenericCell
from extract.second.looking import Blocks, Line, Sight
from extract.second.page_words import SecondPage

NEAR_PT = 1.0


class GenericLook:
    """Looks at the places of values in the tables that camelot found on one page."""

    def __init__(self, page: SecondPage, cells: Sequence[GenericCell], places: Sequence[Box]) -> None:
        self._page = page
        self._cells = cells
        self._rows: dict[tuple[int, int], list[GenericCell]] = defaultdict(list)
        self._columns: dict[tuple[int, int], list[GenericCell]] = defaultdict(list)
        for cell in cells:
            self._rows[cell.table, cell.row].append(cell)
            self._columns[cell.table, cell.column].append(cell)
        boxes = [page.to_upright(place) for place in places]
        self._values = frozenset(id(cell) for box in boxes for cell in self._over(box))

    def look(self, place: Box) -> Sight | None:
        """What is seen at a place of the page as shown; None where no cell, or several, stand over it."""
        box = self._page.to_upright(place)
        found = self._over(box)
        if len(found) != 1:
            return None
        own = found[0]
        row = self._bare(self._rows[own.table, own.row])
        above = [cell for cell in self._bare(self._columns[own.table, own.column]) if cell.row < own.row]
        above.sort(key=lambda cell: -cell.row)
        lines = tuple(Line(tuple(cell.text.split()), ()) for cell in above)
        wide = sorted({cell.row for cell in self._cells if cell.table == own.table and cell.row < own.row})
        return Sight(
            own.text,
            _words([cell for cell in row if cell.column < own.column]),
            _words([cell for cell in row if cell.column > own.column]),
            False,
            False,
            (lines,) if lines else (),
            (),
            (box[0], box[2]),
            tuple(tuple(text for text, _ in _words(self._rows[own.table, row])) for row in reversed(wide)),
        )

    def over(self, _x0: float, _x1: float, _y: float, _size: float) -> Blocks:
        """Nothing: a generic table ends with its page."""
        return ()

    def _bare(self, cells: Sequence[GenericCell]) -> list[GenericCell]:
        """The cells that hold no value."""
        return [cell for cell in cells if id(cell) not in self._values]

    def _over(self, box: Box) -> list[GenericCell]:
        x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        return [cell for cell in self._cells if _holds(cell.box, x, y)]


def _holds(box: Box, x: float, y: float) -> bool:
    return box[0] - NEAR_PT <= x <= box[2] + NEAR_PT and box[1] - NEAR_PT <= y <= box[3] + NEAR_PT


def _words(cells: Sequence[GenericCell]) -> tuple[tuple[str, float], ...]:
    """The words of cells, left to right, all level with the value."""
    ordered = sorted(cells, key=lambda cell: cell.column)
    return tuple((word, 0.0) for cell in ordered for word in cell.text.split())
