"""Which scale, which leader, which legend: where two could be meant, the right one or a doubt."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from reportlab.pdfgen.canvas import Canvas

from extract.charts.axes import labels_to_axis
from extract.charts.drawn import Drawn
from extract.charts.frames import Frame
from extract.charts.labels import Label
from extract.charts.leaders import labels_to_tips
from extract.charts.naming import Naming
from extract.charts.numbers import TickLabel
from extract.schema import Status
from tests.extract.charts.drawing import log_chart, polyline
from tests.extract.charts.test_other_makers import curves_of
from tests.extract.charts.test_program_charts import HUES, PARTS, X0, Y0, axes, check, to_point


def test_numbers_within_one_decade_at_their_lines_make_the_scale() -> None:
    """A program's axis from 1.5 to 9 A prints 2, 3, 4 and 6 at their lines: its edges are no decades."""
    lines = [100 + 400 * math.log10(v / 1.5) for v in (2, 3, 4, 5, 6, 7, 8)]
    labels = [TickLabel(v, 100 + 400 * math.log10(v / 1.5) + 0.4) for v in (2.0, 3.0, 4.0, 6.0)]
    axis = labels_to_axis(labels, lines, (100.0, 100 + 400 * math.log10(6)), is_log=True)
    assert axis is not None
    assert not axis.is_disputed
    assert axis.value(lines[3]) == pytest.approx(5.0, rel=0.01)


def test_three_numbers_at_lines_of_another_scale_leave_it_disputed() -> None:
    """Where a scale through the edges explains more lines, but the numbers stand at lines of another, nobody
    can tell."""
    lines = [100 + 430 * math.log10(v / 1.5) for v in (2, 3, 4, 5, 6, 7, 8)]
    labels = [TickLabel(v, 100 + 430 * math.log10(v / 1.5)) for v in (2.0, 3.0, 6.0)]
    axis = labels_to_axis(labels, lines, (100.0, 100 + 430 * math.log10(6)), is_log=True)
    assert axis is None or axis.is_disputed or axis.value(lines[3]) == pytest.approx(5.0, rel=0.02)


def label(text: str, x: float, y: float) -> Label:
    """A level text of 30 points that begins at (x, y)."""
    return Label(text, Naming((text,)), (x, y - 4, x + 30, y + 4), (x, y), (x + 30, y), 0.0, (0, 0, 0))


def test_the_head_of_an_arrow_ends_its_leader() -> None:
    """Where one arrow ends another label's may begin: they are two leaders, though their ends meet."""
    frame = Frame((0.0, 0.0, 400.0, 400.0), (), ())
    both = Drawn(((132.0, 100.0), (160.0, 116.0), (160.3, 116.2), (190.0, 133.0)), 0.3, (0, 0, 0), False, 0)
    head = (158.0, 113.0, 163.0, 118.0)
    tips = labels_to_tips([label("P", 100, 100), label("Q", 128, 116)], [both], [head], frame)
    assert tips[0] is not None
    assert tips[1] is not None
    assert math.dist(tips[0].point, (160, 116)) < 5
    assert math.dist(tips[1].point, (190, 133)) < 1


def test_a_label_without_leader_among_labels_with_leaders_is_doubted(tmp_path: Path) -> None:
    """Its leader may be hidden or taken for another's: where it stands says nothing."""
    parts = (*PARTS, "SKV-200")

    def draw(canvas: Canvas) -> None:
        axes(canvas, ("Time to trip (s)",), 1.0)
        for n, part in enumerate(parts):
            hold = 0.5 * (n + 1)
            steps = (1.7, 2.2, 3, 4.4, 6.5, 9, 14)
            points = [to_point(hold * m, 6.0 * hold**0.4 / (m - 1.25) ** 1.15) for m in steps]
            polyline(canvas, points, 1.2)
            (x, y), end = points[3], (X0 + 320, Y0 + 210 - 30 * n)
            if n < 3:
                polyline(canvas, (end, (x, y)), 0.3)
            else:
                end = (points[2][0] + 8, points[2][1])
            canvas.drawString(end[0] + 2, end[1] - 3, part)

    found = {c.part_number: c for c in curves_of(tmp_path / "n.pdf", draw, parts)}
    assert [part for part, curve in found.items() if curve.status is Status.DISPUTED] == ["SKV-200"]


