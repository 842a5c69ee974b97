"""The CSV that holdtrip writes, and reads back: how cells are written, how a file is.

Comes in: texts, numbers, rows; a file. Goes out: cells, files; its text. A text has a leading apostrophe
where a spreadsheet opening the file would take it for a formula; numbers such as -40 stay as they are. Knows
no columns.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from extract.errors import InputError

_FORMULA = re.compile(r"['=+\-@\t\r]")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")


def guard(text: str) -> str:
    """The text as it may stand in a cell."""
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text


def unguard(text: str) -> str:
    """What `guard` was given."""
    return text[1:] if text.startswith("'") and _FORMULA.match(text, 1) else text


def number_to_cell(value: float | None) -> str:
    """Shortest text that reads back as the same number; whole numbers without a point; empty for none."""
    return "" if value is None else repr(float(value)).removesuffix(".0")


def notes_to_cell(notes: tuple[str, ...]) -> str:
    """Notes as a JSON list, empty if there are none."""
    return json.dumps(notes, ensure_ascii=False) if notes else ""


def write_rows(head: Iterable[str], rows: Iterable[Iterable[object]], path: Path) -> int:
    """Write a CSV file in UTF-8 and return the number of rows below its header. In one go, so that a full
    disk or a doubtful reading leaves no half table that looks whole."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(head)
    count = 0
    for count, row in enumerate(rows, start=1):  # noqa: B007 - the last one is the number of rows
        writer.writerow(row)
    path.write_bytes(text.getvalue().encode("utf-8", errors="backslashreplace"))
    return count


def path_to_csv_text(path: Path) -> io.StringIO:
    """The text of a CSV file, to be read by the csv module; InputError where it is not UTF-8."""
    try:
        return io.StringIO(path.read_bytes().decode("utf-8-sig"), newline="")
    except UnicodeDecodeError as error:
        found, wanted = f"byte {error.start} is not UTF-8", "a CSV file in UTF-8"
        raise InputError(str(path), found, wanted, "Save the table as CSV UTF-8") from error


@contextmanager
def csv_faults(path: Path, rows: csv.DictReader[str] | Iterator[list[str]]) -> Iterator[None]:
    """What the csv module cannot read is an InputError that names the row."""
    try:
        yield
    except csv.Error as error:
        where = f"{path}, row {getattr(rows, 'line_num', 1)}"
        raise InputError(where, str(error), "a CSV file with commas and quotes") from error
