"""Found boxes that hold two lines, one above the other: cut in two and read again.

Comes in: a level page, its ink, the lines seen. Goes out: the lines, such boxes replaced by their halves
where both halves are read surely; and without
drawings taken for letters. A heading with a subscript over its unit is found as one box so, and of two
lines in one box the recogniser reads one.
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

import numpy
from numpy.typing import NDArray

from extract.scans.picture import Grey
from extract.scans.recognisers import Dots, SeenLine, boxes_to_seen_lines

TALL = 1.4  # times as high as the lines of the page are on the middle
LONG = 8.0  # times as long as high: a line set in large type
SURE = 0.7  # of both halves, to be believed; letters read less surely may be a drawing
CUT_BETWEEN = (0.35, 0.65)  # of the box: where the gap between its lines is looked for


def lines_to_halved(grey: Grey, ink: NDArray[numpy.bool_], lines: Sequence[SeenLine]) -> list[SeenLine]:
    """The lines, with two in place of each box that holds two."""
    if not lines:
        return []
    usual = median(line.box[3] - line.box[1] for line in lines)
    tall = [line for line in lines if _is_tall(line.box, usual)]
    halves = [half for line in tall for half in _box_to_halves(line.box, ink)]
    seen = {line.box: line for line in boxes_to_seen_lines(grey, halves)}
    halved: list[SeenLine] = []
    for line in lines:
        pair = [seen.get(half) for half in _box_to_halves(line.box, ink)] if line in tall else []
        sure = [half for half in pair if half is not None and half.confidence >= SURE]
        halved += sure if len(sure) == 2 else [line]
    return halved


def lines_to_printed(lines: Sequence[SeenLine]) -> list[SeenLine]:
    """The lines without drawings taken for letters, such as a test house's mark: much higher than the other
    lines, not read surely, without a digit."""
    if not lines:
        return []
    usual = median(line.box[3] - line.box[1] for line in lines)
    return [
        line
        for line in lines
        if line.confidence >= SURE or any(map(str.isdigit, line.text)) or not _is_tall(line.box, usual)
    ]


def _is_tall(box: Dots, usual: float) -> bool:
    x0, top, x1, bottom = box
    return bottom - top > TALL * usual and x1 - x0 < LONG * (bottom - top)


def _box_to_halves(box: Dots, ink: NDArray[numpy.bool_]) -> tuple[Dots, Dots]:
    """The box cut at the row with the least ink near its middle."""
    x0, top, x1, bottom = box
    first, last = (top + round(share * (bottom - top)) for share in CUT_BETWEEN)
    rows = ink[first : last + 1, x0:x1].sum(axis=1)
    cut = first + int(numpy.argmin(rows))
    return (x0, top, x1, cut), (x0, cut, x1, bottom)
