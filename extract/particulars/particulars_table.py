"""The table of particulars: one row for each number or text, as CSV.

Comes in: particulars, or readings and particulars. Goes out: a file: UTF-8, header row, point decimals,
lengths in mm. Does not read it back: the library keeps particulars by itself.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from extract.long_table import COLUMNS, FURTHER_COLUMNS, reading_to_row
from extract.schema import UNIT_OF_PARTICULAR, Particular, Reading
from extract.spreadsheet_text import guard, notes_to_cell, number_to_cell, write_rows

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
    return write_rows(PARTICULARS_COLUMNS, (particular_to_row(one) for one in particulars), path)


def write_everything(readings: Iterable[Reading], particulars: Iterable[Particular], path: Path) -> int:
    """Write the long table with the particulars after the readings, their names among the quantities."""
    rows = [(*reading_to_row(reading), "", "") for reading in readings]
    rows += [_particular_to_long_row(one) for one in particulars]
    return write_rows(EVERYTHING_COLUMNS, rows, path)


def particular_to_row(one: Particular) -> tuple[str, ...]:
    """The cells of one particular, in the order of PARTICULARS_COLUMNS."""
    return (
        guard(one.document),
        guard(one.part_number),
        one.name.value,
        guard(one.label),
        one.kind.value,
        number_to_cell(one.value),
        UNIT_OF_PARTICULAR.get(one.name, ""),
        guard(one.text),
        one.status.value,
        *_place(one),
        guard(one.raw),
        guard(one.unit),
        one.sha256,
        notes_to_cell(one.notes),
    )


def _particular_to_long_row(one: Particular) -> tuple[str, ...]:
    return (
        guard(one.document),
        guard(one.part_number),
        one.name.value,
        one.kind.value,
        "",
        "",
        number_to_cell(one.value),
        one.status.value,
        *_place(one),
        guard(one.raw),
        one.sha256,
        guard(one.unit),
        notes_to_cell(one.notes),
        guard(one.label),
        guard(one.text),
    )


def _place(one: Particular) -> tuple[str, ...]:
    return (str(one.place.page), *map(number_to_cell, one.place.box))
