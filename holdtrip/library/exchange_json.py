"""Libraries as JSON: one object with a list of objects for each table.

Comes in: records, or the text of a file. Goes out: the text, or records. The JSON Schema of such files is
library/exchange.schema.json; a test holds it to what is written here.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict
from enum import StrEnum
from typing import Any

from extract.errors import InputError
from extract.schema import ChartName, Kind, Quantity, Severity, Status
from holdtrip.library.exchange_cells import TABLES, check_tables, row_to_record
from holdtrip.library.exchange_records import LATER, Record, columns_of, records_of
from holdtrip.library.records import Verdict

FORMAT = "holdtrip library"
FORMAT_VERSION = 2
"""Rises when a file can no longer be read by older programs. Version 1 knew no particulars, answers, makers
and no checksum; it is still read."""
_LATER_COLUMNS = frozenset({"revision_of"})
"""Columns that files of version 2 may lack: empty, they are no part of the checksum."""
_HEAD = ("format", "version", "checksum")


def records_to_json(records: Sequence[Record]) -> str:
    """The text of a file, one row to a line, ASCII."""
    lines = ["{", f' "format": "{FORMAT}",', f' "version": {FORMAT_VERSION},',
             f' "checksum": "{records_to_checksum(records)}",']
    for name, kind in TABLES.items():
        rows = [json.dumps(asdict(record)) for record in records_of(kind, records)]
        lines.append(f' "{name}": [' + ("\n  " + ",\n  ".join(rows) + "\n ]," if rows else "],"))
    lines[-1] = lines[-1].removesuffix(",")
    return "\n".join([*lines, "}", ""])


def json_to_records(text: str, where: str) -> tuple[Record, ...]:
    """The records of a file named `where`; raises InputError for anything but a library as JSON."""
    return json_to_judged(text, where)[0]


def json_to_judged(text: str, where: str) -> tuple[tuple[Record, ...], bool]:
    """As json_to_records, and whether the file has a checksum, which is that of its rows then."""
    try:
        content = json.loads(text)
    except json.JSONDecodeError as error:
        raise InputError(f"{where}, line {error.lineno}", f"not JSON ({error.msg})",
                         "a library as JSON") from error
    except RecursionError:
        raise InputError(where, "lists in lists without end", "a library as JSON") from None
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise InputError(where, "not a library", f'an object with "format": "{FORMAT}"')
    version = content.get("version")
    if version not in (1, FORMAT_VERSION):
        raise InputError(where, f"version {version} of the format", f"version {FORMAT_VERSION}",
                         "Upgrade holdtrip, or export it again with this one")
    check_tables(where, [name for name in content if name not in _HEAD])
    records = tuple(row_to_record(name, index, _object(where, name, row)) for name in TABLES
                    for index, row in enumerate(_list(where, name, content.get(name, [])), 1))
    if version != 1 and content.get("checksum") != records_to_checksum(records):
        raise InputError(where, "its checksum is not that of its rows", "the file as it was written",
                         "It was changed or damaged since. Nothing was taken in; export it again")
    return records, version != 1


def records_to_checksum(records: Sequence[Record]) -> str:
    """The SHA-256 of all rows, table by table, whatever file holds them."""
    digest = hashlib.sha256()
    for name, kind in TABLES.items():
        for record in records_of(kind, records):
            cells = [cell for column, cell in asdict(record).items() if cell or column not in _LATER_COLUMNS]
            digest.update(json.dumps([name, *cells]).encode("ascii") + b"\n")
    return digest.hexdigest()


def _list(where: str, name: str, rows: Any) -> list[Any]:
    if not isinstance(rows, list):
        raise InputError(f"{where}, table {name}", "not a list", "a list of objects")
    return rows


def _object(where: str, name: str, row: Any) -> dict[str, Any]:
    if not isinstance(row, dict):
        raise InputError(f"{where}, table {name}", f"found {row!r}", "an object for each row")
    return row


def records_to_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of such files, from the records and the trade's closed lists."""
    tables = {
        name: {"type": "array", "description": " ".join((kind.__doc__ or "").split()), "items": {
            "type": "object", "additionalProperties": False, "required": list(columns_of(kind)),
            "properties": {column: _column_schema(column, str(holds))
                           for column, holds in columns_of(kind).items()}}}
        for name, kind in TABLES.items()
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A library of polymer PTC fuses",
        "description": "Values in A, V, W, ohm, s, ratios as fractions; temperatures in °C; places in points"
                       " from the top left of the page, pages from 1; times ISO 8601 with zone.",
        "type": "object", "additionalProperties": False,
        "required": ["format", "version", "checksum", *(name for name in TABLES if name not in LATER)],
        "properties": {"format": {"const": FORMAT}, "version": {"const": FORMAT_VERSION},
                       "checksum": {"type": "string", "pattern": "^[0-9a-f]{64}$"}, **tables},
    }


def _column_schema(column: str, holds: str) -> dict[str, Any]:
    schema = dict(_TYPES[holds])
    if column in _CLOSED:
        schema["enum"] = [*(name.value for name in _CLOSED[column]), *([None] if "None" in holds else [])]
    return schema


_CLOSED: dict[str, type[StrEnum]] = {
    "quantity": Quantity, "kind": Kind, "status": Status, "severity": Severity, "verdict": Verdict,
    "chart": ChartName,
}
"""Columns that hold one of a closed list."""


_TYPES: dict[str, dict[str, Any]] = {
    str(str): {"type": "string"}, str(str | None): {"type": ["string", "null"]},
    str(int): {"type": "integer"}, str(int | None): {"type": ["integer", "null"]},
    str(float): {"type": "number"}, str(float | None): {"type": ["number", "null"]},
    str(tuple[str, ...]): {"type": "array", "items": {"type": "string"}},
    str(tuple[int, ...]): {"type": "array", "items": {"type": "integer"}},
}
