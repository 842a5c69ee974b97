"""Writes the names of curves into an invented chart, in the ways datasheets do.

Comes in: a canvas and a ChartPlan. Goes out: texts, leaders, legends. Draws no curve.

Ways: top_names (upright above the frame), top_letters (a letter above each curve, explained beside the
chart), end_names and end_letters (behind the lower end of each curve), along (slanted on the curve), column
(a column of names at the right, leaders to the curves), fan (names above the frame, slanted leaders to the
upper ends), arrows (names within, arrows to the curves), legend (samples in the colours of the curves).
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from sample_tables.generate.chart_plan import ChartPlan, PlannedCurve

SIZE = 6.0
Point = tuple[float, float]


def draw_labels(canvas: Canvas, plan: ChartPlan, dice: random.Random) -> None:
    """The names of all drawn curves, in the plan's way."""
    canvas.setFillColorRGB(0, 0, 0)
    canvas.setStrokeColorRGB(0, 0, 0)
    canvas.setFont("Helvetica", SIZE)
    ways: dict[str, Callable[..., None]] = {
        "top_names": _top_names, "top_letters": _top_letters, "end_names": _end_names,
        "end_letters": _end_letters, "along": _along, "column": _column, "fan": _fan, "arrows": _arrows,
        "legend": _legend,
    }  # fmt: skip
    ways[plan.labels](canvas, plan, dice)
    if plan.letters:
        _draw_key(canvas, plan)


def _drawn(plan: ChartPlan) -> list[tuple[PlannedCurve, list[Point]]]:
    """Drawn curves with their vertices on the page, by where they begin."""
    seen = [curve for curve in plan.curves if curve.is_drawn]
    curves = [(c, [plan.to_point(x, y) for x, y in plan.curve_to_values(c)]) for c in seen]
    return sorted(curves, key=lambda item: item[1][0][0])


def _spread(places: list[float], least: float) -> list[float]:
    """Places moved apart so that neighbours keep a distance, as near to their own as that allows."""
    spread = list(places)
    for _ in range(200):
        moved = False
        for index in range(len(spread) - 1):
            lack = least - (spread[index + 1] - spread[index])
            if lack > 1e-6:
                spread[index] -= lack / 2
                spread[index + 1] += lack / 2
                moved = True
        if not moved:
            break
    return spread


def _top_names(canvas: Canvas, plan: ChartPlan, *_: object) -> None:
    drawn = _drawn(plan)
    y = plan.corner[1] + plan.size[1] + 4
    for (curve, _), x in zip(drawn, _spread([points[0][0] for _, points in drawn], SIZE + 0.6), strict=True):
        _turned(canvas, x + SIZE / 3, y, 90, curve.label)


def _top_letters(canvas: Canvas, plan: ChartPlan, dice: random.Random) -> None:
    drawn = _drawn(plan)
    shift = dice.uniform(-2.0, 2.0)
    y = plan.corner[1] + plan.size[1] + 3
    for (curve, _), x in zip(drawn, _spread([points[0][0] for _, points in drawn], SIZE), strict=True):
        canvas.drawCentredString(x + shift, y, curve.label)


def _end_names(canvas: Canvas, plan: ChartPlan, *_: object) -> None:
    for curve, points in _drawn(plan):
        x, y = points[-1]
        canvas.drawString(x + 2.5, y - 2, curve.label)


def _end_letters(canvas: Canvas, plan: ChartPlan, dice: random.Random) -> None:
    for curve, points in _drawn(plan):
        x, y = points[-1]
        canvas.drawCentredString(x + dice.uniform(1.5, 4.5), y - dice.uniform(1, 5), curve.label)
        x, y = points[0]
        canvas.drawCentredString(x + dice.uniform(-1, 1), y + 2, curve.label)


def _along(canvas: Canvas, plan: ChartPlan, dice: random.Random) -> None:
    for curve, points in _drawn(plan):
        index = int(len(points) * dice.uniform(0.55, 0.8))
        (ax, ay), (bx, by) = points[index - 1], points[index + 1]
        angle = math.degrees(math.atan2(by - ay, bx - ax))
        x, y = points[index]
        wide = stringWidth(curve.label, "Helvetica", SIZE)
        canvas.saveState()
        canvas.translate(x, y)
        canvas.rotate(angle)
        if plan.masks:
            canvas.setFillColorRGB(1, 1, 1)
            canvas.rect(-wide / 2 - 1, -2.5, wide + 2, SIZE, stroke=0, fill=1)
            canvas.setFillColorRGB(0, 0, 0)
            canvas.drawCentredString(0, -2.0, curve.label)
        else:
            canvas.drawCentredString(0, 1.2, curve.label)
        canvas.restoreState()


