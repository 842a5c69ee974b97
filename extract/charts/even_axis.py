"""The scale of a log axis whose lines stand at even steps: at halves, quarters or fifths of a decade.

Comes in: the numbers printed along an axis and the places of its lines. Goes out: origin, unit and error of
its scale, or None. Programs draw such grids, and put each number at its line: here the numbers do place the
scale, but only where the step of the lines parts the decade between them evenly, or the numbers are others
than powers of ten too and all stand at lines of one scale.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from extract.charts.numbers import TickLabel

AT_LINE_PT = 2.0  # a number stands no farther from its line
SAME_GAP, SAME_GAP_PT = 0.04, 1.0  # gaps between lines differ by no larger share, or by no more
PARTS_OF_DECADE = (2, 4, 5, 10)
WHOLE = 0.02  # a step parts a decade into a whole number of steps to such a share
ROUNDED = 0.03  # of a decade: printed numbers are rounded, as 32 is for 10 to the power of 1.5
EXACT = 0.006  # of a decade: two numbers more than the powers of ten so near their places prove a scale
LEAST_LINES = 5
LEAST_EXACT, LEAST_OTHERS, MOST_DECADES = 4, 2, 1.2  # numbers, those that are no powers; what they span


def labels_to_even_scale(
    labels: Sequence[TickLabel], lines: Sequence[float]
) -> tuple[float, float, float] | None:
    """Origin, unit of a decade and error in decades of an even log grid, if its lines and numbers are one."""
    step = _lines_to_step(sorted(lines))
    at_lines = [(math.log10(label.value), line) for label in labels if (line := _line_of(label, lines))]
    powers = sorted({(round(v), line) for v, line in at_lines if abs(v - round(v)) < 1e-9})
    if len(powers) < 2 or len(at_lines) < len(labels):
        return None
    (low, first), (high, last) = powers[0], powers[-1]
    if low == high:
        return None
    unit = (last - first) / (high - low)
    origin = first - unit * low
    astray = max(abs((line - origin) / unit - value) for value, line in at_lines)
    is_proven = _parts_decade(step, unit) or (len(at_lines) > len(powers) + 1 and astray < EXACT)
    if not is_proven or astray > ROUNDED:
        return None
    return origin, unit, max(abs((line - origin) / unit - value) for value, line in powers)


def labels_to_exact_scale(
    labels: Sequence[TickLabel], lines: Sequence[float]
) -> tuple[float, float, float] | None:
    """Origin, unit of a decade, error in decades of a log axis with hardly a whole decade, whose numbers (2,
    3, 4, 6) all stand at lines of one scale: so many agree by no chance."""
    at_lines = sorted({(math.log10(n.value), line) for n in labels if (line := _line_of(n, lines))})
    others = [value for value, _ in at_lines if abs(value - round(value)) > 1e-9]
    if len(at_lines) < max(LEAST_EXACT, len(labels)) or len(others) < LEAST_OTHERS:
        return None
    (low, first), (high, last) = at_lines[0], at_lines[-1]
    if len({line for _, line in at_lines}) < len(at_lines) or high - low > MOST_DECADES:
        return None
    unit = (last - first) / (high - low)
    origin = first - unit * low
    astray = max(abs((line - origin) / unit - value) for value, line in at_lines)
    return (origin, unit, astray) if astray < EXACT else None


def _parts_decade(step: float | None, unit: float) -> bool:
    """Whether so many even steps make a decade."""
    parts = abs(unit) / step if step else 0.0
    return round(parts) in PARTS_OF_DECADE and abs(parts - round(parts)) < WHOLE * parts


def _line_of(label: TickLabel, lines: Sequence[float]) -> float | None:
    """The line a positive number stands at."""
    near = min(lines, key=lambda line: abs(line - label.at), default=None)
    is_at = near is not None and abs(near - label.at) <= AT_LINE_PT
    return near if is_at and label.value > 0 else None


def _lines_to_step(lines: Sequence[float]) -> float | None:
    """The step of lines that stand evenly; the outermost may be the edges of the frame."""
    for places in (lines, lines[1:], lines[:-1], lines[1:-1]):
        gaps = [b - a for a, b in pairwise(places)]
        if len(places) >= LEAST_LINES and max(gaps) - min(gaps) < max(SAME_GAP * median(gaps), SAME_GAP_PT):
            return median(gaps)
    return None
