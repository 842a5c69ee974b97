"""Charts that no box closes, that no label names, or whose texts are outlines: read in doubt, not lost."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from matplotlib.textpath import TextPath
from reportlab.pdfgen.canvas import Canvas

from extract.charts.axes import labels_to_axis
from extract.charts.figures import text_to_number
from extract.charts.frames import Line, join_lines
from extract.charts.numbers import TickLabel
from extract.charts.pixels import can_read_pixels
from extract.schema import Curve, Status
from tests.extract.charts.drawing import log_chart, polyline
from tests.extract.charts.test_other_makers import curves_of

PARTS = ("LTK-050", "LTK-100", "LTK-150")
X0, Y0, DECADE_X, DECADE_Y = 120.0, 400.0, 100.0, 70.0
HUES = ((0.2, 0.4, 0.8), (0.8, 0.2, 0.2), (0.2, 0.6, 0.2))


def holds() -> tuple[float, ...]:
    """What `curves_of` tells of the parts."""
    return tuple(0.5 * (n + 1) for n in range(len(PARTS)))


def time_s(hold_a: float, multiple: float) -> float:
    """An invented law of trip times."""
    return 6.0 * hold_a**0.4 / (multiple - 1.25) ** 1.15


def law(hold_a: float) -> list[tuple[float, float]]:
    """Points (A, s) of the curve of a part."""
    return [(hold_a * m, time_s(hold_a, m)) for m in (1.7 * 1.07**k for k in range(31))]


def to_point(current_a: float, time_s: float) -> tuple[float, float]:
    """On axes from 0.1 to 100 A and from 0.01 to 100 s."""
    return X0 + DECADE_X * (math.log10(current_a) + 1), Y0 + DECADE_Y * (math.log10(time_s) + 2)


def texts(canvas: Canvas) -> None:
    """Numbers and titles of both axes and of the chart, in text."""
    canvas.setFont("Helvetica", 8)
    for current in (0.1, 1, 10, 100):
        canvas.drawCentredString(to_point(current, 1)[0], Y0 - 12, f"{current:g}")
    for time in (0.01, 0.1, 1, 10, 100):
        canvas.drawRightString(X0 - 6, to_point(1, time)[1] - 2.8, f"{time:g}")
    canvas.drawCentredString(X0 + 150, Y0 - 28, "Fault current (A)")
    canvas.drawCentredString(X0 + 150, Y0 + 4 * DECADE_Y + 14, "Typical time to trip at 23 °C")
    canvas.saveState()
    canvas.translate(X0 - 36, Y0 + 100)
    canvas.rotate(90)
    canvas.drawString(0, 0, "Time to trip (s)")
    canvas.restoreState()


def named_curves(canvas: Canvas, place: Callable[[float, float], tuple[float, float]]) -> None:
    """The curves, each with its name at its end."""
    for part, hold, hue in zip(PARTS, holds(), HUES, strict=True):
        points = [place(*point) for point in law(hold)]
        polyline(canvas, points, 1.0, hue)
        canvas.drawString(points[-1][0] + 3, points[-1][1] - 3, part)


def check(found: tuple[Curve, ...], disputed: bool) -> None:
    """Each part has its own curve, to 3 %, and stands as it should."""
    assert {curve.part_number for curve in found} == set(PARTS)
    for curve in found:
        hold = holds()[PARTS.index(curve.part_number)]
        x, y = curve.points[0]
        assert x == pytest.approx(1.7 * hold, rel=0.03)
        assert y == pytest.approx(time_s(hold, 1.7), rel=0.03)
        assert (curve.status is Status.DISPUTED) is disputed


def test_axes_that_do_not_meet_are_read_in_doubt(tmp_path: Path) -> None:
    """Two axes that span the data only, no tick on them: the numbers alone give the scale, disputed."""

    def draw(canvas: Canvas) -> None:
        texts(canvas)
        polyline(canvas, (to_point(0.8, 0.01), to_point(30, 0.01)), 0.5)
        polyline(canvas, (to_point(0.1, 0.1), to_point(0.1, 20)), 0.5)
        named_curves(canvas, to_point)

    check(curves_of(tmp_path / "apart.pdf", draw, PARTS), disputed=True)


def test_level_lines_alone_are_a_frame_for_curves(tmp_path: Path) -> None:
    """A grid of level lines only, whose ends stand where the numbers below have their scale."""

    def draw(canvas: Canvas) -> None:
        texts(canvas)
        for time in (0.01, 0.1, 1, 10, 100):
            polyline(canvas, (to_point(0.1, time), to_point(100, time)), 0.3, (0.7, 0.7, 0.7))
        named_curves(canvas, to_point)

    check(curves_of(tmp_path / "levels.pdf", draw, PARTS), disputed=False)


def test_curves_without_labels_are_named_by_order_in_doubt(tmp_path: Path) -> None:
    """As many curves as parts, spaced as the hold currents are, and no label: the order names them."""

    def draw(canvas: Canvas) -> None:
        place = log_chart(canvas)
        canvas.drawString(160, 665, "Typical time to trip at 23 °C")
        for hold in holds():
            polyline(canvas, [place(*point) for point in law(hold)], 1.2)

    check(curves_of(tmp_path / "order.pdf", draw, PARTS), disputed=True)


@pytest.mark.parametrize("drawn", [(0.5, 1.0), (0.5, 1.0, 4.5), (0.5, 1.0, 1.5, 2.0)])
def test_order_names_nothing_where_anything_is_left_to_choose(
    tmp_path: Path, drawn: tuple[float, ...]
) -> None:
    """A curve too few or too many, or one that stands where no hold current is: no name is given."""

    def draw(canvas: Canvas) -> None:
        place = log_chart(canvas)
        canvas.drawString(160, 665, "Typical time to trip at 23 °C")
        for hold in drawn:
            polyline(canvas, [place(*point) for point in law(hold)], 1.2)

    assert curves_of(tmp_path / "other.pdf", draw, PARTS) == ()


def test_a_curve_of_pieces_that_are_each_closed_is_one(tmp_path: Path) -> None:
    """Each piece of a curve a path of its own that goes there and back."""

    def draw(canvas: Canvas) -> None:
        place = log_chart(canvas)
        canvas.drawString(160, 665, "Typical time to trip at 23 °C")
        for part, hold in zip(PARTS, holds(), strict=True):
            points = [place(*point) for point in law(hold)]
            for a, b in pairwise(points):
                path = canvas.beginPath()
                path.moveTo(*a)
                path.lineTo(*b)
                path.close()
                canvas.setStrokeColorRGB(0, 0, 0)
                canvas.setLineWidth(1.1)
                canvas.drawPath(path)
            canvas.drawString(points[-1][0] + 3, points[-1][1] - 3, part)

    check(curves_of(tmp_path / "closed.pdf", draw, PARTS), disputed=False)


def outlined(canvas: Canvas, text: str, x: float, y: float, turn: float = 0.0) -> None:
    """A text as filled outlines, beginning at x, y."""
    canvas.saveState()
    canvas.translate(x, y)
    canvas.rotate(turn)
    canvas.setFillColorRGB(0, 0, 0)
    path = canvas.beginPath()
    for ring in TextPath((0, 0), text, size=8).to_polygons():
        path.moveTo(*ring[0])
        for point in ring[1:]:
            path.lineTo(*point)
        path.close()
    canvas.drawPath(path, stroke=0, fill=1, fillMode=0)
    canvas.restoreState()


@pytest.mark.skipif(not can_read_pixels(), reason="the extra `scans` is not installed")
def test_texts_that_are_outlines_are_read_by_recognisers(tmp_path: Path) -> None:
    """No letter on the page: names, numbers, titles are read from their outlines, and no curve is agreed."""

    def draw(canvas: Canvas) -> None:
        place = log_chart(canvas, titles=("", ""), with_left=False, with_bottom=False)
        for current in (0.1, 1, 10, 100):
            outlined(canvas, f"{current:g}", place(current, 0.01)[0] - 5, 386)
        for time in (0.01, 0.1, 1, 10, 100):
            outlined(canvas, f"{time:g}", 78, place(0.1, time)[1] - 3)
        outlined(canvas, "Fault current (A)", 210, 368)
        outlined(canvas, "Time to trip (s)", 68, 480, 90)
        outlined(canvas, "Typical time to trip at 23 C", 180, 664)
        for part, hold in zip(PARTS, holds(), strict=True):
            points = [place(*point) for point in law(hold)]
            polyline(canvas, points, 1.2, HUES[PARTS.index(part)])
            y = 630 - 14 * PARTS.index(part)
            polyline(canvas, ((320, y), (340, y)), 1.2, HUES[PARTS.index(part)])
            outlined(canvas, part, 345, y - 3)

    found = curves_of(tmp_path / "outlined.pdf", draw, PARTS)
    check(found, disputed=False)
    assert all(curve.status is Status.SINGLE for curve in found)
    assert all("outlines" in curve.notes[-1] for curve in found)


def test_lines_of_two_charts_side_by_side_stay_two() -> None:
    """A frame's foot drawn twice, a hair apart, beside another chart's: no line runs through both."""
    lines = [
        Line(384.45, 103.0, 361.8, 0.1, (0, 0, 0), 1),
        Line(384.45, 458.0, 716.7, 0.1, (0, 0, 0), 2),
        Line(384.5, 103.0, 361.7, 0.1, (0, 0, 0), 3),
    ]
    assert sorted((line.start, line.end) for line in join_lines(lines)) == [(103.0, 361.8), (458.0, 716.7)]


def test_numbers_that_are_no_powers_of_the_scale_are_left_out_in_doubt() -> None:
    """Numbers that ran into each other (8.91, 0.0) leave the others' scale, disputed."""
    lines = [100 + 80 * (math.log10(s) + d) for d in (0, 1) for s in range(1, 10)] + [260.0]
    labels = [TickLabel(v, 100 + 80 * math.log10(v)) for v in (2.0, 3.0, 4.0, 5.0, 6.0, 20.0, 30.0)]
    torn = [TickLabel(0.0, 178.0), TickLabel(8.91, 190.0)]
    axis = labels_to_axis([*labels, *torn], lines, (100.0, 260.0), is_log=True)
    assert axis is not None
    assert axis.is_log
    assert axis.is_disputed
    assert axis.value(180.0) == pytest.approx(10.0, rel=0.005)


def test_edges_of_a_frame_are_no_powers_if_the_numbers_say_otherwise() -> None:
    """Nothing but a frame from 0.13 to 80: its edges are taken for no decades, the scale is in doubt."""
    labels = [TickLabel(v, 100 + 80 * math.log10(v)) for v in (1.0, 10.0)] + [TickLabel(0.1, 20.0)]
    edges = (100 + 80 * math.log10(0.13), 100 + 80 * math.log10(80.0))
    axis = labels_to_axis(labels, (), edges, is_log=True)
    assert axis is not None
    assert axis.is_disputed
    assert axis.value(140.0) == pytest.approx(10**0.5, rel=0.01)


def test_roots_of_ten_are_numbers() -> None:
    """A plotting program prints the halves of decades as 10^0.5 and 10^-0.5."""
    assert text_to_number("10^0.5") == pytest.approx(10**0.5)
    assert text_to_number("10^−0.5") == pytest.approx(10**-0.5)
