"""A report on a typed table as JSON, for scripts.

Comes in: a TableReport. Goes out: text. Stable keys: table, columns, findings, checked, unchecked, silenced,
disputed; a finding has the names of the findings file, and further keys may be added.
"""

from __future__ import annotations

import json

from extract.parts_table.checking import finding_to_mark, understood
from extract.parts_table.records import TableFinding, TableReport


def report_to_json(report: TableReport) -> str:
    """The report, UTF-8 kept readable, with a final newline."""
    columns = [
        {"sheet": sheet.name, "heading": heading, "understood_as": what, "unit": unit, "because": how}
        for sheet in report.table.sheets
        for heading, what, unit, how in understood(sheet)
    ]
    content = {
        "table": report.table.path.name,
        "columns": columns,
        "findings": [_finding(finding) for finding in report.findings],
        "checked": list(report.checked),
        "unchecked": [{"what": gap.what, "count": gap.count, "why": gap.why} for gap in report.unchecked],
        "silenced": report.silenced,
        "disputed": report.disputed,
    }
    return json.dumps(content, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _finding(finding: TableFinding) -> dict[str, object]:
    return {
        "sheet": finding.sheet,
        "row": finding.row,
        "column": finding.column,
        "cell": finding.cell,
        "code": finding.code,
        "severity": finding.severity.value,
        "found": finding.found,
        "expected": finding.expected,
        "message": finding.message,
        "cause": finding.cause,
        "proposed": finding.proposed,
        "document": finding.document,
        "page": finding.page,
        "part_number": finding.part_number,
        "quantity": finding.quantity.value if finding.quantity is not None else None,
        "what": finding.what,
        "cells": list(finding.cells),
        "evidence": finding.evidence,
        "mark": finding_to_mark(finding),
        "changes": [{"cell": cell, "text": text} for cell, text in finding.changes],
    }
