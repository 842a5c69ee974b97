"""The wide table: one row for each part, one column for each quantity and condition, as people read tables.

Comes in: readings, or a CSV file of the wide table. Goes out: the file, or readings. UTF-8, header row,
point decimals, SI units. Does not read tables that people typed: parts_table/ does.

Behind the value columns stands, for each, a column of the same name with ` from`: status, place, printed
text, unit and notes as a JSON list, so that a round trip loses nothing. Several numbers of a part for one
quantity and condition stand in columns numbered (2), (3). Each part is tested at its own current, so a time
to trip has its current beside it, in a column of the same name with ` test current [A]`.
"""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from extract.errors import InputError
from extract.schema import UNIT_OF, Kind, Place, Quantity, Reading, Status
from extract.spreadsheet_text import csv_faults, guard, number_to_cell, path_to_csv_text, unguard, write_rows

NAMES = ("document", "part_number")
FURTHER_COLUMNS = ("sha256",)
_FROM = " from"
_CURRENT = " test current [A]"
_Name = tuple[str, str, str]
"""Sheet, its hash, part number."""


@dataclass(frozen=True, slots=True)
class _Slot:
    """What a column holds; `rank` counts competing numbers from 1. `at_own`: at the test current beside it;
    tables of earlier versions name the current in the heading."""

    quantity: Quantity
    kind: Kind
    ambient_c: float | None
    test_current_a: float | None
    rank: int
    at_own: bool = False


def write_wide_table(readings: Iterable[Reading], path: Path) -> int:
    """Write readings (SI, points) to a CSV file and return the number of rows: parts of sheets."""
    parts = _readings_to_parts(readings)
    slots = sorted({slot for numbers in parts.values() for slot in numbers}, key=_slot_to_key)
    headings = [_slot_to_heading(slot) for slot in slots]
    columns = [
        name
        for slot, heading in zip(slots, headings, strict=True)
        for name in ((heading + _CURRENT, heading) if slot.at_own else (heading,))
    ]
    head = (*NAMES, *columns, *FURTHER_COLUMNS, *(heading + _FROM for heading in headings))
    return write_rows(head, (_part_to_row(name, slots, parts[name]) for name in parts), path)


def _part_to_row(name: _Name, slots: list[_Slot], numbers: dict[_Slot, Reading]) -> tuple[str, ...]:
    document, sha256, number = name
    found = [numbers.get(slot) for slot in slots]
    values = [text for slot, one in zip(slots, found, strict=True) for text in _slot_to_cells(slot, one)]
    sources = (_reading_to_from(one) if one else "" for one in found)
    return (guard(document), guard(number), *values, sha256, *sources)


def _readings_to_parts(readings: Iterable[Reading]) -> dict[_Name, dict[_Slot, Reading]]:
    parts: dict[_Name, dict[_Slot, Reading]] = {}
    for one in readings:
        numbers = parts.setdefault((one.document, one.sha256, one.part_number), {})
        rank = 1
        at_own = one.test_current_a is not None
        while (slot := _Slot(one.quantity, one.kind, one.ambient_c, None, rank, at_own)) in numbers:
            rank += 1
        numbers[slot] = one
    return parts


def _slot_to_cells(slot: _Slot, one: Reading | None) -> tuple[str, ...]:
    """What stands in the columns of a slot: the value, before it the test current where it has one."""
    value, current = (one.value, one.test_current_a) if one else (None, None)
    cells = (number_to_cell(current), number_to_cell(value))
    return cells if slot.at_own else cells[1:]


def _slot_to_key(slot: _Slot) -> tuple[int, int, float, bool, int]:
    """As in the trade's tables: by quantity, then limit, then condition; without a condition first."""
    lowest = float("-inf")
    return (
        list(Quantity).index(slot.quantity),
        list(Kind).index(slot.kind),
        lowest if slot.ambient_c is None else slot.ambient_c,
        slot.at_own,
        slot.rank,
    )


def _slot_to_heading(slot: _Slot) -> str:
    heading = slot.quantity.value
    if slot.kind:
        heading += f" {slot.kind.value}"
    if slot.ambient_c is not None:
        heading += f" {number_to_cell(slot.ambient_c)} °C"
    if slot.at_own:
        heading += " at its current"
    heading += f" [{UNIT_OF[slot.quantity]}]"
    return heading + (f" ({slot.rank})" if slot.rank > 1 else "")


def _reading_to_from(one: Reading) -> str:
    listed = [one.status.value, one.place.page, *one.place.box, one.raw, one.unit, *one.notes]
    return json.dumps(listed, ensure_ascii=False)


