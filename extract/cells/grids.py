"""All tables of a page, told from its ink.

Comes in: Ink, and the tables of the page before. Goes out: Grids, top to bottom. Understands no word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from extract.cells.headings import heading_to_heads, lines_to_above
from extract.cells.ink import Ink, Line
from extract.cells.regions import Region, ink_to_regions
from extract.cells.rows import region_to_rows
from extract.cells.separators import region_to_columns
from extract.cells.tables import Column, Grid, Head

SAME_PT = 8.0
NOTE_PT = 60.0


def ink_to_grids(ink: Ink, before: Sequence[Grid] = ()) -> tuple[Grid, ...]:
    """The tables of a page; one at the top without heading goes on with the last one of the page before."""
    regions = ink_to_regions(ink)
    grids: list[Grid] = []
    for region in regions:
        columns = region_to_columns(region, ink.verticals)
        if len(columns) < 2:
            continue
        ends = [other.bottom for other in regions if _is_above(other, region)]
        above = lines_to_above(region, columns, _lines_above(region, ink.lines, max(ends, default=0.0)), ink)
        heads = heading_to_heads(above, columns, ink)
        earlier = [*before, *grids]
        goes_on = not grids or not (above.captions or above.heading)
        continued = _continued(columns, heads, earlier) if earlier and goes_on else ()
        box = (columns[0].x0, region.top, columns[-1].x1, region.bottom)
        rows = region_to_rows(region, columns, ink)
        if above.group:
            rows = tuple(row if row.groups else replace(row, groups=(above.group,)) for row in rows)
        grids.append(
            Grid(
                ink.content,
                columns,
                continued or heads,
                rows,
                (*above.captions, *earlier[-1].captions) if continued else above.captions,
                _notes(region, ink.lines, regions),
                box,
                bool(continued),
            )
        )
    return tuple(grids)


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


def _continued(columns: Sequence[Column], heads: Sequence[Head], earlier: Sequence[Grid]) -> tuple[Head, ...]:
    """The headings of an earlier table whose columns stand where these do, if these have none of their
    own."""
    own = {n for head in heads for n in range(head.first, head.last + 1)}
    if len(own) > 0.4 * len(columns):
        return ()
    for grid in reversed(earlier):
        if len(grid.columns) == len(columns) and all(
            min(abs(a.x0 - b.x0), abs(a.x1 - b.x1), abs(a.mid_x - b.mid_x)) < SAME_PT
            for a, b in zip(grid.columns, columns, strict=True)
        ):
            return grid.heads
    return ()
