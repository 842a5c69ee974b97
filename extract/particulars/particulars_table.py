"""The table of particulars: one row for each number or text, as CSV.

Comes in: particulars, or readings and particulars. Goes out: a file: UTF-8, header row, point decimals,
lengths in mm. Does not read it back: the library keeps particulars by itself.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable
from pathlib import Path

from extract.long_table import COLUMNS, FURTHER_COLUMNS, reading_to_row
from extract.schema import UNIT_OF_PARTICULAR, Particular, Reading
from extract.spreadsheet_text import guard

PARTICULARS_COLUMNS = (
    "document",
    "part_number",
    "name",
    "label",
    "kind",
    "value",
    "unit",
    "text",
    "status",
    "page",
    "x0",
    "top",
    "x1",
    "bottom",
    "raw",
    "printed_unit",
    "sha256",
    "notes",
)
EVERYTHING_COLUMNS = (*COLUMNS, *FURTHER_COLUMNS, "label", "text")


def write_particulars(particulars: Iterable[Particular], path: Path) -> int:
    """Write particulars to a CSV file and return the number of rows."""
    return _write(PARTICULARS_COLUMNS, (particular_to_row(one) for one in particulars), path)


def write_everything(readings: Iterable[Reading], particulars: Iterable[Particular], path: Path) -> int:
    """Write the long table with the particulars after the readings, their names among the quantities."""
    rows = [(*reading_to_row(reading), "", "") for reading in readings]
    rows += [_particular_to_long_row(one) for one in particulars]
    return _write(EVERYTHING_COLUMNS, rows, path)


def particular_to_row(one: Particular) -> tuple[str, ...]:
    """The cells of one particular, in the order of PARTICULARS_COLUMNS."""
    return (
        guard(one.document),
        guard(one.part_number),
        one.name.value,
        guard(one.label),
        one.kind.value,
        _number(one.value),
        UNIT_OF_PARTICULAR.get(one.name, ""),
        guard(one.text),
        one.status.value,
        *_place(one),
        guard(one.raw),
        guard(one.unit),
        one.sha256,
        _notes(one),
    )


def _particular_to_long_row(one: Particular) -> tuple[str, ...]:
    return (
        guard(one.document),
        guard(one.part_number),
        one.name.value,
        one.kind.value,
        "",
        "",
        _number(one.value),
        one.status.value,
        *_place(one),
        guard(one.raw),
        one.sha256,
        guard(one.unit),
        _notes(one),
        guard(one.label),
        guard(one.text),
    )


def _place(one: Particular) -> tuple[str, ...]:
    return (str(one.place.page), *map(_number, one.place.box))


def _number(value: float | None) -> str:
    return "" if value is None else repr(float(value)).removesuffix(".0")


def _notes(one: Particular) -> str:
    return json.dumps(one.notes, ensure_ascii=False) if one.notes else ""


def _write(columns: tuple[str, ...], rows: Iterable[tuple[str, ...]], path: Path) -> int:
    text = io.StringIO()
    writer = csv.writer(text, quoting=csv.QUOTE_MINIMAL)
    writer.writerow(columns)
    count = 0
    for row in rows:
        writer.writerow(row)
        count += 1
    path.write_bytes(text.getvalue().encode("utf-8", errors="backslashreplace"))
    return count
