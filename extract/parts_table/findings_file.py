"""Findings of a typed table as CSV.

Comes in: findings. Goes out: a file. The columns up to `page` are what other programs read.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from extract.parts_table.checking import finding_to_mark
from extract.parts_table.records import TableFinding
from extract.spreadsheet_text import guard, write_rows

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
    return write_rows((*COLUMNS, *FURTHER_COLUMNS), map(_finding_to_row, findings), path)


def _finding_to_row(f: TableFinding) -> tuple[str, ...]:
    told = (f.found, f.expected, f.message)
    further = (f.sheet, f.cell, f.part_number, f.cause, f.proposed, f.document, f.what, " ".join(f.cells),
               f.evidence, finding_to_mark(f))  # fmt: skip
    page = str(f.page) if f.page is not None else ""
    return (
        str(f.row),
        guard(f.column),
        f.code,
        f.severity.value,
        *map(guard, told),
        page,
        *map(guard, further),
    )
