"""The rules of a straightened page: long thin runs of ink.

Comes in: a grey page, level. Goes out: which dots are rules, and the rules in points. Knows no text.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy
from numpy.typing import NDArray

from extract.page import Rule, join_rules
from extract.scans.picture import DPI, Grey

PT = DPI / 72
LONG_PT = 16.0  # longer than any stroke of a letter in a table
THICK_PT = 2.4
END_PT = 0.7  # an upright rule ends in the middle of the level one it meets, half a rule and its blur earlier
BAND_PX, CUT_PX = 1100, 9  # height of a band, and of the gap between two lines of text
EDGE_PX = 40  # of paper left about what is printed
DARK = 150  # of 255: ink darker than this is a rule's or a glyph's
GREY = 190  # rules are printed grey too; darker than the shading of rows
LIGHT, LONG_LIGHT_PT = 210, 48.0  # grain breaks a grey rule: what is so dark, and so long, is one
DARK_SHARE = 0.3  # of such a rule's length is as dark as GREY


@dataclass(frozen=True, slots=True)
class RuledPage:
    """Ink (True) without rules, the dots of rules, and the rules in points."""

    ink: NDArray[numpy.bool_]
    drawn: NDArray[numpy.bool_]
    horizontals: tuple[Rule, ...]
    verticals: tuple[Rule, ...]


def grey_to_ruled(grey: Grey) -> RuledPage:
    """Part rules from other ink."""
    drawn = (grey < GREY).astype(numpy.uint8)
    light = (grey < LIGHT).astype(numpy.uint8)
    across, drawn_across = _both_runs(drawn, light, flat=True)
    down, drawn_down = _both_runs(drawn, light, flat=False)
    both = drawn_across | drawn_down
    rest = (grey < DARK) & ~both
    horizontals = [Rule((y + h / 2) / PT, x / PT, (x + w) / PT) for x, y, w, h in across]
    verticals = [Rule((x + w / 2) / PT, y / PT + END_PT, (y + h) / PT - END_PT) for x, y, w, h in down]
    return RuledPage(rest, both, join_rules(horizontals, off=1.2), join_rules(verticals, off=1.2))


def ink_to_printed_box(ink: NDArray[numpy.bool_]) -> tuple[int, int, int, int]:
    """The part of a page that holds ink, with a little paper about it: margins need no looking at."""
    rows, columns = numpy.flatnonzero(ink.any(axis=1)), numpy.flatnonzero(ink.any(axis=0))
    if rows.size == 0:
        return 0, 0, ink.shape[1], ink.shape[0]
    x0, top = max(0, int(columns[0]) - EDGE_PX), max(0, int(rows[0]) - EDGE_PX)
    return x0, top, min(ink.shape[1], int(columns[-1]) + EDGE_PX), min(ink.shape[0], int(rows[-1]) + EDGE_PX)


def ink_to_cuts(ink: NDArray[numpy.bool_]) -> tuple[int, ...]:
    """Rows at which the page can be parted into bands without cutting through a line of text: near every
    1100th row the one with the least ink about it."""
    count = max(1, round(ink.shape[0] / BAND_PX))
    filled = numpy.convolve(ink.sum(axis=1), numpy.ones(CUT_PX), "same")
    reach = ink.shape[0] // (4 * count)
    middles = [n * ink.shape[0] // count for n in range(1, count)]
    return tuple(m - reach + int(numpy.argmin(filled[m - reach : m + reach])) for m in middles)


def _both_runs(
    drawn: NDArray[numpy.uint8], light: NDArray[numpy.uint8], flat: bool
) -> tuple[list[tuple[int, int, int, int]], NDArray[numpy.bool_]]:
    """Boxes and dots of the runs of dark ink, and of long runs of lighter ink that are dark in places."""
    lengths = round(LONG_PT * PT), round(LONG_LIGHT_PT * PT)
    kernel, long_kernel = ((n, 1) if flat else (1, n) for n in lengths)
    boxes, dots = _runs(drawn, kernel)
    more, more_dots = _runs(light, long_kernel)
    kept = numpy.zeros_like(dots)
    for x, y, width, height in more:
        part = slice(y, y + height), slice(x, x + width)
        if float(drawn[part].any(axis=0 if flat else 1).mean()) > DARK_SHARE:
            boxes.append((x, y, width, height))
            kept[part] = more_dots[part]
    return boxes, dots | kept


def _runs(
    ink: NDArray[numpy.uint8], kernel: tuple[int, int]
) -> tuple[list[tuple[int, int, int, int]], NDArray[numpy.bool_]]:
    """Boxes (x, y, width, height) of long thin runs, and their dots."""
    flat = kernel[1] == 1
    closed = cv2.morphologyEx(ink, cv2.MORPH_CLOSE, numpy.ones((3, 1) if flat else (1, 3), numpy.uint8))
    kept = cv2.morphologyEx(closed, cv2.MORPH_OPEN, numpy.ones((kernel[1], kernel[0]), numpy.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(kept, connectivity=8)
    thin = [n for n in range(1, count) if min(stats[n][2], stats[n][3]) <= THICK_PT * PT]
    dots = cv2.dilate(numpy.isin(labels, thin).astype(numpy.uint8), numpy.ones((3, 3), numpy.uint8)) > 0
    boxes = [(int(x), int(y), int(w), int(h)) for x, y, w, h, _ in stats[thin]]
    return boxes, dots
