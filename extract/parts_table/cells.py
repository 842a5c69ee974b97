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
from extract.parts_table.dates import text_to_date
from extract.parts_table.heading_rows import Heading
from extract.parts_table.mending import Mended, text_to_look_alike, text_to_mended
from extract.parts_table.part_columns import row_to_names
from extract.parts_table.records import (
    Column,
    ColumnRole,
    RawSheet,
    TableFinding,
    TypedCell,
    TypedRow,
)
from extract.quantities import CellNumber, CellSort, NumberStyle, ParsedCell, cell_to_numbers, texts_to_style
from extract.reference import is_room
from extract.schema import UNIT_OF, Quantity, Severity
from extract.vocabulary import any_of, fold


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
    has_points: tuple[bool, ...]
    """Whether most numbers of a column with a decimal sign have a point."""

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
    settled = tuple(s if s.decimal_comma is not None else whole for s in styles)
    points = _have_points(below, columns)
    settled = tuple(
        NumberStyle(decimal_comma=False) if has and s.decimal_comma else s
        for s, has in zip(settled, points, strict=True)
    )
    return Sight(sheet, heading, columns, part, settled, points)


def _have_points(below: Sequence[Sequence[str]], columns: Sequence[Column]) -> tuple[bool, ...]:
    """For each column, whether its decimal sign is a point; one with a single comma is as the whole table."""
    counts = [_points_and_commas([row[c.index - 1] for row in below if c.index <= len(row)]) for c in columns]
    points, commas = (sum(count[n] for count in counts) for n in (0, 1))
    by_table = points > _MANY_POINTS * commas
    return tuple(own > 2 * others or (by_table and others <= 1) for own, others in counts)


_MANY_POINTS = 3


def _points_and_commas(texts: Sequence[str]) -> tuple[int, int]:
    return (
        sum(re.search(r"\d\.\d", text) is not None for text in texts),
        sum(re.search(r"\d,\d", text) is not None for text in texts),
    )


LeftOut = tuple[tuple[int, str], ...]


def sight_to_rows(sight: Sight) -> tuple[tuple[TypedRow, ...], tuple[TableFinding, ...], LeftOut]:
    """Read every row that names a part; rows with numbers but no part are findings. The last are the rows
    left out, and why."""
    rows: list[TypedRow] = []
    findings: list[TableFinding] = []
    left_out: list[tuple[int, str]] = []
    values = [c for c in sight.columns if c.role is ColumnRole.VALUE and c.quantity is not None]
    currents = [c for c in sight.columns if c.role is ColumnRole.TEST_CURRENT]
    for number in range(sight.heading.first_data_row, len(sight.sheet.rows) + 1):
        part_number = " ".join(sight.text(number, sight.part_column.index).split())
        if not part_number:
            lonely = _row_without_part(sight, number, [*values, *currents])
            findings += [lonely] if lonely is not None else []
            left_out.append((number, "names no part" if any(sight.sheet.rows[number - 1]) else "is empty"))
            continue
        if is_sum_row(part_number):
            left_out.append((number, f"'{part_number}' is no part"))
            continue
        cells: list[TypedCell] = []
        for column in values:
            made, told = _cell(sight, number, column)
            cells += made
            findings += told
        findings += _unreadable_currents(sight, number, currents)
        findings += _part_number_findings(sight, number, part_number)
        names = row_to_names(sight.sheet.rows[number - 1], sight.part_column.index, sight.columns)
        rows.append(TypedRow(number, part_number, tuple(_with_multiples(cells)), names))
    return tuple(rows), tuple(findings), tuple(left_out)


_SUMS = re.compile(rf"(?:{any_of('sums')})\.?:?(?: \(?\w+\)?)?", re.IGNORECASE)


def is_sum_row(part_number: str) -> bool:
    """Whether what stands in the column of parts says that its row sums up the others."""
    return _SUMS.fullmatch(part_number.strip()) is not None and not re.search(r"\d", part_number)


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


def _cell(sight: Sight, row: int, column: Column) -> tuple[list[TypedCell], list[TableFinding]]:
    """The numbers of a cell, and what is wrong with it; both where it surely means another text."""
    text = sight.text(row, column.index)
    parsed = parse(text, sight.styles[column.index - 1])
    mended = text_to_mended(
        text, sight.styles[column.index - 1], others_have_points=sight.has_points[column.index - 1]
    )
    if mended is not None and not column.pair:
        cells, told = _numbers(sight, row, column, parse(mended.text, sight.styles[column.index - 1]))
        return cells, [_mended_to_finding(sight, row, column, mended), *told]
    return _numbers(sight, row, column, parsed)


def _mended_to_finding(sight: Sight, row: int, column: Column, mended: Mended) -> TableFinding:
    code = codes.LOOK_ALIKE if text_to_look_alike(sight.text(row, column.index)) else codes.COMMA_FOR_POINT
    return finding_at(
        sight,
        row,
        column,
        code,
        expected=f"'{mended.text}'",
        message=f"{mended.fault}; taken as {mended.text}",
    )


def _current_to_parsed(sight: Sight, row: int, column: Column) -> tuple[ParsedCell, Mended | None]:
    """A test current as read, and what it was mended to."""
    text, style = sight.text(row, column.index), sight.styles[column.index - 1]
    mended = text_to_mended(text, style, others_have_points=sight.has_points[column.index - 1])
    if mended is None:
        return parse(text, style), None
    return parse(mended.text, style), mended


