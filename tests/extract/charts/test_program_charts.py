"""Charts as programs compose them: frames of single lines, letters placed one by one, legends far below."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from reportlab.pdfgen.canvas import Canvas

from extract.charts.curves import strokes_to_chart_lines
from extract.charts.drawn import Drawn
from extract.charts.frames import Frame
from extract.charts.ink import Stroke
from extract.charts.markers import without_markers
from extract.schema import Curve, Status
from tests.extract.charts.drawing import polyline
from tests.extract.charts.test_other_makers import curves_of

X0, Y0, WIDE, HIGH = 120.0, 420.0, 300.0, 240.0
PARTS = ("SKV-050", "SKV-100", "SKV-150")
HUES = ((0.2, 0.4, 0.8), (0.8, 0.2, 0.2), (0.4, 0.7, 0.2))


def to_point(current_a: float, time_s: float) -> tuple[float, float]:
    """On axes from 0.1 to 100 A and from 0.01 to 100 s."""
    return X0 + WIDE * (math.log10(current_a) + 1) / 3, Y0 + HIGH * (math.log10(time_s) + 2) / 4


def torn_upwards(canvas: Canvas, pieces: tuple[str, ...]) -> None:
    """A title read upwards, each piece of its words a text of its own, none apart from the next."""
    canvas.saveState()
    canvas.translate(X0 - 36, Y0 + 60)
    canvas.rotate(90)
    x = 0.0
    for piece in pieces:
        canvas.drawString(x, 0, piece)
        x += canvas.stringWidth(piece)
    canvas.restoreState()


def axes(canvas: Canvas, title: tuple[str, ...], factor: float) -> None:
    """Four single lines as frame, ticks outwards of 9 points at each decade, one of them at each corner."""
    canvas.setFont("Helvetica", 8)
    for line in (((X0, Y0), (X0 + WIDE, Y0)), ((X0, Y0 + HIGH), (X0 + WIDE, Y0 + HIGH)),
                 ((X0, Y0), (X0, Y0 + HIGH)), ((X0 + WIDE, Y0), (X0 + WIDE, Y0 + HIGH))):  # fmt: skip
        polyline(canvas, line, 0.4)
    for current in (0.1, 1, 10, 100):
        x, _ = to_point(current, 1)
        polyline(canvas, ((x, Y0), (x, Y0 - 9)), 0.4)
        canvas.drawCentredString(x, Y0 - 19, f"{current:g}")
    for time in (0.01, 0.1, 1, 10, 100):
        _, y = to_point(1, time)
        polyline(canvas, ((X0 - 9, y), (X0, y)), 0.4)
        canvas.drawRightString(X0 - 12, y - 3, f"{time * factor:,.10g}".replace(",", " "))
    canvas.drawCentredString(X0 + WIDE / 2, Y0 - 36, "Fault current (A)")
    torn_upwards(canvas, title)
    canvas.drawString(X0 + 60, Y0 + HIGH + 20, "Typical time to trip at 23 °C")


def curves(canvas: Canvas, legend_below: float) -> None:
    """Three coloured curves, each of 40 strokes of its own, with a legend in a row below."""
    for n, (part, hue) in enumerate(zip(PARTS, HUES, strict=True)):
        hold = 0.5 * (n + 1)
        steps = [1.7 * 1.07**k for k in range(41)]
        points = [to_point(hold * m, 6.0 * hold**0.4 / (m - 1.25) ** 1.15) for m in steps]
        for a, b in pairwise(points):
            polyline(canvas, (a, b), 0.9, hue)
        x, y = X0 + 90 * n, Y0 - legend_below
        polyline(canvas, ((x, y), (x + 18, y)), 0.9, hue)
        canvas.drawString(x + 22, y - 3, part)


def check(found: dict[str, Curve]) -> None:
    """Each part has its curve, undisputed, in seconds."""
    assert set(found) == set(PARTS)
    for n, part in enumerate(PARTS):
        assert found[part].status is not Status.DISPUTED
        x, y = found[part].points[0]
        assert math.isclose(x, 1.7 * 0.5 * (n + 1), rel_tol=0.02)
        assert math.isclose(y, 6.0 * (0.5 * (n + 1)) ** 0.4 / 0.45**1.15, rel_tol=0.03)


def test_ticks_that_go_on_the_lines_of_a_frame_are_no_part_of_it(tmp_path: Path) -> None:
    """A tick outwards of 9 points at each corner makes a frame's line longer than the frame."""

    def draw(canvas: Canvas) -> None:
        axes(canvas, ("Time to trip (s)",), 1.0)
        curves(canvas, 50)

    check({c.part_number: c for c in curves_of(tmp_path / "t.pdf", draw, PARTS)})


def test_a_legend_far_below_names_the_curves(tmp_path: Path) -> None:
    """An office program leaves 70 points between a chart and the row of its legend."""

    def draw(canvas: Canvas) -> None:
        axes(canvas, ("Time to trip (s)",), 1.0)
        curves(canvas, 72)

    check({c.part_number: c for c in curves_of(tmp_path / "l.pdf", draw, PARTS)})


