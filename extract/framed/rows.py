"""The rows of a framed table: each number with its part and what its column was said to hold.

Comes in: rows of cells, a frame in their coordinates. Goes out: readings, or a sentence for a number that is
not read. Compares no reader with another.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from extract.cells.tables import Cell
from extract.document import Document
from extract.framed.frames import Frame, FrameColumn, Role
from extract.framed.lines import FramedRow
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

    def row_to_numbers(self, row: FramedRow) -> Iterator[FramedNumber | str]:
        """The numbers of a row, or a sentence for one that cannot be read."""
        pairs = [
            (column, cell)
            for column, cell in zip(self.frame.columns, row.cells, strict=True)
            if cell is not None
        ]
        name = self.frame.part or next((cell.text for column, cell in pairs if column.role is Role.PART), "")
        part = re.sub(r"[\s*†‡]+$", "", " ".join(name.split()))
        of_row = self._test_current(pairs)
        for column, cell in pairs:
            entry, own = entry_to_timed(cell_to_entry(cell, self.style), column)
            test_a = of_row if own is None else own
            if column.role is not Role.VALUE or entry.sort is CellSort.ABSENT:
                continue
            value = entry_to_si(entry, column)
            if not part:
                if entry.numbers:
                    yield f"“{cell.text}” stands in a row without a part number"
            elif isinstance(value, str):
                yield f"{part}: “{cell.text}” {value}"
            else:
                read = self._reading(column, cell, value, (part, test_a))
                yield FramedNumber(_with_doubt(read, row.doubt), cell)

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
        entry = entry_to_timed(cell_to_entry(cell, self.style), column)[0]
        if not column.unit and entry.numbers[0].unit is None:
            doubts.append(f"no unit printed here: read as {UNIT_OF[quantity]}")
        heading = f", under “{column.heading}”" if column.heading else ""
        return Reading(
            self.document.name,
            self.document.sha256,
            part,
            quantity,
            column.kind,
            ambient_c,
            current_a,
            value,
            Status.DISPUTED if doubts else Status.SINGLE,
            box_to_place(self.content, cell.box),
            cell.text,
            _printed_unit(entry, column),
            (*doubts, f"{self.told}{heading}"),
        )

    def _test_current(self, pairs: Sequence[tuple[FrameColumn, Cell]]) -> float | None:
        """The test current that a column of its own gives for the row."""
        for column, cell in pairs:
            if column.role is Role.TEST_CURRENT:
                as_current = replace(column, quantity=Quantity.MAX_CURRENT)
                value = entry_to_si(cell_to_entry(cell, self.style), as_current)
                return None if isinstance(value, str) else value
        return None


def rows_to_style(rows: Sequence[FramedRow]) -> NumberStyle:
    """How the table writes the decimal sign."""
    return texts_to_style([cell.text for row in rows for cell in row.cells if cell is not None])


def entry_to_timed(entry: Entry, column: FrameColumn) -> tuple[Entry, float | None]:
    """A time printed with its test current ("0.10 s / 8.0 A") as the time, and the current in A."""
    units = [number.unit for number in entry.numbers]
    if column.quantity is not Quantity.TIME_TO_TRIP or len(units) != 2 or None in units:
        return entry, None
    bases = [unit.base for unit in units if unit is not None]
    if sorted(bases) != ["A", "s"]:
        return entry, None
    current = entry.numbers[bases.index("A")]
    assert current.unit is not None, "its unit was just compared"
    amperes = float(f"{float(current.unit.factor) * current.value:.9g}")
    return replace(entry, numbers=(entry.numbers[bases.index("s")],)), amperes


def _with_doubt(reading: Reading, doubt: str) -> Reading:
    return replace(reading, status=Status.DISPUTED, notes=(doubt, *reading.notes)) if doubt else reading


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
