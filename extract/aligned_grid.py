"""Tables without full rules: rows are lines of numbers, columns are what stays clear between them.

Comes in: the runs of a page and its rules. Goes out: Grids of origin "aligned", heading lines
included as rows. Does not judge what a column means.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median

from extract.bands import runs_to_banded_lines
from extract.grid import Cell, Grid, runs_to_cell
from extract.heading_block import is_data_line, runs_to_heading
from extract.heading_cells import lines_to_cells
from extract.lines import Run, content_to_sideways_runs, runs_to_lines
from extract.merged_rows import add_side_labels, merge_between_rules
from extract.page import PageContent, Rule
from extract.quantities import is_value_text
from extract.temperatures import texts_are_temperatures
from extract.tight_values import is_value_after_value, join_degrees, split_tight_values
from extract.walls import block_to_starts, heading_to_walls, split_at_rules, split_at_walls

EDGE_PT = 6.0  # the rules around a table stand so close above its first row and below its last


@dataclass(frozen=True, slots=True)
class AlignmentOptions:
    """clear_em: a gap this wide (in text heights) that
    every line keeps parts two columns; pitch_factor: a line farther below than this many usual
    line steps starts a new table."""

    clear_em: float = 0.33
    pitch_factor: float = 2.6


def runs_to_aligned_grids(
    content: PageContent, runs: Sequence[Run], options: AlignmentOptions = AlignmentOptions()
) -> tuple[Grid, ...]:
    """Every block of lines whose numbers stand in columns, with the heading above it."""
    runs = split_at_rules(split_tight_values(join_degrees(runs)), content.verticals)
    blocks = _lines_to_blocks(runs_to_banded_lines(runs, content.horizontals), options)
    printed = any(word.after_blank for run in runs for word in run.words)
    is_free = is_value_after_value if printed else _never
    grids = []
    for found in blocks:
        walls = (*heading_to_walls(found, content.verticals), *block_to_starts(found, is_free))
        top, bottom = _reach(found)
        block = [split_at_walls(line, walls, top, bottom) for line in found]
        parted = split_at_walls(runs, walls, top, bottom)
        filled = _with_odd_values(block, parted, content.horizontals)
        columns = _block_to_columns(filled, content, walls, options)
        if len(columns) >= 2:
            grid = _block_to_grid(content, parted, block, columns)
            grids.append(add_side_labels(merge_between_rules(grid, content.horizontals), parted))
    return tuple(grids)


def _never(_run: Run, _number: int) -> bool:
    return False


def _reach(lines: Sequence[Sequence[Run]]) -> tuple[float, float]:
    """Upper edge of the first line and lower edge of the last."""
    return min(run.top for run in lines[0]), max(run.bottom for run in lines[-1])


def _lines_to_blocks(
    lines: Sequence[tuple[Run, ...]], options: AlignmentOptions
) -> list[list[tuple[Run, ...]]]:
    """Data lines that follow each other closely and whose numbers stand below one another."""
    blocks: list[list[tuple[Run, ...]]] = []
    steps: list[float] = []
    headed = False
    for line in lines:
        values = [run for run in line if is_value_text(run.text)]
        if not is_data_line(line):
            headed = headed or _is_heading_line(line, blocks[-1][-1] if blocks else ())
            continue
        previous = blocks[-1][-1] if blocks and not headed else None
        headed = False
        if previous is not None:
            step = line[0].mid_y - previous[0].mid_y
            usual = median(steps) if steps else 2.4 * line[0].size
            if step <= options.pitch_factor * usual and _stand_below(values, previous):
                blocks[-1].append(line)
                steps.append(step)
                continue
        blocks.append([line])
        steps = []
    return blocks


def _is_heading_line(line: Sequence[Run], data: Sequence[Run]) -> bool:
    """Whether a line of words alone has so many pieces that another table must begin below it."""
    return len(line) >= max(4, len(data) // 2) and not any(is_value_text(run.text) for run in line)


def _stand_below(values: Sequence[Run], previous: Sequence[Run]) -> bool:
    above = [run for run in previous if is_value_text(run.text)]
    met = sum(any(min(v.x1, a.x1) - max(v.x0, a.x0) > 0 for a in above) for v in values)
    return met >= 0.5 * len(values)


def _with_odd_values(
    block: list[tuple[Run, ...]], runs: Sequence[Run], horizontals: Sequence[Rule]
) -> list[tuple[Run, ...]]:
    """The lines of a block and the values that stand between them (merged cells), as far as its rules go."""
    top, bottom = _reach(block)
    left, right = min(r.x0 for line in block for r in line), max(r.x1 for line in block for r in line)
    near = (rule for rule in horizontals if top - EDGE_PT <= rule.at <= bottom + EDGE_PT)
    ruled = [rule for rule in near if rule.start <= left and rule.end >= right]
    left, right = min((r.start for r in ruled), default=left), max((r.end for r in ruled), default=right)
    own = {id(run) for line in block for run in line}
    odd = [
        run
        for run in runs
        if id(run) not in own
        and top < run.mid_y < bottom
        and left <= run.mid_x <= right
        and is_value_text(run.text)
    ]
    return [*block, *((run,) for run in odd)]


def _block_to_columns(
    block: list[tuple[Run, ...]],
    content: PageContent,
    heading_walls: Sequence[float],
    options: AlignmentOptions,
) -> list[tuple[float, float]]:
    """x ranges of columns: covered by text in some line, parted by gaps clear in nearly every line,
    and by vertical rules that run along the block or part its headings."""
    runs = [run for line in block for run in line if not re.fullmatch(r"[*†‡]+", run.text)]
    size = median(run.size for run in runs)
    top, bottom = min(r.top for r in runs), max(r.bottom for r in runs)
    walls = [*heading_walls] + [
        v.at for v in content.verticals if min(v.end, bottom) - max(v.start, top) >= 0.5 * (bottom - top)
    ]
    tolerated = len(block) // 12
    edges = sorted({round(edge, 1) for run in runs for edge in (run.x0, run.x1)})
    columns: list[tuple[float, float]] = []
    start = edges[0]
    for left, right in pairwise(edges):
        middle = (left + right) / 2
        crossing = sum(run.x0 < middle < run.x1 for run in runs)
        if crossing > tolerated:
            continue
        wall = any(left - 1 <= wall <= right + 1 for wall in walls)
        if right - left >= options.clear_em * size or wall:
            columns.append((start, left))
            start = right
    columns.append((start, edges[-1]))
    held = [column for column in columns if any(_is_mostly_in(run, column) for run in runs)]
    return _join_split_numbers(_with_sparse_columns(held, runs), block)


def _is_mostly_in(run: Run, column: tuple[float, float]) -> bool:
    return min(run.x1, column[1]) - max(run.x0, column[0]) >= 0.5 * (run.x1 - run.x0) > 0


def _with_sparse_columns(
    columns: list[tuple[float, float]], runs: Sequence[Run]
) -> list[tuple[float, float]]:
    """The columns and those of values that stand clear of all of them: cells merged over many rows are
    too few to be told from text that strays into a gap."""
    found: list[tuple[float, float]] = []
    numbers = [run for run in runs if is_value_text(run.text) and any(c.isdigit() for c in run.text)]
    for run in sorted(numbers, key=lambda run: run.x0):
        if any(min(run.x1, x1) - max(run.x0, x0) > -1.0 for x0, x1 in columns):
            continue
        if found and run.x0 <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], run.x1))
        else:
            found.append((run.x0, run.x1))
    return sorted([*columns, *found])


def _join_split_numbers(
    columns: list[tuple[float, float]], block: list[tuple[Run, ...]]
) -> list[tuple[float, float]]:
    """A column whose every text ends in a decimal sign was parted from its decimals by kerning."""
    joined: list[tuple[float, float]] = []
    for column in columns:
        if (
            joined
            and (left := _texts_in(joined[-1], block))
            and all(text.endswith((".", ",")) for text in left)
        ):
            joined[-1] = (joined[-1][0], column[1])
        else:
            joined.append(column)
    return joined


def _texts_in(column: tuple[float, float], block: list[tuple[Run, ...]]) -> list[str]:
    return [run.text for line in block for run in line if column[0] - 0.5 <= run.mid_x <= column[1] + 0.5]


def _block_to_grid(
    content: PageContent,
    runs: Sequence[Run],
    block: list[tuple[Run, ...]],
    columns: list[tuple[float, float]],
) -> Grid:
    top, bottom = _reach(block)
    sideways = [run for run in content_to_sideways_runs(content) if run.bottom <= top + 2]
    block_above = runs_to_heading([*runs, *sideways], columns, top, content.horizontals)
    heading = block_above.lines
    cells = list(lines_to_cells(heading, columns))
    body = _body_lines(runs, content.horizontals, columns, top, bottom)
    for number, line in enumerate(body, start=len(heading)):
        cells += _line_to_cells(number, line, columns)
    rows = tuple((min(r.top for r in line), max(r.bottom for r in line)) for line in (*heading, *body))
    box = (columns[0][0], rows[0][0], columns[-1][1], bottom)
    return Grid(
        content.number,
        "aligned",
        box,
        tuple(columns),
        rows,
        tuple(cells),
        block_above.titles,
        line_to_section(block_above.section, columns),
    )


def line_to_section(line: Sequence[Run], columns: Sequence[tuple[float, float]]) -> Cell | None:
    """The cell, as wide as the table, of a line that names the rows below it."""
    return runs_to_cell((0, 0), (1, len(columns)), line, (0.0, 0.0, 0.0, 0.0)) if line else None


def _body_lines(
    runs: Sequence[Run],
    horizontals: Sequence[Rule],
    columns: Sequence[tuple[float, float]],
    top: float,
    bottom: float,
) -> list[tuple[Run, ...]]:
    """All lines between the first and the last data line, section lines among them."""
    inside = [
        run
        for run in runs
        if top - 0.5 <= run.mid_y <= bottom + 0.5
        and run.x1 >= columns[0][0] - 1
        and run.x0 <= columns[-1][1] + 1
    ]
    return list(runs_to_banded_lines(inside, horizontals))


def _line_to_cells(row: int, line: Sequence[Run], columns: Sequence[tuple[float, float]]) -> list[Cell]:
    """One cell for each column; a run that reaches over several columns makes one spanning cell."""
    by_column: dict[int, list[Run]] = {}
    spans: dict[int, int] = {}
    for run in line:
        over = [number for number, (x0, x1) in enumerate(columns) if min(run.x1, x1) - max(run.x0, x0) > 0.8]
        home = (
            over[0] if over else min(range(len(columns)), key=lambda n: abs(sum(columns[n]) / 2 - run.mid_x))
        )
        by_column.setdefault(home, []).append(run)
        spans[home] = max(spans.get(home, 1), len(over))
    cells: list[Cell] = []
    column = 0
    while column < len(columns):
        members = by_column.get(column, [])
        span = min(spans.get(column, 1), len(columns) - column)
        members = members + [run for c in range(column + 1, column + span) for run in by_column.get(c, [])]
        box = (
            columns[column][0],
            min(r.top for r in line),
            columns[column + span - 1][1],
            max(r.bottom for r in line),
        )
        cells.append(runs_to_cell((row, column), (1, span), members, box))
        column += span
    return cells


def add_heading_above(grid: Grid, runs: Sequence[Run], content: PageContent) -> Grid:
    """A ruled grid whose heading stands outside its rules, with that heading as its first rows."""
    block = runs_to_heading(runs, grid.columns, grid.box[1], content.horizontals)
    if not block.lines:
        section = line_to_section(block.section, grid.columns)
        return replace(grid, titles=block.titles, section=section, _index={})
    shift = len(block.lines)
    rows = tuple((min(r.top for r in line), max(r.bottom for r in line)) for line in block.lines)
    moved = tuple(replace(cell, row=cell.row + shift) for cell in grid.cells)
    return replace(
        grid,
        rows=(*rows, *grid.rows),
        cells=(*lines_to_cells(block.lines, grid.columns), *moved),
        titles=block.titles,
        section=line_to_section(block.section, grid.columns),
        _index={},
    )


def free_swallowed_rows(grid: Grid) -> Grid:
    """A ruled grid whose heading and first data rows lie in one unwalled cell, with these parted.

    Happens where only shading parts heading and data. A line counts as data if most columns have a
    value of their own in it and it is no row of temperatures.
    """
    regular = next((row for row in range(len(grid.rows)) if _is_regular_row(grid, row)), None)
    if not regular or any(_has_values(grid, row) for row in range(regular)):
        return grid
    runs = [run for cell in grid.cells if cell.row < regular for run in cell.runs]
    lines = runs_to_lines(runs)
    first = next((n for n, line in enumerate(lines) if _is_data_line(line, grid.columns)), None)
    if first is None:
        return grid
    cells = list(lines_to_cells(lines[:first], grid.columns))
    for number, line in enumerate(lines[first:], start=first):
        cells += _line_to_cells(number, line, grid.columns)
    shift = len(lines) - regular
    rest = tuple(replace(cell, row=cell.row + shift) for cell in grid.cells if cell.row >= regular)
    rows = tuple((min(r.top for r in line), max(r.bottom for r in line)) for line in lines)
    return replace(grid, rows=(*rows, *grid.rows[regular:]), cells=(*cells, *rest), _index={})


def _has_values(grid: Grid, row: int) -> bool:
    """Whether a row has value cells of its own, beside cells that span several rows, and no temperatures."""
    texts = [c.text for c in grid.row_cells(row) if c.row_span == 1 and c.column_span == 1 and c.text]
    values = [text for text in texts if is_value_text(text) and "\n" not in text]
    return len(values) >= 2 and not texts_are_temperatures(values)


def _is_regular_row(grid: Grid, row: int) -> bool:
    cells = grid.row_cells(row)
    values = [cell for cell in cells if is_value_text(cell.text) and cell.text]
    return len(values) >= 2 and all(cell.row_span == 1 and cell.column_span == 1 for cell in cells)


def _is_data_line(line: Sequence[Run], columns: Sequence[tuple[float, float]]) -> bool:
    homes = [
        number
        for run in line
        for number, (x0, x1) in enumerate(columns)
        if x0 - 1 <= run.x0
        and run.x1 <= x1 + 1
        and is_value_text(run.text)
        and not re.search(r"[°º]", run.text)
    ]
    return len(set(homes)) >= max(2, 0.6 * (len(columns) - 1)) and len(homes) == len(set(homes))
