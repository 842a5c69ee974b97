"""What moves or converts many cells at once, told as one finding.

Comes in: trials that settled something, in the grid they were tried in. Goes out: findings, with the cells
they name as these stand in the file. Tries nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from extract.checks import codes
from extract.parts_table.comparing import Judge, cell_to_compared
from extract.parts_table.grid import Entry, Grid, Place, Repair, View
from extract.parts_table.hypotheses import Hypothesis
from extract.parts_table.records import Column, ColumnRole, TableFinding
from extract.parts_table.telling import texts_to_what
from extract.parts_table.trials import Trial
from extract.parts_table.written import rows_have_commas, value_in_cell
from extract.schema import Kind


def hypothesis_to_finding(one: Hypothesis, grid: Grid, view: View, judge: Judge) -> TableFinding:
    """What settles differences from the sheets; with page and sheet of the first, and the texts
    that repair it."""
    finding = _trial_to_finding(one.trial, grid, one.places)
    homes = [entry.home if (entry := grid.entries.get(place)) else place for place in one.places]
    page, document = _first_source(one, view, judge)
    return replace(
        finding,
        message=f"{finding.message} ({one.evidence})",
        page=page,
        document=document,
        cells=tuple(dict.fromkeys(map(grid.address, homes))),
        evidence=one.evidence,
        changes=_repair_to_changes(one.trial.repair, grid),
    )


def slide_to_finding(trial: Trial, grid: Grid) -> TableFinding:
    """Rows that slid: all their cells, and the parts beside them."""
    places = sorted(trial.repair.entries)
    told = [*map(grid.address, places), *(_part_column(grid).at(row) for row, _ in trial.repair.entries)]
    return replace(
        _trial_to_finding(trial, grid, places),
        cells=tuple(dict.fromkeys(told)),
        evidence=trial.message.partition("moved back, ")[2],
    )


def _trial_to_finding(trial: Trial, grid: Grid, places: Iterable[Place]) -> TableFinding:
    """The finding at the mark of a trial: a cell, a part number or a heading."""
    row, index = trial.mark
    part_column = _part_column(grid)
    column = next((c for c in grid.sheet.columns if c.index == index), part_column)
    row = row or grid.sheet.heading_rows[-1]
    entry, part = grid.entries.get((row, column.index)), grid.parts.get(row, "")
    found = entry.raw if entry is not None else part if column is part_column else ""
    return TableFinding(
        grid.sheet.name,
        row,
        column.heading,
        trial.code.name,
        trial.code.severity,
        column.heading if trial.is_heading else found,
        trial.expected,
        trial.message,
        trial.code.cause,
        part_number="" if trial.is_heading else part,
        quantity=column.quantity,
        cell=column.at(row),
        what=texts_to_what(grid.entries[place].raw for place in places if place in grid.entries),
    )


def _part_column(grid: Grid) -> Column:
    return next(c for c in grid.sheet.columns if c.role is ColumnRole.PART_NUMBER)


def only_says_which(one: Hypothesis, grid: Grid) -> bool:
    """Whether a hypothesis only tells which limit a heading means that names none: no mistake."""
    index = one.trial.mark[1]
    return (
        one.trial.code is codes.HEADING_KIND
        and index in grid.columns
        and grid.columns[index].kind is Kind.NONE
    )


def _repair_to_changes(repair: Repair, grid: Grid) -> tuple[tuple[str, str], ...]:
    """The texts to put where, of a repair that only moves or converts what was typed."""
    changes, commas = [], rows_have_commas(grid.sheet.rows)
    for place, entry in sorted(repair.entries.items()):
        if place[1] not in grid.columns:
            return ()
        home = grid.entries.get(entry.home) if entry is not None else None
        same = entry is not None and home is not None and home.number == entry.number
        text = ""
        if entry is not None:
            text = entry.raw if same else _converted(entry, grid.columns[place[1]], commas=commas)
        changes.append((grid.address(place), text))
    part = next((c for c in grid.sheet.columns if c.role is ColumnRole.PART_NUMBER), None)
    if part is not None:
        changes += [(part.at(row), name) for row, name in repair.parts.items()]
    return tuple(changes)


def _converted(entry: Entry, column: Column, *, commas: bool) -> str:
    """A number put into another unit, as it is written in its column."""
    unit = column.unit or column.assumed
    value = entry.number * float(unit.factor) if unit is not None else entry.number
    return value_in_cell(value, column, entry.raw, has_commas=commas)[1]


def _first_source(one: Hypothesis, view: View, judge: Judge) -> tuple[int | None, str]:
    """Page and sheet of the first number the repair settles."""
    for place in one.places:
        cell = view.cell(place)
        readings = cell_to_compared(cell, judge.parts(view.part(place[0]))).readings if cell else ()
        if readings:
            return readings[0].place.page, readings[0].document
    return None, ""
