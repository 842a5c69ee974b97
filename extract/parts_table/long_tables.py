"""Long tables: a row for each number, in holdtrip's own columns or in others such as Part, Parameter, Value.

Comes in: a RawSheet. Goes out: an Upright, the same numbers with a row for each part; or nothing, where the
sheet is no long table. Understands no quantity of its own: the names of parameters become headings.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from importlib.resources import files

from extract.headings import Role, heading_to_meaning
from extract.parts_table.grid import Place
from extract.parts_table.records import RawSheet
from extract.vocabulary import fold

_OWN = {"part_number", "quantity", "value"}
_SEARCHED = 12


@dataclass(frozen=True, slots=True)
class Upright:
    """A sheet with a row for each part. `homes`: its cells → places in the file, empty if it is the file as
    it stands; `headings` of the file's columns; `mapping`: what its columns mean, where the table says."""

    sheet: RawSheet
    homes: Mapping[Place, Place] = field(default_factory=dict)
    headings: Mapping[int, str] = field(default_factory=dict)
    mapping: Mapping[str, str] = field(default_factory=dict)


Numbers = dict[tuple[str, int], dict[str, tuple[str, int]]]
"""Part number, and how often it was said before → heading → text and row in the file."""


@dataclass(frozen=True, slots=True)
class _Long:
    """Where a long table has what: row of the headings and column of each, from 0."""

    row: int
    at: Mapping[str, int]
    is_own: bool


def sheet_to_long(sheet: RawSheet) -> Upright | None:
    """The numbers of a long table side by side; None if the sheet is none."""
    long = _to_own(sheet) or _to_any(sheet)
    if long is None:
        return None
    parts = _own_to_parts(sheet, long) if long.is_own else _any_to_parts(sheet, long)
    headings = list(dict.fromkeys(heading for numbers in parts.values() for heading in numbers))
    if long.is_own:
        headings.sort(key=_meaning_to_key)
    return _side_by_side(sheet, long, parts, headings) if headings else None


def _side_by_side(sheet: RawSheet, long: _Long, parts: Numbers, headings: Sequence[str]) -> Upright:
    part = "part_number" if long.is_own else sheet.rows[long.row][long.at["part_number"]]
    columns = {heading: index for index, heading in enumerate(headings, start=2)}
    rows = [(part, *columns)]
    homes: dict[Place, Place] = {(1, 1): (long.row + 1, long.at["part_number"] + 1)}
    homes |= {(1, index): (long.row + 1, long.at["value"] + 1) for index in columns.values()}
    for line, ((name, _), numbers) in enumerate(parts.items(), start=2):
        rows.append((name, *(numbers.get(heading, ("", 0))[0] for heading in columns)))
        first = min(number for _, number in numbers.values())
        homes[line, 1] = first, long.at["part_number"] + 1
        homes |= {
            (line, columns[heading]): (number, long.at["value"] + 1)
            for heading, (_, number) in numbers.items()
        }
    mapping = {name: name for name in (*columns, "part_number")} if long.is_own else {}
    shown = {index: text for index, text in enumerate(sheet.rows[long.row], start=1) if text}
    return Upright(replace(sheet, rows=tuple(rows), merged=()), homes, shown, mapping)


def _cells(row: Sequence[str], at: Mapping[str, int]) -> dict[str, str]:
    return {name: row[place].strip() if place < len(row) else "" for name, place in at.items()}


# The table that holdtrip writes: part_number, quantity, kind, ambient_c, test_current_a, value


def _to_own(sheet: RawSheet) -> _Long | None:
    head = sheet.rows[0] if sheet.rows else ()
    at = {name: head.index(name) for name in head}
    return _Long(0, at, is_own=True) if at.keys() >= _OWN else None


