"""A typed sheet as a grid in which cells may be moved and headings changed, to see what that would settle.

Comes in: a TypedSheet. Goes out: a Grid, and a View of it under a repair. Changes no sheet and judges
nothing: a repair is tried here, hypotheses.py and the comparison say what it is worth.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from extract.parts_table.records import Column, ColumnRole, TypedCell, TypedRow, TypedSheet, place_to_address
from extract.schema import Quantity

Place = tuple[int, int]
"""Row as in the file, and index of the column; both from 1."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A number as typed, in the unit of its column; `home` is where it stands in the file."""

    number: float
    step: float
    raw: str
    home: Place


@dataclass(frozen=True, slots=True)
class Repair:
    """What is done to a grid: entries put elsewhere (None takes one away), columns meant otherwise, rows
    that are another part's."""

    entries: Mapping[Place, Entry | None] = field(default_factory=dict)
    columns: Mapping[int, Column] = field(default_factory=dict)
    parts: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Grid:
    """The numbers of a sheet by place; `parts`: row → part number, in the order of the file; `columns` with
    values or test currents."""

    sheet: TypedSheet
    parts: Mapping[int, str]
    columns: Mapping[int, Column]
    entries: Mapping[Place, Entry]

    def address(self, place: Place) -> str:
        """D7."""
        return place_to_address(place)


def sheet_to_grid(sheet: TypedSheet) -> Grid:
    """Cells that hold two numbers stay out of it: they are never moved."""
    columns = {
        c.index: c
        for c in sheet.columns
        if not c.pair
        and (c.role is ColumnRole.TEST_CURRENT or (c.role is ColumnRole.VALUE and c.quantity is not None))
    }
    entries: dict[Place, Entry] = {}
    for row in sheet.rows:
        for cell in row.cells:
            if cell.column.index in columns:
                place = (row.row, cell.column.index)
                factor = _factor(cell.column)
                entries[place] = Entry(cell.value / factor, cell.step / factor, cell.raw, place)
            if cell.test_column is not None and cell.test_current_a is not None:
                there = (row.row, cell.test_column.index)
                entries[there] = Entry(
                    cell.test_current_a / _factor(cell.test_column), 0.0, cell.test_raw, there
                )
    return Grid(sheet, {row.row: row.part_number for row in sheet.rows}, columns, entries)


def _factor(column: Column) -> float:
    unit = column.unit or column.assumed
    return float(unit.factor) if unit is not None else 1.0


@dataclass(frozen=True, slots=True)
class View:
    """A grid under repairs; the repairs of a later one count before those of an earlier."""

    grid: Grid
    repairs: tuple[Repair, ...] = ()

    def under(self, repair: Repair) -> View:
        """The view with one repair more."""
        return View(self.grid, (repair, *self.repairs))

    def part(self, row: int) -> str:
        """The part whose row it is."""
        return next((r.parts[row] for r in self.repairs if row in r.parts), self.grid.parts[row])

    def column(self, index: int) -> Column:
        """What a column means."""
        return next((r.columns[index] for r in self.repairs if index in r.columns), self.grid.columns[index])

    def entry(self, place: Place) -> Entry | None:
        """The number that stands, or would stand, at a place."""
        for repair in self.repairs:
            if place in repair.entries:
                return repair.entries[place]
        return self.grid.entries.get(place)

    def value(self, place: Place) -> float | None:
        """The number at a place in SI."""
        entry = self.entry(place)
        return None if entry is None else entry.number * _factor(self.column(place[1]))

    def cell(self, place: Place) -> TypedCell | None:
        """The cell at a place as the comparison takes it; None where nothing stands or it is no value."""
        entry, column = self.entry(place), self.column(place[1])
        if entry is None or column.role is not ColumnRole.VALUE:
            return None
        factor = _factor(column)
        cell = TypedCell(place[0], column, entry.number * factor, entry.step * factor, entry.raw)
        if column.quantity is not Quantity.TIME_TO_TRIP:
            return cell
        return self._with_current(cell, place[0])

    def _with_current(self, cell: TypedCell, row: int) -> TypedCell:
        column = cell.column
        if column.test_current_a is not None:
            return replace(cell, test_current_a=column.test_current_a)
        if column.test_multiple is not None:
            hold = self._hold(row)
            return replace(cell, test_current_a=None if hold is None else hold * column.test_multiple)
        if column.test_column is None or column.test_column not in self.grid.columns:
            return cell
        place = (row, column.test_column)
        entry = self.entry(place)
        return replace(
            cell,
            test_current_a=self.value(place),
            test_column=self.column(column.test_column),
            test_raw=entry.raw if entry is not None else "",
        )

    def _hold(self, row: int) -> float | None:
        for index in self.grid.columns:
            column = self.column(index)
            if column.quantity is Quantity.HOLD_CURRENT and column.ambient_c is None:
                return self.value((row, index))
        return None

    def rows(self) -> Iterator[int]:
        """All rows in the order of the file."""
        return iter(self.grid.parts)

    def typed_rows(self, rows: Iterable[int]) -> tuple[TypedRow, ...]:
        """Some rows as the rules take them; cells of two numbers as they were typed."""
        kept = {
            row.row: [c for c in row.cells if c.column.index not in self.grid.columns]
            for row in self.grid.sheet.rows
        }
        found = []
        for row in rows:
            cells = [cell for index in self.grid.columns if (cell := self.cell((row, index))) is not None]
            cells = sorted([*cells, *kept.get(row, [])], key=lambda cell: cell.column.index)
            found.append(TypedRow(row, self.part(row), tuple(cells)))
        return tuple(found)


def touched(view: View, repair: Repair) -> set[Place]:
    """All places whose number, or whose meaning, a repair changes: test currents touch their times."""
    places = set(repair.entries)
    places |= {(row, index) for index in repair.columns for row in view.rows()}
    places |= {(row, index) for row in repair.parts for index in view.grid.columns}
    by_current = {
        view.column(index).test_column: index
        for index in view.grid.columns
        if view.column(index).test_column is not None
    }
    return places | {(row, by_current[index]) for row, index in places if index in by_current}
