"""What the rules found, told as findings at cells.

Comes in: suspicions, slips and explanations about typed parts. Goes out: findings with row, column and
address. Finds nothing itself.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import replace

from extract.checks import codes
from extract.checks.limits import limits
from extract.checks.suspicions import Suspicion
from extract.parts_table.explaining import ColumnExplanation, Explanation
from extract.parts_table.records import TableFinding, TypedCell, TypedSheet
from extract.parts_table.shifts import WEIGHT, Slip
from extract.parts_table.typed_parts import TypedParts


def suspicion_to_finding(suspicion: Suspicion, typed: TypedParts) -> TableFinding:
    cell = typed.cells[suspicion.numbers[0].origin]
    finding = cell_to_finding(
        cell,
        typed.sheets[suspicion.numbers[0].origin],
        suspicion.code,
        suspicion.part.part_number,
        expected=suspicion.expected,
        message=suspicion.message,
    )
    addresses = tuple(dict.fromkeys(typed.cells[n.origin].address for n in suspicion.numbers))
    finding = replace(finding, severity=suspicion.severity, cells=addresses)
    if suspicion.code in _TEST_CURRENT_CODES:
        return _at_test_current(finding, cell)
    return replace(finding, cause=_cause(suspicion))


def _at_test_current(finding: TableFinding, cell: TypedCell) -> TableFinding:
    """The finding at the cell of the test current, where that has a column of its own."""
    if cell.test_column is None:
        return finding
    return replace(
        finding,
        column=cell.test_column.heading,
        found=cell.test_raw,
        cell=cell.test_column.at(cell.row),
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
    if suspicion.code is codes.TRIP_NOT_ABOVE_HOLD and len(suspicion.numbers) == 2:
        low, high = sorted(n.value for n in suspicion.numbers)
        usual = limits().ratios["trip_over_hold"].usual
        return "hold and trip current swapped" if low > 0 and usual[0] <= high / low <= usual[1] else ""
    if suspicion.code is codes.RATINGS_EXCHANGED:
        return "voltage and fault current exchanged"
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
        cell=cell.address,
        what=cell_to_what(cell),
    )


def texts_to_what(texts: Iterable[str]) -> str:
    """Several cells as one statement: how many, and a sign of what stands in them."""
    listed = list(texts)
    sign = hashlib.sha256("\n".join(listed).encode("utf-8", errors="backslashreplace")).hexdigest()[:12]
    return f"{len(listed)} cells {sign}"


_FEWEST_DISPUTED = 4


def disputed_to_columns(findings: Iterable[TableFinding]) -> list[TableFinding]:
    """Of many cells of a column that are unlike disputed readings one finding: the column is in question."""
    told: list[TableFinding] = []
    columns: dict[tuple[str, str], list[TableFinding]] = {}
    for finding in findings:
        if finding.code == codes.SOURCE_DISPUTED.name:
            letters = finding.cell.rstrip("0123456789")
            columns.setdefault((finding.sheet, letters), []).append(finding)
        else:
            told.append(finding)
    for group in columns.values():
        told += [_disputed_column(group)] if len(group) >= _FEWEST_DISPUTED else group
    return told


def _disputed_column(group: list[TableFinding]) -> TableFinding:
    first = group[0]
    message = (
        f"{len(group)} cells of '{first.column}' are unlike the sheet's readings, which are disputed:"
        f" look at the page; the first: {first.message}"
    )
    return replace(
        first,
        message=message,
        cells=tuple(f.cell for f in group),
        evidence=f"{len(group)} cells",
        what=texts_to_what(f.found for f in group),
    )


def cell_to_what(cell: TypedCell) -> str:
    """Which number a cell states: "hold_current at 60 °C", "time_to_trip at 5 A"."""
    column = cell.column
    name = column.quantity.value if column.quantity is not None else ""
    words = [name, column.kind.value]
    words += [f"at {column.ambient_c:g} °C"] if column.ambient_c is not None else []
    words += [f"at {cell.test_current_a:g} A"] if cell.test_current_a is not None else []
    return " ".join(filter(None, words))


def slip_to_finding(slip: Slip, typed: TypedParts) -> TableFinding:
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
    if slip.is_test_current:
        return _at_test_current(finding, cell)
    cells = tuple(dict.fromkeys(typed.cells[n.origin].address for n in slip.numbers))
    return replace(
        finding,
        cells=cells,
        what=texts_to_what(typed.cells[n.origin].raw for n in slip.numbers),
        evidence=f"{len(cells)} cells fit there",
    )


def explanation_to_finding(one: Explanation, typed: TypedParts) -> TableFinding:
    """One finding for all that is said of a part: at the cell at fault, of the worst rule's code unless the
    slip has one of its own."""
    first = one.numbers[0]
    at_cell = [s for s in one.echoes if s.numbers[0] is first or s.numbers[0].origin == first.origin]
    worst = max(at_cell or one.echoes, key=lambda s: WEIGHT[s.severity])
    severity = max(one.echoes, key=lambda s: WEIGHT[s.severity]).severity
    others = tuple(n for n in worst.numbers if n is not first)
    told = replace(worst, numbers=(first, *others), severity=severity)
    finding = suspicion_to_finding(told, typed)
    addresses = tuple(dict.fromkeys([finding.cell, *(typed.cells[n.origin].address for n in one.numbers)]))
    if one.code is not None:
        finding = replace(finding, code=one.code.name)
    return replace(
        finding,
        cause=one.cause or finding.cause,
        expected=one.expected or finding.expected,
        cells=addresses,
        evidence=one.evidence,
    )


def column_to_finding(one: ColumnExplanation, typed: TypedParts, sheet: TypedSheet) -> TableFinding:
    """One finding for a column: at its heading."""
    cell = typed.cells[one.numbers[0].origin]
    row = sheet.heading_rows[-1]
    evidence = f"doubts on {one.settled} of {one.of} parts fall silent"
    return TableFinding(
        sheet.name,
        row,
        cell.column.heading,
        one.code.name,
        one.code.severity,
        cell.column.heading,
        one.expected,
        f"'{cell.column.heading}': {one.message} ({evidence})",
        one.code.title,
        quantity=cell.column.quantity,
        cell=cell.column.at(row),
        what=texts_to_what(typed.cells[n.origin].raw for n in one.numbers),
        cells=tuple(typed.cells[n.origin].address for n in one.numbers),
        evidence=evidence,
    )
