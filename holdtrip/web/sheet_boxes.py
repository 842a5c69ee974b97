"""Where each number of a sheet stands in the picture: its ink, its row's name, its column's heading.

Comes in: a kept PDF and the stored numbers read from it. Goes out: boxes in points from the top left of the
page as shown. A label or heading is found again on the page, for showing it beside the cell; nothing is read
from it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from itertools import pairwise
from pathlib import Path
from statistics import median_low

from extract.document import open_pdfium
from extract.schema import WHOLE_SERIES
from holdtrip.library.records import StoredNumber
from holdtrip.web.page_ink import Box, PageInk, around, page_to_ink, place_to_box, text_to_boxes
from holdtrip.web.plain_reasons import is_recognised, notes_to_label

HIGHEST_HEADING_PT = 62.0
FIRST_GAPS_PT, NEXT_GAP_PT = (16.0, 34.0), 9.0  # from the first row up to its heading; between its lines
WIDER = 4.0  # than a cell: no other of its column, but a line across the table
COLUMN_GAP_PT = 14.0  # between the lines over one column, the shorter of which stand at mid-height
TITLE = 1.25  # letters so much taller than those of a heading are those of a title
PICTURED_HEADING_PT, PICTURED_NAME_PT, PICTURED_GAP_PT = 40.0, 100.0, 60.0
WORD_GAP_PT, WORD_GAP, WIDEST_HEADING_PT = 3.0, 0.4, 90.0  # a gap in points, in heights of the line
PART_OF_WORD, FURTHEST_BESIDE_PT = 0.3, 45.0
TOUCHING_PT = 2.5  # between a letter and what is lowered or raised beside it
EDGE_PT = 0.6  # from a heading's strip to the first row, whose glyphs would be cut
NEW_TABLE = 2.6  # rows further apart than so many times the usual distance belong to two tables


@dataclass(frozen=True, slots=True)
class NumberBoxes:
    """Of one number: the ink of its cell, the name of its row, the strip with its column's heading."""

    number_id: int
    cell: Box
    label: Box
    heading: Box


def path_to_boxes(path: Path, numbers: Sequence[StoredNumber]) -> tuple[NumberBoxes, ...]:
    """The boxes of all numbers of a sheet, in this process."""
    found: list[NumberBoxes] = []
    with open_pdfium(path, path.name) as pdf:
        for page in sorted({one.reading.place.page for one in numbers}):
            if 1 <= page <= len(pdf):
                own = [one for one in numbers if one.reading.place.page == page]
                pictured = [one for one in own if is_recognised(one.reading.notes)]
                printed = [one for one in own if not is_recognised(one.reading.notes)]
                found += [*_page_to_boxes(page_to_ink(pdf[page - 1]), printed), *_picture_to_boxes(pictured)]
    return tuple(found)


def _picture_to_boxes(numbers: Sequence[StoredNumber]) -> list[NumberBoxes]:
    """On a picture no words can be found: a strip left of the table shows the name of each row, a strip above
    it the heading of each column."""
    places = {one.number_id: one.reading.place for one in numbers}
    cells = {key: Box(place.x0, place.top, place.x1, place.bottom) for key, place in places.items()}
    found = []
    for table in _tables(cells, PICTURED_GAP_PT):
        region = around(cells[number_id] for number_id in table)
        for number_id in sorted(table):
            cell = cells[number_id]
            column = around(other for other in map(cells.__getitem__, table) if _over(cell, other))
            heading = Box(column.x0, max(0.0, region.top - PICTURED_HEADING_PT), column.x1, region.top - 1)
            label = Box(max(0.0, region.x0 - PICTURED_NAME_PT), cell.top, region.x0 - 1, cell.bottom)
            found.append(NumberBoxes(number_id, cell, label, heading))
    return found


