"""The long table: readings as CSV, one row per number, and back without loss.

Comes in: readings, or a CSV file of the long table. Goes out: the file, or readings. UTF-8, header
row, point decimals, SI units. Does not check values against the trade: checks/ does.

The columns up to `raw` are what other programs read; `sha256`, `unit` and `notes` follow so that a
round trip loses nothing, and may be absent in a file from elsewhere. A text that a spreadsheet would
take for a formula is written with a leading apostrophe, which reading takes off again.
"""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Iterable
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

from extract.errors import InputError
from extract.schema import Kind, Place, Quantity, Reading, Status
from extract.spreadsheet_text import (
    csv_faults,
    guard,
    notes_to_cell,
    number_to_cell,
    path_to_csv_text,
    unguard,
    write_rows,
)

COLUMNS = (
    "document",
    "part_number",
    "quantity",
    "kind",
    "ambient_c",
    "test_current_a",
    "value",
    "status",
    "page",
    "x0",
    "top",
    "x1",
    "bottom",
    "raw",
)
FURTHER_COLUMNS = ("sha256", "unit", "notes", "cause")

_Name = TypeVar("_Name", bound=StrEnum)


def write_long_table(readings: Iterable[Reading], path: Path) -> int:
    """Write readings (SI, points) to a CSV file and return the number of rows."""
    return write_rows((*COLUMNS, *FURTHER_COLUMNS), map(reading_to_row, readings), path)


def read_long_table(path: Path) -> tuple[Reading, ...]:
    """Read a long table; raises InputError naming row and column of the first cell that does not fit."""
    rows = csv.DictReader(path_to_csv_text(path), strict=True)
    with csv_faults(path, rows):
        _check_columns(path, rows.fieldnames or ())
        return tuple(_row_to_reading(f"{path}, row {rows.line_num}", row) for row in rows)


def is_long_table(path: Path) -> bool:
    """Whether the header row of a CSV file names the columns a long table cannot do without."""
    with path.open("rb") as file:
        head = file.readline(10_000).decode("utf-8-sig", errors="replace")
    return {"part_number", "quantity", "value"} <= set(next(csv.reader([head]), ()))


def reading_to_row(reading: Reading) -> tuple[str, ...]:
    """The cells of one reading, in the order of COLUMNS and FURTHER_COLUMNS."""
    place = reading.place
    return (
        guard(reading.document),
        guard(reading.part_number),
        reading.quantity.value,
        reading.kind.value,
        number_to_cell(reading.ambient_c),
        number_to_cell(reading.test_current_a),
        number_to_cell(reading.value),
        reading.status.value,
        str(place.page),
        *map(number_to_cell, place.box),
        guard(reading.raw),
        reading.sha256,
        guard(reading.unit),
        notes_to_cell(reading.notes),
        str(reading.cause or ""),
    )


def _check_columns(path: Path, found: Iterable[str]) -> None:
    names = list(found)
    missing = [name for name in COLUMNS if name not in names]
    if missing:
        raise InputError(
            f"{path}, row 1",
            f"no column {', '.join(missing)}",
            ", ".join(COLUMNS),
            "Write long tables with `holdtrip read --long` or `holdtrip export --long`",
        )
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise InputError(f"{path}, row 1", f"column {', '.join(twice)} stands twice", "each column once")


def _row_to_reading(where: str, row: dict[str, str | None]) -> Reading:
    cells = _Cells(where, row)
    x0, top, x1, bottom = (cells.number(name) for name in ("x0", "top", "x1", "bottom"))
    return Reading(
        document=unguard(cells.text("document")),
        sha256=cells.further("sha256"),
        part_number=unguard(cells.text("part_number")),
        quantity=cells.choice("quantity", Quantity),
        kind=cells.choice("kind", Kind),
        ambient_c=cells.number_or_none("ambient_c"),
        test_current_a=cells.number_or_none("test_current_a"),
        value=cells.number("value"),
        status=cells.choice("status", Status),
        place=Place(cells.page(), x0, top, x1, bottom),
        raw=unguard(cells.text("raw")),
        unit=unguard(cells.further("unit")),
        notes=cells.notes(),
        cause=cells.cause(),
    )


class _Cells:
    """The cells of one row; each method reads one and says where it stands if it does not fit."""

    def __init__(self, where: str, row: dict[str, str | None]) -> None:
        self._where, self._row = where, row
        if None in row or None in row.values():
            raise InputError(where, "not as many cells as the header has", "one cell for each column")

    def _wrong(self, column: str, expected: str) -> InputError:
        return InputError(f"{self._where}, column {column}", f"found '{self.text(column)}'", expected)

    def text(self, column: str) -> str:
        return self._row[column] or ""

    def further(self, column: str) -> str:
        return self._row.get(column) or ""

    def number(self, column: str) -> float:
        try:
            value = float(self.text(column))
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            raise self._wrong(column, "a number with a decimal point")
        return value

    def number_or_none(self, column: str) -> float | None:
        return self.number(column) if self.text(column) else None

    def page(self) -> int:
        text = self.text("page")
        if not text.isascii() or not text.isdigit() or int(text) < 1:
            raise self._wrong("page", "a page number from 1")
        return int(text)

    def choice(self, column: str, names: type[_Name]) -> _Name:
        try:
            return names(self.text(column))
        except ValueError:
            known = ", ".join(name.value or "(empty)" for name in names)
            raise self._wrong(column, f"one of {known}") from None

    def cause(self) -> int:
        text = self.further("cause")
        if not text:
            return 0
        if not text.isascii() or not text.isdigit():
            raise self._wrong("cause", "the number of a question, or empty")
        return int(text)

    def notes(self) -> tuple[str, ...]:
        text = self.further("notes")
        if not text:
            return ()
        try:
            notes = json.loads(text)
        except json.JSONDecodeError:
            notes = None
        if not isinstance(notes, list) or not all(isinstance(note, str) for note in notes):
            raise self._wrong("notes", 'a JSON list of texts such as ["footnote 2"], or empty')
        return tuple(notes)
