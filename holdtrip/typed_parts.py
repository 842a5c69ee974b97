"""A typed parts table as readings, so that it can be listed, shown and compared.

Comes in: a parts table as understood. Goes out: readings without a place on a page (page 0) whose notes
name row and column. Checks nothing: `holdtrip check` does.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

from extract.errors import InputError
from extract.parts_table.reading import read_parts_table
from extract.parts_table.records import ColumnRole, PartsTable
from extract.safe_text import name_to_text
from extract.schema import Place, Reading, Status

NO_PLACE = Place(0, 0.0, 0.0, 0.0, 0.0)


def path_to_readings(path: Path) -> tuple[Reading, ...]:
    """Every number of a typed table (CSV, XLSX), in SI; each counts as one reading only."""
    table = read_parts_table(path)
    readings = tuple(_table_to_readings(table, hashlib.sha256(path.read_bytes()).hexdigest()))
    if not readings:
        raise InputError(str(path), "no part with a number", "a column of part numbers and one of ratings",
                         "`holdtrip check` shows how the headings are understood")
    return readings


def _table_to_readings(table: PartsTable, sha256: str) -> Iterator[Reading]:
    for sheet in table.sheets:
        for row in sheet.rows:
            for cell in row.cells:
                column = cell.column
                if column.role is ColumnRole.VALUE and column.quantity is not None and row.part_number:
                    yield Reading(
                        name_to_text(table.path.name), sha256, row.part_number, column.quantity, column.kind,
                        column.ambient_c, cell.test_current_a, cell.value, Status.SINGLE, NO_PLACE, cell.raw,
                        notes=(f"typed in row {cell.row}, column {column.heading}",),
                    )
