"""The sheet Lines: hold and trip current of every candidate as straight lines that formulas look up.

Comes in: parts with their derating. Goes out: the sheet, and for each part the rows of its two currents.
Calculates nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from openpyxl import Workbook

from compare.derating import Derating
from compare.derating_lines import Piece, hold_to_pieces, trip_to_pieces
from compare.part_numbers import PartNumbers
from compare.records import readings_to_source
from compare.workbook_look import Column, Value, finish, put_away, put_table, put_title

COLDEST_KEY_C = -1000.0
"""Stands for minus infinity, which a cell cannot hold."""
COLUMNS = (
    Column("Part", 20), Column("Current", 9), Column("Looked up from, °C", 13, "0.000000"),
    Column("From, °C", 9, "General"), Column("To, °C", 9, "General"),
    Column("Current there, A", 11, "0.0000"),
    Column("Current at its end, A", 11, "0.0000"), Column("State", 10), Column("Basis", 13),
    Column("Why there is no number", 44, wrap=True), Column("At most, A", 10, "0.0000"),
    Column("At least, A", 10, "0.0000"), Column("Assumed", 50, wrap=True), Column("Source", 50, wrap=True),
)


@dataclass(frozen=True, slots=True)
class LineRows:
    """First and last row of the hold and of the trip current of one part."""

    hold: tuple[int, int]
    trip: tuple[int, int]


def add_lines(book: Workbook, parts: Sequence[tuple[PartNumbers, Derating]]) -> tuple[LineRows, ...]:
    """Write the sheet; returns the rows of each part, in the order given."""
    sheet = book.create_sheet("Lines")
    head = put_title(sheet, "Lines", "Hold and trip current as the formulas of Corners look them up: a "
                     "tabulated point, the straight line to the next, or no number. A point holds "
                     "for a millionth of a degree around it.")
    rows: list[list[Value]] = []
    places = []
    for numbers, derating in parts:
        ends = []
        for name, pieces in (("hold", hold_to_pieces(numbers, derating)),
                             ("trip", trip_to_pieces(numbers, derating))):
            first = head + 1 + len(rows)
            rows.extend(_rows(numbers.part.part_number, name, pieces))
            ends.append((first, head + len(rows)))
        places.append(LineRows(*ends))
    put_table(sheet, head, COLUMNS, rows, sparse=True)
    finish(sheet, head, len(COLUMNS), freeze_columns=2)
    put_away(sheet)
    return tuple(places)


def _rows(part: str, current: str, pieces: tuple[Piece, ...]) -> Iterator[list[Value]]:
    for piece in pieces:
        known = piece.from_a is not None
        bounds = [bound for bound in (piece.at_most, piece.at_least) if bound.value is not None]
        state = "number" if known else "disputed" if piece.disputed else "none"
        readings = piece.readings or tuple(r for bound in bounds for r in bound.readings)
        assumed = (*piece.assumed, *(text for bound in bounds for text in bound.assumed))
        yield [part, current, piece.key_c if math.isfinite(piece.key_c) else COLDEST_KEY_C, piece.from_c,
               piece.to_c, piece.from_a, piece.to_a, state, piece.basis.value if known else "", piece.note,
               piece.at_most.value, piece.at_least.value, "; ".join(assumed), readings_to_source(readings)]


def line_cell(column: str, row: str) -> str:
    """Formula text for the cell of a column of this sheet in a row that a formula gives."""
    return f"INDEX(Lines!${column}:${column},{row})"


def row_formula(rows: tuple[int, int], ambient: str) -> str:
    """Formula text for the row of the piece that holds at an ambient."""
    first, last = rows
    return f"{first - 1}+MATCH({ambient},Lines!$C${first}:$C${last},1)"


def value_formula(row: str, ambient: str) -> str:
    """Formula text for the current at an ambient, empty where there is none; `row` as by `row_formula`."""
    start_c, end_c, start_a, end_a = (line_cell(column, row) for column in "DEFG")
    line = f"{start_a}+({ambient}-{start_c})/({end_c}-{start_c})*({end_a}-{start_a})"
    return f'IF({line_cell("H", row)}="number",IF({start_c}={end_c},{start_a},{line}),"")'
