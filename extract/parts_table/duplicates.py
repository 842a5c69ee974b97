"""Parts typed twice, numbers that two sheets give differently, digits no other cell of a column has.

Comes in: a sheet, or typed parts. Goes out: findings at cells. Uses no rule of the trade.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace

from extract.checks import codes
from extract.checks.numbers import Number
from extract.parts_table.records import TableFinding, TypedCell, TypedRow, TypedSheet
from extract.parts_table.telling import cell_to_finding
from extract.parts_table.typed_parts import TypedParts
from extract.schema import Quantity


def parts_to_contradictions(typed: TypedParts) -> Iterator[TableFinding]:
    """A number of a part that two sheets of the workbook give differently."""
    for part in typed.parts:
        first: dict[tuple[object, ...], Number] = {}
        for number in part.numbers:
            key = (number.quantity, number.kind, number.ambient_c, number.test_current_a)
            before = first.setdefault(key, number)
            there = typed.sheets[before.origin]
            if before.value != number.value and there != typed.sheets[number.origin]:
                cell, other = typed.cells[number.origin], typed.cells[before.origin]
                yield cell_to_finding(
                    cell,
                    typed.sheets[number.origin],
                    codes.DUPLICATE_CONTRADICTS,
                    part.part_number,
                    expected=f"'{other.raw}' as on sheet '{there}', row {other.row}",
                    message=f"'{part.part_number}' has '{other.raw}' on sheet '{there}', '{cell.raw}' here",
                )


def sheet_to_duplicates(sheet: TypedSheet) -> Iterator[TableFinding]:
    """A part number that stands in two rows of one sheet."""
    rows: dict[str, list[TypedRow]] = defaultdict(list)
    for row in sheet.rows:
        rows[" ".join(row.part_number.casefold().split())].append(row)
    part_column = next((c for c in sheet.columns if c.role.value == "part number"), None)
    assert part_column is not None
    for group in rows.values():
        for other in group[1:]:
            differing = list(_differences(group[0], other))
            for cell, before in differing:
                if cell.value == before.value and cell.test_column is not None:
                    yield _currents_to_finding(cell, before, sheet.name, other.part_number)
                    continue
                yield cell_to_finding(
                    cell,
                    sheet.name,
                    codes.DUPLICATE_CONTRADICTS,
                    other.part_number,
                    expected=f"'{before.raw}' as in row {before.row}",
                    message=f"'{other.part_number}' stands in rows {before.row} and {other.row} with"
                    f" '{before.raw}' and '{cell.raw}'",
                )
            if not differing:
                yield TableFinding(
                    sheet.name,
                    other.row,
                    part_column.heading,
                    codes.DUPLICATE_ROW.name,
                    codes.DUPLICATE_ROW.severity,
                    other.part_number,
                    "each part once",
                    f"'{other.part_number}' stands in rows {group[0].row} and {other.row}",
                    part_number=other.part_number,
                    cell=part_column.at(other.row),
                )


def _currents_to_finding(cell: TypedCell, before: TypedCell, sheet: str, part: str) -> TableFinding:
    """One time twice, at two test currents."""
    finding = cell_to_finding(
        cell,
        sheet,
        codes.DUPLICATE_CONTRADICTS,
        part,
        expected=f"'{before.test_raw}' as in row {before.row}",
        message=f"'{part}' stands in rows {before.row} and {cell.row} with the test currents"
        f" '{before.test_raw}' and '{cell.test_raw}'",
    )
    assert cell.test_column is not None
    return replace(
        finding, column=cell.test_column.heading, found=cell.test_raw, cell=cell.test_column.at(cell.row)
    )


def _differences(first: TypedRow, other: TypedRow) -> Iterable[tuple[TypedCell, TypedCell]]:
    before = {cell.column.index: cell for cell in first.cells}
    for cell in other.cells:
        there = before.get(cell.column.index)
        if there is not None and (there.value, there.test_current_a) != (cell.value, cell.test_current_a):
            yield cell, there


_FEWEST_WHOLE = 6
"""Whole numbers of a column that show how its source prints them."""


def sheet_to_odd_digits(sheet: TypedSheet) -> Iterator[TableFinding]:
    """Hold and trip currents typed in whole units end in 0 where the sheet prints hundredths of an
    ampere: the one cell that does not, and is no code of its part number, is doubted."""
    columns: dict[int, list[tuple[TypedRow, TypedCell]]] = defaultdict(list)
    for row in sheet.rows:
        for cell in row.cells:
            if cell.column.quantity in (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT) and cell.raw.isdigit():
                columns[cell.column.index].append((row, cell))
    for listed in columns.values():
        odd = [
            (row, cell)
            for row, cell in listed
            if not cell.raw.endswith("0") and cell.raw not in row.part_number
        ]
        if len(listed) >= _FEWEST_WHOLE and 0 < len(odd) <= max(1, 0.1 * len(listed)):
            for row, cell in odd:
                yield cell_to_finding(
                    cell,
                    sheet.name,
                    codes.ODD_DIGITS,
                    row.part_number,
                    expected="a number that ends in 0",
                    message=f"'{cell.raw}' does not end in 0; {len(listed) - len(odd)} others do",
                )
