"""Draws an invented chart on a reportlab canvas: grid, ticks, curves.

Comes in: a canvas and a ChartPlan. Goes out: ink. Names no curve: chart_labels does.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from itertools import pairwise

from reportlab.pdfgen.canvas import Canvas

from sample_tables.generate.chart_labels import draw_labels
from sample_tables.generate.chart_plan import ChartPlan, PlannedCurve

Point = tuple[float, float]


def draw_chart(canvas: Canvas, plan: ChartPlan) -> None:
    """The whole chart."""
    canvas.saveState()
    dice = random.Random(plan.seed)
    _draw_grid(canvas, plan, dice)
    _draw_ticks(canvas, plan)
    for curve in plan.curves:
        if curve.is_drawn:
            _draw_curve(canvas, plan, curve, dice)
    draw_labels(canvas, plan, dice)
    if plan.phantom:
        _draw_phantom(canvas, plan)
    canvas.restoreState()


def _draw_grid(canvas: Canvas, plan: ChartPlan, dice: random.Random) -> None:
    """Frame and lines of both axes; lines may stand off their places."""
    (x0, y0), (wide, high) = plan.corner, plan.size
    canvas.setStrokeColorRGB(plan.grid_grey, plan.grid_grey, plan.grid_grey)
    for is_x, (first, last), length in ((True, plan.x_decades, wide), (False, plan.y_decades, high)):
        decade = length / (last - first)
        wrong = dice.randrange(first, last) if plan.wrong_line else None
        for power in range(first, last):
            for step in range(1, 10) if plan.grid == "minor" else (1,):
                if plan.grid == "none":
                    break
                off = dice.uniform(-plan.jitter, plan.jitter)
                off += plan.wrong_line if power == wrong and step == 2 else 0.0
                at = (power - first + math.log10(step) + off) * decade
                canvas.setLineWidth(plan.grid_width * (1.6 if step == 1 else 1.0))
                if 0 <= at <= length and is_x:
                    canvas.line(x0 + at, y0, x0 + at, y0 + high)
                elif 0 <= at <= length:
                    canvas.line(x0, y0 + at, x0 + wide, y0 + at)
                if plan.grid == "none" and is_x:
                    canvas.line(x0 + at, y0, x0 + at, y0 - 3)
    canvas.setStrokeColorRGB(0, 0, 0)
    canvas.setLineWidth(0.7)
    canvas.rect(x0, y0, wide, high)
    if plan.grid == "none":
        _draw_tick_marks(canvas, plan)


def _draw_tick_marks(canvas: Canvas, plan: ChartPlan) -> None:
    (x0, y0) = plan.corner
    for power in range(plan.x_decades[0], plan.x_decades[1] + 1):
        for step in range(1, 10) if power < plan.x_decades[1] else (1,):
            x, _ = plan.to_point(step * 10.0**power, 1.0)
            canvas.line(x, y0, x, y0 + (5 if step == 1 else 3))
    for power in range(plan.y_decades[0], plan.y_decades[1] + 1):
        for step in range(1, 10) if power < plan.y_decades[1] else (1,):
            _, y = plan.to_point(1.0, step * 10.0**power)
            canvas.line(x0, y, x0 + (5 if step == 1 else 3), y)


def _draw_ticks(canvas: Canvas, plan: ChartPlan) -> None:
    """Numbers and titles of both axes, the title above."""
    (x0, y0), (wide, high) = plan.corner, plan.size
    canvas.setFillColorRGB(0, 0, 0)
    canvas.setFont("Helvetica", 7)
    x_factor = 1000.0 if plan.x_unit == "mA" else 1.0
    y_factor = 1000.0 if plan.y_unit == "ms" else 1.0
    for power in range(plan.x_decades[0], plan.x_decades[1] + 1):
        if power not in plan.missing_ticks:
            x, _ = plan.to_point(10.0**power, 1.0)
            canvas.drawCentredString(x + plan.tick_shift[0], y0 - 9, _number(10.0**power * x_factor, plan))
    for power in range(plan.y_decades[0], plan.y_decades[1] + 1):
        if power not in plan.missing_ticks:
            _, y = plan.to_point(1.0, 10.0**power)
            text = _number(10.0**power * y_factor, plan)
            canvas.drawRightString(x0 - 3, y - 2.4 + plan.tick_shift[1], text)
    canvas.drawCentredString(x0 + wide / 2, y0 - 21, plan.x_title)
    canvas.saveState()
    canvas.translate(x0 - 30, y0 + high / 2)
    canvas.rotate(90)
    canvas.drawCentredString(0, 0, plan.y_title)
    canvas.restoreState()
    canvas.setFont("Helvetica-Bold", 10)
    room = 58 if plan.labels in ("top_names", "fan") else 20
    canvas.drawString(x0 - 30, y0 + high + room, plan.title)


def _number(value: float, plan: ChartPlan) -> str:
    text = f"{value:.10f}".rstrip("0").rstrip(".")
    return text.replace(".", ",") if plan.comma else text


def _draw_curve(canvas: Canvas, plan: ChartPlan, curve: PlannedCurve, dice: random.Random) -> None:
    points = [plan.to_point(x, y) for x, y in plan.curve_to_values(curve)]
    if plan.hook:
        (x, y) = points[-1]
        points = [*points, (x + 1.5, y - 1.0), (x + 0.6, y - 2.0)]
    if plan.reversed:
        points = points[::-1]
    canvas.setStrokeColorRGB(*curve.colour)
    canvas.setFillColorRGB(*curve.colour)
    canvas.setLineWidth(plan.curve_width)
    state = dice.getstate()
    for _ in range(2 if plan.twice else 1):
        dice.setstate(state)
        {"line": _polyline, "bezier": _bezier, "pieces": _pieces, "dashed": _dashed, "dashes": _dashes,
         "outline": _outline}[plan.stroke](canvas, points, plan, dice)  # fmt: skip


def _polyline(canvas: Canvas, points: Sequence[Point], *_: object) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    canvas.drawPath(path)


def _bezier(canvas: Canvas, points: Sequence[Point], *_: object) -> None:
    """Straight Bezier pieces: the line stays where the vertices have it."""
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for (ax, ay), (bx, by) in pairwise(points):
        path.curveTo(
            ax + (bx - ax) / 3, ay + (by - ay) / 3, ax + (bx - ax) * 2 / 3, ay + (by - ay) * 2 / 3, bx, by
        )
    canvas.drawPath(path)


def _pieces(canvas: Canvas, points: Sequence[Point], plan: ChartPlan, dice: random.Random) -> None:
    """Up to five pieces whose ends meet, some drawn the other way, in any order."""
    cuts = sorted({0, len(points) - 1, *dice.sample(range(1, len(points) - 1), min(4, len(points) - 2))})
    pieces = [list(points[a : b + 1]) for a, b in pairwise(cuts)]
    dice.shuffle(pieces)
    for piece in pieces:
        _polyline(canvas, piece[::-1] if dice.random() < 0.5 else piece, plan, dice)


def _dashed(canvas: Canvas, points: Sequence[Point], plan: ChartPlan, dice: random.Random) -> None:
    canvas.setDash(6, 3)
    _polyline(canvas, points, plan, dice)
    canvas.setDash()


def _dashes(canvas: Canvas, points: Sequence[Point], plan: ChartPlan, dice: random.Random) -> None:
    """Dashes as strokes of their own, as some programs write them."""
    for piece in _to_dashes(points, 5.0, 2.5):
        _polyline(canvas, piece, plan, dice)


def _to_dashes(points: Sequence[Point], dash: float, gap: float) -> list[list[Point]]:
    pieces: list[list[Point]] = [[points[0]]]
    on, left = True, dash
    for start, end in pairwise(points):
        way, at = math.dist(start, end), 0.0
        while way - at > left:
            at += left
            place = (start[0] + (end[0] - start[0]) * at / way, start[1] + (end[1] - start[1]) * at / way)
            if on:
                pieces[-1].append(place)
            else:
                pieces.append([place])
            on, left = not on, gap if on else dash
        left -= way - at
        if on:
            pieces[-1].append(end)
    return [piece for piece in pieces if len(piece) > 1]


def _outline(canvas: Canvas, points: Sequence[Point], plan: ChartPlan, *_: object) -> None:
    """The line as a filled outline of its own width."""
    half = plan.curve_width / 2
    left, right = [], []
    for index, (x, y) in enumerate(points):
        (ax, ay), (bx, by) = points[max(index - 1, 0)], points[min(index + 1, len(points) - 1)]
        length = math.hypot(bx - ax, by - ay) or 1.0
        nx, ny = -(by - ay) / length * half, (bx - ax) / length * half
        left.append((x + nx, y + ny))
        right.append((x - nx, y - ny))
    path = canvas.beginPath()
    path.moveTo(*left[0])
    for point in [*left[1:], *right[::-1]]:
        path.lineTo(*point)
    path.close()
    canvas.drawPath(path, stroke=0, fill=1)


def _draw_phantom(canvas: Canvas, plan: ChartPlan) -> None:
    """A copy of the labels in the text layer that nobody sees, shifted aside."""
    text = canvas.beginText(plan.corner[0] + 20, plan.corner[1] + plan.size[1] + 4)
    text.setTextRenderMode(3)
    text.setFont("Helvetica", 7)
    text.textOut("   ".join(curve.label for curve in plan.curves))
    canvas.drawText(text)
