"""Findings of a typed table as CSV.

Comes in: findings. Goes out: a file. The columns up to `page` are what other programs read.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from pathlib import Path

from extract.parts_table.checking import finding_to_mark
from extract.parts_table.records import TableFinding
from extract.spreadsheet_text import guard

COLUMNS = ("row", "column", "code", "severity", "found", "expected", "message", "page")
FURTHER_COLUMNS = (
    "sheet",
    "cell",
    "part_number",
    "cause",
    "proposed",
    "document",
    "what",
    "cells",
    "evidence",
    "mark",
)


def write_table_findings(findings: Iterable[TableFinding], path: Path) -> int:
    """Write findings (UTF-8; rows as in the file, the first is 1) and return their number."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow((*COLUMNS, *FURTHER_COLUMNS))
    count = 0
    for f in findings:
        words = map(
            guard,
            (
                f.sheet,
                f.cell,
                f.part_number,
                f.cause,
                f.proposed,
                f.document,
                f.what,
                " ".join(f.cells),
                f.evidence,
                finding_to_mark(f),
            ),
        )
        writer.writerow(
            (
                f.row,
                guard(f.column),
                f.code,
                f.severity.value,
                guard(f.found),
                guard(f.expected),
                guard(f.message),
                f.page if f.page is not None else "",
                *words,
            )
        )
        count += 1
    path.write_bytes(text.getvalue().encode("utf-8", errors="backslashreplace"))
    return count
