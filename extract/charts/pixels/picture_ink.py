"""The ink of a picture: what a drawn chart would have given.

Comes in: a pdfium page and the box of a picture on it. Goes out: the page's Ink with the picture's lines as
strokes and its words as letters, and what could not be told. Understands nothing of charts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy
from numpy.typing import NDArray

from extract.charts.curves import ChartLines
from extract.charts.drawn import Drawn
from extract.charts.figures import text_to_number
from extract.charts.frames import EDGE_PT, Frame
from extract.charts.geometry import is_within
from extract.charts.ink import Box, Ink, Letter, Stroke
from extract.charts.pixels.hues import APART, Colour, Painting, line_to_colour, rgb_to_paintings
from extract.charts.pixels.lettered import ReadWord, words_to_read
from extract.charts.pixels.marks import MarkedWord, marks_to_words, mask_to_marks
from extract.charts.pixels.named import PrintedName, curves_to_names, grey_to_names, name_to_letters
from extract.charts.pixels.painted import Painted, page_to_painted
from extract.charts.pixels.ruled import Rule, grey_to_rules
from extract.charts.pixels.traced import Traces, paintings_to_traces, without_rules
from extract.scans.recognisers import Dots

Mask = NDArray[numpy.uint8]

LEAST_RULES = 2  # level and upright: fewer make no frame
TEXT_DARK = 110  # of 255: text is so much darker than paper
STROKE_PT = 14.0  # shorter straight lines could be strokes of letters
SAME_ROW = 0.4  # of its height: a word stands no farther off the row it is in
GREY: tuple[int, int, int] = (120, 120, 120)
VIVID = 60  # of 255: a colour with a hue
BESIDE_PX = 3  # ink so near a curve is the curve's
SAMPLE_PT = (4.0, 50.0)  # a sample of a legend is a level line of such a length
SAMPLE_FLAT, SAMPLE_FULL = 0.3, 0.6  # so many times higher than long at most, and filled to such a share
GRID_ORDER, BEYOND_CURVES = 0, 100_000  # orders of strokes that are no curves


@dataclass(frozen=True, slots=True)
class PictureInk:
    """The ink of a picture; `doubtful` are the orders of the curves that could go on in another line,
    `unsure` the texts that one recogniser alone read."""

    ink: Ink
    doubtful: frozenset[int]
    unsure: frozenset[str]

    def tell_lines(self, frame: Frame, strokes: Sequence[Stroke]) -> ChartLines:
        """The curves that were traced within a frame, and all other lines but the grid."""
        drawn = [
            Drawn(s.points, s.width, s.colour, False, s.order, s.order in self.doubtful)
            for s in strokes
            if s.order != GRID_ORDER
        ]
        x0, top, x1, bottom = frame.box
        around = (x0 - EDGE_PT, top - EDGE_PT, x1 + EDGE_PT, bottom + EDGE_PT)
        curves = [line for line in drawn if line.order < BEYOND_CURVES and is_within(line.box, around)]
        return ChartLines(tuple(curves), tuple(line for line in drawn if line not in curves))


def picture_to_ink(page: Any, ink: Ink, box: Box, names: Sequence[str]) -> PictureInk | None:
    """The ink of a page with that of a picture on it in place of its drawing; `names` are those of the
    sheet's parts. None where no grid is seen."""
    painted = page_to_painted(page, box)
    if painted is None:
        return None
    grey = numpy.asarray(cv2.cvtColor(painted.rgb, cv2.COLOR_RGB2GRAY), dtype=numpy.uint8)
    levels, uprights = grey_to_rules(grey)
    if len(levels) < LEAST_RULES or len(uprights) < LEAST_RULES:
        return None
    frame = (int(uprights[0].at), int(levels[0].at), int(uprights[-1].at) + 1, int(levels[-1].at) + 1)
    paintings = [_without_grid(p, levels, uprights) for p in rgb_to_paintings(painted.rgb)]
    traces = paintings_to_traces(paintings, painted.rgb, frame, painted.scale)
    free = _free_mask(painted, grey, (levels, uprights))
    text = _text_mask(free, traces, paintings, painted.scale)
    named = grey_to_names(grey, _mask_to_clean(grey, text), names, (0.0, 90.0))
    if len(named) < len(traces.curves):
        along = [(trace.points, trace.width) for trace in traces.curves]
        named += curves_to_names((_mask_to_clean(grey, free), grey), along, names, painted.scale)
    _without_names(text, named)
    colours = list(dict.fromkeys([trace.colour for trace in traces.curves] or [p.colour for p in paintings]))
    marks = mask_to_marks(text, painted.rgb, painted.scale, colours)
    words = in_reading_order(words_to_read(grey, marks_to_words(marks, painted.scale, grey.shape[0])))
    strokes = [
        *_rules_to_strokes(levels, uprights, painted),
        *_traces_to_strokes(traces, painted),
        *_samples_to_strokes(paintings, painted, colours),
    ]
    own = [letter for letter in ink.letters if not is_within(letter.box, box)]
    letters = [letter for word in words if _is_kept(word) for letter in word_to_letters(word, painted)]
    letters += [letter for name in named for letter in name_to_letters(name, painted, colours)]
    unsure = {word.text for word in words if not word.is_sure}
    unsure |= {name.text for name in named if not name.is_sure}
    return PictureInk(
        replace(ink, strokes=tuple(strokes), letters=(*own, *letters), pictures=()),
        frozenset(at + 1 for at, trace in enumerate(traces.curves) if trace.is_doubtful),
        frozenset(unsure),
    )


