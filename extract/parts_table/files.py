"""A CSV or XLSX file becomes the texts of its sheets.

Comes in: a path. Goes out: RawSheets. Finds out encoding and separator of a CSV, and refuses one whose
quotes do not balance; workbooks.py reads workbooks. Understands no heading.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from extract.errors import InputError
from extract.parts_table.records import RawSheet, TableOptions
from extract.parts_table.workbooks import WORKBOOKS, workbook_to_sheets

_UNFIT = {
    ".xls": "an old Excel workbook",
    ".ods": "an OpenDocument sheet",
    ".pdf": "a PDF",
    ".numbers": "a Numbers sheet",
}
_NUMBER_FIRST = re.compile(r"\s*[-+<>≤≥~≈]?\s*[.,]?\d")


def path_to_sheets(path: Path, options: TableOptions) -> tuple[RawSheet, ...]:
    """Read the texts of a CSV (one sheet, named "") or of a workbook's visible sheets.

    Raises InputError where the file cannot be read as either.
    """
    if path.suffix.lower() in _UNFIT:
        raise InputError(
            str(path), f"{_UNFIT[path.suffix.lower()]}", "a CSV or XLSX file", "Save the table as CSV or XLSX"
        )
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            head = file.read(4)
    except OSError as error:
        raise InputError(str(path), error.strerror or "cannot be opened", "a CSV or XLSX file") from error
    if size > options.largest_bytes:
        raise InputError(
            str(path), f"{size} bytes", f"at most {options.largest_bytes} bytes", "Split the table"
        )
    if not size:
        raise InputError(str(path), "the file is empty", "a table with headings and parts")
    if head.startswith(b"PK"):
        return workbook_to_sheets(path, options)
    if path.suffix.lower() in WORKBOOKS:
        raise InputError(str(path), "not a workbook", "an XLSX file", "Save the table again as XLSX")
    return (_csv_to_sheet(path, options),)


def _csv_to_sheet(path: Path, options: TableOptions) -> RawSheet:
    text = csv_to_text(path, options.encoding)
    separator = options.separator or text_to_separator(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows: list[tuple[str, ...]] = []
    line = 0
    try:
        for row in reader:
            _check_quotes(path, row, line + 1, separator)
            _check_whole_lines(f"{path}, line {line + 1}", row, len(rows[-1]) if rows else 0, separator)
            rows.append(tuple(cell.strip() for cell in row))
            line = reader.line_num
    except csv.Error as error:
        raise InputError(
            f"{path}, line {line + 1}",
            f"a quote that does not close, or not a CSV file ({error})",
            "a CSV file",
            "Correct the quotes there, or save the table again as CSV UTF-8",
        ) from error
    return RawSheet("", tuple(rows))


def _check_quotes(path: Path, row: Sequence[str], line: int, separator: str) -> None:
    """A cell that holds whole lines of the table, separators and all, is what a stray quote swallows."""
    for cell in row:
        swallowed = [
            part
            for part in cell.splitlines()[1:]
            if part.count(separator) >= 2 and _is_like_row(part, separator)
        ]
        if swallowed:
            raise InputError(
                f"{path}, line {line}",
                f"a quote that swallows {len(swallowed)} lines of the table",
                "quotes in pairs",
                "Take the stray quote out of that line, or write it twice",
            )


def _check_whole_lines(where: str, row: Sequence[str], width: int, separator: str) -> None:
    """Lines that are whole rows by themselves, joined to one by a quote that opens in the first."""
    lines = separator.join(row).splitlines()
    if (
        len(lines) > 1
        and width > 1
        and all(line.count(separator) == width - 1 and _is_like_row(line, separator) for line in lines)
    ):
        raise InputError(
            where,
            f"a quote that makes {len(lines)} rows of the table one",
            "quotes in pairs",
            "Take the stray quote out of that line, or write it twice",
        )


def _is_like_row(line: str, separator: str) -> bool:
    """Whether a line with separators may be a row of a table of parts: one cell begins with a number, and
    not every separator is followed by a blank, as in prose."""
    first, *rest = line.split(separator)
    is_prose = bool(rest) and all(cell.startswith(" ") for cell in rest)
    return not is_prose and any(_NUMBER_FIRST.match(cell) for cell in (first, *rest))


def csv_to_text(path: Path, encoding: str | None = None) -> str:
    """UTF-8 with or without mark, UTF-16 with mark, else the Western code page of old spreadsheets."""
    data = path.read_bytes()
    if encoding is not None:
        try:
            return data.decode(encoding)
        except (UnicodeDecodeError, LookupError) as error:
            raise InputError(str(path), str(error), f"text in {encoding}", "Name another encoding") from error
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    if b"\x00" in data[:4096]:
        raise InputError(str(path), "binary data", "a CSV or XLSX file")
    for name in ("utf-8-sig", "cp1252"):
        try:
            return data.decode(name)
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1")


def text_to_separator(text: str) -> str:
    """The separator that gives the first lines the most equal number of cells, more than one."""
    lines = [line for line in text.splitlines()[:60] if line.strip()]
    if lines and lines[0].lower().startswith("sep=") and len(lines[0]) >= 5:
        return lines[0][4]
    best, score = ",", 0.0
    for separator in (";", "\t", ",", "|"):
        counts = [len(row) for row in csv.reader(lines, delimiter=separator)]
        if not counts:
            continue
        width, share = Counter(counts).most_common(1)[0]
        if width > 1 and share * width**0.5 > score:
            best, score = separator, share * width**0.5
    return best
