"""The columns of a grid become meanings: which is the part number, which measures what.

Comes in: a Grid. Goes out: a Table with its heading and data rows told apart and one Column for each
grid column, or None if nothing of the trade was recognised. Reads no values except to tell rows and
units; records.py does.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from extract.column_roles import Column, find_part_column, is_numeric, is_time, plain_text, settle_columns
from extract.grid import Cell, Grid, column_to_levels, runs_to_cell
from extract.headings import HeadingMeaning, Role, heading_to_meaning, parameter_to_meaning
from extract.merged_rows import join_broken_labels, stretch_centred_values
from extract.quantities import CellSort, cell_to_numbers
from extract.rating_lines import SHARED_LIMITS
from extract.schema import Kind, Quantity
from extract.temperatures import is_temperature_row, text_to_bare_ambient, texts_are_temperatures
from extract.vocabulary import fold, scan

CUT_EM = 0.45  # a blank, but no gap between two columns
MOST_PIECES = 3  # into so many cells columns cut a line over a group of rows


@dataclass(frozen=True, slots=True)
class Table:
    """A grid understood as a table.

    `part_column` is None where no column names parts; `is_derating` where columns are ambients;
    `captions` are texts just above the table that rate all its parts; `body` are the grid rows that hold
    data; `sections` maps a body row to the cell of the section line
    above it.
    """

    grid: Grid
    heading_rows: int
    body: tuple[int, ...]
    columns: tuple[Column, ...]
    part_column: int | None
    is_derating: bool
    sections: dict[int, Cell]
    row_kinds: dict[int, Kind] = field(default_factory=dict)
    captions: tuple[Cell, ...] = ()

    def value_columns(self) -> tuple[Column, ...]:
        """Columns that hold a known quantity."""
        return tuple(
            c for c in self.columns if c.meaning.role is Role.VALUE and c.meaning.quantity is not None
        )

    def beside_headless(self) -> frozenset[int]:
        """Columns next to a column of numbers without any heading: one of theirs may belong there."""
        headless = [c.index for c in self.unknown_columns() if not c.levels]
        return frozenset(index + step for index in headless for step in (-1, 1))

    def unknown_columns(self) -> tuple[Column, ...]:
        """Columns of mostly numbers whose heading is not understood."""
        unknown = [c for c in self.columns if c.meaning.role is Role.UNKNOWN and c.index != self.part_column]
        return tuple(c for c in unknown if is_numeric(self.grid, self.body, c.index))


def grid_to_halves(grid: Grid) -> tuple[Grid, ...]:
    """A grid that sets the same table twice side by side, cut before its second part column."""
    columns = _grid_to_columns(grid, count_heading_rows(grid))
    starts = [c.index for c in columns if c.meaning.role is Role.PART_NUMBER]
    if len(starts) < 2 or starts[0] != 0:
        return ()
    groups = [columns[a:b] for a, b in pairwise([*starts, len(columns)])]
    measured = [
        {(c.meaning.quantity, c.meaning.kind, c.meaning.ambient_c) for c in group if _is_measure(c)}
        for group in groups
    ]
    if not all(measured) or any(own != measured[0] for own in measured[1:]):
        return ()
    return tuple(_cut_grid(grid, group[0].index, group[-1].index + 1) for group in groups)


def _is_measure(column: Column) -> bool:
    return column.meaning.quantity is not None or column.meaning.is_ambient_column


def _cut_grid(grid: Grid, first: int, end: int) -> Grid:
    cells = tuple(
        replace(
            cell,
            column=max(cell.column, first) - first,
            column_span=min(cell.column + cell.column_span, end) - max(cell.column, first),
        )
        for cell in grid.cells
        if cell.column < end and cell.column + cell.column_span > first
    )
    columns = grid.columns[first:end]
    box = (columns[0][0], grid.box[1], columns[-1][1], grid.box[3])
    return replace(grid, columns=columns, cells=cells, box=box, _index={})


def grid_to_table(grid: Grid, inherited: Table | None = None) -> Table | None:
    """Understand a grid. `inherited` lends its heading where this grid goes on below it or overleaf."""
    heading_rows = count_heading_rows(grid)
    grid = join_broken_labels(grid, heading_rows)
    body, sections = _split_body(grid, heading_rows)
    if not body:
        return None
    columns = _grid_to_columns(grid, heading_rows)
    if inherited is not None and not any(c.meaning.role is Role.VALUE for c in columns):
        columns = inherited.columns
    is_derating = any(c.meaning.is_ambient_column for c in columns)
    titles = [
        plain_text(grid.row_cells(row)[0].text) for row in range(heading_rows) if is_full_width(grid, row)
    ]
    grid = replace(grid, titles=(*grid.titles, *titles), _index={}) if titles else grid
    part_column = find_part_column(grid, body, columns, is_derating)
    columns = settle_columns(grid, body, columns, part_column)
    if not is_derating and not sections:
        grid, body = _stretch_limits(grid, body, columns, part_column)
    table = Table(grid, heading_rows, body, columns, part_column, is_derating, sections)
    if is_derating or len({c.meaning.quantity for c in table.value_columns()}) >= 2:
        return table
    return table if table.value_columns() and part_column is not None else None


def _stretch_limits(
    grid: Grid, body: tuple[int, ...], columns: Sequence[Column], part_column: int | None
) -> tuple[Grid, tuple[int, ...]]:
    """A limit of voltage or current printed once at the middle of several rows speaks to all of them; what
    stands between two rows is no row."""
    limits = [c.index for c in columns if c.meaning.quantity in SHARED_LIMITS and not c.meaning.pair]
    for column in limits:
        rows = tuple(row for row in body if part_column is not None and _is_filled(grid, row, part_column))
        stretched = stretch_centred_values(grid, column, rows)
        if stretched is not None:
            grid, body = stretched, rows
    return grid, body


def _is_filled(grid: Grid, row: int, column: int) -> bool:
    cell = grid.cell_at(row, column)
    return cell is not None and bool(cell.text)


def _grid_to_columns(grid: Grid, heading_rows: int) -> tuple[Column, ...]:
    """Every column with what its heading says; under a row of temperatures the temperature is the
    column's ambient and the other levels say what is measured."""
    rows = [row for row in range(heading_rows) if not is_full_width(grid, row)]
    levels = [column_to_levels(grid, index, rows) for index in range(len(grid.columns))]
    ambients = _levels_to_ambients(levels)
    columns = []
    for index, own in enumerate(levels):
        if index in ambients:
            ambient_c, others = ambients[index]
            meaning = replace(
                heading_to_meaning(others),
                role=Role.VALUE,
                ambient_c=ambient_c,
                is_ambient_column=True,
                is_test_current=False,
            )
        else:
            meaning = parameter_to_meaning(own) if grid.turned else heading_to_meaning(own)
            if meaning.is_ambient_column and _speaks_of_fahrenheit(levels):
                meaning = HeadingMeaning(Role.UNKNOWN, reasons=("a temperature, but °F are about",))
        columns.append(Column(index, own, meaning))
    return tuple(columns)


