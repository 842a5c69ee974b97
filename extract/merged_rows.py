"""Merged cells of tables with horizontal rules only: a value speaks to all rows between its rules.

Comes in: an aligned Grid and the page's rules. Goes out: the same grid with such values spanning
their rows. Works only where every row is ruled off at its label, so that a missing rule means a
merged cell and not a style.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.grid import Cell, Grid, runs_to_cell
from extract.lines import Run, runs_to_lines
from extract.page import Rule
from extract.quantities import is_value_text
from extract.temperatures import texts_are_temperatures

MIN_MERGED = 3  # a value must stand for at least so many rows to be told from one of its own row
Lines = Sequence[Sequence[Run]]
MIN_STACKED = 3  # so many lines in a cell are rows without a rule, fewer may be one text
ALIKE = 0.8  # so many of a row's cells hold as many lines as the first
MIN_LABELS = 2  # so few part numbers at least beside rows of theirs
MIN_VALUES = 3  # a row of data has so many values
OFF_MIDDLE = 0.3  # how far from the middle of its rows it may stand, in row heights


def merge_between_rules(grid: Grid, horizontals: Sequence[Rule]) -> Grid:
    """The grid with values stretched over the rows that no rule parts in their column."""
    data = [row for row in range(len(grid.rows)) if _is_data_row(grid, row)]
    if len(data) < 2:
        return grid
    label = _label_column(grid, data)
    if label is None or len(_walls_between(grid, horizontals, label, data)) < len(data) - 1:
        return grid
    spans: dict[tuple[int, int], tuple[Cell, list[int]]] = {}
    for cell in grid.cells:
        rows = _rows_between_rules(grid, cell, horizontals, data)
        is_between = cell.row not in data
        if len(rows) > 1 and (is_between or len(data) > 2) and _is_alone(grid, cell, rows):
            spans[rows[0], cell.column] = (cell, rows)
    return _with_spans(grid, spans, data) if spans else grid


def stretch_centred_values(grid: Grid, column: int, body: Sequence[int]) -> Grid | None:
    """The grid with the values of a column stretched over the rows they stand at the middle of: merged cells
    of a table that rules nothing off inside.

    Only where the values, each at the middle of its rows, share all data rows out between them, and where
    one stands between two rows or is the only one; None elsewhere.
    """
    rows = range(body[0], body[-1] + 1) if body else range(0)
    filled = {id(c): c for row in rows if (c := grid.cell_at(row, column)) is not None and c.text}
    cells = sorted(filled.values(), key=_cell_middle)
    if not cells or any(c.row_span > 1 or c.column_span > 1 or not is_value_text(c.text) for c in cells):
        return None
    shares = _share_out([_middle(grid, row) for row in body], [_cell_middle(c) for c in cells])
    if (len(cells) == 1 and len(body) < MIN_MERGED) or not any(_is_proof(s, len(cells)) for s in shares):
        return None
    spans = [(body[share[0]], body[share[-1]]) for share in shares]
    merged = [
        replace(cell, row=first, row_span=last - first + 1)
        for cell, (first, last) in zip(cells, spans, strict=True)
    ]
    others = [
        one
        for one in grid.cells
        if id(one) not in filled and not (one.column == column and one.row in rows and one.column_span == 1)
    ]
    return replace(grid, cells=(*others, *merged), _index={})


def split_stacked_rows(grid: Grid) -> Grid:
    """The grid with each row that rules only its columns cut into its lines.

    Only where nearly all of its cells hold the same number of lines, three or more, level with each other,
    and the first of them part numbers.
    """
    for row in reversed(range(len(grid.rows))):
        cells = [c for c in grid.row_cells(row) if c.text and c.row_span == 1 and c.column_span == 1]
        stacked = [(cell, runs_to_lines(cell.runs)) for cell in cells]
        count = len(stacked[0][1]) if stacked else 0
        alike = [(cell, lines) for cell, lines in stacked if len(lines) == count]
        are_codes = count >= MIN_STACKED and all(_is_code(run.text) for line in stacked[0][1] for run in line)
        if are_codes and len(alike) >= 3 and len(alike) >= ALIKE * len(stacked):
            grid = _cut_row(grid, row, stacked)
    return grid


def _cut_row(grid: Grid, row: int, stacked: Sequence[tuple[Cell, Lines]]) -> Grid:
    """The grid with one row cut into the lines of its first cell; another cell's lines go to the nearest."""
    middles = [_line_middle(line) for line in stacked[0][1]]
    edges = tuple((min(r.top for r in line), max(r.bottom for r in line)) for line in stacked[0][1])
    added = len(middles) - 1
    cells = [
        replace(cell, row=cell.row + added) if cell.row > row else cell
        for cell in grid.cells
        if not cell.row <= row < cell.row + cell.row_span
    ]
    above = [cell for cell in grid.cells if cell.row < row < cell.row + cell.row_span]
    cells += [replace(cell, row_span=cell.row_span + added) for cell in above]
    for cell, lines in stacked:
        own: dict[int, list[Run]] = {}
        for line in lines:
            place = min(range(len(middles)), key=lambda n: abs(middles[n] - _line_middle(line)))
            own.setdefault(place, []).extend(line)
        for place, (top, bottom) in enumerate(edges):
            box = (cell.box[0], top, cell.box[2], bottom)
            cells.append(runs_to_cell((row + place, cell.column), (1, 1), own.get(place, []), box))
    rows = (*grid.rows[:row], *edges, *grid.rows[row + 1 :])
    return replace(grid, rows=rows, cells=tuple(cells), _index={})


