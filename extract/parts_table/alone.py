"""A typed table checked by itself: its rows as parts, every rule over them, slipped columns and rows.

Comes in: a PartsTable. Goes out: findings at cells. Uses no datasheet: against.py does.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from statistics import median_low

from extract.checks import codes
from extract.checks.limits import limits
from extract.checks.numbers import (
    Number,
    PartNumbers,
    numbers_to_part,
    part_number_to_series,
    series_to_reference,
)
from extract.checks.rules import series_to_suspicions
from extract.checks.suspicions import Suspicion
from extract.parts_table.records import (
    PartsTable,
    TableFinding,
    TypedCell,
    TypedRow,
    TypedSheet,
    column_to_letters,
)
from extract.parts_table.shifts import Slip, series_to_slips
from extract.schema import Quantity


@dataclass(frozen=True, slots=True)
class TypedParts:
    """All cells of a table (a Number's `origin` is an index here), the sheet of each, and the parts."""

    cells: tuple[TypedCell, ...]
    sheets: tuple[str, ...]
    parts: tuple[PartNumbers, ...]
    rows: tuple[TypedRow, ...]
    """The first row of each part."""


def table_to_findings(table: PartsTable) -> tuple[TableFinding, ...]:
    """What the table alone shows to be wrong or doubtful."""
    typed = table_to_parts(table)
    findings = [finding for sheet in table.sheets for finding in sheet.findings]
    series: dict[str, list[PartNumbers]] = defaultdict(list)
    for part in typed.parts:
        series[part.series].append(part)
    for members in series.values():
        findings += _series_to_findings(members, typed)
    if len(table.sheets) > 1:
        findings += _contradictions(typed)
    for sheet in table.sheets:
        findings += _duplicates(sheet)
        findings += _odd_digits(sheet)
    return tuple(findings)


def _series_to_findings(members: Sequence[PartNumbers], typed: TypedParts) -> Iterator[TableFinding]:
    found = series_to_suspicions(members, limits())
    slips = series_to_slips(members, found, limits())
    if slips:
        yield from (_slip_to_finding(slip, typed) for slip in slips)
        slipped = {
            (_column(n, typed), id(slip.part) if slip.is_row else 0)
            for slip in slips
            if not slip.is_test_current
            for n in slip.numbers
        }
        found = [
            s
            for s in found
            if not any(
                (_column(n, typed), 0) in slipped or (_column(n, typed), id(s.part)) in slipped
                for n in s.numbers
            )
        ]
    yield from (_suspicion_to_finding(s, typed) for s in found)


def _column(number: Number, typed: TypedParts) -> tuple[str, int]:
    return typed.sheets[number.origin], typed.cells[number.origin].column.index


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
    series = {key: part_number_to_series(first[key].part_number) for key in groups}
    together: dict[str, list[list[Number]]] = defaultdict(list)
    for key, numbers in groups.items():
        together[series[key]].append(numbers)
    references = {name: series_to_reference(listed) for name, listed in together.items()}
    parts = tuple(
        numbers_to_part(first[key].part_number, series[key], numbers, references[series[key]])
        for key, numbers in groups.items()
    )
    return TypedParts(tuple(cells), tuple(sheets), parts, tuple(first[key] for key in groups))


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
            digits = cell.raw.strip()
            ends = len(digits) - len(digits.rstrip("0")) if digits.isdigit() else 0
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
        if cell.raw.strip().isdigit() and column > cell.step:
            steps.append(column)
        elif cell.column.ambient_c is not None:
            steps.append(min(cell.step, max(column, finest)))
        else:
            steps.append(min(cell.step, column))
    return steps


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


def _suspicion_to_finding(suspicion: Suspicion, typed: TypedParts) -> TableFinding:
    cell = typed.cells[suspicion.numbers[0].origin]
    finding = cell_to_finding(
        cell,
        typed.sheets[suspicion.numbers[0].origin],
        suspicion.code,
        suspicion.part.part_number,
        expected=suspicion.expected,
        message=suspicion.message,
    )
    addresses = tuple(dict.fromkeys(_address(typed.cells[n.origin]) for n in suspicion.numbers))
    finding = replace(finding, severity=suspicion.severity, cells=addresses)
    if suspicion.code in _TEST_CURRENT_CODES:
        return _at_test_current(finding, cell)
    return replace(finding, cause=_cause(suspicion))


def _address(cell: TypedCell) -> str:
    return f"{column_to_letters(cell.column.index)}{cell.row}"


def _at_test_current(finding: TableFinding, cell: TypedCell) -> TableFinding:
    """The finding at the cell of the test current, where that has a column of its own."""
    if cell.test_column is None:
        return finding
    return replace(
        finding,
        column=cell.test_column.heading,
        found=cell.test_raw,
        cell=f"{column_to_letters(cell.test_column.index)}{cell.row}",
    )


_TEST_CURRENT_CODES = {
    codes.TEST_CURRENT_BELOW_HOLD,
    codes.TEST_CURRENT_BELOW_TRIP,
    codes.TEST_CURRENT_ABOVE_MAXIMUM,
    codes.TEST_CURRENT_RATIO,
    codes.TEST_PATTERN_DIFFERS,
}


def _cause(suspicion: Suspicion) -> str:
    """A likely cause, where the numbers tell one."""
    if suspicion.code is codes.TRIP_NOT_ABOVE_HOLD:
        low, high = sorted(n.value for n in suspicion.numbers)
        usual = limits().ratios["trip_over_hold"].usual
        return "hold and trip current swapped" if low > 0 and usual[0] <= high / low <= usual[1] else ""
    if suspicion.code is codes.VALUE_NOT_POSITIVE and suspicion.numbers[0].value < 0:
        return "a dash read as a minus sign"
    return ""


def cell_to_finding(
    cell: TypedCell,
    sheet: str,
    code: codes.Code,
    part_number: str,
    *,
    expected: str,
    message: str,
) -> TableFinding:
    """A finding at a cell; `found` is its text as typed."""
    return TableFinding(
        sheet,
        cell.row,
        cell.column.heading,
        code.name,
        code.severity,
        cell.raw,
        expected,
        message,
        part_number=part_number,
        quantity=cell.column.quantity,
        cell=f"{column_to_letters(cell.column.index)}{cell.row}",
        what=cell_to_what(cell),
    )


def cell_to_what(cell: TypedCell) -> str:
    """Which number a cell states: "hold_current at 60 °C", "time_to_trip at 5 A"."""
    column = cell.column
    name = column.quantity.value if column.quantity is not None else ""
    words = [name, column.kind.value]
    words += [f"at {column.ambient_c:g} °C"] if column.ambient_c is not None else []
    words += [f"at {cell.test_current_a:g} A"] if cell.test_current_a is not None else []
    return " ".join(filter(None, words))


def _slip_to_finding(slip: Slip, typed: TypedParts) -> TableFinding:
    number = slip.numbers[0]
    cell = typed.cells[number.origin]
    code = codes.ROW_SHIFTED if slip.is_row else codes.COLUMN_SHIFTED
    finding = cell_to_finding(
        cell,
        typed.sheets[number.origin],
        code,
        slip.part.part_number,
        expected=slip.expected,
        message=slip.message,
    )
    return _at_test_current(finding, cell) if slip.is_test_current else finding


def _contradictions(typed: TypedParts) -> Iterator[TableFinding]:
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


def _duplicates(sheet: TypedSheet) -> Iterator[TableFinding]:
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
                    cell=f"{column_to_letters(part_column.index)}{other.row}",
                )


