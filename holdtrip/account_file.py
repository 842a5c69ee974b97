"""The account of datasheets as CSV and as one line: every printed number with what became of it.

Comes in: sheets read. Goes out: a file, a sentence. Decides no fate.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from extract.account.build import rows_to_counts
from extract.schema import AccountRow, Fate, SheetReading
from extract.spreadsheet_text import guard

COLUMNS = ("document", "page", "x0", "top", "x1", "bottom", "raw", "fate", "reason", "cause")

_TOLD = (
    ("dimensions and packaging", ("dimensions", "packaging", "other_column")),
    ("tests", ("tests",)),
    ("charts", ("chart",)),
    ("text around the tables", ("prose", "heading", "page_furniture", "part_number")),
    ("of another kind of part", ("other_part_kind",)),
    ("left out by an answer", ("left_out",)),
    ("not understood", ("not_understood",)),
)


def write_account(sheets: Iterable[SheetReading], path: Path) -> int:
    """Write every printed number as CSV (UTF-8; places in points from the top left); returns how many."""
    rows = [_row_to_cells(sheet.document, row) for sheet in sheets for row in sheet.account]
    with path.open("w", encoding="utf-8", errors="backslashreplace", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        writer.writerows(rows)
    return len(rows)


def sheets_to_account_line(sheets: Iterable[SheetReading]) -> str:
    """The account in one line: "1,204 numbers: 828 read, 310 dimensions and packaging, 66 not understood"."""
    counts: Counter[str] = Counter()
    for sheet in sheets:
        counts += rows_to_counts(sheet.account)
    said = [f"{counts[Fate.READ.value]:,} read"]
    if counts[Fate.DOUBTED.value]:
        said.append(f"{counts[Fate.DOUBTED.value]:,} doubted")
    for words, reasons in _TOLD:
        count = sum(counts[reason] for reason in reasons)
        if count:
            said.append(f"{count:,} {words}")
    return f"{counts.total():,} numbers: {', '.join(said)}"


def _row_to_cells(document: str, row: AccountRow) -> list[object]:
    place = row.place
    return [guard(document), place.page, place.x0, place.top, place.x1, place.bottom, guard(row.raw),
            row.fate.value, row.reason, row.cause or ""]
