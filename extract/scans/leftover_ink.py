"""Ink that lies in no box the first recogniser found: single letters, mostly. It is given to it to read too.

Comes in: the page's ink without rules, the boxes found. Goes out: boxes of what they left over. Without
this the
lone "I" of a heading vanishes, and with it a column's meaning.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy
from numpy.typing import NDArray

from extract.scans.picture import DPI
from extract.scans.recognisers import Dots

PT = DPI / 72
LEAST_PT, MOST_PT = 3.0, 24.0  # height of what may be a character: smaller is a speck or a point
SPREAD_PT = 2.0  # characters of one word stand no farther apart
COVERED = 0.5  # of a component's box inside a found box: it has been read


def ink_to_leftover_boxes(
    ink: NDArray[numpy.bool_], whole: NDArray[numpy.bool_], boxes: Sequence[Dots]
) -> list[Dots]:
    """Boxes of groups of ink that no given box covers, as high as a character and at most a word or two
    long. `whole` is the ink with its rules: what hangs on a rule there is a piece of a drawing."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(whole.astype(numpy.uint8), connectivity=8)
    labels = numpy.where(ink, labels, 0)
    found = numpy.zeros(ink.shape, numpy.int32)
    for x0, top, x1, bottom in boxes:
        found[top:bottom, x0:x1] = 1
    covered = numpy.bincount(labels.ravel(), weights=found.ravel(), minlength=count)
    kept = numpy.zeros(count, bool)
    for n in range(1, count):
        _, _, width, height, area = (int(v) for v in stats[n])
        fits = LEAST_PT * PT <= height <= MOST_PT * PT and width <= 3 * MOST_PT * PT
        kept[n] = fits and covered[n] < COVERED * area
    spread = max(1, round(SPREAD_PT * PT))
    joined = cv2.dilate(kept[labels].astype(numpy.uint8), numpy.ones((1, spread), numpy.uint8))
    groups, _, sizes, _ = cv2.connectedComponentsWithStats(joined, connectivity=8)
    return [
        (int(x), int(y), int(x + w), int(y + h))
        for x, y, w, h, _ in (sizes[n] for n in range(1, groups))
        if LEAST_PT * PT <= h <= MOST_PT * PT
    ]
