"""Temperatures of headings out of order, seen beside the numbers below: exchanged, or only in another order.

Comes in: a sheet and its findings on temperatures. Goes out: findings, clearer where the numbers tell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from statistics import median

from extract.checks import codes
from extract.checks.limits import limits
from extract.parts_table.records import Column, TableFinding, TypedSheet
from extract.reference import USUAL_C
from extract.schema import Severity

_FEWEST = 3
_CLEAR = 4


def sheet_to_told(sheet: TypedSheet) -> list[TableFinding]:
    """The sheet's findings, those on two temperatures that change places settled by their numbers: a hold
    current falls as the ambient rises."""
    return [
        _settled(finding, sheet) if finding.code == codes.AMBIENTS_DISORDERED.name else finding
        for finding in sheet.findings
    ]


def without_odd_ambients(sheet: TypedSheet, findings: list[TableFinding]) -> TypedSheet:
    """A sheet without the numbers of columns whose temperature is known to be wrong: every one of them would
    be doubted for the heading's fault."""
    odd = {cell for f in findings if f.code in _ODD and f.severity is not Severity.NOTE for cell in f.cells}
    columns = {c.index for c in sheet.columns if _heading(sheet, c) in odd}
    if not columns:
        return sheet
    return replace(
        sheet,
        rows=tuple(
            replace(row, cells=tuple(c for c in row.cells if c.column.index not in columns))
            for row in sheet.rows
        ),
    )


_ODD = (codes.AMBIENTS_DISORDERED.name, codes.HEADINGS_SWAPPED.name)


def _heading(sheet: TypedSheet, column: Column) -> str:
    return column.at(sheet.heading_rows[-1])


def _settled(finding: TableFinding, sheet: TypedSheet) -> TableFinding:
    columns = [c for c in sheet.columns if _heading(sheet, c) in finding.cells and c.ambient_c is not None]
    ambients_c = {c.ambient_c for c in columns}
    if len(columns) != 2 or len(ambients_c) != 2 or columns[1].index - columns[0].index != 1:
        return finding
    fitting, against, slope = _count(sheet, columns[0], columns[1])
    low, high = limits().derating.slope_usual
    if against >= _FEWEST and against > _CLEAR * fitting and low <= slope <= high:
        return _exchanged(finding, sheet, columns, f"{against} of {against + fitting} rows fit then")
    if fitting >= _FEWEST and fitting > _CLEAR * against:
        return replace(
            finding,
            severity=Severity.NOTE,
            message=f"{finding.message}; the numbers fit their headings, the columns only stand in"
            " another order",
        )
    return finding


def _exchanged(
    finding: TableFinding, sheet: TypedSheet, columns: Sequence[Column], evidence: str
) -> TableFinding:
    """Two temperatures out of order, told as two headings that changed places."""
    code, (a, b) = codes.HEADINGS_SWAPPED, (c.heading for c in columns)
    cells = (c.at(row.row) for c in columns for row in sheet.rows)
    return replace(
        finding,
        code=code.name,
        severity=code.severity,
        evidence=evidence,
        cause=code.cause,
        cells=(*finding.cells, *cells),
        expected=f"'{b}' here, '{a}' there",
        message=f"the headings '{a}' and '{b}' are exchanged, or the cells below them ({evidence})",
    )


def _count(sheet: TypedSheet, one: Column, other: Column) -> tuple[int, int, float]:
    """Rows whose two numbers fall as the temperature of the headings rises, rows in which they rise, and by
    what share of the rating for each °C they differ in the middle: an exchange leaves a usual slope."""
    cold, hot = sorted((one, other), key=_to_ambient_c)
    step_k = _to_ambient_c(hot) - _to_ambient_c(cold)
    fitting = against = 0
    slopes: list[float] = []
    for row in sheet.rows:
        values = {cell.column.index: cell.value for cell in row.cells}
        if cold.index not in values or hot.index not in values:
            continue
        off = values[cold.index] - values[hot.index]
        fitting, against = fitting + (off > 0), against + (off < 0)
        rating = next(
            (
                cell.value
                for cell in row.cells
                if cell.column.quantity is one.quantity and _is_of_ratings(cell.column)
            ),
            None,
        )
        if rating is not None and rating > 0:
            slopes.append(abs(off) / rating / step_k)
    return fitting, against, median(slopes) if slopes else 0.0


def _is_of_ratings(column: Column) -> bool:
    """Whether a column holds the rating: it states no ambient, or the one that ratings hold at."""
    return column.ambient_c is None or USUAL_C[0] <= column.ambient_c <= USUAL_C[1]


def _to_ambient_c(column: Column) -> float:
    """The ambient of a heading that states one, °C."""
    if column.ambient_c is None:
        raise ValueError(f"'{column.heading}' states no ambient")
    return column.ambient_c
