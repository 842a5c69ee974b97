"""Lines become regions: places of a page where rows of values stand under one another.

Comes in: Ink. Goes out: Regions: data lines, the lines that float between them, the sides between which they
stand. Does not know columns.

    Evidence for one region       lines of three values that stand for themselves, one below the other
    Evidence for its end          a heading between (several texts without values), a wide gap
    Evidence for two side by side rules and stripes that end, a wide channel with words or names right of it
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from extract.cells.data_lines import LEAST_VALUES, is_data_line, is_heading_line, is_section_title
from extract.cells.ink import Atom, Ink, Line
from extract.cells.sides import block_to_sides
from extract.cells.temperatures import line_to_ambients

WIDE_ROWS = 2.6
KEPT = 0.6
APART_EM = 1.6
"""The words of a typed sentence stand closer than the texts of a row."""
LEAST_WRAPPED, WRAPPED_ROWS = 3, 0.6
"""So many rows, and such a share of them, have a wrapped cell."""
"""Rows of one table stand at most so many times their usual distance apart."""
FAR_EM = 4.5
"""And the second row of a table at most so far below the first."""
LEAST_RULE, RULED = 0.3, 0.6
"""A rule between rows is at least so wide against them; in a ruled table so many rows are parted by one."""
HALF_EM, WRAPPED_EM, WRAPPED_LINE_EM = 0.75, 0.9, 1.6
BOX_EM = 6.0


@dataclass(frozen=True, slots=True)
class Region:
    """Data lines top to bottom and what floats between them; `x0`, `x1` bound its side of the page."""

    data: tuple[Line, ...]
    floats: tuple[Line, ...]
    x0: float
    x1: float

    @property
    def top(self) -> float:
        """Upper edge of the first line."""
        return min(line.top for line in (*self.data[:1], *self.floats[:1]))

    @property
    def bottom(self) -> float:
        """Lower edge of the last line."""
        return max(line.bottom for line in (*self.data, *self.floats))

    @property
    def pitch(self) -> float:
        """The usual distance of its data lines."""
        return rows_to_pitch([line.mid_y for line in self.data])


def ink_to_regions(ink: Ink) -> tuple[Region, ...]:
    """All regions of a page, top to bottom."""
    found = _lines_to_regions(ink.lines, ink, 0.0, ink.content.width, 0)
    whole = [_with_wrapped_ends(region, ink) for region in found]
    return tuple(sorted(whole, key=lambda region: (region.top, region.x0)))


def _with_wrapped_ends(region: Region, ink: Ink) -> Region:
    """The region with the lines of wrapped cells above its first and below its last row: no rule between;
    nearer to the row than half a pitch, if cells are wrapped elsewhere in it, or in one box with it."""
    if len(region.data) < 2:
        return _with_boxed_lines(region, ink)
    ends = []
    for row, side in ((region.data[0], -1), (region.data[-1], 1)):
        for line in ink.lines:
            inside = line.within(region.x0, region.x1)
            distance = side * (line.mid_y - row.mid_y)
            reach = max(0.6 * region.pitch, WRAPPED_LINE_EM * row.size)
            if inside is None or not 0.5 < distance < reach or _is_known(inside, region):
                continue
            low, high = sorted((line.mid_y, row.mid_y))
            x = inside.atoms[0].mid_x
            near = bool(region.floats) and distance < 0.45 * region.pitch
            if not _rules_between(ink, x, low, high) and (near or _is_closed(inside, row, side, ink)):
                ends.append(inside)
    floats = sorted({line.mid_y: line for line in (*region.floats, *ends)}.values(), key=lambda f: f.mid_y)
    return Region(region.data, tuple(floats), region.x0, region.x1)


def _rules_between(ink: Ink, x: float, low: float, high: float) -> bool:
    return any(low < r.at < high and r.start <= x <= r.end for r in ink.horizontals)


def _wide_rules(row: Line, ink: Ink) -> list[float]:
    """The heights of the rules that are as wide as a row."""
    return [r.at for r in ink.horizontals if r.start <= row.x0 + 2 and r.end >= row.x1 - 2]


def _is_closed(line: Line, row: Line, side: int, ink: Ink) -> bool:
    """Whether rules as wide as the row close the box of a line and its row on both sides."""
    wide = _wide_rules(row, ink)
    beyond = any(0 < side * (at - line.mid_y) < 1.3 * line.size for at in wide)
    behind = any(0 < side * (row.mid_y - at) < 2.5 * row.size for at in wide)
    return beyond and behind


def _lines_to_regions(lines: Sequence[Line], ink: Ink, x0: float, x1: float, depth: int) -> Iterator[Region]:
    for block in map(_without_headings, _lines_to_blocks(lines)):
        data, floats = _boxed_to_floats(*_halves_to_floats(*block), ink)
        if len(data) < 2 and len(data[0].lone_values) < LEAST_VALUES:
            continue
        whole = Region(tuple(data), tuple(floats), x0, x1)
        sides = block_to_sides(data, floats, ink, x0, x1) if depth < 3 else ()
        top, bottom = data[0].top - 1, max(line.bottom for line in (*data, *floats)) + 1
        inside = [line for line in lines if top <= line.mid_y <= bottom] if sides else []
        halves: list[Region] = []
        for left, right in sides:
            own = [part for line in inside if (part := line.within(left, right)) is not None]
            halves += _lines_to_regions(own, ink, left, right, depth + 1)
        yield from halves if _count_values(halves) >= KEPT * _count_values([whole]) else [whole]


def _count_values(regions: Sequence[Region]) -> int:
    """How many values the rows of some regions hold: two sides that lose most of them are no tables."""
    return sum(len(line.lone_values) for region in regions for line in region.data)


def _without_headings(block: tuple[list[Line], list[Line]]) -> tuple[list[Line], list[Line]]:
    """A block without leading lines of one or two values ("8 A") above rows of many: they are of the
    heading."""
    data, floats = block
    few = len(data) > 2 and len(data[0].lone_values) < 0.7 * len(data[1].lone_values)
    if few and not _begins_like(data[0], data[1:]):
        data = data[1:]
    while len(data) > 1 and len(data[0].lone_values) < LEAST_VALUES <= 0.7 * len(data[1].lone_values):
        data = data[1:]
    return data, [line for line in floats if line.mid_y > data[0].mid_y]


def _is_known(line: Line, region: Region) -> bool:
    """Whether a region holds a line already, as a row's half or as a float."""
    return any(set(line.atoms) & set(other.atoms) for other in (*region.data, *region.floats))


