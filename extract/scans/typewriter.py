"""Typewriter's type on a recognised page: every sign has a place as wide as any other.

Comes in: the glyphs of each line where their ink stands. Goes out: the same; on a page in such type each
glyph as wide as its place, in the size that its pitch tells, and a blank between two lines that stand one
place apart. Ink alone says neither: a 1 fills a third of its place, and such letters are low for their size.

    ink       1 . 5     two boxes found   NS  24-030
    places   [1][.][5]  one blank apart   NS_24-030
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from statistics import median

from extract.page import Glyph
from extract.scans.type_sizes import line_in_size

PITCH_EM = 0.6  # places of a typewriter's type are so wide: Courier's are, and those made like it
SAME_PITCH, MOSTLY = 0.1, 0.65  # so many neighbours stand equally far apart, within a tenth; elsewhere half
WIDE_EM = 0.57  # of the size that their height tells: letters of other types stand closer
FEW_PAIRS = 40  # fewer neighbours tell nothing of a page
STRAYED = 0.07  # a line whose places differ by more lost blanks: its glyphs stay where their ink is
BLANK = (0.4, 1.6)  # places between two lines: one blank
LEVEL_EM = 0.4  # middles of one line differ by less


def lines_to_typed(lines: Sequence[Sequence[Glyph]]) -> list[list[Glyph]]:
    """The lines of a page, set in places where they are of a typewriter's type."""
    kept = [list(line) for line in lines if line]
    pitch = _lines_to_pitch(kept)
    if not pitch:
        return kept
    placed = [line_in_size(_line_in_places(line, pitch), pitch / PITCH_EM) for line in kept]
    return [_with_blank(line, placed, pitch) for line in placed]


def _lines_to_pitch(lines: Sequence[Sequence[Glyph]]) -> float:
    """How far neighbours of a page stand apart, points; 0 where they do not stand evenly."""
    pitches = [
        right.mid_x - left.mid_x
        for line in lines
        for left, right in pairwise(line)
        if left.text.isalpha() and right.text.isalpha()  # digits stand evenly in any type
    ]
    if len(pitches) < FEW_PAIRS:
        return 0.0
    usual = median(pitches)
    even = sum(abs(pitch - usual) < SAME_PITCH * usual for pitch in pitches)
    size = median(line[0].size for line in lines)
    return usual if even > MOSTLY * len(pitches) and usual > WIDE_EM * size else 0.0


def _line_in_places(line: Sequence[Glyph], pitch: float) -> list[Glyph]:
    """The glyphs of a line as wide as their places: evenly from its first to its last, else each about its
    own ink, with a blank where a place is left out."""
    first, last = line[0].mid_x, line[-1].mid_x
    own = (last - first) / max(1, len(line) - 1)
    is_even = abs(own - pitch) < STRAYED * pitch
    mids = [first + n * own if is_even else glyph.mid_x for n, glyph in enumerate(line)]
    half = pitch / 2
    placed = [replace(glyph, x0=mid - half, x1=mid + half) for glyph, mid in zip(line, mids, strict=True)]
    return _with_blanks_between(placed, pitch)


def _with_blanks_between(line: Sequence[Glyph], pitch: float) -> list[Glyph]:
    filled = [line[0]]
    for before, glyph in pairwise(line):
        if BLANK[0] * pitch < glyph.x0 - before.x1 < BLANK[1] * pitch:
            filled.append(_blank_between(before, glyph))
        filled.append(glyph)
    return filled


def _blank_between(left: Glyph, right: Glyph) -> Glyph:
    return replace(left, text=" ", x0=left.x1, x1=right.x0)


def _with_blank(line: list[Glyph], lines: Sequence[Sequence[Glyph]], pitch: float) -> list[Glyph]:
    """A line with a blank behind it where another goes on one place farther right."""
    last = line[-1]
    for other in lines:
        gap = other[0].x0 - last.x1
        level = abs(other[0].mid_y - last.mid_y) < LEVEL_EM * last.size
        if level and BLANK[0] * pitch < gap < BLANK[1] * pitch:
            return [*line, _blank_between(last, other[0])]
    return line
