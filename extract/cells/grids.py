"""All tables of a sheet, told from its ink.

Comes in: the Inks of its pages. Goes out: Grids, in the order of the pages; a table that goes on over a page
break is one. Understands no word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from extract.cells.continued import borrowed_heads, fits_in, goes_on_from, has_new_rows, joined_grids
from extract.cells.folded import region_to_folded
from extract.cells.headings import Above, heading_to_heads, lines_to_above
from extract.cells.ink import Ink, Line
from extract.cells.orphans import page_before_to_above
from extract.cells.regions import Region, ink_to_regions
from extract.cells.rows import region_to_rows
from extract.cells.separators import region_to_columns
from extract.cells.shifted import columns_to_unshifted
from extract.cells.tables import Column, Grid, Head

NOTE_PT = 60.0


@dataclass(frozen=True, slots=True)
class _Found:
    """A grid as its own page shows it, with what stands above it."""

    grid: Grid
    above: Above


def inks_to_grids(inks: Sequence[Ink]) -> tuple[Grid, ...]:
    """The tables of a sheet."""
    grids: list[Grid] = []
    before: Ink | None = None
    for ink in inks:
        first = True
        for found in _ink_to_found(ink, before, grids[-1] if grids else None):
            bare = not (found.above.captions or found.above.heading)
            heads = borrowed_heads(found.grid, grids) if first or bare else ()
            if grids and _is_next_piece(found, grids[-1], heads, before if first else None):
                grids[-1] = joined_grids(grids[-1], found.grid)
            elif heads:
                grids.append(_with_heads_of(found.grid, grids, heads))
            elif not first and grids and _goes_on_below(found, grids[-1]):
                grids.append(replace(found.grid, captions=grids[-1].captions))
            else:
                grids.append(found.grid)
            first = False
        before = ink
    return tuple(grids)


def _is_next_piece(found: _Found, last: Grid, heads: tuple[Head, ...], before: Ink | None) -> bool:
    """Whether a table is the next piece of the last one: with its headings, and nothing above it; at the
    top of a page, below what stands on every page."""
    if not has_new_rows(found.grid, last):
        return False
    bare = not (found.above.captions or found.above.heading)
    if heads and heads == last.heads and (bare or before is not None):
        return True
    return before is not None and goes_on_from(found.grid, last, before)


def _goes_on_below(found: _Found, last: Grid) -> bool:
    """Whether a table with headings stands right below another one whose rows begin under the same heading,
    with nothing between them, and have the same texts there: its further columns, under the same title.

    3. Hold current at ambient
    Type | -40 | -20 | 0
    Type |  40 |  60 | 85
    """
    own, above = found.grid.heading(0), last.heading(0)
    beside = own == above and found.grid.texts(0) == last.texts(0) and not found.above.captions
    return bool(own) and beside and found.grid.page == last.page


def _with_heads_of(grid: Grid, earlier: Sequence[Grid], heads: tuple[Head, ...]) -> Grid:
    """A grid with the headings and captions of an earlier one."""
    return replace(grid, heads=heads, captions=(*grid.captions, *earlier[-1].captions))


def _ink_to_found(ink: Ink, before: Ink | None, last: Grid | None) -> list[_Found]:
    """The tables of one page, top to bottom, each by itself; the first one, without headings, in the columns
    of the last table of the page before if its rows fit there, else below a heading at the foot of it."""
    regions = ink_to_regions(ink)
    found: list[_Found] = []
    for region in regions:
        columns = region_to_columns(region, ink.verticals)
        if len(columns) < 2:
            continue
        ends = [other.bottom for other in regions if _is_above(other, region)]
        lines = _lines_above(region, ink.lines, max(ends, default=0.0))
        folded = region_to_folded(region, columns, lines, ink)
        if folded is not None:
            grid, above = folded
            found.append(_Found(replace(grid, notes=_notes(region, ink.lines, regions)), above))
            continue
        above = lines_to_above(region, columns, lines, ink)
        if region is regions[0] and before is not None and not above.heading:
            if last is not None and fits_in(region.data, last):
                columns = last.columns
            else:
                above = page_before_to_above(region, columns, ink, before) or above
        elif region is regions[0] and last is not None and _is_headed_like(region, ink, last):
            columns = last.columns
            above = lines_to_above(region, columns, _lines_above(region, ink.lines, 0.0), ink)
        single = columns_to_unshifted(columns, region, heading_to_heads(above, columns, ink))
        if len(single) < len(columns):
            columns = single
            above = lines_to_above(region, columns, lines, ink)
        found.append(
            _Found(_region_to_grid(region, columns, above, ink, _notes(region, ink.lines, regions)), above)
        )
    return found


def _is_headed_like(region: Region, ink: Ink, last: Grid) -> bool:
    """Whether rows at the top of a page fit in the columns of the table before, under the same headings: the
    many rows there say better than a few here where columns part."""
    if not fits_in(region.data, last):
        return False
    above = lines_to_above(region, last.columns, _lines_above(region, ink.lines, 0.0), ink)
    heads = [(head.text, head.first, head.last) for head in heading_to_heads(above, last.columns, ink)]
    return bool(heads) and heads == [(head.text, head.first, head.last) for head in last.heads]


def _region_to_grid(
    region: Region, columns: tuple[Column, ...], above: Above, ink: Ink, notes: tuple[str, ...]
) -> Grid:
    rows = region_to_rows(region, columns, ink)
    if above.group:
        rows = tuple(row if row.groups else replace(row, groups=(above.group,)) for row in rows)
    box = (columns[0].x0, region.top, columns[-1].x1, region.bottom)
    return Grid(ink.content, columns, heading_to_heads(above, columns, ink), rows, above.captions, notes, box)


def _is_above(other: Region, region: Region) -> bool:
    return other.bottom <= region.top + 1 and other.x0 < region.x1 and region.x0 < other.x1


def _lines_above(region: Region, lines: Sequence[Line], limit: float) -> list[Line]:
    """Lines of the region's side between a limit and its first row, nearest first."""
    inside = [line.within(region.x0, region.x1) for line in lines if limit - 1 < line.mid_y < region.top]
    return sorted((line for line in inside if line is not None), key=lambda line: -line.mid_y)


def _notes(region: Region, lines: Sequence[Line], regions: Sequence[Region]) -> tuple[str, ...]:
    """Texts right below a region, down to the next one."""
    tops = [other.top for other in regions if other.top > region.bottom]
    end = min([region.bottom + NOTE_PT, *tops])
    below = [line.within(region.x0, region.x1) for line in lines if region.bottom < line.mid_y < end]
    return tuple(line.text for line in below if line is not None)