def _mask_to_clean(grey: Mask, text: Mask) -> Mask:
    """A picture with nothing on it but its text."""
    return numpy.where(cv2.dilate(text, numpy.ones((3, 3), numpy.uint8)) > 0, grey, 255).astype(numpy.uint8)


def _without_names(text: Mask, named: Sequence[PrintedName]) -> None:
    """Takes names that were read out of the mask of texts."""
    for name in named:
        cv2.fillConvexPoly(text, numpy.array(name.corners, dtype=numpy.int32), (0,))


def in_reading_order(words: Sequence[ReadWord]) -> list[ReadWord]:
    """Level words row by row from the left, then those read upwards."""
    rows: list[list[ReadWord]] = []
    for read in sorted(words, key=lambda r: (r.word.is_upright, r.word.box[1] + r.word.box[3])):
        last = rows[-1][-1].word if rows else None
        _, top, _, bottom = read.word.box
        if last is not None and not read.word.is_upright and not last.is_upright:
            off = abs(last.box[1] + last.box[3] - top - bottom) / 2
            if off < SAME_ROW * (bottom - top):
                rows[-1].append(read)
                continue
        rows.append([read])
    return [read for row in rows for read in sorted(row, key=lambda r: r.word.box[0])]


def _is_kept(read: ReadWord) -> bool:
    """Whether a word may be used: a number that only one recogniser read is none."""
    return read.is_sure or text_to_number(read.text) is None


def _without_grid(painting: Painting, levels: Sequence[Rule], uprights: Sequence[Rule]) -> Painting:
    """A colour without the grid, if the grid may be of it: one without a hue."""
    if max(painting.colour) - min(painting.colour) > VIVID:
        return painting
    return replace(painting, mask=without_rules(painting.mask, levels, uprights))


def _free_mask(painted: Painted, grey: Mask, rules: tuple[Sequence[Rule], Sequence[Rule]]) -> Mask:
    """Dark or coloured ink that is no grid."""
    high, low = painted.rgb.max(axis=2).astype(numpy.int16), painted.rgb.min(axis=2).astype(numpy.int16)
    mask = ((grey < 255 - TEXT_DARK) | (high - low > VIVID)).astype(numpy.uint8)
    return without_rules(mask, *rules)


