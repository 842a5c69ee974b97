"""The cells of a sheet become numbers in SI, each with row and column, or a finding that says why not.

Comes in: a sheet's texts and its columns. Goes out: a TypedSheet. Never guesses a number: what can be
read two ways is a finding.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from extract.checks import codes
from extract.parts_table.heading_rows import Heading
from extract.parts_table.records import (
    Column,
    ColumnRole,
    RawSheet,
    TableFinding,
    TypedCell,
    TypedRow,
    column_to_letters,
)
from extract.quantities import CellNumber, CellSort, NumberStyle, ParsedCell, cell_to_numbers, texts_to_style
from extract.schema import UNIT_OF, Quantity
from extract.vocabulary import fold


@lru_cache(maxsize=200_000)
def parse(text: str, style: NumberStyle) -> ParsedCell:
    """`cell_to_numbers`, remembered: a table repeats its texts. Numbers of more than a dozen places are
    no values of this trade and are not read."""
    parsed = cell_to_numbers(text, style)
    if any(n.value and not -_MOST_PLACES <= n.value.adjusted() <= _MOST_PLACES for n in parsed.numbers):
        return ParsedCell(CellSort.UNREADABLE, reason=f"'{text[:40]}' is far from any value of the trade")
    return parsed


_MOST_PLACES = 12


@dataclass(frozen=True, slots=True)
class Sight:
    """A sheet while its cells are read: where it stands, how each column writes numbers."""

    sheet: RawSheet
    heading: Heading
    columns: tuple[Column, ...]
    part_column: Column
    styles: tuple[NumberStyle, ...]

    def text(self, row: int, column: int) -> str:
        """A cell's text; rows and columns from 1."""
        cells = self.sheet.rows[row - 1]
        return cells[column - 1] if column <= len(cells) else ""


def sheet_to_sight(sheet: RawSheet, heading: Heading, columns: tuple[Column, ...], part: Column) -> Sight:
    """Learn how each column writes its numbers."""
    below = sheet.rows[heading.first_data_row - 1 :]
    styles = tuple(
        texts_to_style(
            [
                row[c.index - 1]
                for row in below
                if c.index <= len(row) and re.search(r"\d[.,]\d", row[c.index - 1])
            ]
        )
        for c in columns
    )
    common = [s for s in styles if s.decimal_comma is not None]
    whole = common[0] if common and all(s == common[0] for s in common) else NumberStyle()
    return Sight(
        sheet, heading, columns, part, tuple(s if s.decimal_comma is not None else whole for s in styles)
    )


def sight_to_rows(sight: Sight) -> tuple[tuple[TypedRow, ...], tuple[TableFinding, ...]]:
    """Read every row that names a part; rows with numbers but no part are findings."""
    rows: list[TypedRow] = []
    findings: list[TableFinding] = []
    values = [c for c in sight.columns if c.role is ColumnRole.VALUE and c.quantity is not None]
    currents = [c for c in sight.columns if c.role is ColumnRole.TEST_CURRENT]
    for number in range(sight.heading.first_data_row, len(sight.sheet.rows) + 1):
        part_number = " ".join(sight.text(number, sight.part_column.index).split())
        if not part_number:
            lonely = _row_without_part(sight, number, [*values, *currents])
            findings += [lonely] if lonely is not None else []
            continue
        cells: list[TypedCell] = []
        for column in values:
            found = _cell(sight, number, column)
            if isinstance(found, TableFinding):
                findings.append(found)
            else:
                cells += found
        findings += _unreadable_currents(sight, number, currents)
        findings += _part_number_findings(sight, number, part_number)
        rows.append(TypedRow(number, part_number, tuple(_with_multiples(cells))))
    return tuple(rows), tuple(findings)


