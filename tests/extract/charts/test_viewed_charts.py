"""Charts that stand otherwise than most: turned, very large, axes at the other sides, curves of dots."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest
from reportlab.pdfgen.canvas import Canvas

from extract.charts.drawn import Drawn
from extract.charts.pieces import pieces_to_lines
from extract.schema import Status
from tests.extract.charts.drawing import log_chart, polyline
from tests.extract.charts.test_loose_charts import HUES, PARTS, check, holds, law, named_curves
from tests.extract.charts.test_other_makers import curves_of

TITLE = "Typical time to trip at 23 °C"


def whole_chart(canvas: Canvas) -> None:
    """A chart with its texts, each name at the end of its curve."""
    place = log_chart(canvas)
    canvas.drawString(160, 665, TITLE)
    named_curves(canvas, place)


@pytest.mark.parametrize("quarters", [1, -1])
def test_a_chart_turned_on_its_page_is_read(tmp_path: Path, quarters: int) -> None:
    """All texts read upwards, or downwards: the values are the same, and the place is that on the page."""

    def draw(canvas: Canvas) -> None:
        canvas.translate(297, 421)
        canvas.rotate(90 * quarters)
        canvas.translate(-250, -530)
        whole_chart(canvas)

    found = curves_of(tmp_path / "turned.pdf", draw, PARTS)
    check(found, disputed=False)
    for curve in found:
        assert 0 < curve.place.x0 < curve.place.x1 < 595
        assert 0 < curve.place.top < curve.place.bottom < 842
        assert curve.place.x1 - curve.place.x0 == pytest.approx(250, abs=1.5)
        assert curve.place.bottom - curve.place.top == pytest.approx(300, abs=1.5)
        assert curve.status is Status.AGREED
        xs = [x for x, _ in curve.on_page]
        assert curve.place.x0 - 1 < min(xs) < max(xs) < curve.place.x1 + 1


def test_a_very_large_chart_is_read_as_if_from_farther_off(tmp_path: Path) -> None:
    """A chart drawn 2.4 times as large, its titles far from its axes: the same values."""

    def draw(canvas: Canvas) -> None:
        canvas.setPageSize((1191.0, 1191.0))
        canvas.scale(2.4, 2.4)
        canvas.translate(-20, -320)
        whole_chart(canvas)

    check(curves_of(tmp_path / "large.pdf", draw, PARTS), disputed=False)


def test_axes_at_the_right_and_at_the_head_are_read(tmp_path: Path) -> None:
    """Numbers and titles above and at the right of the frame, none at the left or below."""

    def draw(canvas: Canvas) -> None:
        place = log_chart(canvas, titles=("", ""), with_left=False, with_bottom=False)
        for current in (0.1, 1, 10, 100):
            canvas.drawCentredString(place(current, 1)[0], 654, f"{current:g}")
        for time in (0.01, 0.1, 1, 10, 100):
            canvas.drawString(404, place(1, time)[1] - 2.5, f"{time:g}")
        canvas.drawCentredString(250, 668, "Fault current in A")
        canvas.drawCentredString(250, 690, TITLE)
        canvas.saveState()
        canvas.translate(436, 490)
        canvas.rotate(90)
        canvas.drawString(0, 0, "Time to trip in s")
        canvas.restoreState()
        for part, hold, hue in zip(PARTS, holds(), HUES, strict=True):
            points = [place(*point) for point in law(hold)]
            polyline(canvas, points, 1.0, hue)
            canvas.drawString(points[-1][0] + 3, points[-1][1] - 3, part)

    check(curves_of(tmp_path / "sides.pdf", draw, PARTS), disputed=False)


def test_rows_of_dots_are_curves(tmp_path: Path) -> None:
    """One filled circle a point, a colour for each part."""

    def draw(canvas: Canvas) -> None:
        place = log_chart(canvas)
        canvas.drawString(160, 665, TITLE)
        for part, hold, hue in zip(PARTS, holds(), HUES, strict=True):
            points = [place(*point) for point in law(hold)]
            canvas.setFillColorRGB(*hue)
            for x, y in points:
                canvas.circle(x, y, 1.2, stroke=0, fill=1)
            canvas.drawString(points[-1][0] + 4, points[-1][1] - 3, part)

    check(curves_of(tmp_path / "dots.pdf", draw, PARTS), disputed=False)


def test_dots_of_one_colour_are_no_curves(tmp_path: Path) -> None:
    """Dots of three curves in one colour: whose is whose cannot be told, nothing is read."""

    def draw(canvas: Canvas) -> None:
        place = log_chart(canvas)
        canvas.drawString(160, 665, TITLE)
        for part, hold in zip(PARTS, holds(), strict=True):
            points = [place(*point) for point in law(hold)]
            for x, y in points:
                canvas.circle(x, y, 1.2, stroke=0, fill=1)
            canvas.drawString(points[-1][0] + 4, points[-1][1] - 3, part)

    assert curves_of(tmp_path / "black.pdf", draw, PARTS) == ()


def test_a_leader_that_ends_at_a_point_of_a_curve_does_not_cut_it() -> None:
    """Where three ends meet the two that go straight on are one line, and the leader another."""
    points = [(10.0 * n, 100.0 * math.log(1 + n)) for n in range(1, 9)]
    pieces = [Drawn(pair, 0.5, (0, 0, 0), False, n) for n, pair in enumerate(pairwise(points))]
    leader = Drawn((points[3], (points[3][0] + 60, points[3][1] - 70)), 0.5, (0, 0, 0), False, 20)
    found = pieces_to_lines([*pieces, leader])
    assert sorted(len(line.points) for line in found) == [2, 14]


def test_numbers_that_stand_aslant_are_those_of_the_axis(tmp_path: Path) -> None:
    """Numbers below the frame turned by 60 degrees name its lines, and are no labels."""

    def draw(canvas: Canvas) -> None:
        place = log_chart(canvas, with_bottom=False)
        for current in (0.1, 0.5, 1, 5, 10, 50, 100):
            canvas.saveState()
            canvas.translate(place(current, 0.01)[0] + 2, 393)
            canvas.rotate(60)
            canvas.drawRightString(0, 0, f"{current:g}")
            canvas.restoreState()
        canvas.drawString(160, 665, TITLE)
        named_curves(canvas, place)

    check(curves_of(tmp_path / "aslant.pdf", draw, PARTS), disputed=False)


def test_limits_in_dashes_beside_typical_curves_leave_these_in_doubt(tmp_path: Path) -> None:
    """Three names, three whole curves, six dashed ones around them: the whole ones are meant, in doubt."""

    def draw(canvas: Canvas) -> None:
        place = log_chart(canvas)
        canvas.drawString(160, 665, TITLE)
        for part, hold in zip(PARTS, holds(), strict=True):
            for factor, dashes in ((0.7, (4, 3)), (1.0, ()), (1.4, (4, 3))):
                points = [place(current, time * factor) for current, time in law(hold)]
                canvas.setDash(*([dashes] if dashes else [[]]))
                polyline(canvas, points, 0.7 if dashes else 1.4)
            canvas.setDash([])
            x, y = place(*law(hold)[0])
            canvas.drawCentredString(x, y + 12, part)

    check(curves_of(tmp_path / "limits.pdf", draw, PARTS), disputed=True)


def test_the_box_of_a_legend_is_not_the_frame(tmp_path: Path) -> None:
    """A frame with ticks and no grid, and in it the box of a legend that a curve runs into."""

    def draw(canvas: Canvas) -> None:
        canvas.setFont("Helvetica", 7)
        canvas.setStrokeColorRGB(0, 0, 0)
        canvas.setLineWidth(0.6)
        canvas.rect(100, 400, 300, 250)
        for decade in range(4):
            canvas.line(100 + 100 * decade, 400, 100 + 100 * decade, 395)
            canvas.drawCentredString(100 + 100 * decade, 387, f"{10.0 ** (decade - 1):g}")
        for decade in range(5):
            canvas.line(95, 400 + 62.5 * decade, 100, 400 + 62.5 * decade)
            canvas.drawRightString(92, 398 + 62.5 * decade, f"{10.0 ** (decade - 2):g}")
        canvas.drawString(160, 665, TITLE)
        canvas.drawCentredString(250, 372, "Fault current (A)")
        canvas.saveState()
        canvas.translate(66, 480)
        canvas.rotate(90)
        canvas.drawString(0, 0, "Time to trip (s)")
        canvas.restoreState()
        canvas.rect(215, 540, 110, 60)
        for n, (part, hold, hue) in enumerate(zip(PARTS, holds(), HUES, strict=True)):
            points = [
                (100 + 100 * (math.log10(a) + 1), 400 + 62.5 * (math.log10(s) + 2)) for a, s in law(hold)
            ]
            for first in range(0, len(points) - 1, 6):
                polyline(canvas, points[first : first + 7], 1.2, hue)
            polyline(canvas, ((262, 588 - 16 * n), (280, 588 - 16 * n)), 1.2, hue)
            canvas.drawString(284, 585 - 16 * n, part)

    check(curves_of(tmp_path / "box.pdf", draw, PARTS), disputed=False)


def test_a_number_that_both_axes_begin_with_is_each_its_own(tmp_path: Path) -> None:
    """Both axes begin with 1, the two ones near each other at the corner: no axis prints a number twice."""

    def draw(canvas: Canvas) -> None:
        place = log_chart(
            canvas,
            size=(260.0, 340.0),
            decades=((0, 1), (0, 1, 2, 3, 4)),
            titles=("Current in amperes", "Time in milliseconds"),
            with_bottom=False,
        )
        for current in (1, 10):
            canvas.drawCentredString(place(current, 1)[0] - (5 if current == 1 else 0), 391, f"{current:g}")
        canvas.drawString(120, 755, TITLE)
        for part, hold, hue in zip(PARTS, holds(), HUES, strict=True):
            points = [place(a, 1000 * s) for a, s in law(hold) if 1.0 < a < 10.0 and s < 10.0]
            polyline(canvas, points, 1.0, hue)
            canvas.drawString(points[-1][0] + 3, points[-1][1] - 3, part)

    found = curves_of(tmp_path / "corner.pdf", draw, PARTS)
    assert {curve.part_number for curve in found} == set(PARTS)
    for curve in found:
        hold = holds()[PARTS.index(curve.part_number)]
        last = [point for point in law(hold) if point[0] < 10.0][-1]
        assert curve.points[-1] == pytest.approx(last, rel=0.03)