def is_wide_table(path: Path) -> bool:
    """Whether the header row of a CSV file is that of a wide table."""
    with path.open("rb") as file:
        head = next(csv.reader([file.readline(1_000_000).decode("utf-8-sig", errors="replace")]), [])
    return {*NAMES, *FURTHER_COLUMNS} <= set(head) and any(name.endswith(_FROM) for name in head)


def read_wide_table(path: Path) -> tuple[Reading, ...]:
    """Read a wide table; raises InputError naming row and column of the first cell that does not fit."""
    rows = csv.reader(path_to_csv_text(path), strict=True)
    with csv_faults(path, rows):
        header = next(rows, [])
        slots = _header_to_slots(path, header)
        return tuple(
            one
            for row in rows
            if row
            for one in _row_to_readings(f"{path}, row {rows.line_num}", header, row, slots)
        )


_HEADING = re.compile(
    r"(?P<quantity>[a-z_]+)(?: (?P<kind>[a-z_]+))??(?: (?P<ambient>\S+) °C)?(?: at (?P<current>\S+) A)?"
    r"(?P<own> at its current)?"
    r" \[(?P<unit>\w+)\](?: \((?P<rank>\d+)\))?"
)


def _header_to_slots(path: Path, header: list[str]) -> dict[str, _Slot]:
    """Heading → what it holds, for each value column."""
    missing = [name for name in (*NAMES, *FURTHER_COLUMNS) if name not in header]
    if missing:
        raise InputError(
            f"{path}, row 1",
            f"no column {', '.join(missing)}",
            "the columns of a wide table",
            "Write wide tables with `holdtrip export --wide`",
        )
    values = [
        name
        for name in header
        if not name.endswith((_FROM, _CURRENT)) and name not in (*NAMES, *FURTHER_COLUMNS)
    ]
    alone = [name for name in values if name + _FROM not in header]
    if alone or len(set(header)) < len(header):
        raise InputError(
            f"{path}, row 1",
            f"columns {', '.join(alone) or 'that stand twice'}",
            f"each column once, and one with{_FROM} for each value",
        )
    return {name: _heading_to_slot(path, name) for name in values}


def _heading_to_slot(path: Path, heading: str) -> _Slot:
    found = _HEADING.fullmatch(heading)
    try:
        if found is None:
            raise ValueError
        slot = _Slot(
            Quantity(found["quantity"]),
            Kind(found["kind"] or ""),
            _number_or_none(found["ambient"]),
            _number_or_none(found["current"]),
            int(found["rank"] or 1),
            found["own"] is not None,
        )
        if UNIT_OF[slot.quantity] != found["unit"]:
            raise ValueError
    except ValueError:
        raise InputError(
            f"{path}, row 1",
            f"the column '{heading}'",
            "a quantity with condition and SI unit, such as 'hold_current 23 °C [A]'",
        ) from None
    return slot


def _number_or_none(text: str | None) -> float | None:
    return None if text is None else float(text)


def _row_to_readings(where: str, header: list[str], row: list[str], slots: dict[str, _Slot]) -> list[Reading]:
    if len(row) != len(header):
        raise InputError(where, f"{len(row)} cells", f"{len(header)}, one for each column")
    cells = dict(zip(header, row, strict=True))
    return [
        _cells_to_reading(f"{where}, column {name}", cells, name, slot)
        for name, slot in slots.items()
        if cells[name] or cells[name + _FROM]
    ]


def _cells_to_reading(where: str, cells: dict[str, str], name: str, slot: _Slot) -> Reading:
    value, source = cells[name], cells[name + _FROM]
    try:
        current_a = _finite(cells.get(name + _CURRENT, "")) if slot.at_own else slot.test_current_a
        status, page, x0, top, x1, bottom, raw, unit, *notes = json.loads(source)
        if not all(isinstance(text, str) for text in (raw, unit, *notes)) or not isinstance(page, int):
            raise TypeError
        place = Place(page, float(x0), float(top), float(x1), float(bottom))
        return Reading(
            unguard(cells["document"]),
            cells["sha256"],
            unguard(cells["part_number"]),
            slot.quantity,
            slot.kind,
            slot.ambient_c,
            current_a,
            _finite(value),
            Status(status),
            place,
            raw,
            unit,
            tuple(notes),
        )
    except (ValueError, TypeError):
        raise InputError(
            where,
            f"found '{value}' from '{source}'",
            "a number, and status, page, box, printed text and unit as a JSON list",
        ) from None


def _finite(text: str) -> float:
    value = float(text)
    if value - value != 0.0:
        raise ValueError(text)
    return value