def test_words_whose_letters_are_placed_one_by_one_are_words(tmp_path: Path) -> None:
    """A text layer tears "Time to trip (ms)" into pieces that touch: the axis is in ms all the same."""

    def draw(canvas: Canvas) -> None:
        axes(canvas, ("Tim", "e to", " trip (m", "s)"), 1000.0)
        curves(canvas, 50)

    check({c.part_number: c for c in curves_of(tmp_path / "w.pdf", draw, PARTS)})


PATTERNS = ((6.0, 2.0), (1.5, 2.0), (6.0, 2.0, 1.0, 2.0))


def dashed(canvas: Canvas, patterns: Sequence[Sequence[float]], with_signs: bool) -> None:
    """Three black curves told apart by their dashes alone, a legend within; crosses at their points."""
    for n, (part, pattern) in enumerate(zip(PARTS, patterns, strict=True)):
        hold = 0.5 * (n + 1)
        steps = (1.7, 2.2, 3, 4.4, 6.5, 9, 14)
        points = [to_point(hold * m, 6.0 * hold**0.4 / (m - 1.25) ** 1.15) for m in steps]
        x, y = X0 + 190, Y0 + HIGH - 20 - 12 * n
        canvas.setDash(list(pattern))
        polyline(canvas, points, 0.8)
        polyline(canvas, ((x, y), (x + 30, y)), 0.8)
        canvas.setDash([])
        canvas.drawString(x + 36, y - 3, part)
        for px, py in points if with_signs else ():
            polyline(canvas, ((px - 2, py - 2), (px + 2, py + 2)), 0.8)
            polyline(canvas, ((px - 2, py + 2), (px + 2, py - 2)), 0.8)


@pytest.mark.parametrize("with_signs", [False, True])
def test_dashes_alone_tell_curves_of_one_colour_apart(tmp_path: Path, with_signs: bool) -> None:
    """The sample of a legend is dashed as its curve is; crosses at the points of a curve are no dashes."""

    def draw(canvas: Canvas) -> None:
        axes(canvas, ("Time to trip (s)",), 1.0)
        dashed(canvas, PATTERNS, with_signs)

    check({c.part_number: c for c in curves_of(tmp_path / "d.pdf", draw, PARTS)})


def test_dashes_that_are_alike_tell_no_curves_apart(tmp_path: Path) -> None:
    """Two curves dashed alike, in one colour: whose is whose nobody can tell from the legend."""

    def draw(canvas: Canvas) -> None:
        axes(canvas, ("Time to trip (s)",), 1.0)
        dashed(canvas, (PATTERNS[0], PATTERNS[1], PATTERNS[1]), False)

    found = {c.part_number: c for c in curves_of(tmp_path / "a.pdf", draw, PARTS)}
    assert found["SKV-100"].status is found["SKV-150"].status is Status.DISPUTED


def test_dashes_that_cross_a_curve_of_another_colour_are_no_signs() -> None:
    """A dashed line whose dashes happen to lie at points of a whole one keeps them."""
    whole = Drawn(tuple((10.0 * i, 5.0 * i) for i in range(12)), 1.0, (0, 0, 0), False, 0)
    dashes = [
        Drawn(((10.0 * i - 3, 5.0 * i - 1), (10.0 * i + 3, 5.0 * i + 1)), 1.0, (170, 40, 40), False, i)
        for i in range(1, 8)
    ]
    assert without_markers([whole, *dashes]) == [whole, *dashes]
    assert without_markers([whole, *(replace(dash, colour=(0, 0, 0)) for dash in dashes)]) == [whole]


def test_a_shaded_ground_with_few_white_lines_is_a_frame(tmp_path: Path) -> None:
    """A style without frame: a grey area, three white lines up and five across, numbers beside it."""

    def draw(canvas: Canvas) -> None:
        canvas.setFillColorRGB(0.92, 0.92, 0.95)
        canvas.rect(X0, Y0, WIDE, HIGH, stroke=0, fill=1)
        canvas.setFillColorRGB(0, 0, 0)
        canvas.setFont("Helvetica", 8)
        for current in (0.2, 1, 10, 50):
            x, _ = to_point(current, 1)
            polyline(canvas, ((x, Y0), (x, Y0 + HIGH)), 0.8, (1, 1, 1))
            canvas.drawCentredString(x, Y0 - 12, f"{current:g}")
        for time in (0.1, 1, 10):
            _, y = to_point(1, time)
            polyline(canvas, ((X0, y), (X0 + WIDE, y)), 0.8, (1, 1, 1))
            canvas.drawRightString(X0 - 6, y - 3, f"{time:g}")
        canvas.drawCentredString(X0 + WIDE / 2, Y0 - 26, "Fault current (A)")
        torn_upwards(canvas, ("Time to trip (s)",))
        canvas.drawString(X0 + 60, Y0 + HIGH + 20, "Typical time to trip at 23 °C")
        curves(canvas, 50)

    check({c.part_number: c for c in curves_of(tmp_path / "g.pdf", draw, PARTS)})


