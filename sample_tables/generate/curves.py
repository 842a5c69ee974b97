"""Typical trip-time curves of invented parts, and their drawing as SVG.

Comes in: parts. Goes out: points on a log-log plane, or an SVG text.
Does not state truth: a curve is typical and no number of the truth files.
"""

from __future__ import annotations

import math

from sample_tables.generate.blocks import Curves
from sample_tables.generate.physics import Part

AXIS_A = (0.1, 1, 10, 100)
AXIS_S = (0.01, 0.1, 1, 10, 100)


def unit_point(current_a: float, time_s: float) -> tuple[float, float]:
    """Place of a point in the unit square of the drawing."""
    return (math.log10(current_a) + 1) / 3, (math.log10(time_s) + 2) / 4


def part_points(part: Part) -> tuple[tuple[float, float], ...]:
    """A typical curve: two thirds of the table's time at its test current, steep at first, flat at last."""
    test, seconds = float(part.test_a), float(part.time_s) * 0.66
    points = [(test * k, seconds * (k**-2 + 0.02)) for k in (0.5, 0.7, 1, 1.5, 2.5, 4)]
    return tuple((a, s) for a, s in points if 0.1 <= a <= 100 and 0.01 <= s <= 100)


def parts_to_curves(parts: tuple[Part, ...], most: int = 6) -> Curves:
    """Curves of some of the parts, lettered as vendors letter them."""
    chosen = parts[:: max(1, len(parts) // most)][:most]
    lines = [points for points in map(part_points, chosen) if len(points) > 1]
    return Curves(tuple("ABCDEFGH"[: len(lines)]), tuple(lines))


def curves_to_svg(curves: Curves) -> str:
    """The drawing as SVG, 300 by 210 points."""
    left, top, wide, high = 45, 10, 230, 160
    out = []
    for value in AXIS_A:
        x = left + wide * unit_point(value, 1)[0]
        out.append(
            f'<line x1="{x:.1f}" y1="{top}" x2="{x:.1f}" y2="{top + high}" stroke="#999" stroke-width=".4"/>'
            f'<text x="{x:.1f}" y="{top + high + 10}" text-anchor="middle">{value:g}</text>'
        )
    for value in AXIS_S:
        y = top + high * (1 - unit_point(1, value)[1])
        out.append(
            f'<line x1="{left}" y1="{y:.1f}" x2="{left + wide}" y2="{y:.1f}" '
            'stroke="#999" stroke-width=".4"/>'
            f'<text x="{left - 4}" y="{y + 2:.1f}" text-anchor="end">{value:g}</text>'
        )
    for label, line in zip(curves.labels, curves.lines, strict=True):
        points = [(left + wide * u, top + high * (1 - v)) for u, v in (unit_point(*p) for p in line)]
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        out.append(
            f'<polyline points="{path}" fill="none" stroke="#333"/>'
            f'<text x="{points[0][0]:.1f}" y="{points[0][1] - 3:.1f}">{label}</text>'
        )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="300" height="190" viewBox="0 0 300 190" '
        'font-family="Libertinus Serif, DejaVu Sans" font-size="7">' + "".join(out) + "</svg>"
    )