def _line_middle(line: Sequence[Run]) -> float:
    return sum(run.mid_y for run in line) / len(line)


def join_broken_labels(grid: Grid, heading_rows: int) -> Grid:
    """The grid with part numbers that an unruled body breaks after their hyphen put together: the rest stands
    alone on the line below."""
    cells = list(grid.cells)
    for row in range(heading_rows, len(grid.rows) - 1):
        below = [cell for cell in grid.row_cells(row + 1) if cell.text]
        broken = grid.cell_at(row, below[0].column) if len(below) == 1 else None
        if broken is None or not re.search(r"\w[-‐‑]$", broken.text) or broken.row_span > 1:
            continue
        rest = below[0]
        place, spans = (row, broken.column), (1, broken.column_span)
        whole = runs_to_cell(place, spans, broken.runs + rest.runs, broken.box)
        places = {id(broken): whole, id(rest): replace(rest, runs=(), text="", marks=())}
        cells = [places.get(id(cell), cell) for cell in cells]
    return replace(grid, cells=tuple(cells), _index={})


def add_side_labels(grid: Grid, runs: Sequence[Run]) -> Grid:
    """The grid with a first column of part numbers that stand left of it, each at the middle of its rows.

    Only where they share all data rows out between them, two or more to each.
    """
    data = [row for row in range(len(grid.rows)) if _is_row_of_values(grid, row)]
    if len(data) < 2 * MIN_LABELS:
        return grid
    top, bottom = grid.rows[data[0]][0], grid.rows[data[-1]][1]
    reach = (bottom - top) / (len(data) - 1)
    beside = sorted((run for run in runs if run.x1 < grid.columns[0][0]), key=lambda run: run.mid_y)
    left = [run for run in beside if top <= run.mid_y <= bottom]
    # Half a part number stands above the first row, and half below the last.
    left = [r for r in beside if top - reach <= r.mid_y < top and r.text.endswith("-")] + left
    if left and left[-1].text.endswith("-"):
        left += [run for run in beside if bottom < run.mid_y <= bottom + reach][:1]
    lines = _join_broken_runs(left)
    labels = [run for run in lines if _is_code(run.text)]
    shares = _share_out([_middle(grid, row) for row in data], [run.mid_y for run in labels])
    all_broken = len(left) == 2 * len(lines)  # each over two lines, its numbers between them
    fewest = min(map(len, shares), default=0)
    if len(labels) < MIN_LABELS or len(labels) < len(lines) or fewest < (1 if all_broken else 2):
        return grid
    column = min(run.x0 for run in labels), max(run.x1 for run in labels)
    moved = [replace(cell, column=cell.column + 1) for cell in grid.cells]
    for run, share in zip(labels, shares, strict=True):
        first, last = data[share[0]], data[share[-1]]
        moved.append(runs_to_cell((first, 0), (last - first + 1, 1), [run], run.box))
    box = (column[0], *grid.box[1:])
    return replace(grid, columns=(column, *grid.columns), cells=tuple(moved), box=box, _index={})


def _join_broken_runs(runs: Sequence[Run]) -> list[Run]:
    """Runs from the top, two lines of a part number broken after its hyphen put together."""
    joined: list[Run] = []
    for run in sorted(runs, key=lambda one: one.mid_y):
        above = joined[-1] if joined else None
        if above is not None and above.text.endswith("-") and run.mid_y - above.mid_y < 1.8 * run.size:
            joined[-1] = replace(
                above,
                text=above.text + run.text,
                x1=max(above.x1, run.x1),
                bottom=run.bottom,
                words=(*above.words, *run.words),
            )
        else:
            joined.append(run)
    return joined


