"""Areas printed dark with light letters, such as the heading of a table, made dark on light.

Comes in: a grey page, level. Goes out: the page with its dark areas inverted, so that ink, rules and
letters are dark everywhere. A light rule between two cells of a dark heading becomes a rule. Knows no text.
"""

from __future__ import annotations

import cv2
import numpy

from extract.scans.lines_of_ink import DARK
from extract.scans.picture import Grey

COARSE = 4  # times coarser than the page: 75 dots per inch are enough to find areas
LETTERS_PX, AREA_PX = 5, 9  # of the coarse page: light strokes are narrower, dark areas wider and higher
SOLID = 0.65  # of an area is dark: of bold letters that grew together about half is
LIGHTEST = 0.9  # of paper: what the ground of an inverted area becomes at least


def grey_to_dark_on_light_page(grey: Grey) -> Grey:
    """The page with every dark area inverted; the page itself where it has none."""
    size = grey.shape[1] // COARSE, grey.shape[0] // COARSE
    coarse = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    dark = (coarse < DARK).astype(numpy.uint8)
    letters = numpy.ones((LETTERS_PX, LETTERS_PX), numpy.uint8)
    filled = cv2.morphologyEx(dark, cv2.MORPH_CLOSE, letters)
    areas = cv2.morphologyEx(filled, cv2.MORPH_OPEN, numpy.ones((AREA_PX, AREA_PX), numpy.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(areas, connectivity=4)
    if count == 1:
        return grey
    inverted = grey.copy()
    for n in range(1, count):
        x, y, width, height = (int(v) * COARSE for v in stats[n][:4])
        whole = slice(y, y + height), slice(x, x + width)
        part = labels[y // COARSE : (y + height) // COARSE, x // COARSE : (x + width) // COARSE] == n
        inside = numpy.kron(part, numpy.ones((COARSE, COARSE), bool))
        dots = grey[whole][inside]
        if float(numpy.mean(dots < DARK)) > SOLID:
            inverted[whole][inside] = _inverted(dots)
    return inverted


def _inverted(dots: Grey) -> Grey:
    """Dots of a dark area with its ground near paper."""
    light = 255.0 - dots.astype(numpy.float32)
    ground = float(numpy.median(light))
    return numpy.asarray(numpy.clip(light * (255 * LIGHTEST / max(ground, 1.0)), 0, 255), dtype=numpy.uint8)
