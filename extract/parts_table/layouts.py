"""Tables that do not have one row for each part: turned by a quarter, or one row for each number.

Comes in: a RawSheet. Goes out: the same numbers with a row for each part, and where each cell stands in the
file. Understands no quantity of its own: heading_rows.py says which rows are headings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from extract.parts_table.grid import Place
from extract.parts_table.heading_rows import sheet_to_known
from extract.parts_table.records import (
    PartsTable,
    RawSheet,
    TableFinding,
    TypedSheet,
    column_to_letters,
)

_LONG = {"part_number", "quantity", "value"}


@dataclass(frozen=True, slots=True)
class Upright:
    """A sheet with a row for each part. `homes`: its cells → places in the file, empty if it is the file as
    it stands; `headings` of the file's columns; `mapping`: what its columns mean, where the table says."""

    sheet: RawSheet
    homes: Mapping[Place, Place] = field(default_factory=dict)
    headings: Mapping[int, str] = field(default_factory=dict)
    mapping: Mapping[str, str] = field(default_factory=dict)


def sheet_to_upright(sheet: RawSheet) -> Upright:
    """Turn a sheet whose headings stand in its first column; put the numbers of a long table side by side."""
    long = _long_to_wide(sheet)
    if long is not None:
        return long
    turned = RawSheet(sheet.name, _turn(sheet.rows), (), sheet.left_out, sheet.is_hidden)
    if sheet_to_known(turned) < 3 or sheet_to_known(turned) < 2 * max(1, sheet_to_known(sheet)):
        return Upright(sheet)
    homes = {(column, row): (row, column) for row in range(1, len(sheet.rows) + 1)
             for column in range(1, len(turned.rows) + 1)}
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


Numbers = dict[str, dict[str, tuple[str, int]]]
"""Part number → meaning → text and row in the file."""


def _long_to_wide(sheet: RawSheet) -> Upright | None:
    """A long table, as holdtrip writes it: part_number, quantity, kind, ambient_c, test_current_a, value."""
    head = sheet.rows[0] if sheet.rows else ()
    at = {name: head.index(name) for name in head}
    if not at.keys() >= _LONG:
        return None
    parts = _long_to_parts(sheet, at)
    meanings = sorted({meaning for numbers in parts.values() for meaning in numbers}, key=_meaning_to_key)
    columns = {meaning: index for index, meaning in enumerate(meanings, start=2)}
    rows = [("part_number", *columns)]
    homes: dict[Place, Place] = {(1, 1): (1, at["part_number"] + 1)}
    homes |= {(1, index): (1, at["value"] + 1) for index in columns.values()}
    for line, (part, numbers) in enumerate(parts.items(), start=2):
        rows.append((part, *(numbers.get(meaning, ("", 0))[0] for meaning in columns)))
        first = min(number for _, number in numbers.values())
        homes[line, 1] = first, at["part_number"] + 1
        homes |= {(line, columns[meaning]): (number, at["value"] + 1)
                  for meaning, (_, number) in numbers.items()}
    mapping = {meaning: meaning for meaning in columns} | {"part_number": "part_number"}
    headings = {index + 1: name for name, index in at.items()}
    return Upright(replace(sheet, rows=tuple(rows), merged=()), homes, headings, mapping)


def _long_to_parts(sheet: RawSheet, at: Mapping[str, int]) -> Numbers:
    """The numbers of each part; the first of those that mean the same."""
    parts: Numbers = {}
    for number, row in enumerate(sheet.rows[1:], start=2):
        cells = {name: row[place] if place < len(row) else "" for name, place in at.items()}
        if cells["part_number"] not in ("", "*") and cells["value"]:
            numbers = parts.setdefault(cells["part_number"], {})
            numbers.setdefault(_cells_to_meaning(cells), (cells["value"], number))
    return parts


def _cells_to_meaning(cells: Mapping[str, str]) -> str:
    """What a row's number is, as `--map` takes it."""
    words = [cells["quantity"], cells.get("kind", "")]
    if cells.get("ambient_c") and _has_ambient(cells["quantity"]):
        words.append(f"at {cells['ambient_c']} C")
    words += [f"at {cells['test_current_a']} A"] if cells.get("test_current_a") else []
    return " ".join(filter(None, words))


def _meaning_to_key(meaning: str) -> tuple[str, float]:
    """By quantity, then by rising ambient."""
    name, _, ambient = meaning.partition(" at ")
    number = ambient.split(" ")[0] if ambient.endswith(" C") else ""
    return name, float(number) if number else -1000.0


def _has_ambient(quantity: str) -> bool:
    return quantity.startswith(("hold_", "trip_"))


def findings_to_file(findings: Iterable[TableFinding], table: PartsTable) -> list[TableFinding]:
    """Findings at the places where their cells stand in the file."""
    turned = {sheet.name: sheet for sheet in table.sheets if sheet.homes}
    return [_to_file(finding, turned[finding.sheet]) if finding.sheet in turned else finding
            for finding in findings]


def _to_file(finding: TableFinding, sheet: TypedSheet) -> TableFinding:
    homes = {_address(place): home for place, home in sheet.homes.items()}
    addresses = {address: _address(home) for address, home in homes.items()}
    row, column = homes.get(finding.cell, (finding.row, 0))
    return replace(
        finding, row=row, column=sheet.file_headings.get(column, finding.column),
        cell=addresses.get(finding.cell, finding.cell),
        cells=tuple(addresses.get(cell, cell) for cell in finding.cells),
        changes=tuple((addresses.get(cell, cell), text) for cell, text in finding.changes))


def _address(place: Place) -> str:
    return f"{column_to_letters(place[1])}{place[0]}"
