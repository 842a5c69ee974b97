"""A typed table against the sheets it came from: every covered cell compared, differences explained.

Comes in: a PartsTable and readings of sheets or of the library. Goes out: findings with page and
printed text, and what was not covered. Assumes no doubtful match of part numbers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from extract.checks import codes
from extract.checks.writing import value_to_text
from extract.parts_table.alone import cell_to_finding
from extract.parts_table.differences import (
    Story,
    difference_to_story,
    is_rounded,
    is_same,
    reading_to_around,
)
from extract.parts_table.matching import PartMatch, part_numbers_to_matches
from extract.parts_table.records import (
    Column,
    ColumnRole,
    PartsTable,
    TableFinding,
    TypedCell,
    TypedRow,
    TypedSheet,
    Unchecked,
    column_to_letters,
)
from extract.parts_table.sources import SourcePart, cell_to_readings, readings_to_source_parts
from extract.schema import Quantity, Reading, Severity, Status


@dataclass(frozen=True, slots=True)
class Comparison:
    """Findings against the sheets, how many cells were compared, and what was not."""

    findings: tuple[TableFinding, ...]
    compared: int
    unchecked: tuple[Unchecked, ...]


def table_against_readings(
    table: PartsTable, readings: Iterable[Reading], accepted: Mapping[str, str] | None = None
) -> Comparison:
    """Compare each cell with the sheets. `accepted`: typed part number → the sheets' part number, as a
    person has confirmed it."""
    sources = readings_to_source_parts(readings)
    typed = [row.part_number for sheet in table.sheets for row in sheet.rows]
    matches = part_numbers_to_matches(typed, tuple(sources), accepted)
    by_sheet = _parts_by_document(sources)
    findings: list[TableFinding] = []
    missing: Counter[str] = Counter()
    compared = 0
    for sheet in table.sheets:
        steps = _column_steps(sheet)
        for row in sheet.rows:
            match = matches[row.part_number]
            if not match.matched:
                findings.append(_unmatched(sheet, row, match))
                missing["no part of the sheets matches"] += 1
                continue
            for cell in row.cells:
                if cell.step > steps[cell.column.index]:
                    cell = replace(cell, step=steps[cell.column.index])
                found = _compare(cell, sheet, row, sources[match.matched], by_sheet)
                if found is None:
                    missing[f"the sheets do not give {_column_name(cell.column)}"] += 1
                else:
                    compared += 1
                    findings += found
    return Comparison(tuple(findings), compared, _to_unchecked(missing))


def _to_unchecked(missing: Counter[str]) -> tuple[Unchecked, ...]:
    return tuple(
        Unchecked("parts" if why.startswith("no part") else "cells", count, why)
        for why, count in missing.items()
    )


def _column_name(column: Column) -> str:
    return f"'{column.heading}'"


def _column_steps(sheet: TypedSheet) -> dict[int, float]:
    steps: dict[int, list[float]] = {}
    for row in sheet.rows:
        for cell in row.cells:
            steps.setdefault(cell.column.index, []).append(cell.step)
    return {index: sorted(values)[(len(values) - 1) // 2] for index, values in steps.items()}


def _parts_by_document(sources: Mapping[str, Sequence[SourcePart]]) -> dict[str, tuple[SourcePart, ...]]:
    parts: dict[str, list[SourcePart]] = {}
    for group in sources.values():
        for part in group:
            parts.setdefault(part.document, []).append(part)
    return {document: tuple(sorted(listed, key=lambda p: p.place)) for document, listed in parts.items()}


def _unmatched(sheet: TypedSheet, row: TypedRow, match: PartMatch) -> TableFinding:
    part_column = next(c for c in sheet.columns if c.role is ColumnRole.PART_NUMBER)
    place = f"{column_to_letters(part_column.index)}{row.row}"
    if match.candidates:
        code, expected = codes.PART_MATCH_DOUBTFUL, " or ".join(f"'{c}'" for c in match.candidates)
        message = f"'{row.part_number}' is nearly {expected} of the sheets; its cells were not compared"
    else:
        code, expected = codes.SOURCE_MISSING, "a part of the sheets"
        message = f"'{row.part_number}' stands in none of the sheets; its cells were not compared"
    return TableFinding(
        sheet.name,
        row.row,
        part_column.heading,
        code.name,
        code.severity,
        row.part_number,
        expected,
        message,
        part_number=row.part_number,
        cell=place,
    )


def _compare(
    cell: TypedCell,
    sheet: TypedSheet,
    row: TypedRow,
    parts: Sequence[SourcePart],
    by_sheet: Mapping[str, Sequence[SourcePart]],
) -> list[TableFinding] | None:
    """Findings about one cell; none if it equals the sheets; None if no sheet gives the number."""
    per_sheet = [(part, readings) for part in parts if (readings := cell_to_readings(cell, part))]
    if not per_sheet:
        return None
    alike = [any(is_same(cell.value, r.value) for r in readings) for _, readings in per_sheet]
    findings: list[TableFinding] = []
    if not any(alike):
        findings += _differs(cell, sheet, row, per_sheet[-1], by_sheet)
    elif not all(alike):
        part, readings = per_sheet[alike.index(False)]
        story = Story(codes.SOURCE_OTHER_REVISION, "another revision of the sheet")
        message = f"{part.document} prints '{readings[0].raw}', another sheet what was typed"
        findings.append(_told(cell, sheet, row, readings[0], story, message))
    findings += _test_current(cell, sheet, row, per_sheet[-1])
    return findings


def _differs(
    cell: TypedCell,
    sheet: TypedSheet,
    row: TypedRow,
    given: tuple[SourcePart, tuple[Reading, ...]],
    by_sheet: Mapping[str, Sequence[SourcePart]],
) -> Iterator[TableFinding]:
    part, readings = given
    reading = min(readings, key=lambda r: abs(r.value - cell.value))
    printed = f"{reading.document}, page {reading.place.page}, prints '{reading.raw}'"
    if any(r.status is Status.DISPUTED for r in readings):
        message = f"{printed}, but that reading is disputed: look at the page"
        yield _told(cell, sheet, row, reading, Story(codes.SOURCE_DISPUTED, ""), message)
        return
    if is_rounded(cell.value, cell.step, reading.value):
        yield _told(cell, sheet, row, reading, Story(codes.SOURCE_ROUNDED, "rounded"), printed)
        return
    own = [r for listed in part.by_quantity.values() for r in listed]
    others = sorted(
        (p for p in by_sheet[part.document] if p is not part), key=lambda p: abs(p.place - part.place)
    )
    around = reading_to_around(
        reading, own, [(p.part_number, p.by_quantity.get(reading.quantity, ())) for p in others]
    )
    story = difference_to_story(cell.value, cell.step, reading, around)
    yield _told(cell, sheet, row, reading, story, printed)


def _told(
    cell: TypedCell, sheet: TypedSheet, row: TypedRow, reading: Reading, story: Story, message: str
) -> TableFinding:
    finding = cell_to_finding(
        cell,
        sheet.name,
        story.code,
        row.part_number,
        expected=value_to_text(reading.value, reading.quantity),
        message=message,
    )
    sure = story.code.severity is Severity.ERROR
    return replace(
        finding,
        cause=story.cause,
        page=reading.place.page,
        document=reading.document,
        proposed=value_in_column(reading.value, cell.column) if sure else "",
    )


def value_in_column(value: float, column: Column) -> str:
    """A value in SI written in the unit of a column, without it."""
    unit = column.unit or column.assumed
    return f"{value / float(unit.factor):.10g}" if unit is not None else f"{value:.10g}"


def _test_current(
    cell: TypedCell, sheet: TypedSheet, row: TypedRow, given: tuple[SourcePart, tuple[Reading, ...]]
) -> Iterator[TableFinding]:
    """A typed test current that is none of the sheet's."""
    part, _ = given
    times = [r for r in part.by_quantity.get(Quantity.TIME_TO_TRIP, ()) if r.test_current_a is not None]
    typed = cell.test_current_a
    if (
        cell.column.quantity is not Quantity.TIME_TO_TRIP
        or typed is None
        or not times
        or any(abs((r.test_current_a or 0) - typed) <= 1e-6 * typed for r in times)
    ):
        return
    reading = min(times, key=lambda r: abs((r.test_current_a or 0) - typed))
    current = reading.test_current_a or 0.0
    as_reading = replace(reading, quantity=Quantity.MAX_CURRENT, value=current, raw=f"{current:g}")
    currents = reading_to_around(as_reading, [], [])
    story = difference_to_story(typed, 0.0, as_reading, currents)
    column = cell.test_column or cell.column
    yield TableFinding(
        sheet.name,
        cell.row,
        column.heading,
        story.code.name,
        story.code.severity,
        cell.test_raw or f"{typed:g}",
        f"{current:g} A",
        f"{reading.document}, page {reading.place.page}, states the time at {current:g} A",
        story.cause,
        value_in_column(current, column),
        reading.place.page,
        reading.document,
        row.part_number,
        Quantity.TIME_TO_TRIP,
        f"{column_to_letters(column.index)}{cell.row}",
    )