def _page_to_boxes(ink: PageInk, numbers: Sequence[StoredNumber]) -> list[NumberBoxes]:
    cells = {one.number_id: _cell(ink, one) for one in numbers}
    heading_of = cache(partial(_heading, ink))  # the cells of a column share one strip
    found = []
    for table in _tables(cells):
        region = around(cells[number_id] for number_id in table)
        top = _heading_top(ink, region)
        for one in numbers:
            if one.number_id in table:
                cell = cells[one.number_id]
                column = around(other for other in map(cells.__getitem__, table)
                                if _over(cell, other) and _width(other) < WIDER * max(_width(cell), 8.0))
                heading = heading_of(Box(column.x0, top, column.x1, region.top))
                found.append(NumberBoxes(one.number_id, cell, _label(ink, one, cell), heading))
    return found


def _cell(ink: PageInk, one: StoredNumber) -> Box:
    place = one.reading.place
    return place_to_box(ink, place, one.reading.raw) or Box(place.x0, place.top, place.x1, place.bottom)


def _tables(cells: dict[int, Box], least_gap: float = 0.0) -> list[frozenset[int]]:
    """Numbers of one page parted where rows stand further apart than rows of a table do; on a picture whole
    rows may not have been recognised."""
    listed = sorted(cells, key=lambda number_id: cells[number_id].middle[1])
    heights = [cells[number_id].middle[1] for number_id in listed]
    steps = [later - earlier for earlier, later in pairwise(heights)]
    usual = median_low([step for step in steps if step > 2] or [12.0])
    widest = max(NEW_TABLE * usual, least_gap)
    parted = [0, *(index + 1 for index, step in enumerate(steps) if step > widest), len(listed)]
    return [frozenset(listed[start:end]) for start, end in pairwise(parted) if end > start]


def _heading_top(ink: PageInk, region: Box) -> float:
    """How far up the heading above a table reaches: line by line, until a gap; over a wider gap only where
    nothing stands nearer."""
    highest = region.top - HIGHEST_HEADING_PT
    over = [box for box in ink.boxes if highest < box.top and box.bottom <= region.top + 1
            and box.x1 > region.x0 - 4 and box.x0 < region.x1 + 4]
    for gap in FIRST_GAPS_PT:
        near = [box.bottom - box.top for box in over if box.bottom > region.top - gap]
        tall = [box.bottom for box in over if box.bottom - box.top > TITLE * max(near, default=6.0)]
        title = max(tall, default=0.0)  # the title of a section stands in larger letters
        top = _lines_up(region.top, gap, [box for box in over if box.top >= title])
        if top < region.top:
            return top
    return region.top - FIRST_GAPS_PT[0]


def _lines_up(start: float, gap: float, over: Iterable[Box], next_gap: float = NEXT_GAP_PT) -> float:
    """Up from a height over glyphs: the first within a gap, the others within that between lines."""
    top, allowed = start, gap
    for box in sorted(over, key=lambda box: -box.bottom):
        if top - box.bottom > allowed or start - box.top > HIGHEST_HEADING_PT:
            break
        top, allowed = min(top, box.top), next_gap
    return top


def _heading(ink: PageInk, strip: Box) -> Box:
    """The strip above a column, as wide as the words in it that stand over the column, and so high that it
    cuts none of them; where the table's heading has nothing over this column, up to what stands there, or
    else beside it."""
    above = [box for box in ink.boxes if box.bottom < strip.bottom + 1
             and 0 < strip.bottom - box.top < HIGHEST_HEADING_PT]
    if not any(_over(box, strip) for box in above):
        strip = _beside(strip, map(around, _glyphs_to_words(above)))
    column = [box for box in above if _over(box, strip)]
    top = _lines_up(strip.bottom, HIGHEST_HEADING_PT, column, COLUMN_GAP_PT)
    if column and (top > strip.top or all(box.bottom <= strip.top for box in column)):
        strip = replace(strip, top=top)  # without the title of the table, which stands higher
    glyphs = [box for box in above if strip.top - 1 <= box.middle[1]]
    over = [word for word in map(around, _glyphs_to_words(glyphs))
            if _over(word, strip, PART_OF_WORD) and word.x1 - word.x0 <= WIDEST_HEADING_PT]
    wide = around([strip, *over])
    wide = replace(wide, x0=wide.x0 - TOUCHING_PT)  # a slim letter before what is lowered beside it
    tops = [box for box in above if _over(box, wide)]  # of letters whose feet stand in the strip
    wide = replace(wide, top=_lines_up(wide.top, TOUCHING_PT, tops, TOUCHING_PT))
    lowest = max((box.bottom for box in glyphs), default=strip.bottom)
    return Box(wide.x0, wide.top, wide.x1, min(strip.bottom - EDGE_PT, lowest + 2))


