"""A typed table against the sheets it came from: every covered cell compared, differences explained.

Comes in: a PartsTable and readings of sheets or of the library. Goes out: findings with page and
printed text, what was confirmed, and what was not covered. Slips that touch many cells are told once, with
what their repair would settle. Assumes no doubtful match of part numbers, and takes no disputed reading for
a confirmation.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from extract.checks import codes
from extract.checks.writing import value_to_text
from extract.parts_table.block_findings import hypothesis_to_finding, only_says_which
from extract.parts_table.comparing import Compared, Judge, Verdict, cell_to_compared
from extract.parts_table.differences import Story, difference_to_story, is_same, reading_to_around
from extract.parts_table.grid import Grid, Place, View, sheet_to_grid
from extract.parts_table.hypotheses import view_to_hypotheses
from extract.parts_table.matching import part_numbers_to_matches, with_matching_names
from extract.parts_table.not_given import Key, NotGiven, cell_to_not_given, missing_to_findings
from extract.parts_table.own_table import cell_to_cause, time_to_other_current
from extract.parts_table.records import (
    ColumnRole,
    PartsTable,
    TableFinding,
    TypedCell,
    TypedRow,
    TypedSheet,
    Unchecked,
    place_to_address,
)
from extract.parts_table.sources import SourcePart, readings_to_source_parts
from extract.parts_table.telling import cell_to_finding, disputed_to_columns
from extract.parts_table.unmatched import matches_to_asked
from extract.parts_table.written import rows_have_commas, value_in_cell
from extract.schema import Quantity, Reading, Severity

Address = tuple[str, str]
"""Name of the sheet, and address such as D7."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """Findings against the sheets; how many cells were compared, and what was not; `disputed`: cells that
    stand against disputed readings only; `told` and `confirmed` are cells a finding names, and cells that
    equal an undisputed reading; `absent` are empty cells of parts for which the sheets give nothing; `alike`
    equal a disputed reading."""

    findings: tuple[TableFinding, ...]
    compared: int
    unchecked: tuple[Unchecked, ...]
    disputed: int = 0
    told: frozenset[Address] = frozenset()
    confirmed: frozenset[Address] = frozenset()
    absent: frozenset[Address] = frozenset()
    alike: frozenset[Address] = frozenset()


@dataclass(slots=True)
class _Tally:
    """What is counted while the cells are walked."""

    findings: list[TableFinding] = field(default_factory=list)
    missing: Counter[str] = field(default_factory=Counter)
    compared: int = 0
    disputed: int = 0
    absent: set[Address] = field(default_factory=set)
    alike: set[Address] = field(default_factory=set)
    told: set[Address] = field(default_factory=set)
    confirmed: set[Address] = field(default_factory=set)
    given: Counter[Key] = field(default_factory=Counter)
    missing_cells: dict[Key, list[NotGiven]] = field(default_factory=dict)


def table_against_readings(
    table: PartsTable,
    readings: Iterable[Reading],
    accepted: Mapping[str, str] | None = None,
    remembered: Mapping[str, str] | None = None,
) -> Comparison:
    """Compare each cell with the sheets. `accepted`: typed part number or pattern → the sheets' part
    number, as a person has confirmed it; raises InputError for one the sheets do not have. `remembered`:
    the same from earlier checks, where it fits."""
    sources = readings_to_source_parts(readings)
    table = with_matching_names(table, sources)
    typed = [row.part_number for sheet in table.sheets for row in sheet.rows]
    matches = part_numbers_to_matches(typed, tuple(sources), accepted, remembered)
    asked = matches_to_asked(table, matches, sources)
    judge = Judge(sources, asked.matches)
    by_sheet = _parts_by_document(sources)
    tally = _Tally(findings=list(asked.findings))
    tally.missing.update(asked.missing)
    for sheet in table.sheets:
        _compare_sheet(_with_column_steps(sheet), judge, by_sheet, tally)
    told = disputed_to_columns(tally.findings)
    tally.findings = [*told, *missing_to_findings(tally.given, tally.missing_cells)]
    unchecked = [
        Unchecked("parts" if why.startswith("no part") else "cells", count, why)
        for why, count in tally.missing.items()
    ]
    if tally.disputed:
        why = "only disputed readings give them: look at the page"
        unchecked.append(Unchecked("cells", tally.disputed, why))
    return Comparison(
        tuple(tally.findings),
        tally.compared,
        tuple(unchecked),
        tally.disputed,
        frozenset(tally.told),
        frozenset(tally.confirmed),
        frozenset(tally.absent),
        frozenset(tally.alike),
    )


def _with_column_steps(sheet: TypedSheet) -> TypedSheet:
    """Cells whose last digit is coarser than the column's usual one are held to the column's."""
    steps: dict[int, list[float]] = {}
    for row in sheet.rows:
        for cell in row.cells:
            steps.setdefault(cell.column.index, []).append(cell.step)
    usual = {index: sorted(values)[(len(values) - 1) // 2] for index, values in steps.items()}
    return replace(
        sheet,
        rows=tuple(
            replace(row, cells=tuple(replace(c, step=min(c.step, usual[c.column.index])) for c in row.cells))
            for row in sheet.rows
        ),
    )


def _parts_by_document(sources: Mapping[str, Sequence[SourcePart]]) -> dict[str, tuple[SourcePart, ...]]:
    parts: dict[str, list[SourcePart]] = {}
    for group in sources.values():
        for part in group:
            parts.setdefault(part.document, []).append(part)
    return {document: tuple(sorted(listed, key=lambda p: p.place)) for document, listed in parts.items()}


def _compare_sheet(
    sheet: TypedSheet, judge: Judge, by_sheet: Mapping[str, Sequence[SourcePart]], tally: _Tally
) -> None:
    """Blocks first, then what is left cell by cell."""
    grid = sheet_to_grid(sheet)
    found, view = view_to_hypotheses(View(grid), judge.is_wrong, judge.ambients())
    for one in found:
        if only_says_which(one, grid):
            continue
        finding = hypothesis_to_finding(one, grid, view, judge)
        tally.findings.append(finding)
        tally.told |= {(sheet.name, address) for address in finding.cells}
    for row in view.typed_rows(view.rows()):
        parts = judge.parts(row.part_number)
        if not parts:
            continue
        for cell in row.cells:
            _tell_cell(_Told(cell, row, sheet, view), parts, by_sheet, tally)
    tally.absent |= {
        (sheet.name, grid.address(place))
        for place in _empty_places(grid)
        if judge.is_given(View(grid), place) is False
    }


def _empty_places(grid: Grid) -> Iterator[Place]:
    """Places of values where nothing was typed."""
    for index, column in grid.columns.items():
        if column.role is ColumnRole.VALUE:
            yield from ((row, index) for row in grid.parts if (row, index) not in grid.entries)


@dataclass(frozen=True, slots=True)
class _Told:
    """A cell as compared, its row, and the view it is seen in."""

    cell: TypedCell
    row: TypedRow
    sheet: TypedSheet
    view: View

    @property
    def home(self) -> Place:
        """Where the cell stands in the file."""
        entry = self.view.entry((self.row.row, self.cell.column.index))
        return entry.home if entry is not None else (self.row.row, self.cell.column.index)

    @property
    def cell_at_home(self) -> TypedCell:
        """The cell under the heading under which it stands in the file."""
        row, index = self.home
        home = next((c for c in self.sheet.columns if c.index == index), self.cell.column)
        return replace(
            self.cell, row=row, column=replace(self.cell.column, index=index, heading=home.heading)
        )

    @property
    def address(self) -> Address:
        """The same as an address."""
        row, index = self.home
        return self.sheet.name, place_to_address((row, index))


def _tell_cell(
    told: _Told, parts: Sequence[SourcePart], by_sheet: Mapping[str, Sequence[SourcePart]], tally: _Tally
) -> None:
    compared = cell_to_compared(told.cell, parts)
    verdict = compared.verdict
    key = told.sheet.name, parts[-1].document, told.cell.column.index
    if verdict is Verdict.NOT_GIVEN:
        missing = cell_to_not_given(told.cell_at_home, told.row.part_number, parts[-1])
        tally.missing_cells.setdefault(key, []).append(missing)
        tally.missing[f"the sheets do not give '{told.cell.column.heading}'"] += 1
        return
    tally.given[key] += 1
    if verdict in (Verdict.AS_DISPUTED, Verdict.UNLIKE_DISPUTED):
        tally.disputed += 1
    else:
        tally.compared += 1
    findings = [*_verdict_to_findings(told, compared, by_sheet), *_test_current(told, parts)]
    tally.findings += findings
    tally.told |= {(f.sheet, f.cell) for f in findings if f.severity is Severity.ERROR}
    if verdict is Verdict.AS_DISPUTED and not findings:
        tally.alike.add(told.address)
    if verdict in (Verdict.RIGHT, Verdict.REVISION, Verdict.ROUNDED) and not findings:
        tally.confirmed.add(told.address)


def _verdict_to_findings(
    told: _Told, compared: Compared, by_sheet: Mapping[str, Sequence[SourcePart]]
) -> Iterator[TableFinding]:
    part, readings, cell = compared.part, compared.readings, told.cell
    if part is None or compared.verdict in (Verdict.RIGHT, Verdict.AS_DISPUTED):
        return
    reading = min(readings, key=lambda r: abs(r.value - cell.value))
    printed = f"{reading.document}, page {reading.place.page}, prints '{reading.raw}'"
    match compared.verdict:
        case Verdict.UNLIKE_DISPUTED:
            values = " or ".join(dict.fromkeys(f"'{r.raw}'" for r in readings))
            where = f"{part.document}, page {reading.place.page}"
            message = f"{where}, was read as {values}, which is disputed: look at the page"
            yield _finding(told, reading, Story(codes.SOURCE_DISPUTED, ""), message)
        case Verdict.REVISION:
            message = f"{part.document} prints '{reading.raw}', another sheet what was typed"
            yield _finding(told, reading, Story(codes.SOURCE_OTHER_REVISION, "another revision"), message)
        case Verdict.ROUNDED:
            yield _finding(told, reading, Story(codes.SOURCE_ROUNDED, "rounded"), printed)
        case _ if (current := time_to_other_current(cell, part)) is not None:
            cause = f"the time at {current:g} A: time and test current are not of one test"
            yield replace(
                _finding(told, reading, Story(codes.SOURCE_DIFFERS, cause), printed), proposed="", changes=()
            )
        case _:
            story = _story(told, part, reading, by_sheet)
            if story.code is codes.SOURCE_DIFFERS:
                own = cell_to_cause(cell, reading, told.row, told.sheet.rows, [part])
                story = replace(story, cause=own or story.cause)
            yield _finding(told, reading, story, printed)


def _story(
    told: _Told, part: SourcePart, reading: Reading, by_sheet: Mapping[str, Sequence[SourcePart]]
) -> Story:
    own = [r for listed in part.by_quantity.values() for r in listed]
    others = sorted(
        (p for p in by_sheet[part.document] if p is not part), key=lambda p: abs(p.place - part.place)
    )
    around = reading_to_around(
        reading, own, [(p.part_number, p.by_quantity.get(reading.quantity, ())) for p in others]
    )
    return difference_to_story(told.cell.value, told.cell.step, reading, around)


def _finding(told: _Told, reading: Reading, story: Story, message: str) -> TableFinding:
    at_home = told.cell_at_home
    finding = cell_to_finding(
        at_home,
        told.sheet.name,
        story.code,
        told.row.part_number,
        expected=value_to_text(reading.value, reading.quantity),
        message=message,
    )
    sure = story.code.severity is Severity.ERROR
    home = next((c for c in told.sheet.columns if c.index == at_home.column.index), at_home.column)
    proposed, text = "", ""
    if sure:
        commas = rows_have_commas(told.sheet.rows)
        proposed, text = value_in_cell(reading.value, home, told.cell.raw, has_commas=commas)
    return replace(
        finding,
        cause=story.cause,
        page=reading.place.page,
        document=reading.document,
        proposed=proposed,
        changes=((finding.cell, text),) if proposed else (),
    )


def _test_current(told: _Told, parts: Sequence[SourcePart]) -> Iterator[TableFinding]:
    """A typed test current that is none of the sheet's."""
    cell, part = told.cell, parts[-1]
    times = [r for r in part.by_quantity.get(Quantity.TIME_TO_TRIP, ()) if r.test_current_a is not None]
    typed = cell.test_current_a
    if (
        cell.column.quantity is not Quantity.TIME_TO_TRIP
        or typed is None
        or not times
        or any(
            is_same(typed, r.test_current_a or 0.0)
            for p in parts
            for r in p.by_quantity.get(Quantity.TIME_TO_TRIP, ())
        )
    ):
        return
    reading = min(times, key=lambda r: abs((r.test_current_a or 0) - typed))
    current = reading.test_current_a or 0.0
    as_reading = replace(reading, quantity=Quantity.MAX_CURRENT, value=current, raw=f"{current:g}")
    story = difference_to_story(typed, 0.0, as_reading, reading_to_around(as_reading, [], []))
    column = cell.test_column or cell.column
    commas = rows_have_commas(told.sheet.rows)
    proposed, text = value_in_cell(current, column, cell.test_raw, has_commas=commas)
    address = column.at(cell.row)
    yield TableFinding(
        told.sheet.name,
        cell.row,
        column.heading,
        story.code.name,
        story.code.severity,
        cell.test_raw or f"{typed:g}",
        f"{current:g} A",
        f"{reading.document}, page {reading.place.page}, states the time at {current:g} A",
        story.cause,
        proposed,
        reading.place.page,
        reading.document,
        told.row.part_number,
        Quantity.TIME_TO_TRIP,
        address,
        f"test current {typed:g} A",
        changes=((address, text),) if cell.test_column is not None else (),
    )
