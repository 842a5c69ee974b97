"""Each reading of a picture page held against both recognisers: agreed, single or disputed, and why.

Comes in: readings, the scanned pages they stand on. Goes out: the same readings with the status that two
recognitions of their cell allow: one that the second look at the table did not bear out is not raised.
Corrects nothing: a dispute shows both.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from extract.page import box_to_place
from extract.scans.doubts import (
    ScannedLine,
    has_number,
    heads_column,
    line_to_doubt,
    line_to_heading_doubt,
    text_to_printed,
    text_to_values,
)
from extract.scans.names import line_to_other_part, parts_to_doubts
from extract.scans.recognised import ScannedPage
from extract.schema import Place, Quantity, Reading, Status

AGREED_DPI = 295.0  # a picture of 300 dots per inch; less agrees on nothing
RECOGNISED = "recognised from a picture"
HEADING = "its heading is "
MERGED = "cell over several rows"


def readings_to_judged(readings: Sequence[Reading], pages: Mapping[int, ScannedPage]) -> tuple[Reading, ...]:
    """Readings that stand on pictures judged and marked as recognised, the others as they were."""
    if not pages:
        return tuple(readings)
    lines = [line for page in pages.values() for line in page.lines]
    parts = tuple(dict.fromkeys(reading.part_number for reading in readings))
    cells = [reading.place for reading in readings]
    seen = {number: _page_to_seen(page, cells, parts) for number, page in pages.items()}
    doubted = parts_to_doubts(parts, lines)
    shared = _shared_ratios(readings)
    return tuple(
        _judged(r, seen[r.place.page], doubted.get(r.part_number, ""), (r.part_number, r.place) in shared)
        if r.place.page in seen and seen[r.place.page].holds(r.place)
        else r
        for r in readings
    )


@dataclass(frozen=True, slots=True)
class _Seen:
    """What was recognised on a page: every line with its place, and the doubtful ones among those in which
    no reading stands: headings and conditions. `cells`: where its readings stand; `outside`: the lines
    outside them; `parts`: all parts of the sheet."""

    page: ScannedPage
    lines: tuple[tuple[Place, ScannedLine], ...]
    doubtful: tuple[tuple[Place, ScannedLine, str], ...]
    cells: tuple[Place, ...]
    outside: tuple[tuple[Place, ScannedLine], ...]
    parts: tuple[str, ...]

    def holds(self, place: Place) -> bool:
        """Whether a place is part of a picture."""
        x, y = (place.x0 + place.x1) / 2, (place.top + place.bottom) / 2
        boxes = self.page.pictures
        return not boxes or any(b[0] <= x <= b[2] and b[1] <= y <= b[3] for b in boxes)


def _page_to_seen(page: ScannedPage, cells: Sequence[Place], parts: tuple[str, ...]) -> _Seen:
    own = tuple({cell for cell in cells if cell.page == page.content.number})
    lines = tuple((box_to_place(page.content, line.box), line) for line in page.lines)
    outside = tuple((place, line) for place, line in lines if not any(_is_in(place, cell) for cell in own))
    doubtful = tuple(
        (place, line, reason)
        for place, line in outside
        if (reason := line_to_doubt(line) or line_to_heading_doubt(line))
    )
    return _Seen(page, lines, doubtful, own, outside, parts)


def _shared_ratios(readings: Sequence[Reading]) -> set[tuple[str, Place]]:
    """Parts and places of shares taken for both the hold and the trip current: nothing said which, and on a
    picture the words that say so may not have been recognised."""
    hold, trip = (
        {(r.part_number, r.place) for r in readings if r.quantity is quantity}
        for quantity in (Quantity.HOLD_RATIO, Quantity.TRIP_RATIO)
    )
    return hold & trip


def _judged(reading: Reading, seen: _Seen, name_doubt: str, is_shared: bool = False) -> Reading:
    inside = [line for place, line in seen.lines if _is_in(place, reading.place) and has_number(line.text)]
    mark = _mark(inside)
    reason = (
        _cell_to_doubt(inside)
        or _digits_to_doubt(reading.raw, inside)
        or name_doubt
        or _row_to_doubt(reading, seen)
        or _meaning_to_doubt(reading, is_shared)
        or _heading_to_doubt(reading, seen)
    )
    if reason:
        return replace(reading, status=Status.DISPUTED, notes=(*reading.notes, reason, mark))
    if reading.status is not Status.AGREED:
        return replace(reading, notes=(*reading.notes, mark))
    lack = _lack_of_agreement(reading, inside, seen)
    if lack:
        return replace(reading, status=Status.SINGLE, notes=(*reading.notes, lack, mark))
    return replace(reading, notes=(*reading.notes, mark))


def _cell_to_doubt(inside: Sequence[ScannedLine]) -> str:
    """Why the digits of a reading are in doubt: those of one of the lines in its cell are."""
    return next((why for line in inside if (why := line_to_doubt(line))), "")


def _digits_to_doubt(raw: str, inside: Sequence[ScannedLine]) -> str:
    """Why the digits of a reading are in doubt: no line of its cell was recognised with that number. A sign
    was left out that stands high like a footnote's mark, or in two boxes, or hidden under a stamp."""
    seen = {number for line in inside for number in text_to_printed(line.text)}
    lost = [number for number in text_to_printed(raw) if number not in seen]
    if not inside or not lost:
        return ""
    return f"taken as '{lost[0]}', recognised as '{inside[0].text}'"


