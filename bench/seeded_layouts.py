"""Typed tables in the layouts teams keep: wide, turned, long, part numbers in two columns, workbooks.

Comes in: the texts of a wide table, heading first. Goes out: the sheet as a reader of the file sees it, and
where each of its cells stands in the wide table. Plants no error and checks nothing.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path

from openpyxl import Workbook

from bench.seeded_tables import WideColumn, WideTable
from extract.parts_table import TableOptions
from extract.parts_table.files import path_to_sheets
from extract.parts_table.records import RawSheet, column_to_letters

Texts = tuple[tuple[str, ...], ...]
Places = Mapping[str, tuple[int, int]]
"""Address in the file → row (the heading is 1) and column (from 0) of the wide table."""


@dataclass(frozen=True, slots=True)
class Laid:
    """A table in a layout."""

    sheet: RawSheet
    places: Places


Layout = Callable[[Texts, WideTable], Laid | None]
"""None where a layout cannot hold the texts, such as a changed heading of a long table."""


def wide(texts: Texts, table: WideTable) -> Laid:  # noqa: ARG001
    """A row for each part."""
    return Laid(RawSheet("", texts), _places(texts, lambda row, column: (row, column + 1)))


def turned(texts: Texts, table: WideTable) -> Laid:  # noqa: ARG001
    """A column for each part."""
    rows = tuple(zip(*texts, strict=True))
    return Laid(RawSheet("", rows), _places(texts, lambda row, column: (column + 1, row)))


def in_two_columns(texts: Texts, table: WideTable) -> Laid:  # noqa: ARG001
    """Series and type in columns of their own; a name without digits, or that is all digits, is all type."""
    def split(row: Sequence[str]) -> tuple[str, ...]:
        found = re.fullmatch(r"([A-Za-z]+)[-\s]?(\d.*)", row[0])
        return (*(found.groups() if found else ("", row[0])), *row[1:])

    rows = (("Series", *texts[0]), *map(split, texts[1:]))
    return Laid(RawSheet("", rows), _places(texts, lambda row, column: (row, column + 2)))


def with_reel_ending(texts: Texts, table: WideTable) -> Laid:  # noqa: ARG001
    """Orderable numbers with the ending of the reel, and a column that says nothing of the trade."""
    rows = ((*texts[0], "Shelf"), *((f"{row[0]}-2" if row[0] else "", *row[1:], "K4") for row in texts[1:]))
    return Laid(RawSheet("", rows), _places(texts, lambda row, column: (row, column + 1)))


_LONG = ("part_number", "quantity", "kind", "ambient_c", "test_current_a", "value")


def long(texts: Texts, table: WideTable) -> Laid | None:
    """A row for each number, in SI, with the columns of holdtrip's own long table."""
    if texts[0] != tuple(c.heading for c in table.columns) or len(texts) != len(table.rows) + 1:
        return None
    current = next((n for n, c in enumerate(table.columns) if c.quantity == "test_current"), None)
    rows, places = [_LONG], {}
    for number, row in enumerate(texts[1:], start=2):
        for index, column in enumerate(table.columns[1:], start=1):
            if not row[index] or not row[0] or index == current:
                continue
            at = row[current] if current is not None and column.quantity == "time_to_trip" else ""
            value = _in_si(row[index], column)
            rows.append((row[0], column.quantity, column.kind, column.ambient_c, at, value))
            places |= {f"{letter}{len(rows)}": (number, index) for letter in "BCDF"}
            places[f"A{len(rows)}"] = number, 0
            if current is not None:
                places[f"E{len(rows)}"] = number, current
    return Laid(RawSheet("", tuple(rows)), places)


def _in_si(text: str, column: WideColumn) -> str:
    try:
        return f"{(Decimal(text) / column.factor).normalize():f}"
    except InvalidOperation:
        return text


_FORMATS = {"A": '0.00##" A"', "mA": '0" mA"', "Ohm": '0.000##" Ohm"', "mOhm": '0.0##" mOhm"', "W": "0.00",
            "%": "0.0#%"}
_UNIT = re.compile(r"[\[(](m?A|m?Ohm|W|%)[\])]")


def workbook(texts: Texts, table: WideTable) -> Laid:  # noqa: ARG001
    """An XLSX file of numbers with number formats; shares are stored as such and shown as percent."""
    book = Workbook()
    sheet = book.active
    sheet.append(list(texts[0]))
    units = [found[1] if (found := _UNIT.search(text)) else "" for text in texts[0]]
    for line, row in enumerate(texts[1:], start=2):
        for index, text in enumerate(row, start=1):
            cell = sheet.cell(line, index)
            if index > 1 and re.fullmatch(r"-?\d+(\.\d+)?", text):
                unit = units[index - 1]
                cell.value = float(text) / (100.0 if unit == "%" else 1.0)
                cell.number_format = _FORMATS.get(unit, "General")
            else:
                cell.value = text or None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "typed.xlsx"
        book.save(path)
        (read,) = path_to_sheets(path, TableOptions())
    return Laid(read, _places(texts, lambda row, column: (row, column + 1)))


def _places(texts: Texts, to_file: Callable[[int, int], tuple[int, int]]) -> dict[str, tuple[int, int]]:
    """`to_file`: row (from 1) and column (from 0) of the wide table → row and column (from 1) of the file."""
    places = {}
    for row in range(1, len(texts) + 1):
        for column in range(len(texts[0])):
            line, index = to_file(row, column)
            places[f"{column_to_letters(index)}{line}"] = row, column
    return places


LAYOUTS: dict[str, Layout] = {
    "wide": wide, "turned": turned, "long": long, "two columns": in_two_columns, "workbook": workbook,
    "reel ending": with_reel_ending,
}