def _with_boxed_lines(region: Region, ink: Ink) -> Region:
    """A region of one row with the other lines of its cells: those between the rules above and below the
    row; a line of ambients heads it."""
    row = region.data[0]
    rules = _wide_rules(row, ink)
    above = max((at for at in rules if at < row.mid_y), default=None)
    below = min((at for at in rules if at > row.mid_y), default=None)
    if above is None or below is None or below - above > BOX_EM * row.size:
        return region
    inside = [line.within(region.x0, region.x1) for line in ink.lines if above < line.mid_y < below]
    floats = [line for line in inside if line is not None and not set(line.atoms) & set(row.atoms)]
    floats = [line for line in floats if not line_to_ambients(line.atoms)]
    return Region(region.data, tuple(floats), region.x0, region.x1)


def _begins_like(line: Line, rows: Sequence[Line]) -> bool:
    """Whether a line has anything where the rows below have their names; "3 A  8 A  15 A" above them has
    not."""
    first = [row.atoms[0] for row in rows]
    left, right = min(a.x0 for a in first), max(a.x1 for a in first)
    named = sum(not a.value for a in first) > 0.7 * len(first)
    return not named or any(a.x0 < right and left < a.x1 for a in line.atoms)


def _lines_to_blocks(lines: Sequence[Line]) -> Iterator[tuple[list[Line], list[Line]]]:
    """Runs of data lines that no heading and no wide gap parts, with what floats between them."""
    data: list[Line] = []
    floats: list[Line] = []
    pending: list[Line] = []
    for line in lines:
        is_data = is_data_line(line)
        if data and (_is_far(data, floats, line) or (not is_data and _heads_another(line, data[-1]))):
            yield data, [*floats, *_last_rest(data, floats, pending)]
            data, floats, pending = [], [], []
        if is_data and data and not pending and _is_other_half(data[-1], line):
            data[-1] = Line(tuple(sorted((*data[-1].atoms, *line.atoms), key=lambda atom: atom.x0)))
        elif is_data:
            floats += pending
            data.append(line)
            pending = []
        elif data:
            pending.append(line)
            if _is_row_of(data, line):
                data.append(line)
                floats += pending[:-1]
                pending = []
    if data:
        yield data, [*floats, *_last_rest(data, floats, pending)]