def _speaks_of_fahrenheit(levels: Sequence[tuple[str, ...]]) -> bool:
    return any(_FAHRENHEIT.search(level) for own in levels for level in own)


def _levels_to_ambients(levels: Sequence[tuple[str, ...]]) -> dict[int, tuple[float, tuple[str, ...]]]:
    """Column -> (ambient, its other levels), if the columns make a row of temperatures.

    Where °F stand beside them only what is plainly in °C counts: printed so, or with its °F below.
    """
    found = _in_rising_groups(levels)
    if _speaks_of_fahrenheit(levels):
        found = {n: split for n, split in found.items() if split[2] or any("c" in fold(t) for t in levels[n])}
    signed = sum(any(re.search(r"[°ºC℃]", level) for level in levels[index]) for index in found) >= 0.5 * len(
        found
    )
    rising = is_temperature_row([ambient_c for ambient_c, _, _ in found.values()], signed)
    return {index: (ambient_c, rest) for index, (ambient_c, rest, _) in found.items()} if rising else {}


Split = tuple[float, tuple[str, ...], bool]
"""A temperature in °C, the other levels of its column, whether one of these was the same in °F."""


def _in_rising_groups(levels: Sequence[tuple[str, ...]]) -> dict[int, Split]:
    """Column -> its temperature; where all of them do not rise, those groups that do, each under one common
    heading ("Hold at 0, 23, 60 °C" beside "Trip at 23 °C")."""
    found = {index: split for index, own in enumerate(levels) if (split := _split_ambient(own)) is not None}
    values = [ambient_c for ambient_c, _, _ in found.values()]
    if all(low < high for low, high in pairwise(values)):
        return found
    groups: dict[tuple[str, ...], dict[int, Split]] = {}
    for index, split in found.items():
        groups.setdefault(split[1], {})[index] = split
    rising = [g for g in groups.values() if is_temperature_row([split[0] for split in g.values()], True)]
    return rising[0] if len(rising) == 1 else found


_FAHRENHEIT = re.compile(r"(?i)°\s*f\b|℉|fahrenheit")
_IN_FAHRENHEIT = re.compile(r"(?i)\(?[-–−‒]?\s?\d{1,3}\s*(?:°\s*f\b|℉)\)?")


