"""The records of a typed parts table: cells with row and column, columns as understood, findings.

Comes in: nothing. Goes out: frozen records. Reads no file and judges nothing.
Rows and columns are those of the file, counted from 1; the heading is usually row 1.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from extract.schema import Kind, Quantity, Severity
from extract.vocabulary import Unit


class ColumnRole(StrEnum):
    """What a column is for."""

    PART_NUMBER = "part number"
    VALUE = "value"
    TEST_CURRENT = "test current"
    TEXT = "text"
    IGNORED = "ignored"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class TableOptions:
    """How to read a table.

    `mapping`: pairs of a heading and what it means, such as ("Stuff", "hold_current mA"), see
    mapping.py; `sheets`: names of the workbook's sheets to read, all if empty; `encoding` and
    `separator` of a CSV file, found out if None; `largest_bytes` of a file.
    """

    mapping: tuple[tuple[str, str], ...] = ()
    sheets: tuple[str, ...] = ()
    encoding: str | None = None
    separator: str | None = None
    largest_bytes: int = 200_000_000


@dataclass(frozen=True, slots=True)
class RawSheet:
    """The texts of a sheet, row by row, as a reader of the file sees them; `merged` are ranges
    (first row, first column, last row, last column), counted from 1; `left_out` are addresses of cells
    far from everything else. A hidden sheet has no rows."""

    name: str
    rows: tuple[tuple[str, ...], ...]
    merged: tuple[tuple[int, int, int, int], ...] = ()
    left_out: tuple[str, ...] = ()
    is_hidden: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """One column as understood. `heading` as in the file (levels joined by blanks), `how` says why.

    `unit` is that of the heading or of a mapping; `assumed` that taken because only it fits, or that which
    the cells carry themselves.
    `pair` is the second column's meaning if each cell holds two numbers.
    """

    index: int
    heading: str
    role: ColumnRole
    quantity: Quantity | None = None
    kind: Kind = Kind.NONE
    unit: Unit | None = None
    assumed: Unit | None = None
    ambient_c: float | None = None
    test_current_a: float | None = None
    test_multiple: float | None = None
    test_column: int | None = None
    is_mapped: bool = False
    pair: tuple[Column, ...] = ()
    how: str = ""

    def at(self, row: int) -> str:
        """The address of its cell in a row: "D7"."""
        return place_to_address((row, self.index))


@dataclass(frozen=True, slots=True)
class TypedCell:
    """One number of the table in SI; `step` is the value of its last digit; `raw` the cell's text.
    A time to trip has its test current, and the column and text that gave it if it has one."""

    row: int
    column: Column
    value: float
    step: float
    raw: str
    test_current_a: float | None = None
    test_column: Column | None = None
    test_raw: str = ""

    @property
    def address(self) -> str:
        """Where it stands: "D7"."""
        return self.column.at(self.row)


@dataclass(frozen=True, slots=True)
class TypedRow:
    """One row: its part number as typed and its numbers; `named` are the part number with a text of the row
    before it that may be its series."""

    row: int
    part_number: str
    cells: tuple[TypedCell, ...]
    named: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TableFinding:
    """Something wrong or doubtful in a typed table.

    `column` is the heading as in the file; `cell` its address such as "D7"; `found` is the cell's
    text; `cause` the likely cause in words; `proposed` a value only where a source gives it; `page`
    and `document` where the source prints it. `what` says which number it is: kind, ambient, test current.
    A finding about several cells names them all in `cells`, the one to look at first in `cell`, and what
    speaks for it in `evidence`. `changes` is the repair, where a sheet gives it or cells only move:
    addresses and new texts.
    """

    sheet: str
    row: int
    column: str
    code: str
    severity: Severity
    found: str
    expected: str
    message: str
    cause: str = ""
    proposed: str = ""
    page: int | None = None
    document: str = ""
    part_number: str = ""
    quantity: Quantity | None = None
    cell: str = ""
    what: str = ""
    cells: tuple[str, ...] = ()
    evidence: str = ""
    changes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class TypedSheet:
    """A sheet as understood: its heading rows, columns and rows, and what reading it noticed.

    `left_out` are rows below the headings that were not read as parts, and why; `stray` are addresses
    of cells far from the table. Of a table that does not have a row for each part, `homes` says where its
    cells stand in the file, and `file_headings` the headings of the file's columns."""

    name: str
    heading_rows: tuple[int, ...]
    columns: tuple[Column, ...]
    rows: tuple[TypedRow, ...]
    findings: tuple[TableFinding, ...] = ()
    left_out: tuple[tuple[int, str], ...] = ()
    stray: tuple[str, ...] = ()
    homes: Mapping[tuple[int, int], tuple[int, int]] = field(default_factory=dict)
    file_headings: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PartsTable:
    """A parts table: its file and sheets. Sheets that were not read are in `skipped`, with the reason."""

    path: Path
    sheets: tuple[TypedSheet, ...]
    skipped: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Unchecked:
    """Something no check reached: how many cells or parts, what, and why."""

    what: str
    count: int
    why: str

    @property
    def counted(self) -> str:
        """The count with its word, singular and plural right."""
        return f"{self.count} {self.what.removesuffix('s') if self.count == 1 else self.what}"


@dataclass(frozen=True, slots=True)
class TableReport:
    """What checking a table gave. It never says a table is clean: `checked` says what was looked at,
    `unchecked` what was not; `silenced` counts findings a person has accepted before, `disputed` numbers
    that only disputed readings of the sheets give."""

    table: PartsTable
    findings: tuple[TableFinding, ...]
    checked: tuple[str, ...] = ()
    unchecked: tuple[Unchecked, ...] = ()
    silenced: int = 0
    disputed: int = 0


def place_to_address(place: tuple[int, int]) -> str:
    """(7, 4), row and column, → "D7"."""
    return f"{column_to_letters(place[1])}{place[0]}"


def column_to_letters(index: int) -> str:
    """1 → "A", 27 → "AA"."""
    letters = ""
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
