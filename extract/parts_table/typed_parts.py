"""The rows of a typed table as the parts that the rules look at.

Comes in: a PartsTable. Goes out: its cells, and parts whose numbers lead back to them. Judges nothing.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from dataclasses import dataclass
from statistics import median_low

from extract.checks.numbers import (
    Number,
    PartNumbers,
    numbers_to_part,
    part_number_to_series,
    series_to_reference,
)
from extract.parts_table.records import PartsTable, TypedCell, TypedRow, TypedSheet


@dataclass(frozen=True, slots=True)
class TypedParts:
    """All cells of a table (a Number's `origin` is an index here), the sheet of each, and the parts."""

    cells: tuple[TypedCell, ...]
    sheets: tuple[str, ...]
    parts: tuple[PartNumbers, ...]
    rows: tuple[TypedRow, ...]
    """The first row of each part."""


def table_to_parts(table: PartsTable) -> TypedParts:
    """Rows as parts. A part that stands in several sheets is one; twice in one sheet it is two."""
    cells: list[TypedCell] = []
    sheets: list[str] = []
    groups: dict[tuple[str, int], list[Number]] = {}
    first: dict[tuple[str, int], TypedRow] = {}
    for sheet in table.sheets:
        steps = _column_steps(sheet)
        seen: Counter[str] = Counter()
        for row in sheet.rows:
            key = (row.part_number.casefold(), seen[row.part_number.casefold()])
            seen[row.part_number.casefold()] += 1
            first.setdefault(key, row)
            numbers = groups.setdefault(key, [])
            for cell, step in zip(row.cells, _cell_steps(row, steps), strict=True):
                numbers.append(_cell_to_number(cell, len(cells), step))
                cells.append(cell)
                sheets.append(sheet.name)
    series = {key: _row_to_series(first[key]) for key in groups}
    together: dict[str, list[list[Number]]] = defaultdict(list)
    for key, numbers in groups.items():
        together[series[key]].append(numbers)
    references = {name: series_to_reference(listed) for name, listed in together.items()}
    parts = tuple(
        numbers_to_part(first[key].part_number, series[key], numbers, references[series[key]])
        for key, numbers in groups.items()
    )
    return TypedParts(tuple(cells), tuple(sheets), parts, tuple(first[key] for key in groups))


_TYPE_ALONE = re.compile(r"\d+[Rr]\d*")
"""A type whose only letter is its decimal sign (0R20): it names no series."""


def _row_to_series(row: TypedRow) -> str:
    """The series of a row's part; where the part number is a type alone, by the text before it."""
    alone = _TYPE_ALONE.fullmatch(row.part_number) is not None
    return part_number_to_series(row.named[0] if alone and row.named else row.part_number)


def _column_steps(sheet: TypedSheet) -> dict[int, float]:
    """The last digit that most cells of a column print: spreadsheets drop trailing zeros. Whole numbers
    may end in zeros that mean nothing: there it is the largest power of ten that divides them all.
    Ratings are round numbers, so that theirs is the finest of the column."""
    steps: dict[int, list[float]] = defaultdict(list)
    zeros: dict[int, int] = {}
    for row in sheet.rows:
        for cell in row.cells:
            index = cell.column.index
            steps[index].append(cell.step)
            digits = _whole_number(cell)
            ends = len(digits) - len(digits.rstrip("0"))
            zeros[index] = min(zeros.get(index, ends), ends)
    rows = {c.index for c in sheet.columns if c.ambient_c is not None}
    return {
        index: (median_low(values) if index in rows else min(values)) * 10.0 ** zeros[index]
        for index, values in steps.items()
    }


def _cell_steps(row: TypedRow, column_steps: dict[int, float]) -> list[float]:
    """What the last digit of each cell of a row is worth: its own, or the column's if zeros were dropped;
    a row over the ambient is printed at one resolution."""
    over_ambient = [c.step for c in row.cells if c.column.ambient_c is not None]
    finest = min(over_ambient, default=0.0)
    steps = []
    for cell in row.cells:
        column = column_steps[cell.column.index]
        if _whole_number(cell) and column > cell.step:
            steps.append(column)
        elif cell.column.ambient_c is not None:
            steps.append(min(cell.step, max(column, finest)))
        else:
            steps.append(min(cell.step, column))
    return steps


def _whole_number(cell: TypedCell) -> str:
    """The digits of a cell that holds a whole number, with its unit or without; else nothing."""
    found = re.fullmatch(r"\s*(\d+)\s*[^\W\d]*\s*", cell.raw)
    return found[1] if found is not None else ""


def _cell_to_number(cell: TypedCell, origin: int, step: float) -> Number:
    column = cell.column
    assert column.quantity is not None
    unit = column.unit or column.assumed
    return Number(
        column.quantity,
        column.kind,
        column.ambient_c,
        cell.test_current_a,
        cell.value,
        step,
        origin,
        float(unit.factor) if unit is not None else 1.0,
    )