def _split_ambient(levels: tuple[str, ...]) -> tuple[float, tuple[str, ...], bool] | None:
    """The temperature in °C that one level, or two broken over lines ("-40", "°C"), consist of; the
    other levels; whether one of these was the same temperature in °F."""
    levels = tuple(kept for level in levels if (kept := _without_fahrenheit(level)) or not level)
    for count in (1, 2):
        for start in reversed(range(len(levels) - count + 1)):
            ambient_c = text_to_bare_ambient(" ".join(levels[start : start + count]))
            if ambient_c is not None:
                rest = (*levels[:start], *levels[start + count :])
                rest = tuple(level for level in rest if fold(level) not in ("°c", "c", "°"))
                return _choose_celsius(ambient_c, rest)
    return None


def _without_fahrenheit(level: str) -> str:
    """A level without its temperature in °F ("-4 °F (-20 °C)"); any other level as it is."""
    rest = _IN_FAHRENHEIT.sub("", level)
    return level if rest == level else rest.strip(" ()/")


def _choose_celsius(ambient_c: float, rest: tuple[str, ...]) -> tuple[float, tuple[str, ...], bool] | None:
    """The °C of two temperatures of which one is the other in °F; None of two others."""
    for n, level in enumerate(rest):
        other_c = text_to_bare_ambient(level)
        if other_c is None:
            continue
        without = (*rest[:n], *rest[n + 1 :])
        if abs(other_c * 1.8 + 32 - ambient_c) < 1:
            return other_c, without, True
        if abs(ambient_c * 1.8 + 32 - other_c) < 1:
            return ambient_c, without, True
        return None
    return ambient_c, rest, False


def is_full_width(grid: Grid, row: int) -> bool:
    """Whether a row is one cell across the table: a title or a section, no column's heading."""
    cells = grid.row_cells(row)
    return len(grid.columns) > 2 and len(cells) == 1 and bool(cells[0].text)


def count_heading_rows(grid: Grid) -> int:
    """Rows before the first data row: one with numbers that are no temperatures."""
    for row in range(len(grid.rows)):
        cells = [cell for cell in grid.row_cells(row) if cell.row == row or cell.row_span == 1]
        if _is_data_row(cells) and not _is_temperature_line([plain_text(c.text) for c in cells]):
            return row
    return len(grid.rows)


def _is_temperature_line(texts: Sequence[str]) -> bool:
    """A row of temperatures, or the part of one that stands on a line of its own (it has a minus
    sign or degree signs throughout)."""
    numeric = [text for text in texts if re.match(r"[-–−‒+]?\s?\d", text)]
    bare = [value for text in numeric if (value := text_to_bare_ambient(text)) is not None]
    signed = all(re.search(r"[°º℃]", text) for text in numeric) or (bool(bare) and min(bare) < 0)
    return texts_are_temperatures(texts) or (0 < len(bare) == len(numeric) and signed)


def _is_data_row(cells: Sequence[Cell]) -> bool:
    parsed = [cell_to_numbers(cell.text) for cell in cells if cell.text and cell.column_span <= 2]
    numbers = sum(p.sort is CellSort.NUMBERS for p in parsed)
    return numbers >= 2 or (numbers == 1 and len(cells) <= 3)


def _split_body(grid: Grid, heading_rows: int) -> tuple[tuple[int, ...], dict[int, Cell]]:
    """Data rows below the heading; lines of words between them are sections; repeated headings go."""
    body: list[int] = []
    sections: dict[int, Cell] = {}
    section = grid.section
    if heading_rows > 1 and is_full_width(grid, heading_rows - 1):
        section = grid.row_cells(heading_rows - 1)[0]
    for row in range(heading_rows, len(grid.rows)):
        cells = grid.row_cells(row)
        printed = [cell for cell in cells if cell.text]
        is_data = any(cell_to_numbers(c.text).sort is CellSort.NUMBERS for c in printed) and len(printed) > 1
        if is_data and not _is_cut_line(printed):
            body.append(row)
            if section is not None:
                sections[row] = section
        elif printed and not _repeats_heading(grid, row, heading_rows):
            section = _cells_to_section(printed, section)
    return tuple(body), sections


def _is_cut_line(printed: Sequence[Cell]) -> bool:
    """Whether words and a number alone in a row stand no farther apart than a blank: a line over rows
    ("Series X - 30 V") that a column begins in. A part number with its only value is a row."""
    if len(printed) != 2 or not (printed[0].runs and printed[1].runs):
        return False
    left, right = printed[0].runs[-1], printed[1].runs[0]
    is_words = re.search(r"\d", printed[0].text) is None or re.search(r"[-–—:]$", printed[0].text) is not None
    return is_words and right.x0 - left.x1 < CUT_EM * left.size


