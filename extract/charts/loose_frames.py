"""Frames of charts that no box closes: two axes that do not meet, or level lines alone.

Comes in: Ink. Goes out: its Frames; where it has none, those that its lines only suggest. Such a frame says
nothing of tables: use it for curves alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

from extract.charts.frames import (
    LEAST_HIGH,
    LEAST_WIDE,
    Frame,
    Line,
    box_to_frame,
    holds_curve,
    ink_to_frames,
    is_slanted,
    lines_to_spans,
    strokes_to_lines,
)
from extract.charts.ink import Box, Ink

LEAST_ROWS = 3  # so many level lines of one extent are the grid of a chart without other lines
GAP_SHARE = 0.6  # of an axis' length: axes that do not meet stand no farther apart
MOST_AXES = 12  # long lines of a page, of each way: with more they are rules of tables


def ink_to_any_frames(ink: Ink) -> tuple[Frame, ...]:
    """The frames of a page; the loosest way of drawing one counts only where there is no other."""
    frames = ink_to_frames(ink)
    if frames:
        return frames
    slanted = [stroke for stroke in ink.strokes if is_slanted(stroke)]
    if not slanted:
        return ()
    levels, uprights = strokes_to_lines(ink.strokes)
    boxes = [*_apart_to_boxes(levels, uprights), *_levels_to_boxes(levels)]
    held = [box for box in dict.fromkeys(boxes) if holds_curve(box, slanted)]
    return tuple(box_to_frame(box, levels, uprights) for box in held[:1])


def _apart_to_boxes(levels: Sequence[Line], uprights: Sequence[Line]) -> list[Box]:
    """Boxes between an upright axis and a level one to its lower right that it does not meet."""
    long = [line for line in levels if line.length >= LEAST_WIDE]
    high = [line for line in uprights if line.length >= LEAST_HIGH]
    if max(len(long), len(high), 1) > MOST_AXES:
        return []
    return [
        (upright.at, upright.start, level.end, level.at)
        for level, upright in product(long, high)
        if 0.0 <= level.start - upright.at < GAP_SHARE * level.length
        and 0.0 <= level.at - upright.end < GAP_SHARE * upright.length
    ]


def _levels_to_boxes(levels: Sequence[Line]) -> list[Box]:
    """Boxes of level lines of one extent, one below the other."""
    spans = lines_to_spans([line for line in levels if line.length >= LEAST_WIDE])
    return [
        (x0, ys[0], x1, ys[-1])
        for x0, x1, ys in spans
        if len(ys) >= LEAST_ROWS and ys[-1] - ys[0] >= LEAST_HIGH
    ]