def _text_mask(free: Mask, traces: Traces, paintings: Sequence[Painting], scale: float) -> Mask:
    """Ink that is neither grid nor curve."""
    mask = free.copy()
    for _, (x0, top, x1, bottom) in _samples(paintings, scale):
        mask[top:bottom, x0:x1] = 0
    long = [one for one in traces.leaders if math.dist(*one.points) > STROKE_PT * scale]
    for trace in (*traces.curves, *long):
        points = numpy.array(trace.points, dtype=numpy.int32)
        cv2.polylines(mask, [points], False, (0,), int(trace.width) + 2 * BESIDE_PX)
    return mask


def _rules_to_strokes(levels: Sequence[Rule], uprights: Sequence[Rule], painted: Painted) -> list[Stroke]:
    strokes = []
    for rules, is_level in ((levels, True), (uprights, False)):
        for rule in rules:
            ends = [(rule.start, rule.at), (rule.end, rule.at)]
            points = tuple(painted.to_page(*(end if is_level else end[::-1])) for end in ends)
            strokes.append(Stroke(points, GREY, min(1.0, rule.width / painted.scale), GRID_ORDER))
    return strokes


def _traces_to_strokes(traces: Traces, painted: Painted) -> list[Stroke]:
    """Curves, all of one width, since a picture tells styles by colour; and leaders."""
    if not traces.curves:
        return []
    width = float(numpy.median([trace.width for trace in traces.curves])) / painted.scale
    curves = [
        Stroke(tuple(painted.to_page(*point) for point in trace.points), trace.colour, width, number + 1)
        for number, trace in enumerate(traces.curves)
    ]
    leaders = [
        Stroke(
            tuple(painted.to_page(*point) for point in (trace.points[0], trace.points[-1])),
            trace.colour, trace.width / painted.scale, BEYOND_CURVES,
        )
        for trace in traces.leaders
    ]  # fmt: skip
    return curves + leaders


def _samples_to_strokes(
    paintings: Sequence[Painting], painted: Painted, colours: Sequence[Colour]
) -> list[Stroke]:
    """Samples of a legend as lines, each in the nearest colour of the curves if one is near."""
    strokes = []
    for _, (x0, top, x1, bottom) in _samples(paintings, painted.scale):
        y = (top + bottom) / 2
        own = line_to_colour(painted.rgb, [(x, y) for x in range(x0 + 2, x1 - 1)])
        near = min(colours, key=lambda colour: math.dist(colour, own), default=own)
        colour = near if math.dist(near, own) < APART else own
        ends = (painted.to_page(x0, y), painted.to_page(x1, y))
        strokes.append(Stroke(ends, colour, (bottom - top) / painted.scale, BEYOND_CURVES))
    return strokes


def _samples(paintings: Sequence[Painting], scale: float) -> list[tuple[Colour, Dots]]:
    """Short level lines in the colours of the chart, with their boxes."""
    found = []
    for painting in paintings:
        count, _, stats, _ = cv2.connectedComponentsWithStats(painting.mask, connectivity=8)
        for x, y, wide, high, area in stats[1:count]:
            long = SAMPLE_PT[0] <= wide / scale <= SAMPLE_PT[1]
            if long and high <= SAMPLE_FLAT * wide and area > SAMPLE_FULL * wide * high:
                found.append((painting.colour, (int(x), int(y), int(x + wide), int(y + high))))
    return found


def word_to_letters(read: ReadWord, painted: Painted) -> list[Letter]:
    """A word's letters, its length shared out among them."""
    word: MarkedWord = read.word
    x0, top = painted.to_page(word.box[0], word.box[1])
    x1, bottom = painted.to_page(word.box[2], word.box[3])
    count = len(read.text)
    letters = []
    for at, sign in enumerate(read.text):
        if sign.isspace():
            continue
        if word.is_upright:
            step = (bottom - top) / count
            box = (x0, bottom - (at + 1) * step, x1, bottom - at * step)
            angle, size = 90.0, x1 - x0
        else:
            step = (x1 - x0) / count
            box = (x0 + at * step, top, x0 + (at + 1) * step, bottom)
            angle, size = 0.0, bottom - top
        is_spaced = at == 0 or read.text[at - 1].isspace()
        letters.append(Letter(sign, box, angle, size, word.colour, 0, is_spaced))
    return letters
