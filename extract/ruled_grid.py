"""Rules and glyphs of a page become grids: cells are what the rules wall off.

Comes in: a PageContent. Goes out: Grids of origin "ruled", merged cells as spans, missing outer
borders filled in. Does not split what no rule splits: aligned_grid.py reads unruled tables.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from extract.grid import Box, Cell, Grid, runs_to_cell
from extract.lines import Run, content_to_sideways_runs, glyphs_to_runs
from extract.page import Glyph, PageContent, Rule

TOUCH_PT = 3.0  # rules nearer than this meet
SAME_PT = 2.6  # parallel rules nearer than this are one border
BAND_APART_PT = 5.0  # shading ends near a rule all the time; only farther away it parts rows
WALLED = 0.6  # a wall stands if rules cover this share of the cell's side


@dataclass(frozen=True, slots=True)
class _Lattice:
    """The borders of one table, and for each border the rules that stand on it."""

    xs: tuple[float, ...]
    ys: tuple[float, ...]
    on_xs: tuple[tuple[Rule, ...], ...]
    on_ys: tuple[tuple[Rule, ...], ...]


def content_to_ruled_grids(content: PageContent) -> tuple[Grid, ...]:
    """Every ruled table of a page with at least two rows, two columns and some text."""
    grids = []
    for horizontals, verticals in _rules_to_groups(content.horizontals, content.verticals):
        lattice = _rules_to_lattice(_with_bands(horizontals, content.bands), verticals)
        if len(lattice.xs) >= 3 and len(lattice.ys) >= 3:
            grid = _lattice_to_grid(content, lattice)
            if grid is not None:
                grids.append(grid)
    return tuple(grids)


def _rules_to_groups(
    horizontals: Sequence[Rule], verticals: Sequence[Rule]
) -> list[tuple[list[Rule], list[Rule]]]:
    """Rules that meet, directly or through others, belong to one table."""
    parent = list(range(len(horizontals) + len(verticals)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for i, h in enumerate(horizontals):
        for j, v in enumerate(verticals):
            if (
                h.start - TOUCH_PT <= v.at <= h.end + TOUCH_PT
                and v.start - TOUCH_PT <= h.at <= v.end + TOUCH_PT
            ):
                parent[root(i)] = root(len(horizontals) + j)
    groups: dict[int, tuple[list[Rule], list[Rule]]] = {}
    for i, h in enumerate(horizontals):
        groups.setdefault(root(i), ([], []))[0].append(h)
    for j, v in enumerate(verticals):
        groups.setdefault(root(len(horizontals) + j), ([], []))[1].append(v)
    return [group for group in groups.values() if len(group[0]) >= 2 and group[1]]


def _with_bands(horizontals: Sequence[Rule], bands: Sequence[Rule]) -> list[Rule]:
    """Edges of shading inside a table part its rows where no rule is near."""
    left, right = min(h.start for h in horizontals), max(h.end for h in horizontals)
    top, bottom = min(h.at for h in horizontals), max(h.at for h in horizontals)
    inside = [
        band
        for band in bands
        if top < band.at < bottom
        and min(band.end, right) - max(band.start, left) >= WALLED * (right - left)
        and all(abs(band.at - h.at) > BAND_APART_PT for h in horizontals)
    ]
    return [*horizontals, *inside]


def _rules_to_lattice(horizontals: Sequence[Rule], verticals: Sequence[Rule]) -> _Lattice:
    """Borders from the rules; the ends of horizontals are borders too where the outer rule is missing."""
    left, right = min(h.start for h in horizontals), max(h.end for h in horizontals)
    top, bottom = min(h.at for h in horizontals), max(h.at for h in horizontals)
    xs = _merge([v.at for v in verticals] + [left, right])
    ys = _merge(
        [h.at for h in horizontals]
        + [v.start for v in verticals if v.start < top - 8]
        + [v.end for v in verticals if v.end > bottom + 8]
    )
    outer = [Rule(xs[0], ys[0], ys[-1]), Rule(xs[-1], ys[0], ys[-1])]
    return _Lattice(xs, ys, _rules_on(xs, [*verticals, *outer]), _rules_on(ys, horizontals))


def _rules_on(borders: Sequence[float], rules: Sequence[Rule]) -> tuple[tuple[Rule, ...], ...]:
    return tuple(tuple(rule for rule in rules if abs(rule.at - at) <= SAME_PT) for at in borders)


def _merge(values: list[float]) -> tuple[float, ...]:
    """Sorted values, those nearer than SAME_PT made one (their mean)."""
    groups: list[list[float]] = []
    for value in sorted(values):
        if groups and value - groups[-1][-1] <= SAME_PT:
            groups[-1].append(value)
        else:
            groups.append([value])
    return tuple(sum(group) / len(group) for group in groups)


def _lattice_to_grid(content: PageContent, lattice: _Lattice) -> Grid | None:
    xs, ys = lattice.xs, lattice.ys
    box = (xs[0], ys[0], xs[-1], ys[-1])
    inside = [
        g
        for g in content.glyphs
        if xs[0] <= g.mid_x <= xs[-1] and ys[0] <= g.mid_y <= ys[-1] and g.text.strip()
    ]
    if sum(g.text.isdigit() for g in inside) < 4:
        return None
    areas = _base_cells_to_areas(lattice)
    owner = {base: number for number, area in enumerate(areas) for base in area}
    glyphs: list[list[Glyph]] = [[] for _ in areas]
    for glyph in inside:
        row = min(bisect_right(ys, glyph.mid_y) - 1, len(ys) - 2)
        column = min(bisect_right(xs, glyph.mid_x) - 1, len(xs) - 2)
        glyphs[owner[row, column]].append(glyph)
    sideways = content_to_sideways_runs(content)
    cells = [_area_to_cell(area, glyphs[number], lattice, sideways) for number, area in enumerate(areas)]
    return _without_empty_lanes(
        Grid(
            content.number,
            "ruled",
            box,
            tuple(pairwise(xs)),
            tuple(pairwise(ys)),
            tuple(cells),
        )
    )


def _base_cells_to_areas(lattice: _Lattice) -> list[list[tuple[int, int]]]:
    """Base cells with no wall between them form an area; an area that is no rectangle is cut into
    its rows, so that no cell ever covers what a rule walls off."""
    rows, columns = len(lattice.ys) - 1, len(lattice.xs) - 1
    seen: set[tuple[int, int]] = set()
    areas: list[list[tuple[int, int]]] = []
    for start in ((r, c) for r in range(rows) for c in range(columns)):
        if start in seen:
            continue
        seen.add(start)
        area, queue = [], [start]
        while queue:
            row, column = queue.pop()
            area.append((row, column))
            for near in _open_neighbours(lattice, row, column):
                if near not in seen:
                    seen.add(near)
                    queue.append(near)
        areas += _area_to_rectangles(area)
    return areas


def _open_neighbours(lattice: _Lattice, row: int, column: int) -> list[tuple[int, int]]:
    xs, ys = lattice.xs, lattice.ys
    near = []
    if column + 2 < len(xs) and not _is_walled(lattice.on_xs[column + 1], ys[row], ys[row + 1]):
        near.append((row, column + 1))
    if column > 0 and not _is_walled(lattice.on_xs[column], ys[row], ys[row + 1]):
        near.append((row, column - 1))
    if row + 2 < len(ys) and not _is_walled(lattice.on_ys[row + 1], xs[column], xs[column + 1]):
        near.append((row + 1, column))
    if row > 0 and not _is_walled(lattice.on_ys[row], xs[column], xs[column + 1]):
        near.append((row - 1, column))
    return near


def _is_walled(rules: Sequence[Rule], start: float, end: float) -> bool:
    covered = sum(max(0.0, min(rule.end, end) - max(rule.start, start)) for rule in rules)
    return covered >= WALLED * (end - start)


def _area_to_rectangles(area: list[tuple[int, int]]) -> list[list[tuple[int, int]]]:
    rows = sorted({row for row, _ in area})
    columns = sorted({column for _, column in area})
    full = (rows[-1] - rows[0] + 1) * (columns[-1] - columns[0] + 1)
    if len(area) == full:
        return [area]
    pieces: list[list[tuple[int, int]]] = []
    for row in rows:
        lane: list[tuple[int, int]] = []
        for column in sorted(c for r, c in area if r == row):
            if lane and column != lane[-1][1] + 1:
                pieces.append(lane)
                lane = []
            lane.append((row, column))
        pieces.append(lane)
    return pieces


def _area_to_cell(
    area: list[tuple[int, int]], glyphs: list[Glyph], lattice: _Lattice, sideways: Sequence[Run]
) -> Cell:
    """The cell of an area; one without upright text takes the sideways text in it."""
    top, left = min(r for r, _ in area), min(c for _, c in area)
    bottom, right = max(r for r, _ in area), max(c for _, c in area)
    box: Box = (lattice.xs[left], lattice.ys[top], lattice.xs[right + 1], lattice.ys[bottom + 1])
    runs = glyphs_to_runs(glyphs) or tuple(
        r for r in sideways if box[0] <= r.mid_x <= box[2] and box[1] <= r.mid_y <= box[3]
    )
    return runs_to_cell((top, left), (bottom - top + 1, right - left + 1), runs, box)


def _without_empty_lanes(grid: Grid) -> Grid | None:
    """Drop rows and columns in which no cell of their own holds text (double borders, gutters)."""
    rows = [
        r
        for r in range(len(grid.rows))
        if _is_used(grid, [grid.cell_at(r, c) for c in range(len(grid.columns))], True)
    ]
    columns = [
        c
        for c in range(len(grid.columns))
        if _is_used(grid, [grid.cell_at(r, c) for r in range(len(grid.rows))], False)
    ]
    if len(rows) < 2 or len(columns) < 2:
        return None
    cells = []
    for cell in grid.cells:
        own_rows = [i for i, r in enumerate(rows) if cell.row <= r < cell.row + cell.row_span]
        own_columns = [i for i, c in enumerate(columns) if cell.column <= c < cell.column + cell.column_span]
        if own_rows and own_columns:
            cells.append(
                Cell(
                    own_rows[0],
                    own_columns[0],
                    len(own_rows),
                    len(own_columns),
                    cell.runs,
                    cell.box,
                    cell.text,
                    cell.marks,
                )
            )
    return Grid(
        grid.page,
        grid.origin,
        grid.box,
        tuple(grid.columns[c] for c in columns),
        tuple(grid.rows[r] for r in rows),
        tuple(cells),
        grid.titles,
    )


def _is_used(grid: Grid, cells: Sequence[Cell | None], is_row: bool) -> bool:
    """A lane counts if a cell that lies in it alone holds text, or a text cell starts there and
    the lane is not a sliver."""
    for cell in cells:
        if cell is not None and cell.text and (cell.row_span if is_row else cell.column_span) == 1:
            return True
    first = next((cell for cell in cells if cell is not None), None)
    if first is None:
        return False
    index = _lane_index(cells, is_row)
    start, end = (grid.rows if is_row else grid.columns)[index]
    return end - start > 5.0 and any(cell is not None and cell.text for cell in cells)


def _lane_index(cells: Sequence[Cell | None], is_row: bool) -> int:
    spans = [
        (c.row, c.row + c.row_span) if is_row else (c.column, c.column + c.column_span)
        for c in cells
        if c is not None
    ]
    return max(start for start, _ in spans)
