"""Rows that take two lines each: what stands in the second line is a row of columns of its own.

Comes in: a Region, the lines above it, the page's rules. Goes out: its rows as one Grid, the columns of the
second lines behind those of the first. Understands no word but units.

    Type        Ih / It        R min / R max        the heading folds as the rows do, below its line of units
                A              Ohm
                Time max       R1
    TQ 010-60   0.10 / 0.20    2.95 / 5.21
                2.5 s at 0.5 A <= 8.68
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from extract.cells.data_lines import is_mixed
from extract.cells.headings import Above, heading_to_heads, lines_to_above
from extract.cells.ink import Ink, Line
from extract.cells.regions import Region
from extract.cells.rows import region_to_rows
from extract.cells.separators import region_to_columns
from extract.cells.tables import Column, Grid, Head, Row

LEAST_RECORDS = 3
ALIKE, UNLIKE = 0.6, 0.55
"""Share of columns that two lines both fill: of one place in their records, of different places."""
NAMED = 0.7


@dataclass(frozen=True, slots=True)
class _Stratum:
    """The first lines of all rows, or the second ones, with their columns and headings."""

    region: Region
    columns: tuple[Column, ...]
    heads: tuple[Head, ...]


def region_to_folded(
    region: Region, columns: Sequence[Column], lines: Sequence[Line], ink: Ink
) -> tuple[Grid, Above] | None:
    """The grid of a region whose rows take two lines each, and what stands above it; None if they do not.
    `lines` are those above it, nearest first."""
    rows = _region_to_lines(region, columns)
    if not _is_folded(rows, columns):
        return None
    halves = [Region(rows[n::2], (), region.x0, region.x1) for n in (0, 1)]
    parted = [region_to_columns(half, ink.verticals) for half in halves]
    above = lines_to_above(halves[0], parted[0], lines, ink)
    headings = _heading_to_halves(above.heading)
    strata = [
        _Stratum(half, own, heading_to_heads(replace(above, heading=heading), own, ink))
        for half, own, heading in zip(halves, parted, headings, strict=True)
    ]
    return _strata_to_grid(strata, above, ink), above


def _region_to_lines(region: Region, columns: Sequence[Column]) -> tuple[Line, ...]:
    """The lines of a region's rows, with those that float if there is one with numbers of its own for each
    row: a word stands before them."""
    if not region.floats:
        return region.data
    lines = tuple(sorted((*region.data, *region.floats), key=lambda line: line.mid_y))
    told = [any(a.number and a.mid_x > columns[0].right for a in line.atoms) for line in region.floats]
    return lines if lines[::2] == region.data and sum(told) >= NAMED * len(told) else ()


def _is_folded(lines: Sequence[Line], columns: Sequence[Column]) -> bool:
    """Whether lines are by turns of two kinds that fill other columns, each pair begun by a name, nearer to
    its second line than that is to the next name."""
    if len(lines) < 2 * LEAST_RECORDS or len(lines) % 2:
        return False
    filled = [_filled(line, columns) for line in lines]
    same = [_share(a, b) for a, b in zip(filled, filled[2:], strict=False)]
    other = [_share(a, b) for a, b in pairwise(filled)]
    steps = [b.mid_y - a.mid_y for a, b in pairwise(lines)]
    near = sum(steps[::2]) / len(steps[::2]) <= 1.05 * sum(steps[1::2]) / len(steps[1::2])
    names = [_begins_with_a_name(line) for line in lines]
    named = sum(names[::2]) >= NAMED * len(names[::2]) and not any(names[1::2])
    return named and near and min(same) >= ALIKE / 2 and _mean(same) >= ALIKE and _mean(other) <= UNLIKE


def _filled(line: Line, columns: Sequence[Column]) -> frozenset[int]:
    return frozenset(n for n, c in enumerate(columns) for a in line.atoms if c.left <= a.mid_x < c.right)


def _share(one: frozenset[int], other: frozenset[int]) -> float:
    return len(one & other) / max(1, len(one | other))


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _begins_with_a_name(line: Line) -> bool:
    """Whether the first texts of a line are a code, perhaps of two words, behind a running number."""
    words = [atom.text for atom in line.atoms[:3]]
    digits = any(character.isdigit() for word in words for character in word)
    capitals = any(len(word) > 1 and word.isupper() and word.isalpha() for word in words)
    return any(map(is_mixed, words[:2])) or (digits and capitals)


def _heading_to_halves(heading: Sequence[Line]) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """The lines of a heading down to its last line of units, and those below."""
    units = [n for n, line in enumerate(heading) if all(atom.unit for atom in line.atoms)]
    end = units[-1] + 1 if units else len(heading)
    return tuple(heading[:end]), tuple(heading[end:])


def _strata_to_grid(strata: Sequence[_Stratum], above: Above, ink: Ink) -> Grid:
    first, second = strata
    shift = len(first.columns)
    heads = (*first.heads, *(replace(h, first=h.first + shift, last=h.last + shift) for h in second.heads))
    rows = [
        Row((*a.cells, *b.cells), a.groups, a.top, b.bottom, a.mid_y)
        for a, b in zip(*(region_to_rows(s.region, s.columns, ink) for s in strata), strict=True)
    ]
    left = min(column.x0 for s in strata for column in s.columns)
    right = max(column.x1 for s in strata for column in s.columns)
    box = (left, first.region.top, right, second.region.bottom)
    columns = (*first.columns, *second.columns)
    return Grid(ink.content, columns, heads, tuple(rows), above.captions, (), box)