def _is_row_of_values(grid: Grid, row: int) -> bool:
    texts = [cell.text for cell in grid.row_cells(row) if cell.text and is_value_text(cell.text)]
    return len(texts) >= MIN_VALUES and not texts_are_temperatures(texts)


def _is_code(text: str) -> bool:
    return re.fullmatch(r"(?=.*\d)(?=.*[A-Za-z])[\w.,/+\-()]{3,25}", text) is not None


def _share_out(middles: Sequence[float], values: Sequence[float]) -> list[range]:
    """The rows of each value, so that it stands at their middle and they are all shared out; else none."""
    if not middles:
        return []
    pitch = (middles[-1] - middles[0]) / max(1, len(middles) - 1)
    shares: list[range] = []
    start = 0
    for value in values:
        ends = range(start, len(middles))
        off = {end: abs((middles[start] + middles[end]) / 2 - value) for end in ends}
        end = min(ends, key=lambda n: off[n], default=None)
        if end is None or off[end] > OFF_MIDDLE * pitch:
            return []
        shares.append(range(start, end + 1))
        start = end + 1
    return shares if start == len(middles) else []


def _is_proof(share: range, values: int) -> bool:
    """Whether a share shows that cells are merged: its value stands between two rows, or is the only one."""
    return len(share) % 2 == 0 or (values == 1 and len(share) >= MIN_MERGED)


def _cell_middle(cell: Cell) -> float:
    return (cell.box[1] + cell.box[3]) / 2


def _is_data_row(grid: Grid, row: int) -> bool:
    values = [c for c in grid.row_cells(row) if c.text and is_value_text(c.text)]
    words = [c for c in grid.row_cells(row) if c.text and not is_value_text(c.text)]
    return len(values) >= 2 and len(words) >= 1 and not texts_are_temperatures([c.text for c in values])


def _label_column(grid: Grid, data: Sequence[int]) -> int | None:
    """The column with a word in every data row."""
    for column in range(len(grid.columns)):
        cells = [grid.cell_at(row, column) for row in data]
        if all(cell is not None and cell.text and not is_value_text(cell.text) for cell in cells):
            return column
    return None


def _middle(grid: Grid, row: int) -> float:
    return (grid.rows[row][0] + grid.rows[row][1]) / 2


def _walls(grid: Grid, horizontals: Sequence[Rule], column: int) -> list[float]:
    x = sum(grid.columns[column]) / 2
    return sorted(rule.at for rule in horizontals if rule.start <= x <= rule.end)


def _walls_between(grid: Grid, horizontals: Sequence[Rule], column: int, data: Sequence[int]) -> list[float]:
    first, last = _middle(grid, data[0]), _middle(grid, data[-1])
    return [at for at in _walls(grid, horizontals, column) if first < at < last]


def _rows_between_rules(
    grid: Grid, cell: Cell, horizontals: Sequence[Rule], data: Sequence[int]
) -> list[int]:
    """The data rows in the band of rules that holds a value."""
    middle = (cell.box[1] + cell.box[3]) / 2
    if not cell.text or not is_value_text(cell.text) or cell.column_span > 1:
        return []
    walls = _walls(grid, horizontals, cell.column)
    above = max((at for at in walls if at <= middle), default=None)
    below = min((at for at in walls if at > middle), default=None)
    if above is None or below is None:
        return []
    return [row for row in data if above < _middle(grid, row) < below]


def _is_alone(grid: Grid, cell: Cell, rows: Sequence[int]) -> bool:
    """Whether no other cell of the column in these rows holds a text."""
    others = (grid.cell_at(row, cell.column) for row in range(rows[0], rows[-1] + 1))
    return all(other is None or other is cell or not other.text for other in others)


def _with_spans(
    grid: Grid, spans: dict[tuple[int, int], tuple[Cell, list[int]]], data: Sequence[int]
) -> Grid:
    moved = {id(cell) for cell, _ in spans.values()}
    odd = {
        row
        for row in range(data[0], data[-1] + 1)
        if row not in data and all(not c.text or id(c) in moved for c in grid.row_cells(row))
    }
    kept = [row for row in range(len(grid.rows)) if row not in odd]
    order = {row: number for number, row in enumerate(kept)}
    covered = {(row, column) for (_, column), (_, rows) in spans.items() for row in rows}
    cells = [
        replace(cell, row=order[cell.row])
        for cell in grid.cells
        if cell.row in order and id(cell) not in moved and (cell.row, cell.column) not in covered
    ]
    for (first, column), (cell, rows) in spans.items():
        cells.append(
            replace(cell, row=order[first], column=column, row_span=order[rows[-1]] - order[first] + 1)
        )
    return replace(grid, rows=tuple(grid.rows[row] for row in kept), cells=tuple(cells), _index={})
