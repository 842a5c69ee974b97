"""Findings of datasheets as CSV: one row each, with its place on the page.

Comes in: findings. Goes out: a file. Findings of a typed table have their own file, with rows and
columns of that table.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable
from pathlib import Path

from extract.schema import Finding
from extract.spreadsheet_text import guard

COLUMNS = ("document", "part_number", "quantity", "code", "severity", "found", "expected", "message",
           "page", "x0", "top", "x1", "bottom", "cause")


def write_findings(findings: Iterable[Finding], path: Path) -> int:
    """Write findings as CSV (UTF-8; places in points from the top left); returns the number of rows."""
    rows = [_finding_to_row(finding) for finding in findings]
    with path.open("w", encoding="utf-8", errors="backslashreplace", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        writer.writerows(rows)
    return len(rows)


def _finding_to_row(finding: Finding) -> list[object]:
    place = finding.place
    box = (place.page, place.x0, place.top, place.x1, place.bottom) if place else ("",) * 5
    words = (finding.found, finding.expected, finding.message)
    return [guard(finding.document), guard(finding.part_number), finding.quantity or "", finding.code,
            finding.severity.value, *map(guard, words), *box, finding.cause or ""]