def _own_to_parts(sheet: RawSheet, long: _Long) -> Numbers:
    """The numbers of each part. Of readings that dispute each other the first."""
    parts: Numbers = {}
    for number, row in enumerate(sheet.rows[1:], start=2):
        cells = _cells(row, long.at)
        if cells["part_number"] in ("", "*") or not cells["value"]:
            continue
        meaning = _cells_to_meaning(cells)
        if cells.get("status") != "disputed" or meaning not in parts.get((cells["part_number"], 0), {}):
            _put(parts, cells["part_number"], meaning, (cells["value"], number))
    return parts


def _put(parts: Numbers, part: str, heading: str, said: tuple[str, int]) -> None:
    """A number said again goes to a further row of its part: nothing is lost, and the two are compared."""
    times = 0
    while heading in parts.setdefault((part, times), {}):
        times += 1
    parts[part, times][heading] = said


def _cells_to_meaning(cells: Mapping[str, str]) -> str:
    """What a row's number is, as `--map` takes it."""
    words = [cells["quantity"], cells.get("kind", "")]
    if cells.get("ambient_c") and cells["quantity"].startswith(("hold_", "trip_")):
        words.append(f"at {cells['ambient_c']} C")
    words += [f"at {cells['test_current_a']} A"] if cells.get("test_current_a") else []
    return " ".join(filter(None, words))


def _meaning_to_key(meaning: str) -> tuple[str, float]:
    """By quantity, then by rising ambient."""
    name, _, ambient = meaning.partition(" at ")
    number = ambient.split(" ")[0] if ambient.endswith(" C") else ""
    return name, float(number) if number else -1000.0


# Any other: part, parameter, value, and perhaps limit, unit, condition


@cache
def _words() -> dict[str, frozenset[str]]:
    """What the columns of a long table are called."""
    data = tomllib.loads((files("extract.parts_table") / "headings.toml").read_text(encoding="utf-8"))
    return {name: frozenset(listed) for name, listed in data["long_table"].items()}


def _to_any(sheet: RawSheet) -> _Long | None:
    """A row that heads a column of parts, one of parameters and one of values, each once."""
    for number, row in enumerate(sheet.rows[:_SEARCHED]):
        at: dict[str, int] = {}
        for place, text in enumerate(row):
            name = _heading_to_name(text)
            if name:
                at.setdefault(name, place)
        if at.keys() >= {"part_number", "parameter", "value"}:
            return _Long(number, at, is_own=False)
    return None


def _heading_to_name(text: str) -> str:
    plain = " ".join(fold(text).replace(".", " ").split())
    named = next((name for name, listed in _words().items() if plain in listed), "")
    if named or not text or heading_to_meaning((text,)).role is not Role.PART_NUMBER:
        return named
    return "part_number"


def _to_ambient(text: str) -> str:
    """An ambient as a heading says it."""
    return f"at {text} °C" if re.fullmatch(r"[-+−]?\d{1,3}(?:[.,]\d)?", text) else text


def _any_to_parts(sheet: RawSheet, long: _Long) -> Numbers:
    """The numbers of each part under a heading made of parameter, limit, unit and condition. A unit that
    differs from row to row stays with its number."""
    listed = [
        (number, _cells(row, long.at))
        for number, row in enumerate(sheet.rows, start=1)
        if number > long.row + 1
    ]
    units: dict[str, set[str]] = {}
    for _, cells in listed:
        units.setdefault(cells["parameter"], set()).add(cells.get("unit", ""))
    parts: Numbers = {}
    for number, cells in listed:
        if not (cells["part_number"] and cells["parameter"] and cells["value"]):
            continue
        unit = cells.get("unit", "")
        is_one = len(units[cells["parameter"]]) == 1
        words = [
            cells["parameter"],
            cells.get("limit", ""),
            f"({unit})" if unit and is_one else "",
            _to_ambient(cells.get("ambient", "")),
            cells.get("condition", ""),
        ]
        value = cells["value"] if is_one or not unit else f"{cells['value']} {unit}"
        _put(parts, cells["part_number"], " ".join(filter(None, words)), (value, number))
    return parts