def _numbers(
    sight: Sight, row: int, column: Column, parsed: ParsedCell
) -> tuple[list[TypedCell], list[TableFinding]]:
    if parsed.sort is CellSort.ABSENT:
        return [], []
    halves = column.pair or (column,)
    if parsed.sort is not CellSort.NUMBERS or len(parsed.numbers) != len(halves):
        return [], [_unreadable(sight, row, column, parsed)]
    cells: list[TypedCell] = []
    for half, number in zip(halves, parsed.numbers, strict=True):
        if half.role is ColumnRole.TEST_CURRENT:
            continue
        made = _number_to_cell(sight, row, half, number, column)
        if isinstance(made, str):
            return [], [
                finding_at(sight, row, column, codes.UNIT_MISMATCH, expected=_unit_name(half), message=made)
            ]
        cells.append(made)
    return cells, []


def _unreadable_currents(sight: Sight, row: int, currents: Sequence[Column]) -> Iterator[TableFinding]:
    """Test currents that are no number, or surely mean another text."""
    for column in currents:
        parsed, mended = _current_to_parsed(sight, row, column)
        if parsed.sort is CellSort.ABSENT:
            continue
        if mended is not None:
            yield _mended_to_finding(sight, row, column, mended)
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


_SPREADSHEET_ERROR = re.compile(r"#[¡¿]?[^\W\d_][\w/ ]*[!?]?|#{3,}|Err:\d{3}", re.IGNORECASE)


def _unreadable(sight: Sight, row: int, column: Column, parsed: ParsedCell) -> TableFinding:
    code, expected, message = _text_to_fault(sight.text(row, column.index), parsed.reason)
    return finding_at(sight, row, column, code, expected=expected, message=message)


def _text_to_fault(text: str, reason: str) -> tuple[codes.Code, str, str]:
    """Why a text is no number: the code, what was expected, the sentence."""
    if text.startswith("="):
        said = "the workbook stores no value for this formula: open and save it again"
        return codes.CELL_UNREADABLE, "a stored value", said
    if _SPREADSHEET_ERROR.fullmatch(text.strip()):
        said = f"'{text}' is an error of the spreadsheet: the number is not there"
        return codes.CELL_IS_ERROR, "one number", said
    if date := text_to_date(text):
        said = f"'{text.removeprefix('date ')}' is a date: a spreadsheet may have made it of a number"
        return codes.CELL_IS_DATE, date if date == "a number" else f"a number, perhaps {date}", said
    if alike := text_to_look_alike(text):
        return codes.LOOK_ALIKE, "digits", f"'{text}' holds {alike} where a digit belongs"
    if re.fullmatch(r"[-+]?\d+[.,]", text.strip()):
        said = f"'{text}' ends in its decimal sign: digits are missing, or the sign is too many"
        return codes.NUMBER_CUT_OFF, "a whole number", said
    return codes.CELL_UNREADABLE, "one number", reason or f"'{text}' is no number"


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
    numbers = _current_to_parsed(sight, row, partner)[0].numbers
    if len(numbers) != 1:
        return None, partner
    unit = numbers[0].unit or partner.unit or partner.assumed
    return float(numbers[0].value * (unit.factor if unit is not None and unit.base == "A" else 1)), partner


def _with_multiples(cells: Sequence[TypedCell]) -> Iterator[TypedCell]:
    """Times stated at a multiple of hold get their current from the row's hold current."""
    hold = next(
        (c for c in cells if c.column.quantity is Quantity.HOLD_CURRENT and c.column.ambient_c is None),
        next(
            (c for c in cells if c.column.quantity is Quantity.HOLD_CURRENT and is_room(c.column.ambient_c)),
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


_CAUSES = {
    codes.LOOK_ALIKE.name: "look-alike character",
    codes.NUMBER_CUT_OFF.name: "a digit is missing",
}


def finding_at(
    sight: Sight, row: int, column: Column, code: codes.Code, *, expected: str, message: str
) -> TableFinding:
    """A finding of the code's own severity at one cell."""
    return TableFinding(
        sight.sheet.name,
        row,
        column.heading,
        code.name,
        code.severity,
        sight.text(row, column.index),
        expected,
        message,
        _CAUSES.get(code.name, ""),
        part_number=" ".join(sight.text(row, sight.part_column.index).split()),
        quantity=column.quantity,
        cell=column.at(row),
    )


def _part_number_findings(sight: Sight, row: int, part_number: str) -> Iterator[TableFinding]:
    """A part number in two scripts at once, or with a letter O or I between digits."""
    names = {char: unicodedata.name(char, "") for char in part_number if char.isalpha()}
    odd = next((char for char, name in names.items() if name.startswith(("CYRILLIC", "GREEK"))), "")
    digits = re.search(r"\d[OIl]\d", part_number)
    if odd and any(name.startswith("LATIN") for name in names.values()):
        expected, message = "one alphabet", f"'{odd}' in '{part_number}' is {names[odd].title()}"
    elif digits:
        expected, message = "a digit", f"'{digits[0]}' in '{part_number}' has a letter between digits"
    else:
        return
    column = sight.part_column
    finding = finding_at(sight, row, column, codes.LOOK_ALIKE, expected=expected, message=message)
    yield replace(finding, severity=Severity.DOUBT)


def fold_part_number(text: str) -> str:
    """Letters and digits in lower case: spaces, dashes and capitals do not tell parts apart."""
    return "".join(filter(str.isalnum, fold(text))) or text.strip()