def test_a_legend_in_rows_of_two_columns_names_all_curves(tmp_path: Path) -> None:
    """Samples of one length in the colours of curves are one legend, whatever their rows and columns."""
    parts = (*PARTS, "SKV-200")

    def draw(canvas: Canvas) -> None:
        axes(canvas, ("Time to trip (s)",), 1.0)
        for n, (part, hue) in enumerate(zip(parts, (*HUES, (0.6, 0.1, 0.6)), strict=True)):
            hold = 0.5 * (n + 1)
            steps = (1.7, 2.2, 3, 4.4, 6.5, 9, 14)
            points = [to_point(hold * m, 6.0 * hold**0.4 / (m - 1.25) ** 1.15) for m in steps]
            polyline(canvas, points, 1.0, hue)
            x, y = X0 + 20 + 150 * (n // 2), Y0 - 50 - 22 * (n % 2)
            polyline(canvas, ((x, y), (x + 24, y)), 1.0, hue)
            canvas.drawString(x + 30, y - 3, part)

    found = {c.part_number: c for c in curves_of(tmp_path / "r.pdf", draw, parts)}
    check({part: curve for part, curve in found.items() if part in PARTS})
    assert "SKV-200" in found


def test_two_charts_that_share_an_axis_have_one_scale(tmp_path: Path) -> None:
    """Frames of one height with no room for numbers between them: those at the left are of both."""

    def draw(canvas: Canvas) -> None:
        canvas.setFont("Helvetica", 9)
        for n, x0 in enumerate((80.0, 327.0)):
            decades = ((-1, 0, 1, 2), (-2, -1, 0, 1, 2))
            way = log_chart(canvas, (x0, 400.0), (230.0, 230.0), decades, with_left=not n)
            for k in range(2):
                hold = 0.5 * (2 * n + k + 1)
                steps = (1.7, 2.2, 3, 4.4, 6.5, 9)
                points = [way(hold * m, 6.0 * hold**0.4 / (m - 1.25) ** 1.15) for m in steps]
                polyline(canvas, points, 1.1)
                canvas.drawString(points[-1][0] + 2, points[-1][1] - 2, (*PARTS, "SKV-200")[2 * n + k])
            canvas.drawString(x0 + 30, 645, "Typical time to trip at 23 °C")

    found = {c.part_number: c for c in curves_of(tmp_path / "s.pdf", draw, (*PARTS, "SKV-200"))}
    check({part: curve for part, curve in found.items() if part in PARTS})


@pytest.mark.parametrize("title", ["Typical reset time at 23 °C", "Rückstellzeit bei 23 °C"])
def test_times_to_reset_are_no_times_to_trip(tmp_path: Path, title: str) -> None:
    """A chart of another time over the current, with the same axes, gives no trip times."""

    def draw(canvas: Canvas) -> None:
        to_point = log_chart(canvas, titles=("Fault current (A)", "Time (s)"))
        canvas.drawString(180, 680, title)
        for n, part in enumerate(PARTS):
            points = [(m * (n + 1), 6.0 / (m - 1.3) ** 1.2) for m in (1.8, 2.2, 3.0, 4.5, 7.0)]
            polyline(canvas, [to_point(*point) for point in points], 1.2)
            canvas.drawString(to_point(*points[-1])[0] + 3, to_point(*points[-1])[1] - 3, part)

    assert curves_of(tmp_path / "o.pdf", draw, PARTS) == ()


def test_logarithms_on_a_plain_scale_are_a_doubt(tmp_path: Path) -> None:
    """An axis "log10 of the current" with 0, 1, 2 at even steps prints exponents, no amperes."""

    def draw(canvas: Canvas) -> None:
        log_chart(canvas, titles=("log10 of the fault current", "Time to trip (s)"), with_bottom=False)
        canvas.drawString(180, 680, "Typical time to trip at 23 °C")
        canvas.setFont("Helvetica", 7)
        for n in range(7):
            canvas.drawCentredString(100 + 50 * n, 391, f"{0.5 * n:g}")
            polyline(canvas, ((100 + 50 * n, 400), (100 + 50 * n, 404)), 0.5)
        for n, part in enumerate(PARTS):
            points = [(140.0 + 40 * n + 6 * k, 620.0 - 190 * (k / 12) ** 0.5) for k in range(13)]
            polyline(canvas, points, 1.2)
            canvas.drawString(points[-1][0] + 3, points[-1][1] - 3, part)

    found = curves_of(tmp_path / "p.pdf", draw, PARTS)
    assert len(found) == len(PARTS)
    assert all("speaks of logarithms" in " ".join(curve.notes) for curve in found)


def test_a_chart_above_another_with_its_lines_has_its_numbers(tmp_path: Path) -> None:
    """Two charts one above the other whose level axis is printed below the lower one alone."""

    def draw(canvas: Canvas) -> None:
        canvas.setFont("Helvetica", 9)
        for n, y0 in enumerate((500.0, 220.0)):
            way = log_chart(canvas, (100.0, y0), (280.0, 220.0), with_bottom=bool(n), titles=(
                "Fault current (A)" if n else "", "Time to trip (s)"))  # fmt: skip
            canvas.setFont("Helvetica", 9)
            for k in range(2):
                hold = 0.5 * (2 * n + k + 1)
                steps = (1.7, 2.2, 3, 4.4, 6.5, 9)
                points = [way(hold * m, 6.0 * hold**0.4 / (m - 1.25) ** 1.15) for m in steps]
                polyline(canvas, points, 1.1)
                canvas.drawString(points[-1][0] + 2, points[-1][1] - 2, (*PARTS, "SKV-200")[2 * n + k])
            canvas.drawString(150, y0 + 232, "Typical time to trip at 23 °C")

    found = {c.part_number: c for c in curves_of(tmp_path / "v.pdf", draw, (*PARTS, "SKV-200"))}
    check({part: curve for part, curve in found.items() if part in PARTS})


def test_patches_with_an_edge_are_the_samples_of_a_legend(tmp_path: Path) -> None:
    """A box filled in a curve's colour and edged in black shows that colour."""

    def draw(canvas: Canvas) -> None:
        axes(canvas, ("Time to trip (s)",), 1.0)
        for n, (part, hue) in enumerate(zip(PARTS, HUES, strict=True)):
            hold = 0.5 * (n + 1)
            steps = (1.7, 2.2, 3, 4.4, 6.5, 9, 14)
            points = [to_point(hold * m, 6.0 * hold**0.4 / (m - 1.25) ** 1.15) for m in steps]
            polyline(canvas, points, 1.0, hue)
            canvas.setStrokeColorRGB(0, 0, 0)
            canvas.setFillColorRGB(*hue)
            canvas.rect(X0 + 190, Y0 + 210 - 14 * n, 9, 7, stroke=1, fill=1)
            canvas.setFillColorRGB(0, 0, 0)
            canvas.drawString(X0 + 206, Y0 + 211 - 14 * n, part)

    check({c.part_number: c for c in curves_of(tmp_path / "e.pdf", draw, PARTS)})
