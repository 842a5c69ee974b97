"""A typed parts table checked: by itself, against sheets if given, without what was accepted before.

Comes in: a PartsTable, readings of sheets or of the library, keys of silenced findings. Goes out: a
TableReport, which says what was checked and what no check reaches, and never that a table is clean.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from extract.checks.codes import CODES
from extract.parts_table.against import table_against_readings
from extract.parts_table.alone import table_to_findings
from extract.parts_table.cells import fold_part_number
from extract.parts_table.records import (
    ColumnRole,
    PartsTable,
    TableFinding,
    TableReport,
    TypedSheet,
    Unchecked,
)
from extract.schema import Finding, Quantity, Reading, Severity

Key = tuple[str, str, str, str]
"""Code, folded part number, quantity or "", found text: what makes a finding the same one again."""

_GRAVITY = {Severity.ERROR: 0, Severity.DOUBT: 1, Severity.NOTE: 2}

_BLIND = {
    Quantity.MAX_VOLTAGE: "only lists, codes in part numbers and the leakage ratio reach it",
    Quantity.MAX_CURRENT: "only its order over the trip current and lists reach it",
    Quantity.MAX_INTERRUPT_VOLTAGE: "only its order over the rated voltage reaches it",
    Quantity.TIME_TO_TRIP: "no rule reaches a single time: a wrong one looks like a right one",
}


@dataclass(frozen=True, slots=True)
class CheckOptions:
    """`silenced`: keys of findings a person has accepted; `matches`: typed part number → part number of
    the sheets, as a person has confirmed."""

    silenced: frozenset[Key] = frozenset()
    matches: Mapping[str, str] = field(default_factory=dict)


def check_table(
    table: PartsTable, sources: Sequence[Reading] = (), options: CheckOptions | None = None
) -> TableReport:
    """Check a typed table; `sources` are readings of the sheets or of the library it is compared with."""
    options = options or CheckOptions()
    findings = list(table_to_findings(table))
    cells = sum(len(row.cells) for sheet in table.sheets for row in sheet.rows)
    parts = sum(len(sheet.rows) for sheet in table.sheets)
    checked = [f"{cells} numbers of {parts} rows by the rules for a table alone"]
    unchecked = list(_blind_spots(table))
    if sources:
        comparison = table_against_readings(table, sources, options.matches)
        findings += comparison.findings
        checked.append(f"{comparison.compared} numbers against the sheets")
        unchecked += comparison.unchecked
    else:
        unchecked.append(Unchecked("parts", parts, "no sheet given: small errors need the page"))
    unchecked += _not_understood(table)
    kept = [f for f in findings if finding_to_key(f) not in options.silenced]
    kept.sort(key=lambda f: (f.sheet, f.row, _GRAVITY[f.severity], f.cell))
    return TableReport(
        table, tuple(dict.fromkeys(kept)), tuple(checked), tuple(unchecked), len(findings) - len(kept)
    )


def finding_to_key(finding: TableFinding) -> Key:
    """The key under which a finding is remembered as accepted."""
    quantity = finding.quantity.value if finding.quantity is not None else ""
    return finding.code, fold_part_number(finding.part_number), quantity, finding.found


def table_finding_to_finding(finding: TableFinding) -> Finding:
    """The finding without its cell, as the library remembers findings."""
    return Finding(
        finding.code,
        CODES[finding.code].severity,
        finding.message,
        finding.found,
        finding.expected,
        finding.document,
        finding.part_number,
        finding.quantity,
    )


def _blind_spots(table: PartsTable) -> list[Unchecked]:
    counts: dict[Quantity, int] = {}
    for sheet in table.sheets:
        for row in sheet.rows:
            for cell in row.cells:
                if cell.column.quantity in _BLIND:
                    counts[cell.column.quantity] = counts.get(cell.column.quantity, 0) + 1
    return [
        Unchecked(f"{quantity.value} cells", count, _BLIND[quantity]) for quantity, count in counts.items()
    ]


def _not_understood(table: PartsTable) -> list[Unchecked]:
    found = [
        Unchecked("column", 1, f"'{column.heading}' was not understood")
        for sheet in table.sheets
        for column in sheet.columns
        if _is_lost(column.role, column.quantity)
    ]
    found += [
        Unchecked("sheet", 1, f"'{name}' has no part numbers beside a known quantity")
        for name in table.skipped
    ]
    return found


def _is_lost(role: ColumnRole, quantity: Quantity | None) -> bool:
    return role is ColumnRole.UNKNOWN or (role is ColumnRole.VALUE and quantity is None)


def understood(sheet: TypedSheet) -> tuple[tuple[str, str, str, str], ...]:
    """For show: heading, what it was understood as, unit, why; one for each column with a heading."""
    rows = []
    for column in sheet.columns:
        if not column.heading:
            continue
        what = column.role.value
        if column.role is ColumnRole.VALUE and column.quantity is not None:
            what = " ".join(filter(None, (column.quantity.value, column.kind.value)))
            what += f" at {column.ambient_c:g} °C" if column.ambient_c is not None else ""
            what += f" at {column.test_current_a:g} A" if column.test_current_a is not None else ""
            what += f" at {column.test_multiple:g} × hold" if column.test_multiple is not None else ""
        elif column.role is ColumnRole.VALUE:
            what = "not understood"
        unit = column.unit or column.assumed
        name = f"{unit.name}{' (assumed)' if column.unit is None else ''}" if unit is not None else ""
        rows.append((column.heading, what, name, column.how))
    return tuple(rows)
