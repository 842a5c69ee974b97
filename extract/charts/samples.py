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

BEFORE_PT = 18.0  # a sample ends so far before its text
SAME_COLOUR = 40.0  # colours of a sample and of its curve differ no more
LEGEND_SHARE = 0.6  # of the labels have samples, if they are a legend
LENGTHS_PT = (3.0, 45.0)
BESIDE_PT = 40.0  # a legend beside a frame begins no farther off
LEAST_HUES = 2  # and shows so many colours of curves
_NEARLY_WHITE = 245


def lines_to_sample_boxes(lines: ChartLines, frame: Box) -> list[Box]:
    """The boxes of a legend beside a frame: level lines of one length under each other, each in the colour of
    another curve, not farther off than BESIDE_PT."""
    level = [line for line in lines.leaders if _is_level(line) and _is_beside(line.box, frame)]
    groups: dict[tuple[int, int], list[Drawn]] = {}
    for line in level:
        groups.setdefault((round(line.box[0]), round(line.box[2])), []).append(line)
    for own in groups.values():
        hues = {
            c.colour
            for c in lines.curves
            if any(math.dist(line.colour, c.colour) < SAME_COLOUR for line in own)
        }
        if len(hues) >= LEAST_HUES:
            return [line.box for line in own]
    return []


def _is_level(line: Drawn) -> bool:
    x0, top, x1, bottom = line.box
    return bottom - top < 1.5 and LENGTHS_PT[0] <= x1 - x0 <= LENGTHS_PT[1]


def _is_beside(box: Box, frame: Box) -> bool:
    return frame[2] <= box[0] < frame[2] + BESIDE_PT and frame[1] <= box[1] <= frame[3]


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
    """The sample before each label; none at all if few labels have one in the colour of a curve."""
    alike = [line for line in lines if any(math.dist(line.colour, c.colour) < SAME_COLOUR for c in curves)]
    found = tuple(_sample_of(label, alike) for label in labels)
    return found if sum(map(bool, found)) >= LEGEND_SHARE * len(labels) else (None,) * len(labels)


def _sample_of(label: Label, lines: Sequence[Drawn]) -> Drawn | None:
    if not is_level(label.angle):
        return None
    x0, top, _, bottom = label.box
    before = []
    for line in lines:
        _, b0, a1, b1 = line.box
        if _is_level(line) and -2.0 < x0 - a1 < BEFORE_PT and top - 1 < (b0 + b1) / 2 < bottom + 1:
            before.append(line)
    return min(before, key=lambda line: x0 - line.box[2], default=None)
