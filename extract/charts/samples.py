"""The samples of a legend: short lines or patches in a curve's look, each beside a text.

Comes in: labels, the lines of a chart that are no curves, its filled patches. Goes out: for each label its
sample, or None. Compares no colours.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from extract.charts.curves import ChartLines
from extract.charts.drawn import Drawn
from extract.charts.ink import Box, Stroke
from extract.charts.labels import Label
from extract.charts.wording import is_level

BEFORE_PT = 18.0  # a sample stands so far before its text, or behind it
SAME_COLOUR = 40.0  # colours of a sample and of its curve differ no more
LEGEND_SHARE = 0.6  # of the labels have samples, if they are a legend
LENGTHS_PT, LONGEST_PT = (3.0, 45.0), 80.0  # or so long, if lines of several colours are as long
FLAT_PT, SIGN_SHARE, SIGN_PT = 1.5, 0.5, 0.5  # a sample bears a sign no higher; its ends are level
BESIDE_PT = 60.0  # a legend beside a frame begins no farther off
ROW_PT, NEXT_ROW_PT = 80.0, 22.0  # nor does one in rows above or below it, each so near the one before
LEAST_HUES = 2  # and shows so many colours of curves
_NEARLY_WHITE = 245


def lines_to_sample_boxes(lines: ChartLines, strokes: Sequence[Stroke], frame: Box) -> list[Box]:
    """The boxes of a legend beside a frame or in rows above or below it: level lines or patches of one length
    in the colours of curves, not farther off than BESIDE_PT or ROW_PT."""
    groups: dict[tuple[str, int], list[Drawn]] = {}
    rows = ROW_PT
    level = sorted(_level_lines((*lines.leaders, *patches_to_lines(strokes))), key=lambda line: line.box[1])
    for line in level:
        if not any(math.dist(line.colour, curve.colour) < SAME_COLOUR for curve in lines.curves):
            continue
        length = round(line.box[2] - line.box[0])
        if _is_beside(line.box, frame):
            groups.setdefault(("beside", length), []).append(line)
        elif _is_in_row(line.box, frame, rows):
            groups.setdefault(("in a row", length), []).append(line)
            rows = max(rows, line.box[1] - frame[3] + NEXT_ROW_PT)
    for own in groups.values():
        if len({line.colour for line in own}) >= LEAST_HUES:
            return [line.box for line in own]
    return []


def _level_lines(lines: Sequence[Drawn]) -> list[Drawn]:
    """The lines that could be samples: short level ones; longer ones if several colours are as long."""
    level = [line for line in lines if _is_level(line)]
    hues: dict[int, set[tuple[int, int, int]]] = {}
    for line in level:
        hues.setdefault(round(line.box[2] - line.box[0]), set()).add(line.colour)
    return [
        line
        for line in level
        if (long := line.box[2] - line.box[0]) <= LENGTHS_PT[1] or len(hues[round(long)]) >= LEAST_HUES
    ]


def _is_level(line: Drawn) -> bool:
    """Whether a line is level, or begins and ends at one height with a sign between."""
    x0, top, x1, bottom = line.box
    wide, (first, last) = x1 - x0, (line.points[0], line.points[-1])
    bears_sign = bottom - top < SIGN_SHARE * wide and abs(first[1] - last[1]) < SIGN_PT
    spans = abs(last[0] - first[0]) > 0.95 * wide
    return LENGTHS_PT[0] <= wide <= LONGEST_PT and (bottom - top < FLAT_PT or (bears_sign and spans))


def _is_beside(box: Box, frame: Box) -> bool:
    return frame[2] <= box[0] < frame[2] + BESIDE_PT and frame[1] <= box[1] <= frame[3]


def _is_in_row(box: Box, frame: Box, below_pt: float) -> bool:
    """Whether a line stands above or below a frame, not so far below it."""
    above, below = frame[1] - box[3], box[1] - frame[3]
    return (
        frame[0] - ROW_PT < box[0]
        and box[2] < frame[2] + ROW_PT
        and (0.0 < above < ROW_PT or 0.0 < below < below_pt)
    )


def patches_to_lines(strokes: Sequence[Stroke]) -> list[Drawn]:
    """Small filled boxes as short level lines of their colour."""
    lines = []
    for stroke in strokes:
        x0, top, x1, bottom = stroke.box
        small = LENGTHS_PT[0] <= x1 - x0 <= LENGTHS_PT[1] and bottom - top <= 12.0
        if stroke.is_filled and stroke.width == 0 and small and min(stroke.colour) < _NEARLY_WHITE:
            y = (top + bottom) / 2
            lines.append(Drawn(((x0, y), (x1, y)), bottom - top, stroke.colour, False, stroke.order))
    return lines


def labels_to_samples(
    labels: Sequence[Label], lines: Sequence[Drawn], curves: Sequence[Drawn]
) -> tuple[Drawn | None, ...]:
    """The sample of each label, before all of them or behind all of them; none at all if few labels have one
    in the colour of a curve, or as many would have one either way."""
    alike = [line for line in lines if any(math.dist(line.colour, c.colour) < SAME_COLOUR for c in curves)]
    level = _level_lines(alike)
    before = tuple(_sample_of(label, level, is_behind=False) for label in labels)
    behind = tuple(_sample_of(label, level, is_behind=True) for label in labels)
    count, other = sum(map(bool, before)), sum(map(bool, behind))
    if count == other or max(count, other) < LEGEND_SHARE * len(labels):
        return (None,) * len(labels)
    return before if count > other else behind


def _sample_of(label: Label, lines: Sequence[Drawn], *, is_behind: bool) -> Drawn | None:
    """The nearest sample at one side of a level label, on its line."""
    if not is_level(label.angle):
        return None
    x0, top, x1, bottom = label.box
    near = []
    for line in lines:
        a0, b0, a1, b1 = line.box
        far = a0 - x1 if is_behind else x0 - a1
        if -2.0 < far < BEFORE_PT and top - 1 < (b0 + b1) / 2 < bottom + 1:
            near.append((far, line))
    return min(near, key=lambda item: item[0])[1] if near else None
