"""Charts as plotting programs draw them: few lines, numbers read upwards, even grids, legends anywhere."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

import pytest
from reportlab.pdfgen.canvas import Canvas

from extract.charts.assigning import Claim, claims_to_assignments
from extract.charts.axes import labels_to_axis
from extract.charts.drawn import Drawn
from extract.charts.even_axis import labels_to_even_scale
from extract.charts.frames import Frame
from extract.charts.ink import page_to_drawing, with_letters
from extract.charts.labels import Label
from extract.charts.naming import Naming
from extract.charts.numbers import TickLabel, words_to_ticks
from extract.charts.reading import ChartOptions, document_to_curves
from extract.charts.wording import letters_to_words
from extract.document import Document
from extract.schema import Curve, Kind, Place, Quantity, Reading, Status
from tests.extract.charts.drawing import PAGE, canvas_to_page, log_chart, polyline

HUES = ((0.8, 0.1, 0.1), (0.1, 0.4, 0.8), (0.1, 0.6, 0.2))
PARTS = ("ABX100", "ABX200", "ABX300")
X0, Y0, WIDE, HIGH = 100.0, 400.0, 300.0, 250.0


def test_of_few_lines_those_count_that_their_numbers_stand_at() -> None:
    """With lines at 1 and 5 of each decade alone, a scale twice as large explains as many of them."""
    places = [100 + 80 * math.log10(v / 0.1) for v in (0.1, 0.5, 1, 5, 10, 50, 100)]
    labels = [TickLabel(v, p) for v, p in zip((0.1, 0.5, 1, 5, 10, 50, 100), places, strict=True)]
    axis = labels_to_axis(labels, places, (90.0, 350.0), is_log=True)
    assert axis is not None
    assert axis.value(places[3]) == pytest.approx(5.0, rel=0.01)


def test_numbers_twice_off_their_lines_leave_the_scale_disputed() -> None:
    """No hand-made grid that was measured has its numbers off by more than a factor of 1.5."""
    lines = [100 + 80 * (p + math.log10(s)) for p in (0, 1, 2) for s in range(1, 10)]
    labels = [TickLabel(10.0**p, 100 + 80 * (p + 0.3)) for p in (0, 1, 2)]
    axis = labels_to_axis(labels, lines, (lines[0], lines[-1]), is_log=True)
    assert axis is not None
    assert axis.is_disputed


def test_digits_between_powers_of_ten_are_their_multiples() -> None:
    """A program prints 0.1, 2, 5, 1, 2, 5, 10: the 2 behind 0.1 is 0.2."""
    values = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0]
    printed = [0.1, 2.0, 5.0, 1.0, 2.0, 5.0, 10.0]
    places = [100 + 80 * math.log10(v / 0.1) for v in values]
    labels = [TickLabel(n, p) for n, p in zip(printed, places, strict=True)]
    axis = labels_to_axis(labels, places, (places[0], places[-1]), is_log=True)
    assert axis is not None
    assert axis.value(places[1]) == pytest.approx(0.2, rel=0.01)


def test_tens_at_even_steps_are_no_powers() -> None:
    """0, 10, 20 ... 100 at even steps is a plain scale, though 10 and 100 are powers of ten."""
    labels = [TickLabel(10.0 * n, 100 + 30.0 * n) for n in range(11)]
    axis = labels_to_axis(labels, [label.at for label in labels], (100.0, 400.0), is_log=True)
    assert axis is not None
    assert not axis.is_log


def test_an_even_grid_of_half_decades_is_read_by_its_numbers() -> None:
    """Lines at halves of decades with 1, 3, 10, 32 at them: the 32 stands for 31.6."""
    lines = [100 + 40.0 * n for n in range(7)]
    labels = [TickLabel(v, p) for v, p in zip((1.0, 3.0, 10.0, 32.0), lines[1:], strict=False)]
    scale = labels_to_even_scale(labels, lines)
    assert scale is not None
    assert scale[:2] == pytest.approx((140.0, 80.0))


def test_powers_of_ten_alone_place_no_uneven_grid() -> None:
    """All numbers may stand one line aside, each at a 9 instead of a 10: an uneven grid is not read so."""
    lines = [100 + 80 * (p + math.log10(s)) for p in (0, 1, 2) for s in range(1, 10)]
    labels = [TickLabel(10.0**p, 100 + 80 * (p - 1 + math.log10(9))) for p in (1, 2)]
    assert labels_to_even_scale(labels, lines) is None


def hyperbola(hold_a: float) -> list[tuple[float, float]]:
    """Time over current of a part, from 2 to 12 times its hold current."""
    return [(hold_a * m, 8.0 * hold_a / (m - 1.5)) for m in (2, 2.5, 3, 4, 5, 6.5, 8, 10, 12)]


def chart_to_curves(path: Path, draw: object) -> dict[str, Curve]:
    """Curves by part of a page that a function draws; the parts hold 1, 2 and 3 A by the table."""
    canvas = Canvas(str(path), pagesize=PAGE)
    draw(canvas)  # type: ignore[operator]
    canvas.showPage()
    canvas.save()
    place = Place(1, 0, 0, 1, 1)
    readings = [
        Reading(path.name, "", part, Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, 1.0 + i,
                Status.AGREED, place, "1")
        for i, part in enumerate(PARTS)
    ]  # fmt: skip
    found = document_to_curves(Document(path, path.name, "", ("",), (1,)), readings, ChartOptions())
    return {curve.part_number: curve for curve in found}


def log_curves(canvas: Canvas) -> None:
    """Three curves of three colours on log paper under a title."""
    to_point = log_chart(canvas)
    canvas.setFont("Helvetica", 10)
    canvas.drawString(X0, Y0 + HIGH + 70, "Typical time to trip at 23 °C")
    for n, hue in enumerate(HUES):
        polyline(canvas, [to_point(*point) for point in hyperbola(1.0 + n)], 1.2, hue)


def legend(canvas: Canvas, places: Sequence[tuple[float, float]], shown: Sequence[bool], gap: float) -> None:
    """Names at places, each with a sample of 20 points whose nearer end is `gap` points off: before the name,
    or behind it if `gap` is negative."""
    canvas.setFont("Helvetica", 7)
    for (x, y), part, hue, is_shown in zip(places, PARTS, HUES, shown, strict=True):
        canvas.setFillColorRGB(0, 0, 0)
        canvas.drawString(x, y - 2.5, part)
        if is_shown:
            wide = canvas.stringWidth(part, "Helvetica", 7)
            start = x - gap - 20 if gap > 0 else x + wide - gap
            polyline(canvas, [(start, y), (start + 20, y)], 1.2, hue)


@pytest.mark.parametrize(
    ("places", "gap"),
    [
        ([(310.0, 630.0 - 10 * n) for n in range(3)], -5.0),
        ([(130.0 + 90 * n, 680.0) for n in range(3)], 4.0),
        ([(130.0 + 90 * n, 365.0) for n in range(3)], 4.0),
    ],
    ids=["samples behind the names", "a row above", "a row below"],
)
def test_a_legend_may_stand_anywhere(tmp_path: Path, places: list[tuple[float, float]], gap: float) -> None:
    """Names in front of their samples, and legends in a row above or below the chart."""
    shown = (True, True, True)

    def draw(canvas: Canvas) -> None:
        log_curves(canvas)
        legend(canvas, places, shown, gap)

    curves = chart_to_curves(tmp_path / "legend.pdf", draw)
    for n, part in enumerate(PARTS):
        assert curves[part].points[0][0] == pytest.approx(2.0 * (1 + n), rel=0.02)
        assert curves[part].status is not Status.DISPUTED


def test_a_label_without_sample_takes_no_other_s_curve(tmp_path: Path) -> None:
    """A sample hidden by a grid line: the others keep the curves of their colours, the rest is left over."""

    def draw(canvas: Canvas) -> None:
        log_curves(canvas)
        legend(canvas, [(310.0, 630.0 - 10 * n) for n in range(3)], (True, False, True), 4.0)

    curves = chart_to_curves(tmp_path / "unshown.pdf", draw)
    for n, part in enumerate(PARTS):
        assert curves[part].points[0][0] == pytest.approx(2.0 * (1 + n), rel=0.02)


def plain_currents(canvas: Canvas) -> None:
    """Times on a log scale over currents on a plain one, numbers of the times read upwards."""
    canvas.setStrokeColorRGB(0.6, 0.6, 0.6)
    canvas.setLineWidth(0.3)
    canvas.setFont("Helvetica", 7)
    for n in range(9):
        x = X0 + WIDE * n / 8
        canvas.line(x, Y0, x, Y0 + HIGH)
        canvas.drawCentredString(x, Y0 - 9, f"{5 * n}")
    for power in range(-2, 3):
        y = Y0 + HIGH * (power + 2) / 4
        canvas.line(X0, y, X0 + WIDE, y)
        canvas.saveState()
        canvas.translate(X0 - 6, y)
        canvas.rotate(90)
        canvas.drawCentredString(0, 0, f"1e{power:+03}")
        canvas.restoreState()
    canvas.drawCentredString(X0 + WIDE / 2, Y0 - 22, "Fault current (A)")
    canvas.saveState()
    canvas.translate(X0 - 30, Y0 + HIGH / 2)
    canvas.rotate(90)
    canvas.drawCentredString(0, 0, "Time to trip (s)")
    canvas.restoreState()
    canvas.drawString(X0, Y0 + HIGH + 20, "Typical time to trip at 23 °C")
    for n, hue in enumerate(HUES):
        points = [(X0 + WIDE * x / 40, Y0 + HIGH * (math.log10(y) + 2) / 4) for x, y in hyperbola(1.0 + n)]
        polyline(canvas, points, 1.2, hue)
    legend(canvas, [(330.0, 630.0 - 10 * n) for n in range(3)], (True, True, True), 4.0)


def test_currents_may_stand_on_a_plain_scale(tmp_path: Path) -> None:
    """Half-logarithmic paper: the way between two vertices is read as drawn, with the error at its least
    current."""
    curves = chart_to_curves(tmp_path / "plain.pdf", plain_currents)
    for n, part in enumerate(PARTS):
        first, last = curves[part].points[0], curves[part].points[-1]
        assert first == pytest.approx(hyperbola(1.0 + n)[0], rel=0.02)
        assert last == pytest.approx(hyperbola(1.0 + n)[-1], rel=0.02)
        assert len(curves[part].points) > len(hyperbola(1.0))
    assert curves["ABX100"].x_error > curves["ABX300"].x_error


def test_a_legend_may_show_patches_below_on_a_page_with_an_edge(tmp_path: Path) -> None:
    """Filled boxes as samples; a box drawn round the whole page is no frame of the chart."""

    def draw(canvas: Canvas) -> None:
        canvas.rect(0, 0, *PAGE)
        log_curves(canvas)
        canvas.setFont("Helvetica", 7)
        for n, (part, hue) in enumerate(zip(PARTS, HUES, strict=True)):
            canvas.setFillColorRGB(*hue)
            canvas.rect(130 + 90 * n, 352, 18, 8, stroke=0, fill=1)
            canvas.setFillColorRGB(0, 0, 0)
            canvas.drawString(152 + 90 * n, 353.5, part)

    curves = chart_to_curves(tmp_path / "patches.pdf", draw)
    for n, part in enumerate(PARTS):
        assert curves[part].points[0][0] == pytest.approx(2.0 * (1 + n), rel=0.02)


def test_labels_in_a_loose_row_beside_a_curve_without_one_are_disputed(tmp_path: Path) -> None:
    """Three names above four curves, each half way between two: all may be one curve off."""

    def draw(canvas: Canvas) -> None:
        to_point = log_chart(canvas)
        canvas.setFont("Helvetica", 10)
        canvas.drawString(X0, Y0 + HIGH + 70, "Typical time to trip at 23 °C")
        canvas.setFont("Helvetica", 6)
        starts = []
        for hold_a in (0.9, 1.2, 1.6, 2.1):
            points = [to_point(*point) for point in ((1.95 * hold_a, 95.0), *hyperbola(hold_a))]
            polyline(canvas, points, 1.2)
            starts.append(points[0])
        for part, one, other in zip(PARTS, starts, starts[1:], strict=False):
            canvas.saveState()
            canvas.translate((one[0] + other[0]) / 2 + 2, starts[0][1] + 12)
            canvas.rotate(90)
            canvas.drawString(0, 0, part)
            canvas.restoreState()

    curves = chart_to_curves(tmp_path / "loose.pdf", draw)
    assert {curve.status for curve in curves.values()} <= {Status.DISPUTED}


def test_labels_above_a_frame_against_the_order_of_their_curves_are_disputed() -> None:
    """Two labels side by side whose other places fit the curves crossed: each could be the other's."""
    frame = Frame((100.0, 100.0, 400.0, 400.0), (), ())
    curves = [
        Drawn(((x, 105.0), (x + 5, 250.0), (end, 390.0)), 1.0, (0, 0, 0), False, n)
        for n, (x, end) in enumerate(((150.0, 340.0), (160.0, 300.0)))
    ]

    def label(text: str, x: float, y: float) -> Label:
        return Label(text, Naming((text,)), (x - 2, y - 3, x + 2, y + 3), (x, y), (x, y), 0.0, (0, 0, 0))

    claims = [
        Claim((label("P", 153.0, 97.0), label("P", 301.0, 392.0)), (None, None), (None, None)),
        Claim((label("Q", 157.0, 97.0), label("Q", 341.0, 392.0)), (None, None), (None, None)),
    ]
    assert all(own.rivals for own in claims_to_assignments(claims, curves, frame))


def test_the_first_number_below_is_none_of_the_upright_axis() -> None:
    """Numbers moved aside: the 1 of the level axis stands under the last of the upright one."""
    page = canvas_to_page(corner)
    ink = with_letters(page_to_drawing(page, 1), page)
    below, left = words_to_ticks(letters_to_words(ink.letters), (100.0, 100.0, 400.0, 300.0))
    assert [tick.value for tick in below] == [1.0, 10.0, 100.0]
    assert [tick.value for tick in left] == [1000.0, 100.0, 10.0, 1.0]


def corner(canvas: Canvas) -> None:
    """Numbers of two axes, both moved to the left and down."""
    canvas.setFont("Helvetica", 7)
    for n, text in enumerate(("1000", "100", "10", "1")):
        canvas.drawRightString(97, PAGE[1] - 104 - 66.7 * n, text)
    for n, text in enumerate(("1", "10", "100")):
        canvas.drawCentredString(95 + 150 * n, PAGE[1] - 306, text)
