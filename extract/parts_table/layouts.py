"""Tables that do not have one row for each part: turned by a quarter, or one row for each number.

Comes in: a RawSheet. Goes out: the same numbers with a row for each part, and where each cell stands in the
file. Understands no quantity of its own: heading_rows.py says which rows are headings.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from extract.parts_table.heading_rows import sheet_to_known
from extract.parts_table.long_tables import Upright, sheet_to_long
from extract.parts_table.records import (
    PartsTable,
    RawSheet,
    TableFinding,
    TypedSheet,
    place_to_address,
)


def sheet_to_upright(sheet: RawSheet) -> Upright:
    """Turn a sheet whose headings stand in its first column; put the numbers of a long table side by side."""
    long = sheet_to_long(sheet)
    if long is not None:
        return long
    turned = RawSheet(sheet.name, _turn(sheet.rows), (), sheet.left_out, sheet.is_hidden)
    if sheet_to_known(turned) < 3 or sheet_to_known(turned) < 2 * max(1, sheet_to_known(sheet)):
        return Upright(sheet)
    homes = {
        (column, row): (row, column)
        for row in range(1, len(sheet.rows) + 1)
        for column in range(1, len(turned.rows) + 1)
    }
    return Upright(turned, homes, _first_texts(sheet))


def _turn(rows: tuple[tuple[str, ...], ...]) -> tuple[tuple[str, ...], ...]:
    width = max((len(row) for row in rows), default=0)
    full = [(*row, *[""] * (width - len(row))) for row in rows]
    return tuple(zip(*full, strict=True)) if full else ()


def _first_texts(sheet: RawSheet) -> dict[int, str]:
    """Of each column the first text: the part it is about."""
    texts: dict[int, str] = {}
    for row in sheet.rows[:10]:
        for index, text in enumerate(row, start=1):
            if text:
                texts.setdefault(index, text)
    return texts


def findings_to_file(findings: Iterable[TableFinding], table: PartsTable) -> list[TableFinding]:
    """Findings at the places where their cells stand in the file."""
    turned = {sheet.name: sheet for sheet in table.sheets if sheet.homes}
    return [
        _to_file(finding, turned[finding.sheet]) if finding.sheet in turned else finding
        for finding in findings
    ]


def _to_file(finding: TableFinding, sheet: TypedSheet) -> TableFinding:
    homes = {place_to_address(place): home for place, home in sheet.homes.items()}
    addresses = {address: place_to_address(home) for address, home in homes.items()}
    row, column = homes.get(finding.cell, (finding.row, 0))
    return replace(
        finding,
        row=row,
        column=sheet.file_headings.get(column, finding.column),
        cell=addresses.get(finding.cell, finding.cell),
        cells=tuple(addresses.get(cell, cell) for cell in finding.cells),
        changes=tuple((addresses.get(cell, cell), text) for cell, text in finding.changes),
    )