def _row_without_part(sight: Sight, number: int, values: Sequence[Column]) -> TableFinding | None:
    filled = [c for c in values if parse(sight.text(number, c.index), NumberStyle()).sort is CellSort.NUMBERS]
    if not filled:
        return None
    first = filled[0]
    finding = finding_at(
        sight,
        number,
        first,
        codes.ROW_WITHOUT_PART,
        expected="a part number in this row",
        message=f"{len(filled)} numbers stand in a row that names no part",
    )
    slipped = "a column may have slipped past the last part" if len(filled) < 3 else ""
    return replace(finding, cause=slipped)


def _cell(sight: Sight, row: int, column: Column) -> list[TypedCell] | TableFinding:
    text = sight.text(row, column.index)
    parsed = parse(text, sight.styles[column.index - 1])
    if parsed.sort is CellSort.ABSENT:
        return []
    halves = column.pair or (column,)
    if parsed.sort is not CellSort.NUMBERS or len(parsed.numbers) != len(halves):
        return _unreadable(sight, row, column, parsed)
    cells = []
    for half, number in zip(halves, parsed.numbers, strict=True):
        if half.role is ColumnRole.TEST_CURRENT:
            continue
        made = _number_to_cell(sight, row, half, number, column)
        if isinstance(made, str):
            return finding_at(
                sight,
                row,
                column,
                codes.UNIT_MISMATCH,
                expected=_unit_name(half),
                message=made,
            )
        cells.append(made)
    return cells


def _unreadable_currents(sight: Sight, row: int, currents: Sequence[Column]) -> Iterator[TableFinding]:
    """Test currents that are no number."""
    for column in currents:
        parsed = parse(sight.text(row, column.index), sight.styles[column.index - 1])
        if parsed.sort is CellSort.ABSENT:
            continue
        if len(parsed.numbers) != 1:
            yield _unreadable(sight, row, column, parsed)
        elif parsed.numbers[0].value <= 0:
            yield finding_at(
                sight,
                row,
                column,
                codes.VALUE_NOT_POSITIVE,
                expected="a value above zero",
                message=f"test current is {parsed.numbers[0].value} A",
            )


def _unreadable(sight: Sight, row: int, column: Column, parsed: ParsedCell) -> TableFinding:
    text = sight.text(row, column.index)
    if text.startswith("="):
        return finding_at(
            sight,
            row,
            column,
            codes.CELL_UNREADABLE,
            expected="a stored value",
            message="the workbook stores no value for this formula: open and save it again",
        )
    alike = text_to_look_alike(text)
    if alike:
        return finding_at(
            sight,
            row,
            column,
            codes.LOOK_ALIKE,
            expected="digits",
            message=f"'{text}' holds {alike} where a digit belongs",
        )
    return finding_at(
        sight,
        row,
        column,
        codes.CELL_UNREADABLE,
        expected="one number",
        message=parsed.reason or f"'{text}' is no number",
    )


def _number_to_cell(
    sight: Sight, row: int, column: Column, number: CellNumber, home: Column
) -> TypedCell | str:
    assert column.quantity is not None
    base = UNIT_OF[column.quantity]
    unit = number.unit or column.unit or column.assumed
    if number.unit is not None and number.unit.base != base:
        return f"the cell is in {number.unit.name}, its column holds {base if base != '1' else 'shares'}"
    factor = unit.factor if unit is not None else 1
    exponent = number.value.as_tuple().exponent
    step = float(factor) * 10.0 ** (exponent if isinstance(exponent, int) else 0)
    current, test_column = _test_current(sight, row, column)
    test_raw = sight.text(row, test_column.index) if test_column is not None else ""
    return TypedCell(
        row,
        column,
        float(number.value * factor),
        step,
        sight.text(row, home.index),
        current,
        test_column,
        test_raw,
    )