def _last_rest(data: Sequence[Line], floats: Sequence[Line], below: Sequence[Line]) -> Sequence[Line]:
    """The line below the last row that is the rest of its wrapped cell: most rows above have one, as far
    below and begun at the same place.

    TQ1206P0 | 0.05 |
      05
    TQ1206P0 | 0.10 |
      10
    """
    if not below or len(data) < LEAST_WRAPPED:
        return ()
    steps = [
        f.mid_y - row.mid_y
        for row, after in pairwise(data)
        for f in floats
        if row.mid_y < f.mid_y < after.mid_y
    ]
    places = [f.x0 for f in floats]
    step = below[0].mid_y - data[-1].mid_y
    alike = sum(abs(own - step) < 0.2 * step for own in steps)
    begins = sum(abs(x0 - below[0].x0) < 3.0 for x0 in places)
    many = min(alike, begins) >= WRAPPED_ROWS * (len(data) - 1)
    return below[:1] if many and len(below[0].chunks) in {len(f.chunks) for f in floats} else ()


def _heads_another(line: Line, row: Line) -> bool:
    """Whether a line is the heading of another table, not the lower line of a row's cells; the title of a
    section may have a number without a full stop where it begins no farther to the right than the rows."""
    bare = is_section_title(line, bare=True) and not is_section_title(line)
    titled = bare and line.x0 < row.x0 + 3.0
    return (titled or is_heading_line(line)) and not _is_within_row(row, line)


def _halves_to_floats(data: list[Line], floats: list[Line]) -> tuple[list[Line], list[Line]]:
    """A block whose merged cells float: numbers in the middle between two rows that have nothing in their
    columns.

    AB-150 | 1.50 |    |    | 0.110      the line "72 | 20" is no row
                  | 72 | 20 |
    AB-200 | 2.00 |    |    | 0.070
    """
    pitch = rows_to_pitch([row.mid_y for row in data])
    halves = [
        line
        for before, line, after in zip(data, data[1:], data[2:], strict=False)
        if after.mid_y - before.mid_y < 1.3 * pitch
        and not _overlaps(line, before)
        and not _overlaps(line, after)
    ]
    return [line for line in data if line not in halves], sorted([*floats, *halves], key=lambda f: f.mid_y)


def _boxed_to_floats(data: list[Line], floats: list[Line], ink: Ink) -> tuple[list[Line], list[Line]]:
    """A block whose rows are parted by rules, with the lower lines of a row's cells among what floats: no
    rule parts them from the line above.

    | Rmin / | 148 / | 87 / |
    | R1max  | 428   | 253  |      one row
    |--------|-------|------|
    """
    width = max(line.x1 for line in data) - min(line.x0 for line in data)
    parted = [
        any(
            above.mid_y < rule.at < below.mid_y and rule.end - rule.start > LEAST_RULE * width
            for rule in ink.content.horizontals
        )
        for above, below in pairwise(data)
    ]
    is_ruled = sum(parted) >= 2 and sum(parted) >= RULED * len(parted)
    lower = [
        line
        for above, line, is_parted in zip(data, data[1:], parted, strict=False)
        if not is_parted and (is_ruled or _is_open(above))
    ]
    return [line for line in data if line not in lower], sorted([*floats, *lower], key=lambda f: f.mid_y)


