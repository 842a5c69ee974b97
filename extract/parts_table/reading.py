"""A typed parts table, read: the walk from a file to numbers with row and column.

Comes in: a CSV or XLSX path and options. Goes out: a PartsTable with what was understood of each
column. Checks no value: checking.py does.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

from extract.checks import codes
from extract.errors import InputError
from extract.parts_table.cells import Sight, parse, sheet_to_sight, sight_to_rows
from extract.parts_table.files import path_to_sheets
from extract.parts_table.heading_rows import Heading, sheet_to_heading
from extract.parts_table.layouts import sheet_to_upright
from extract.parts_table.part_columns import with_whole_part_numbers
from extract.parts_table.records import (
    Column,
    ColumnRole,
    PartsTable,
    RawSheet,
    TableFinding,
    TableOptions,
    TypedRow,
    TypedSheet,
)
from extract.parts_table.understanding import levels_to_columns
from extract.quantities import NumberStyle
from extract.schema import AT_AMBIENT, UNIT_OF, Quantity, Severity
from extract.vocabulary import Unit


def read_parts_table(path: Path, options: TableOptions | None = None) -> PartsTable:
    """Read a parts table. Raises InputError if no sheet has part numbers beside a known quantity."""
    options = options or TableOptions()
    return sheets_to_table(path, path_to_sheets(path, options), options)


def sheets_to_table(path: Path, raw: Sequence[RawSheet], options: TableOptions) -> PartsTable:
    """Understand the sheets of a file; raises InputError as read_parts_table does."""
    sheets, skipped = [], []
    mapping = dict(options.mapping)
    for sheet in raw:
        typed = None if sheet.is_hidden else _sheet_to_typed(sheet, mapping, is_only=len(raw) == 1)
        if typed is not None and typed.rows:
            sheets.append(typed)
        else:
            skipped.append((sheet.name, _why_skipped(sheet, typed)))
    _check_mapping(mapping, sheets)
    if not sheets and any(why == _HEADINGS_ONLY for _, why in skipped):
        raise InputError(
            str(path),
            "headings, but no row below them names a part",
            "one row for each part",
            "Check that the table was saved whole",
        )
    if not sheets:
        raise InputError(
            str(path),
            "no table of parts: no row has headings such as 'Part number' and 'Ihold'",
            "a heading row, then one row for each part",
            "Name the columns, such as --map 'My heading=hold_current'",
        )
    return PartsTable(path, tuple(sheets), tuple(skipped))


_HEADINGS_ONLY = "has headings, but no row below them names a part"


def _why_skipped(sheet: RawSheet, typed: TypedSheet | None) -> str:
    if sheet.is_hidden:
        return "is hidden: name it with --sheet to check it"
    return "has no part numbers beside a known quantity" if typed is None else _HEADINGS_ONLY


def _check_mapping(mapping: dict[str, str], sheets: Sequence[TypedSheet]) -> None:
    """Every mapped heading stands in some sheet."""
    there = {" ".join(c.heading.split()).lower() for sheet in sheets for c in sheet.columns}
    for name in mapping:
        if sheets and " ".join(name.split()).lower() not in there:
            found = ", ".join(f"'{c.heading}'" for sheet in sheets for c in sheet.columns if c.heading)
            raise InputError("--map", f"no column '{name}'", f"one of {found}")


def _sheet_to_typed(sheet: RawSheet, mapping: dict[str, str], *, is_only: bool) -> TypedSheet | None:
    """The sheet as it stands, or with its numbers put so that each part has a row."""
    upright = sheet_to_upright(sheet)
    own = {**upright.mapping, **mapping}
    typed = _upright_to_typed(
        upright.sheet, own, is_only=is_only and not upright.mapping, is_si=bool(upright.mapping)
    )
    if typed is None:
        return None
    return replace(typed, homes=upright.homes, file_headings=upright.headings)


def _upright_to_typed(
    sheet: RawSheet, mapping: dict[str, str], *, is_only: bool, is_si: bool
) -> TypedSheet | None:
    heading = sheet_to_heading(sheet) or (_mapped_heading(sheet, mapping) if mapping else None)
    if heading is None:
        return None
    width = len(heading.levels)
    below = [(*row, *[""] * (width - len(row))) for row in sheet.rows[heading.first_data_row - 1 :]]
    texts = [[row[n] for row in below] for n in range(width)]
    columns = levels_to_columns(heading.levels, texts, mapping if is_only else _present(mapping, heading))
    columns = tuple(map(_in_si, columns)) if is_si else columns
    part = next((c for c in columns if c.role is ColumnRole.PART_NUMBER), None)
    if part is None or not any(c.role is ColumnRole.VALUE and c.quantity is not None for c in columns):
        return None
    sheet = with_whole_part_numbers(sheet, heading.first_data_row, columns)
    columns, heading_findings = _settle_ambients(sheet, heading, columns)
    sight = sheet_to_sight(sheet, heading, columns, part)
    rows, findings, left_out = sight_to_rows(sight)
    more = (
        *heading_findings,
        *_columns_to_findings(sight, texts),
        *_empty_cells(sight, rows),
        *_empty_rows(sight, rows),
    )
    return TypedSheet(sheet.name, heading.rows, columns, rows, (*more, *findings), left_out, sheet.left_out)


def _in_si(column: Column) -> Column:
    """A column of a long table: its numbers are in SI, whatever would fit the trade better."""
    if column.quantity is None or column.unit is not None:
        return column
    base = UNIT_OF[column.quantity]
    return replace(column, unit=Unit("factor" if base == "1" else base, base, Decimal(1)), assumed=None)


def _mapped_heading(sheet: RawSheet, mapping: dict[str, str]) -> Heading | None:
    """The row in which the mapped headings stand."""
    wanted = {" ".join(heading.lower().split()) for heading in mapping}
    for number, row in enumerate(sheet.rows[:60], start=1):
        if wanted <= {" ".join(text.lower().split()) for text in row}:
            return Heading((number,), number + 1, tuple((text,) if text else () for text in row))
    return None


def _present(mapping: dict[str, str], heading: Heading) -> dict[str, str]:
    """In a workbook of several sheets a mapping counts where its heading stands."""
    there = {" ".join(" ".join(levels).split()).lower() for levels in heading.levels}
    return {name: meaning for name, meaning in mapping.items() if " ".join(name.split()).lower() in there}


def _settle_ambients(
    sheet: RawSheet, heading: Heading, columns: tuple[Column, ...]
) -> tuple[tuple[Column, ...], list[TableFinding]]:
    """Temperatures in headings rise or fall along the columns. If they do not, and would with minus
    signs on the first of them, the columns are taken so for the checks and the loss is reported."""
    settled, findings = list(columns), []
    for group in _disordered(columns):
        ambients = [c.ambient_c or 0.0 for c in group]
        lost = [group[n] for n in _lost_signs(ambients)]
        odd = (
            lost
            or _misplaced(group)
            or [b for a, b in pairwise(group) if (b.ambient_c or 0) <= (a.ambient_c or 0)]
        )
        findings.append(_ambients_to_finding(sheet, heading, odd, ambients, are_lost=bool(lost)))
        for column in lost:
            settled[column.index - 1] = replace(column, ambient_c=-(column.ambient_c or 0.0))
    return tuple(settled), findings


def _disordered(columns: Sequence[Column]) -> Iterator[list[Column]]:
    """Columns of one quantity whose temperatures neither rise nor fall."""
    for quantity in AT_AMBIENT:
        group = [c for c in columns if c.quantity is quantity and c.ambient_c is not None]
        if len(group) >= 3 and not _is_ordered([c.ambient_c or 0.0 for c in group]):
            yield group


def _lost_signs(ambients: Sequence[float]) -> list[int]:
    """Which of the temperatures lost their minus sign, if minus signs alone bring them in order: of the
    first ones up to some place."""
    for n in range(1, len(ambients)):
        if _is_ordered([-abs(a) for a in ambients[:n]] + list(ambients[n:])):
            return [place for place in range(n) if ambients[place] > 0]
    return []


def _misplaced(group: Sequence[Column]) -> list[Column]:
    """The heading without which the temperatures are in order; both, where either would do."""
    ambients = [c.ambient_c or 0.0 for c in group]
    return [column for n, column in enumerate(group) if _is_ordered([*ambients[:n], *ambients[n + 1 :]])]


def _ambients_to_finding(
    sheet: RawSheet, heading: Heading, odd: Sequence[Column], ambients: Sequence[float], *, are_lost: bool
) -> TableFinding:
    """One finding for all headings whose temperature is out of order."""
    first, row = odd[0], heading.rows[-1]
    text = "temperatures that rise along the columns"
    if are_lost:
        text = ", ".join(f"-{c.ambient_c:g} °C" for c in odd)
    code = codes.HEADING_SIGN if are_lost else codes.AMBIENTS_DISORDERED
    run = f"the temperatures of the columns run {', '.join(f'{a:g}' for a in ambients)} °C"
    message = f"{run}: the minus sign of {len(odd)} is lost" if are_lost else run
    return TableFinding(
        sheet.name,
        row,
        first.heading,
        code.name,
        code.severity,
        first.heading,
        text,
        message,
        "minus sign lost" if are_lost else "",
        quantity=first.quantity,
        cell=first.at(row),
        cells=tuple(c.at(row) for c in odd),
        evidence=f"{len(odd)} headings",
    )


def _is_ordered(values: Sequence[float]) -> bool:
    return all(a < b for a, b in pairwise(values)) or all(a > b for a, b in pairwise(values))


def _columns_to_findings(sight: Sight, texts: Sequence[Sequence[str]]) -> Iterator[TableFinding]:
    """Columns not understood, said twice, or without a unit."""
    seen: dict[tuple[object, ...], Column] = {}
    for column in sight.columns:
        filled = any(texts[column.index - 1])
        if column.role is ColumnRole.UNKNOWN or (column.role is ColumnRole.VALUE and column.quantity is None):
            if filled:
                yield _heading_finding(
                    sight,
                    column,
                    codes.COLUMN_NOT_UNDERSTOOD,
                    "a heading of the trade",
                    f"'{column.heading}' was not understood ({column.how}); not checked",
                )
            continue
        if column.role not in (ColumnRole.VALUE, ColumnRole.TEST_CURRENT) or not filled:
            continue
        if column.assumed is not None and column.assumed.name not in ("factor",):
            yield _heading_finding(
                sight,
                column,
                codes.UNIT_ASSUMED,
                "a unit in the heading",
                f"'{column.heading}' has no unit; read as {column.assumed.name}",
            )
        elif column.unit is None and not column.pair and _has_bare_number(texts[column.index - 1]):
            yield _heading_finding(
                sight,
                column,
                codes.UNIT_UNCLEAR,
                "a unit in the heading",
                f"'{column.heading}' has no unit and its numbers fit none; read in SI units",
            )
        if column.role is ColumnRole.TEST_CURRENT:
            continue
        key = (
            column.quantity,
            column.kind,
            column.ambient_c,
            column.test_current_a,
            column.test_multiple,
            column.test_column,
        )
        if key in seen:
            yield _heading_finding(
                sight,
                column,
                codes.COLUMN_TWICE,
                "one column for each quantity",
                f"'{column.heading}' and '{seen[key].heading}' were understood alike",
            )
        seen.setdefault(key, column)


def _has_bare_number(texts: Sequence[str]) -> bool:
    return any(
        parse(text, NumberStyle()).numbers and parse(text, NumberStyle()).numbers[0].unit is None
        for text in texts
        if text
    )


def _heading_finding(
    sight: Sight, column: Column, code: codes.Code, expected: str, message: str
) -> TableFinding:
    row = sight.heading.rows[-1]
    return TableFinding(
        sight.sheet.name,
        row,
        column.heading,
        code.name,
        code.severity,
        column.heading,
        expected,
        message,
        quantity=column.quantity,
        cell=column.at(row),
    )


def _is_empty_row(sight: Sight, row: TypedRow) -> bool:
    """Whether a part has no number at all."""
    return not row.cells and not any(
        sight.text(row.row, c.index)
        for c in sight.columns
        if c.role in (ColumnRole.VALUE, ColumnRole.TEST_CURRENT)
    )


def _empty_rows(sight: Sight, rows: Sequence[TypedRow]) -> Iterator[TableFinding]:
    """A part without a number among parts that have them: its cells may stand a row higher or lower."""
    empty = [row for row in rows if _is_empty_row(sight, row)]
    if not 0 < len(empty) <= max(1, 0.2 * len(rows)):
        return
    values = [c for c in sight.columns if c.role is ColumnRole.VALUE and c.quantity is not None]
    columns = values + [c for c in sight.columns if c.role is ColumnRole.TEST_CURRENT]
    for row in empty:
        first = columns[0]
        yield TableFinding(
            sight.sheet.name,
            row.row,
            first.heading,
            codes.CELL_EMPTY.name,
            Severity.DOUBT,
            "",
            "values, as in the other rows",
            f"'{row.part_number}' has no number at all",
            "the rows beside may have slipped by one",
            part_number=row.part_number,
            quantity=first.quantity,
            cell=first.at(row.row),
            cells=tuple(c.at(row.row) for c in columns),
        )


def _is_filled_throughout(column: Column) -> bool:
    """Whether a gap in a column is odd: not in pairs of numbers, nor in times at a current of the heading,
    which only some parts are tested at."""
    if column.role is not ColumnRole.VALUE or column.quantity is None or column.pair:
        return column.role is ColumnRole.TEST_CURRENT
    return column.quantity is not Quantity.TIME_TO_TRIP or column.test_current_a is None


def _empty_cells(sight: Sight, rows: Sequence[TypedRow]) -> Iterator[TableFinding]:
    """An empty cell in a column that is filled in nearly every other row; at the top or the foot of the
    table it may be what a column that slipped by one row leaves."""
    if len(rows) < 4:
        return
    for column in filter(_is_filled_throughout, sight.columns):
        empty = [row for row in rows if not sight.text(row.row, column.index)]
        if not 0 < len(empty) <= max(1, 0.03 * len(rows)):
            continue
        at_end = len(empty) == 1 and empty[0] in (rows[0], rows[-1])
        for row in empty:
            if _is_empty_row(sight, row):
                continue
            yield TableFinding(
                sight.sheet.name,
                row.row,
                column.heading,
                codes.CELL_EMPTY.name,
                Severity.DOUBT if at_end else Severity.NOTE,
                "",
                "a value, as in the other rows",
                f"'{column.heading}' is empty here and filled in {len(rows) - len(empty)} rows",
                "the column may have slipped by one row" if at_end else "",
                part_number=row.part_number,
                quantity=column.quantity,
                cell=column.at(row.row),
            )