def _repeats_heading(grid: Grid, row: int, heading_rows: int) -> bool:
    """Whether most texts of a row of words stand in the heading: it is printed again."""
    heading = {plain_text(cell.text) for above in range(heading_rows) for cell in grid.row_cells(above)}
    texts = [plain_text(cell.text) for cell in grid.row_cells(row) if cell.text]
    return len(texts) > 1 and sum(text in heading for text in texts) * 2 > len(texts)


def _cells_to_section(printed: Sequence[Cell], before: Cell | None) -> Cell | None:
    """The line over a group of rows, put together where columns cut it; none where a row of words is
    something else: the line before must not go on speaking below it."""
    if len(printed) == 1:
        return before if cell_to_numbers(printed[0].text).sort is CellSort.NUMBERS else printed[0]
    first, last = printed[0], printed[-1]
    if len(printed) > MOST_PIECES or sum(cell.column_span for cell in printed) <= last.column - first.column:
        return None
    runs = tuple(run for cell in printed for run in cell.runs)
    span = last.column + last.column_span - first.column
    return runs_to_cell((first.row, first.column), (1, span), runs, first.box)


def stood_up_to_table(grid: Grid) -> Table | None:
    """Understand a grid that transpose.py stood up: its rows are values, limits or parts."""
    table = grid_to_table(grid)
    if table is None or table.is_derating:
        return None
    label = table.part_column if table.part_column is not None else 0
    labels = {
        row: plain_text(cell.text) if (cell := grid.cell_at(row, label)) is not None else ""
        for row in table.body
    }
    if table.part_column is not None and any(re.search(r"\d", text) for text in labels.values()):
        return table
    kinds = {row: heading_to_meaning((text,)).kind for row, text in labels.items()}
    if len(table.body) > 1 and len(set(kinds.values())) < len(table.body):
        return None
    return replace(table, part_column=None, row_kinds={r: k for r, k in kinds.items() if k is not Kind.NONE})


_DEFINITION = re.compile(r"\W*\w{1,9}\s*[:：=]|[^:：=]{1,12}[A-Za-z]\w{0,5}\s*[：=]")


def texts_to_quantity(texts: Sequence[str]) -> tuple[Quantity | None, str]:
    """Hold or trip, whichever the nearest text names alone, and the text; titles come nearest last."""
    for text in reversed(texts):
        if len(text.split()) > 9 or text.rstrip().endswith((".", "。")) or _DEFINITION.match(text):
            continue  # a sentence or what a symbol means, not a title
        named = {hit.name for hit in scan(fold(text)) if hit.sense == "quantity"}
        wanted = named & {Quantity.HOLD_CURRENT.value, Quantity.TRIP_CURRENT.value}
        if len(wanted) == 1:
            return Quantity(wanted.pop()), text
    return None, ""


def texts_name_both(texts: Sequence[str]) -> bool:
    """Whether a title names hold and trip in one breath ("Derating of hold and trip current, per cent")."""
    named = [{hit.name for hit in scan(fold(text)) if hit.sense == "quantity"} for text in texts]
    return any({Quantity.HOLD_CURRENT.value, Quantity.TRIP_CURRENT.value} <= names for names in named)


def column_pairs(table: Table) -> dict[int, int]:
    """Time column -> its test-current column: the nearest one, left side first, each used once."""
    pairs: dict[int, int] = {}
    free = [c.index for c in table.columns if c.meaning.is_test_current]
    for column in table.columns:
        if (
            is_time(column)
            and column.meaning.test_current_a is None
            and column.meaning.test_multiple is None
            and free
        ):
            nearest = min(free, key=lambda index: (abs(index - column.index), index > column.index))
            pairs[column.index] = nearest
            free.remove(nearest)
    return pairs


def kind_of(meaning: HeadingMeaning) -> Kind:
    """The kind a number of this column carries, by the contract: limits for resistance and power,
    AC or DC for voltage and current, none for the rest."""
    if meaning.quantity is Quantity.RESISTANCE:
        return meaning.kind if meaning.kind not in (Kind.AC, Kind.DC) else Kind.NONE
    if meaning.quantity is Quantity.TRIPPED_POWER:
        return meaning.kind if meaning.kind in (Kind.TYP, Kind.MAX) else Kind.NONE
    if meaning.quantity in (Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT, Quantity.MAX_INTERRUPT_VOLTAGE):
        return meaning.kind if meaning.kind in (Kind.AC, Kind.DC) else Kind.NONE
    return Kind.NONE