def _meaning_to_doubt(reading: Reading, is_shared: bool) -> str:
    """Why it is in doubt what a reading is of: its words or its rules may not have been recognised."""
    if is_shared:
        return "no word recognised says whether this is a share of the hold or of the trip current"
    if reading.status is Status.SINGLE and any(MERGED in note for note in reading.notes):
        return "which rows this cell spans is told by rules that may not have been recognised"
    return ""


def _lack_of_agreement(reading: Reading, inside: Sequence[ScannedLine], seen: _Seen) -> str:
    """Why a reading that is in no doubt was read once at best."""
    if not inside or not all(line.second for line in inside):
        return "recognised once only"
    taken = _heading_to_taken(reading, seen)
    if taken:
        return f"{HEADING}recognised as '{taken}', taken for a word it is like"
    if seen.page.dpi < AGREED_DPI:
        return f"{seen.page.dpi:.0f} dots per inch are too few to agree"
    return ""


def _mark(lines: Sequence[ScannedLine]) -> str:
    """The remark that a number was recognised, and how surely by the first recogniser."""
    sure = min((line.confidence for line in lines), default=0.0)
    return f"{RECOGNISED}, {100 * sure:.0f} % sure" if lines else RECOGNISED


def _row_to_doubt(reading: Reading, seen: _Seen) -> str:
    """Why the part of a reading is in doubt: the second recogniser reads another where its row is named."""
    for place, line in seen.lines:
        if _is_level(place, reading.place) or _is_above(place, reading.place):
            other = line_to_other_part(reading.part_number, line, seen.parts)
            if other:
                return f"{HEADING}recognised as '{line.text}', by the second recogniser as '{other}'"
    return ""


def _heading_to_doubt(reading: Reading, seen: _Seen) -> str:
    """Why the condition or the unit of a reading is in doubt: a doubtful line above it or left of it that
    states them."""
    asked = {abs(v) for v in (reading.ambient_c, reading.test_current_a) if v is not None}
    for place, line, reason in seen.doubtful:
        of_column = bool(line_to_heading_doubt(line))
        if not of_column and not asked & _stated(line):
            continue
        anew = heads_column if of_column else partial(_states, asked)
        if _is_heading_of(place, reading.place, seen, anew):
            return f"{HEADING}{reason}"
    return ""


def _stated(line: ScannedLine) -> set[float]:
    """The numbers that a line states for either recogniser, without their signs."""
    return {abs(v) for text in (line.text, *line.second) for v in text_to_values(text)}


def _states(asked: set[float], text: str) -> bool:
    """Whether a text states one of the conditions asked for."""
    return bool(asked & {abs(v) for v in text_to_values(text)})


def _heading_to_taken(reading: Reading, seen: _Seen) -> str:
    """A text above a reading or left of it of which a word was taken for one that it is like."""
    taken = ((place, line.text) for place, line in seen.lines if line.taken)
    return next(
        (text for place, text in taken if _is_heading_of(place, reading.place, seen, heads_column)), ""
    )


def _is_heading_of(line: Place, cell: Place, seen: _Seen, anew: Callable[[str], bool]) -> bool:
    """Whether a line stands above a cell, over its middle, and heads its table, or left of it, beside its
    middle. `anew` tells a text that heads a column in the place of that line."""
    if _is_above(line, cell):
        return not _is_headed_anew(line, cell, seen, anew)
    return line.x1 <= cell.x0 + 1 and _is_level(line, cell)


def _is_level(line: Place, cell: Place) -> bool:
    return line.top - 1 <= (cell.top + cell.bottom) / 2 <= line.bottom + 1


def _is_above(line: Place, cell: Place) -> bool:
    x = (cell.x0 + cell.x1) / 2
    return line.bottom <= cell.top + 1 and line.x0 - 1 <= x <= line.x1 + 1


def _is_headed_anew(line: Place, cell: Place, seen: _Seen, anew: Callable[[str], bool]) -> bool:
    """Whether another heading of a column stands over a cell, below numbers that stand below a line: the line
    heads another table. Any other text between rows, a title or a note, ends nothing."""
    nearest = max(
        (place.top for place, one in seen.outside if _is_above(place, cell) and anew(one.text)),
        default=line.top,
    )
    return any(
        line.bottom <= other.top + 1 and other.bottom <= nearest + 1 and _is_above(line, other)
        for other in seen.cells
    )


def _is_in(inner: Place, outer: Place) -> bool:
    """Whether the middle of a place lies in another, or the other way round (a cell inside a long line)."""
    x, y = (inner.x0 + inner.x1) / 2, (inner.top + inner.bottom) / 2
    if outer.x0 - 1 <= x <= outer.x1 + 1 and outer.top - 1 <= y <= outer.bottom + 1:
        return True
    x, y = (outer.x0 + outer.x1) / 2, (outer.top + outer.bottom) / 2
    return inner.x0 <= x <= inner.x1 and inner.top <= y <= inner.bottom