def _differences(first: TypedRow, other: TypedRow) -> Iterable[tuple[TypedCell, TypedCell]]:
    before = {cell.column.index: cell for cell in first.cells}
    for cell in other.cells:
        there = before.get(cell.column.index)
        if there is not None and (there.value, there.test_current_a) != (cell.value, cell.test_current_a):
            yield cell, there


def _odd_digits(sheet: TypedSheet) -> Iterator[TableFinding]:
    """Hold and trip currents typed in whole units end in 0 where the sheet prints hundredths of an
    ampere: the one cell that does not is doubted."""
    columns: dict[int, list[tuple[TypedRow, TypedCell]]] = defaultdict(list)
    for row in sheet.rows:
        for cell in row.cells:
            if cell.column.quantity in (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT) and cell.raw.isdigit():
                columns[cell.column.index].append((row, cell))
    for listed in columns.values():
        odd = [(row, cell) for row, cell in listed if not cell.raw.endswith("0")]
        if len(listed) >= 6 and 0 < len(odd) <= max(1, 0.1 * len(listed)):
            for row, cell in odd:
                yield cell_to_finding(
                    cell,
                    sheet.name,
                    codes.ODD_DIGITS,
                    row.part_number,
                    expected="a number that ends in 0",
                    message=f"'{cell.raw}' does not end in 0; {len(listed) - len(odd)} others do",
                )
