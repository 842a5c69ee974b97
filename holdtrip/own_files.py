"""How a file that holdtrip wrote is told from anything else, so that it may be written again.

Comes in: a path. Goes out: yes or no for each kind of file. Reads the beginning, or the properties, of a
file, never all of it. A workbook that a person saved since is no longer holdtrip's own.
"""

from __future__ import annotations

import csv
import gzip
import re
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path

from extract.long_table import COLUMNS as LONG_COLUMNS
from extract.wide_table import is_wide_table
from holdtrip.outputs import OutputKind

_BEGINNING = 200_000
_PROPERTY = re.compile(r"<(?:\w+:)?(creator|lastModifiedBy)>([^<]*)<")
SHEETS_OF_COMPARISON = ("Summary", "Candidates", "Margins")


def begins_with_columns(columns: Sequence[str]) -> Callable[[Path], bool]:
    """Tells a CSV file whose first row begins with these headings."""
    def is_own(path: Path) -> bool:
        with path.open("rb") as file:
            line = file.readline(_BEGINNING).decode("utf-8-sig")
        return tuple(next(csv.reader([line]), ()))[:len(columns)] == tuple(columns)

    return is_own


def table_kind(name: str, columns: Sequence[str]) -> OutputKind:
    """A CSV file with a heading row of its own; `columns` are the first of them."""
    return OutputKind(name, (".csv",), begins_with_columns(columns))


def last_written_by(mark: str) -> Callable[[Path], bool]:
    """Tells a workbook that was last saved by holdtrip, with this mark, and by nobody since."""
    return lambda path: _properties(path).get("lastModifiedBy") == mark


def _properties(path: Path) -> dict[str, str]:
    """The core properties of a workbook, by name; none for another file."""
    try:
        with zipfile.ZipFile(path) as archive, archive.open("docProps/core.xml") as file:
            text = file.read(_BEGINNING).decode("utf-8")
    except (zipfile.BadZipFile, KeyError):
        return {}
    return dict(_PROPERTY.findall(text))


def _is_comparison_book(path: Path) -> bool:
    """A comparison's workbook, with the mark or, from a time before there was one, by its sheets."""
    properties = _properties(path)
    if properties.get("lastModifiedBy") or properties.get("creator") != "openpyxl":
        return properties.get("lastModifiedBy") == COMPARISON_MARK
    return all(title in _sheet_names(path) for title in SHEETS_OF_COMPARISON)


def _sheet_names(path: Path) -> tuple[str, ...]:
    with zipfile.ZipFile(path) as archive, archive.open("xl/workbook.xml") as file:
        return tuple(re.findall(r'<sheet [^>]*?name="([^"]*)"', file.read(_BEGINNING).decode("utf-8")))


def _is_exchange(path: Path) -> bool:
    match path.suffix.lower():
        case ".json":
            return re.match(rb'\{\s*"format": "holdtrip', _beginning(path)) is not None
        case ".xlsx":
            return {"sheets", "numbers", "decisions", "long_texts"} <= set(_sheet_names(path))
        case _:
            return _beginning(path).startswith(b"PAR1") and b"holdtrip" in path.read_bytes()


def _is_answers(path: Path) -> bool:
    return re.match(rb'\{\s*"format": "holdtrip answers', _beginning(path)) is not None


def _is_candidates(path: Path) -> bool:
    start = _beginning(path).lstrip()
    return start.strip() == b"[]" or re.match(rb'\[\s*\{\s*"part_number":', start) is not None


def _is_identification(path: Path) -> bool:
    return re.match(rb'\{\s*"suspects":', _beginning(path)) is not None


def _is_report(path: Path) -> bool:
    return re.match(rb'\{\s*"table": "[^"]*",\s*"columns": \[', _beginning(path)) is not None


def _is_record(path: Path) -> bool:
    """A decision record: its title in the page, or the writer's name in the PDF."""
    if path.suffix.lower() == ".pdf":
        return path.read_bytes().startswith(b"%PDF-") and b"/Author (holdtrip)" in path.read_bytes()
    return b"<title>Decision record" in _beginning(path)


def _is_backup(path: Path) -> bool:
    try:
        with gzip.open(path, "rt", encoding="ascii") as file:
            return file.readline(_BEGINNING).startswith('{"format": "holdtrip backup"')
    except (OSError, EOFError):
        return False


def _beginning(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(_BEGINNING)


COMPARISON_MARK = "holdtrip: comparison"
MARKED_MARK = "holdtrip: marked copy"
CORRECTED_MARK = "holdtrip: corrected copy"
LONG_TABLE = table_kind("a long table", LONG_COLUMNS)
WIDE_TABLE = OutputKind("a wide table", (".csv",), is_wide_table)
COMPARISON_BOOK = OutputKind("the workbook of a comparison", (".xlsx",), _is_comparison_book)
SIDE_BY_SIDE_MARK = "holdtrip: side by side"
SIDE_BY_SIDE_BOOK = OutputKind("the workbook of parts side by side", (".xlsx",),
                               last_written_by(SIDE_BY_SIDE_MARK))
CANDIDATES = OutputKind("the candidates of a comparison", (".json",), _is_candidates)
IDENTIFICATION = OutputKind("an identification", (".json",), _is_identification)
DECISION_RECORD = OutputKind("a decision record", (".html", ".htm", ".pdf"), _is_record)
EXCHANGE = OutputKind("a library", (".json", ".xlsx", ".parquet"), _is_exchange)
TABLE_FINDINGS = table_kind("findings on a table", ("row", "column", "code", "severity"))
MARKED_COPY = OutputKind("a marked copy", (".xlsx", ".xlsm"), last_written_by(MARKED_MARK))
CORRECTED_COPY = OutputKind("a corrected copy", (".xlsx", ".xlsm", ".csv"), last_written_by(CORRECTED_MARK))
TABLE_REPORT = OutputKind("the report on a table", (".json",), _is_report)
ANSWERS = OutputKind("a file of answers", (".json",), _is_answers)
BACKUP = OutputKind("a backup", (), _is_backup)