def _is_open(line: Line) -> bool:
    """Whether most values of a line wait for a second one below them: "0.20 /"."""
    last = [chunk[-1].folded for chunk in line.chunks]
    return len(last) > 2 and 2 * sum(text.endswith("/") for text in last) > len(last)


def _overlaps(one: Line, other: Line) -> bool:
    return any(a.x0 < b.x1 and b.x0 < a.x1 for a in one.atoms for b in other.atoms)


def _is_other_half(one: Line, other: Line) -> bool:
    """Whether two lines are one row whose cells do not stand at one height: nearer than two lines can stand,
    and nothing of one above or below something of the other."""
    near = abs(one.mid_y - other.mid_y) < HALF_EM * max(one.size, other.size)
    return near and not _overlaps(one, other)


def _is_within_row(row: Line, line: Line) -> bool:
    """Whether a line stands as close to a row as the lines of one cell."""
    return abs(row.mid_y - line.mid_y) < WRAPPED_EM * max(row.size, line.size)


def _is_row_of(data: Sequence[Line], line: Line) -> bool:
    """Whether a line with few values is a row: it begins where the rows begin and its values stand below
    theirs."""
    if not any(atom.number for atom in line.lone_values):
        return _is_text_row(data, line)
    if abs(line.x0 - data[-1].x0) > 3.0:
        return len(line.chunks) >= 3 and all(_is_under(chunk, data) for chunk in line.chunks)
    if _is_name_beside_values(data, line):
        return True
    above = [atom for atom in data[-1].lone_values if atom.number]
    return all(any(a.x0 < v.x1 and v.x0 < a.x1 for a in above) for v in line.lone_values)


def _is_name_beside_values(data: Sequence[Line], line: Line) -> bool:
    """Whether a line is a name left of all numbers of the rows, with nothing but values and units beside."""
    start = min((atom.x0 for row in data for atom in row.lone_values if atom.number), default=line.x1)
    apart = len(line.chunks) >= 2 and all(a.value or a.unit for chunk in line.chunks[1:] for a in chunk)
    return apart and line.lone_values[0].x0 > start - 2 and line.chunks[0][-1].x1 < start


def _is_text_row(data: Sequence[Line], line: Line) -> bool:
    """Whether a line is a row of texts ("Mounting | radial | radial | SMD"): it begins where the rows
    begin, all its texts stand below theirs, a row's height away."""
    pitch = rows_to_pitch([row.mid_y for row in data])
    below = 0.7 * pitch < line.mid_y - data[-1].mid_y < WIDE_ROWS * pitch
    begins = abs(line.x0 - data[-1].x0) < 3.0 and len(line.chunks) >= LEAST_VALUES
    begins = begins and any(b[0].x0 - a[-1].x1 > APART_EM * line.size for a, b in pairwise(line.chunks))
    return below and begins and all(_is_under(chunk, data) for chunk in line.chunks)


def _is_under(chunk: Sequence[Atom], data: Sequence[Line]) -> bool:
    """Whether a text stands below a text of a row, and a number below a number."""
    x0, x1 = chunk[0].x0, max(atom.x1 for atom in chunk)
    is_number = any(atom.number for atom in chunk)
    return any(
        other[0].x0 < x1 and x0 < other[-1].x1 and is_number <= any(a.number for a in other)
        for row in data[-3:]
        for other in row.chunks
    )


def _is_far(data: Sequence[Line], floats: Sequence[Line], line: Line) -> bool:
    """Whether a line stands too far below the last data line to belong to its table."""
    pitch = rows_to_pitch([row.mid_y for row in data])
    last = max(data[-1].mid_y, *(f.mid_y for f in floats), data[-1].mid_y)
    limit = max(WIDE_ROWS * pitch, FAR_EM * line.size)
    return line.mid_y - last > limit


def rows_to_pitch(mids: Sequence[float]) -> float:
    """The usual distance between neighbouring rows (0 for fewer than two)."""
    steps = sorted(b - a for a, b in pairwise(mids))
    return steps[len(steps) // 2] if steps else 0.0