def _test_current(sight: Sight, row: int, column: Column) -> tuple[float | None, Column | None]:
    """The current of a time to trip: of the heading, of its own column, or of the other half of the cell."""
    if column.quantity is not Quantity.TIME_TO_TRIP:
        return None, None
    if column.test_current_a is not None:
        return column.test_current_a, None
    if column.test_column is None:
        return None, None
    partner = sight.columns[column.test_column - 1]
    numbers = parse(sight.text(row, partner.index), sight.styles[partner.index - 1]).numbers
    if len(numbers) != 1:
        return None, partner
    unit = numbers[0].unit or partner.unit or partner.assumed
    return float(numbers[0].value * (unit.factor if unit is not None and unit.base == "A" else 1)), partner


def _with_multiples(cells: Sequence[TypedCell]) -> Iterator[TypedCell]:
    """Times stated at a multiple of hold get their current from the row's hold current."""
    hold = next(
        (c for c in cells if c.column.quantity is Quantity.HOLD_CURRENT and c.column.ambient_c is None),
        next(
            (
                c
                for c in cells
                if c.column.quantity is Quantity.HOLD_CURRENT and 15 <= (c.column.ambient_c or 0) <= 30
            ),
            None,
        ),
    )
    for cell in cells:
        multiple = cell.column.test_multiple
        if multiple is not None and hold is not None and cell.column.quantity is Quantity.TIME_TO_TRIP:
            yield TypedCell(cell.row, cell.column, cell.value, cell.step, cell.raw, multiple * hold.value)
        else:
            yield cell


def _unit_name(column: Column) -> str:
    unit = column.unit or column.assumed
    return (
        f"a value in {unit.name}" if unit else f"a value in {UNIT_OF[column.quantity or Quantity.HOLD_RATIO]}"
    )


def finding_at(
    sight: Sight, row: int, column: Column, code: codes.Code, *, expected: str, message: str
) -> TableFinding:
    """A finding of the code's own gravity at one cell."""
    return TableFinding(
        sight.sheet.name,
        row,
        column.heading,
        code.name,
        code.severity,
        sight.text(row, column.index),
        expected,
        message,
        "look-alike character" if code is codes.LOOK_ALIKE else "",
        part_number=" ".join(sight.text(row, sight.part_column.index).split()),
        quantity=column.quantity,
        cell=f"{column_to_letters(column.index)}{row}",
    )


_LOOKS = {"o": "0", "l": "1", "i": "1", "s": "5", "b": "8", "z": "2", "о": "0", "|": "1"}


def text_to_look_alike(text: str) -> str:
    """The letter that stands among digits ("1O.5", "l.20"), in quotes, or nothing."""
    plain = text.strip()
    mended = "".join(_LOOKS.get(char.lower(), char) for char in plain)
    if mended != plain and re.fullmatch(r"[-+]?\d+(?:[.,]\d+)?", mended) and re.search(r"\d", plain):
        return next(f"'{char}'" for char in plain if char.lower() in _LOOKS)
    return ""


def _part_number_findings(sight: Sight, row: int, part_number: str) -> Iterator[TableFinding]:
    """A part number in two scripts at once, or with a letter O or I between digits."""
    scripts = {unicodedata.name(char, "").partition(" ")[0] for char in part_number if char.isalpha()}
    if "LATIN" in scripts and scripts & {"CYRILLIC", "GREEK"}:
        odd = next(
            char for char in part_number if unicodedata.name(char, "").startswith(("CYRILLIC", "GREEK"))
        )
        yield finding_at(
            sight,
            row,
            sight.part_column,
            codes.LOOK_ALIKE,
            expected="one alphabet",
            message=f"'{odd}' in '{part_number}' is {unicodedata.name(odd).title()}",
        )
    elif re.search(r"\d[OIl]\d", part_number):
        found = re.search(r"\d[OIl]\d", part_number)
        assert found is not None
        yield finding_at(
            sight,
            row,
            sight.part_column,
            codes.LOOK_ALIKE,
            expected="a digit",
            message=f"'{found[0]}' in '{part_number}' has a letter between digits",
        )


def fold_part_number(text: str) -> str:
    """Letters and digits in lower case: spaces, dashes and capitals do not tell parts apart."""
    return "".join(filter(str.isalnum, fold(text))) or text.strip()
