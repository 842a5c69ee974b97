"""The words of a drawn chart whose texts are outlines: small filled shapes or strokes instead of letters.

Comes in: the ink of a page without letters, and a box on it. Goes out: letters, and the texts that one
recogniser alone read. The shapes are drawn alone on white paper, so that no grid line and no curve crosses
them. Understands no word.
"""

from __future__ import annotations

from itertools import groupby

import cv2
import numpy
from numpy.typing import NDArray

from extract.charts.figures import text_to_number
from extract.charts.geometry import is_within
from extract.charts.ink import Box, Ink, Letter, Stroke
from extract.charts.pixels.lettered import words_to_read
from extract.charts.pixels.marks import HIGHEST_PT, WIDEST_TIMES, marks_to_words, mask_to_marks
from extract.charts.pixels.painted import Painted
from extract.charts.pixels.picture_ink import in_reading_order, word_to_letters

SCALE, MOST_PX = 6.0, 6000  # pixels to a point; pixels along a side
LEAST_PEN_PT = 0.7  # letters drawn as strokes are drawn no thinner


def ink_to_outlined_letters(ink: Ink, box: Box) -> tuple[tuple[Letter, ...], frozenset[str]]:
    """The letters that small shapes within a box are, and the texts that are not sure. A number that one
    recogniser alone read is none."""
    x0, top, x1, bottom = box
    scale = min(SCALE, MOST_PX / max(x1 - x0, bottom - top))
    shapes = [s for s in ink.strokes if is_glyph_like(s) and is_within(s.box, box)]
    high, across = int((bottom - top) * scale) + 2, int((x1 - x0) * scale) + 2
    mask, rgb = numpy.zeros((high, across), numpy.uint8), numpy.full((high, across, 3), 255, numpy.uint8)
    for _, own in groupby(sorted(shapes, key=lambda s: s.order), key=lambda s: s.order):
        group = list(own)
        outlines = [_to_pixels(s, scale, x0, top) for s in group]
        wide = round(max(group[0].width, LEAST_PEN_PT) * scale)
        for picture, colour in ((mask, (1,)), (rgb, group[0].colour)):
            if group[0].is_filled:
                cv2.fillPoly(picture, outlines, colour)
            else:
                cv2.polylines(picture, outlines, False, colour, wide)
    grey = numpy.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), dtype=numpy.uint8)
    colours = sorted({shape.colour for shape in shapes})
    words = marks_to_words(mask_to_marks(mask, rgb, scale, colours), scale, high)
    painted = Painted(rgb, scale, x0, top)
    read = in_reading_order(words_to_read(grey, words))
    kept = [word for word in read if word.is_sure or text_to_number(word.text) is None]
    letters = tuple(letter for word in kept for letter in word_to_letters(word, painted))
    return letters, frozenset(word.text for word in read if not word.is_sure)


def is_glyph_like(stroke: Stroke) -> bool:
    """Whether a stroke is of the size of a letter, or of a piece of one."""
    x0, top, x1, bottom = stroke.box
    is_one_way = not stroke.is_filled or stroke.width == 0
    return is_one_way and max(x1 - x0, bottom - top) < HIGHEST_PT * WIDEST_TIMES


def _to_pixels(stroke: Stroke, scale: float, left: float, top: float) -> NDArray[numpy.int32]:
    points = [(round((x - left) * scale), round((y - top) * scale)) for x, y in stroke.points]
    return numpy.array(points, dtype=numpy.int32)
