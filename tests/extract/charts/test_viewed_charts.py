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