def _column(canvas: Canvas, plan: ChartPlan, *_: object) -> None:
    """Names below each other at the right, in the order of the curves; leaders cross the curves between."""
    drawn = _drawn(plan)
    x1, top = plan.corner[0] + plan.size[0] + 8, plan.corner[1] + plan.size[1] - 10
    step = min(14.0, plan.size[1] / len(drawn))
    canvas.setLineWidth(0.4)
    for number, (curve, points) in enumerate(drawn):
        y = top - number * step
        target = points[int(len(points) * (0.12 + 0.6 * number / max(1, len(drawn))))]
        canvas.line(x1 - 1.5, y, *target)
        canvas.drawString(x1, y - 2, curve.label)


def _fan(canvas: Canvas, plan: ChartPlan, *_: object) -> None:
    drawn = _drawn(plan)
    y = plan.corner[1] + plan.size[1] + 16
    wide = max(len(drawn) * 8.0, plan.size[0] * 0.5)
    left = plan.corner[0] + 15
    canvas.setLineWidth(0.3)
    for number, (curve, points) in enumerate(drawn):
        x = left + wide * number / max(1, len(drawn) - 1)
        canvas.line(x, y - 1, *points[0])
        _turned(canvas, x + SIZE / 3, y, 90, curve.label)


def _arrows(canvas: Canvas, plan: ChartPlan, dice: random.Random) -> None:
    """Names to the left of their curves, arrows with heads; the heads stand on the curves."""
    for number, (curve, points) in enumerate(_drawn(plan)):
        x, y = points[int(len(points) * dice.uniform(0.15, 0.9))]
        angle = math.radians(150 if number % 2 else -30)
        far = dice.uniform(16, 24)
        sx, sy = x + far * math.cos(angle), y + far * math.sin(angle)
        wide = stringWidth(curve.label, "Helvetica", SIZE)
        canvas.setLineWidth(0.3)
        bx, by = x + 4 * math.cos(angle), y + 4 * math.sin(angle)
        canvas.line(sx, sy, bx, by)
        path = canvas.beginPath()
        path.moveTo(x, y)
        path.lineTo(bx - 1.6 * math.sin(angle), by + 1.6 * math.cos(angle))
        path.lineTo(bx + 1.6 * math.sin(angle), by - 1.6 * math.cos(angle))
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)
        tx = sx - wide - 1.5 if math.cos(angle) < 0 else sx + 1.5
        canvas.setFillColorRGB(1, 1, 1)
        canvas.rect(tx - 0.5, sy - 2.5, wide + 1, SIZE, stroke=0, fill=1)
        canvas.setFillColorRGB(0, 0, 0)
        canvas.drawString(tx, sy - 2, curve.label)


def _legend(canvas: Canvas, plan: ChartPlan, *_: object) -> None:
    drawn = _drawn(plan)
    wide = max(stringWidth(curve.label, "Helvetica", SIZE) for curve, _ in drawn) + 30
    x, y = plan.corner[0] + plan.size[0] - wide - 4, plan.corner[1] + plan.size[1] - 5
    canvas.setFillColorRGB(1, 1, 1)
    canvas.setLineWidth(0.4)
    canvas.rect(x, y - 8.0 * len(drawn) - 2, wide, 8.0 * len(drawn) + 2, fill=1)
    canvas.setFillColorRGB(0, 0, 0)
    for number, (curve, _) in enumerate(drawn):
        row = y - 6.5 - 8.0 * number
        canvas.setStrokeColorRGB(*curve.colour)
        canvas.setLineWidth(plan.curve_width)
        canvas.line(x + 3, row + 2, x + 20, row + 2)
        canvas.drawString(x + 23, row, curve.label)


def _draw_key(canvas: Canvas, plan: ChartPlan) -> None:
    """What the letters stand for, below the chart in columns."""
    x0, y0 = plan.corner[0], plan.corner[1] - 40
    for number, (letter, part) in enumerate(plan.letters.items()):
        x, y = x0 + 110 * (number % 3), y0 - 10 * (number // 3)
        canvas.drawString(x, y, f"{letter} = {part}")


def _turned(canvas: Canvas, x: float, y: float, angle: float, text: str) -> None:
    canvas.saveState()
    canvas.translate(x, y)
    canvas.rotate(angle)
    canvas.drawString(0, 0, text)
    canvas.restoreState()