def test_the_list_of_keys_within_a_chart_names_no_curve_where_it_stands(tmp_path: Path) -> None:
    """Letters at the ends of curves, and beside one curve the list of what they mean: the letters count."""

    def draw(canvas: Canvas) -> None:
        axes(canvas, ("Time to trip (s)",), 1.0)
        for n, part in enumerate(PARTS):
            hold = 0.5 * (n + 1)
            points = [
                to_point(hold * m, 6.0 * hold**0.4 / (m - 1.25) ** 1.15) for m in (1.7, 2.2, 3, 4.4, 6.5, 9)
            ]
            polyline(canvas, points, 0.9)
            canvas.drawString(points[-1][0] + 3, points[-1][1] - 3, "ABC"[n])
            canvas.drawString(X0 + 150, Y0 + 170 - 10 * n, f"{'ABC'[n]}: {part}")

    check({c.part_number: c for c in curves_of(tmp_path / "k.pdf", draw, PARTS)})


def test_a_piece_that_lies_on_a_longer_one_of_another_curve_is_kept() -> None:
    """Two curves in pieces begin as one and part: the shorter first piece is no double of the longer."""
    first = tuple((100.0 + 2 * i, 100.0 + 6 * i) for i in range(11))
    longer = tuple((100.1 + 2 * i, 100.0 + 6 * i) for i in range(12))
    steep = tuple((120.0 + 2 * i + 0.2 * i * i, 160.0 + 6 * i) for i in range(12))
    level = tuple((122.1 + 4 * i + 0.3 * i * i, 166.0 + 5 * i) for i in range(12))
    strokes = [Stroke(points, (0, 0, 0), 1.0, n) for n, points in enumerate((longer, level, first, steep))]
    lines = strokes_to_chart_lines(Frame((90.0, 90.0, 300.0, 300.0), (), ()), strokes)
    assert sorted(len(curve.points) for curve in lines.curves) == [23, 24]
    twice = [*strokes, *(Stroke(s.points[::-1], s.colour, 1.0, 9) for s in strokes)]
    assert len(strokes_to_chart_lines(Frame((90.0, 90.0, 300.0, 300.0), (), ()), twice).curves) == 2


def test_a_leader_that_ends_beside_its_curve_leaves_its_label_in_doubt(tmp_path: Path) -> None:
    """Two leaders end at their curves, the third 12 points before the curve that is left: it may be another
    label's leader."""

    def draw(canvas: Canvas) -> None:
        axes(canvas, ("Time to trip (s)",), 1.0)
        for n, part in enumerate(PARTS):
            hold = 0.5 * (n + 1)
            steps = (1.7, 2.2, 3, 4.4, 6.5, 9, 14)
            points = [to_point(hold * m, 6.0 * hold**0.4 / (m - 1.25) ** 1.15) for m in steps]
            polyline(canvas, points, 1.2)
            (x, y), end = points[3], (X0 + WIDE + 20, Y0 + HIGH - 30 - 30 * n)
            short = 12.0 if n == 2 else 0.0
            polyline(canvas, (end, (x + short, y + short * (end[1] - y) / (end[0] - x))), 0.3)
            canvas.drawString(end[0] + 2, end[1] - 3, part)

    found = {c.part_number: c for c in curves_of(tmp_path / "b.pdf", draw, PARTS)}
    assert {part: curve.status is Status.DISPUTED for part, curve in found.items()} == {
        PARTS[0]: False, PARTS[1]: False, PARTS[2]: True}  # fmt: skip


def test_names_that_touch_are_the_names_of_two_curves(tmp_path: Path) -> None:
    """Two labels side by side run together in the text layer: each is a part number of the sheet."""

    def draw(canvas: Canvas) -> None:
        axes(canvas, ("Time to trip (s)",), 1.0)
        for n in range(3):
            hold = 0.5 * (n + 1)
            steps = (1.7, 2.2, 3, 4.4, 6.5, 9)
            points = [to_point(hold * m, 6.0 * hold**0.4 / (m - 1.25) ** 1.15) for m in steps]
            polyline(canvas, points, 1.0)
        canvas.setFont("Helvetica", 4.4)
        canvas.drawString(X0 + 80, Y0 + 190, PARTS[0])
        x, y = to_point(2.55, 17.7)
        canvas.drawString(x - canvas.stringWidth(PARTS[1]) - 3, y + 4, PARTS[1] + PARTS[2])

    found = {c.part_number: c for c in curves_of(tmp_path / "n.pdf", draw, PARTS)}
    assert {PARTS[1], PARTS[2]} <= set(found)
    for n in (1, 2):
        assert math.isclose(found[PARTS[n]].points[0][0], 1.7 * 0.5 * (n + 1), rel_tol=0.02)
