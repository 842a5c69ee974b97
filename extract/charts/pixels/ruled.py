"""The straight lines along the axes of a painted chart: its frame, its grid, its ticks.

Comes in: grey pixels. Goes out: Rules: each line with its middle to a fraction of a pixel, its ends and its
width. Lines that are shorter than a share of the picture are left to others.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy
from numpy.typing import NDArray
from scipy.signal import find_peaks

Grey = NDArray[numpy.uint8]

FAINT = 14  # of 255: ink is so much darker than paper at least
LONG_SHARE = 0.2  # of the picture's width or height: lines of a grid are no shorter
WIDEST_PX = 14  # a line is no wider
GAP_PX = 7
PROMINENT = 0.3  # of the darkest row: lines that run together show as rows darker by so much


@dataclass(frozen=True, slots=True)
class Rule:
    """A line along an axis, in pixels: its middle, from where to where it runs, how wide it is."""

    at: float
    start: int
    end: int
    width: float


def grey_to_paper(grey: Grey) -> int:
    """How light the paper is: the commonest of the light tones."""
    return (
        int(numpy.bincount(grey[grey > 150].ravel(), minlength=256).argmax()) if (grey > 150).any() else 255
    )


def grey_to_rules(grey: Grey) -> tuple[tuple[Rule, ...], tuple[Rule, ...]]:
    """The level lines and the upright lines of a picture."""
    dark = numpy.clip(grey_to_paper(grey) - grey.astype(numpy.int16), 0, 255).astype(numpy.uint8)
    return _level_rules(dark), _level_rules(numpy.ascontiguousarray(dark.T))


def _level_rules(dark: Grey) -> tuple[Rule, ...]:
    least = int(LONG_SHARE * dark.shape[1])
    ink = (dark > FAINT).astype(numpy.uint8)
    joined = cv2.morphologyEx(ink, cv2.MORPH_CLOSE, numpy.ones((1, GAP_PX), numpy.uint8))
    long = cv2.morphologyEx(joined, cv2.MORPH_OPEN, numpy.ones((1, least), numpy.uint8))
    count, _, stats, _ = cv2.connectedComponentsWithStats(long, connectivity=8)
    rules: list[Rule] = []
    for x, y, wide, high, _area in stats[1:count]:
        rules += _block_to_rules(dark, int(x), int(y), int(wide), int(high))
    return tuple(sorted(rules, key=lambda rule: rule.at))


def _block_to_rules(dark: Grey, x: int, y: int, wide: int, high: int) -> list[Rule]:
    """The lines within a block of rows that run together: its darkest rows."""
    first = max(0, y - 2)
    block = dark[first : y + high + 2, x : x + wide]
    profile = block.mean(axis=1)
    padded = numpy.concatenate([[0.0], profile, [0.0]])
    peaks, shape = find_peaks(padded, prominence=PROMINENT * padded.max(), width=0.1, rel_height=0.5)
    rules = []
    for peak, width in zip(peaks, shape["widths"], strict=True):
        if width > WIDEST_PX:
            continue
        row = peak - 1
        low, top = max(0, row - 3), min(len(profile), row + 4)
        weights = profile[low:top] - profile[low:top].min()
        middle = float((weights * numpy.arange(low, top)).sum() / max(weights.sum(), 1e-9))
        seen = numpy.flatnonzero(block[row] > FAINT)
        if len(seen):
            rules.append(Rule(first + middle + 0.5, x + int(seen[0]), x + int(seen[-1]) + 1, float(width)))
    return rules