def _beside(strip: Box, words: Iterable[Box]) -> Box:
    """A strip widened to the heading nearest to its column: centred ones stand beside numbers that keep to
    the edge of their cells."""

    def gap(word: Box) -> float:
        return max(word.x0 - strip.x1, strip.x0 - word.x1)

    near = [word for word in words if gap(word) < FURTHEST_BESIDE_PT]
    if not near:
        return strip
    nearest = min(near, key=lambda word: (round(gap(word)), -word.bottom))
    wide = around([strip, nearest])
    return replace(wide, bottom=strip.bottom)


def _glyphs_to_words(glyphs: Iterable[Box]) -> list[list[Box]]:
    lines: list[list[Box]] = []
    for box in sorted(glyphs, key=lambda box: box.middle[1]):
        line = next((line for line in lines if _level(box, max(line, key=_height))), None)
        if line is None:
            lines.append(line := [])
        line.append(box)
    words: list[list[Box]] = []
    for line in lines:
        gap, last = max(WORD_GAP_PT, WORD_GAP * max(map(_height, line))), None
        for box in sorted(line, key=lambda box: box.x0):
            if last is None or box.x0 - last.x1 >= gap:
                words.append([])
            words[-1].append(box)
            last = box
    return words


def _width(box: Box) -> float:
    return box.x1 - box.x0


def _height(box: Box) -> float:
    return box.bottom - box.top


def _over(one: Box, other: Box, share: float = 0.5) -> bool:
    """Whether two cells share a column: half of the narrower lies over the other."""
    shared = min(one.x1, other.x1) - max(one.x0, other.x0)
    return shared >= share * min(one.x1 - one.x0, other.x1 - other.x0)


def _label(ink: PageInk, one: StoredNumber, cell: Box) -> Box:
    """Where the name of a cell's row stands: of a table whose columns are parts that of the quantity, for the
    heading names the part."""
    named = notes_to_label(one.reading.notes) or one.reading.part_number
    places = text_to_boxes(ink, named) if named != WHOLE_SERIES and len(named) > 3 else []
    beside = [box for box in places if _level(box, cell)]
    if beside:
        return min(beside, key=lambda box: abs(box.middle[0] - cell.middle[0]))
    above = [box for box in places if _over(box, cell) and box.bottom <= cell.top]
    if above:
        words = _first_words(ink.boxes, cell)
        return words if words.x1 <= cell.x0 else max(above, key=lambda box: box.bottom)
    nearest = [box for box in places if abs(box.middle[1] - cell.middle[1]) < HIGHEST_HEADING_PT]
    return min(nearest, key=lambda box: abs(box.middle[1] - cell.middle[1])) if nearest else (
        _first_words(ink.boxes, cell))


def _level(one: Box, other: Box) -> bool:
    shared = min(one.bottom, other.bottom) - max(one.top, other.top)
    return shared >= 0.4 * min(one.bottom - one.top, other.bottom - other.top)


def _first_words(glyphs: Iterable[Box], cell: Box) -> Box:
    """The first words on a cell's line; the cell itself where nothing stands beside it."""
    line = sorted((box for box in glyphs if _level(box, cell)), key=lambda box: box.x0)
    words: list[Box] = []
    for box in line:
        if words and box.x0 - words[-1].x1 > 8:
            break
        words.append(box)
    return around(words) if words else cell
