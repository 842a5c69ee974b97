"""The rows of a framed table: each number with its part and what its column was said to hold.

Comes in: lines of ink, a frame in their coordinates. Goes out: readings, or a sentence for a number that is
not read. Compares no reader with another.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from extract.cells.ink import Line
from extract.cells.tables import Cell, lines_to_text
from extract.document import Document
from extract.framed.frames import Frame, FrameColumn, Role
from extract.meanings.series import Entry, cell_to_entry, text_to_spelled_units
from extract.page import PageContent, box_to_place
from extract.quantities import CellSort, NumberStyle, texts_to_style
from extract.schema import AT_AMBIENT, UNIT_OF, Quantity, Reading, Status
from extract.vocabulary import spelling_to_unit

NAMED_BY = "named by the person who framed the table"
_RATIO = "%"


@dataclass(frozen=True, slots=True)
class FramedNumber:
    """A reading and the cell it was read from."""

    reading: Reading
    cell: Cell


@dataclass(frozen=True, slots=True)
class RowReader:
    """What the rows of one framed table share: document, page, frame in the coordinates of the ink, how its
    numbers are written, who named its columns and when."""

    document: Document
    content: PageContent
    frame: Frame
    style: NumberStyle
    told: str

    def row_to_numbers(self, row: Sequence[Cell | None]) -> Iterator[FramedNumber | str]:
        """The numbers of a row, or a sentence for one that cannot be read."""
        pairs = [(column, cell) for column, cell in zip(self.frame.columns, row, strict=True)
                 if cell is not None]
        name = next((cell.text for column, cell in pairs if column.role is Role.PART), "")
        part = re.sub(r"[\s*†‡]+$", "", " ".join(name.split()))
        test_a = self._test_current(pairs)
        for column, cell in pairs:
            entry = cell_to_entry(cell, self.style)
            if column.role is not Role.VALUE or entry.sort is CellSort.ABSENT:
                continue
            value = entry_to_si(entry, column)
            if not part:
                if entry.numbers:
                    yield f"“{cell.text}” stands in a row without a part number"
            elif isinstance(value, str):
                yield f"{part}: “{cell.text}” {value}"
            else:
                yield FramedNumber(self._reading(column, cell, value, (part, test_a)), cell)

    def _reading(
        self, column: FrameColumn, cell: Cell, value: float, of: tuple[str, float | None]
    ) -> Reading:
        quantity, (part, test_a) = _quantity(column), of
        current_a = ambient_c = None
        doubts = []
        if quantity is Quantity.TIME_TO_TRIP:
            current_a = column.test_current_a if column.test_current_a is not None else test_a
            doubts += ["no test current was read"] if current_a is None else []
        if quantity in AT_AMBIENT:
            ambient_c = column.ambient_c
            doubts += ["the sheet names no reference ambient"] if ambient_c is None else []
        if not column.unit and cell_to_entry(cell, self.style).numbers[0].unit is None:
            doubts.append(f"no unit printed here: read as {UNIT_OF[quantity]}")
        heading = f", under “{column.heading}”" if column.heading else ""
        return Reading(
            self.document.name, self.document.sha256, part, quantity, column.kind, ambient_c, current_a,
            value, Status.DISPUTED if doubts else Status.SINGLE, box_to_place(self.content, cell.box),
            cell.text, _printed_unit(cell_to_entry(cell, self.style), column),
            (*doubts, f"{self.told}{heading}"))

    def _test_current(self, pairs: Sequence[tuple[FrameColumn, Cell]]) -> float | None:
        """The test current that a column of its own gives for the row."""
        for column, cell in pairs:
            if column.role is Role.TEST_CURRENT:
                as_current = replace(column, quantity=Quantity.MAX_CURRENT)
                value = entry_to_si(cell_to_entry(cell, self.style), as_current)
                return None if isinstance(value, str) else value
        return None


def lines_to_rows(lines: Sequence[Line], frame: Frame) -> list[list[Cell | None]]:
    """The text of each line below the heading, column by column."""
    return [[_cell(line, column) for column in frame.columns]
            for line in lines if line.mid_y > frame.heading_bottom]


def rows_to_style(rows: Sequence[Sequence[Cell | None]]) -> NumberStyle:
    """How the table writes the decimal sign."""
    return texts_to_style([cell.text for row in rows for cell in row if cell is not None])


def _cell(line: Line, column: FrameColumn) -> Cell | None:
    atoms = tuple(atom for atom in line.atoms if column.x0 <= atom.mid_x < column.x1)
    return Cell(lines_to_text([atoms]), atoms) if atoms else None


def _quantity(column: FrameColumn) -> Quantity:
    assert column.quantity is not None, "a column of values names its quantity"
    return column.quantity


def _printed_unit(entry: Entry, column: FrameColumn) -> str:
    """The unit as the cell prints it, else as the heading does, else as the person says who framed the
    table."""
    said = spelling_to_unit(column.unit)
    over = (text for unit, text in text_to_spelled_units(column.heading) if unit == said)
    return entry.numbers[0].printed or next(over, column.unit)


def entry_to_si(entry: Entry, column: FrameColumn) -> float | str:
    """The value in SI, or why there is none. The unit is the cell's own, else the column's; none is SI."""
    if len(entry.numbers) != 1:
        return entry.reason or ("holds several numbers" if entry.numbers else "is no number")
    number, base = entry.numbers[0], UNIT_OF[_quantity(column)]
    expected = spelling_to_unit(_RATIO if base == "1" else base)
    unit = number.unit or (spelling_to_unit(column.unit) if column.unit else None)
    if unit is None:
        return number.value if not column.unit else f"is in an unknown unit, {column.unit}"
    if expected is None or unit.base != expected.base:
        return f"is printed in {unit.name}, which does not measure this"
    return float(f"{float(unit.factor) * number.value:.9g}")
