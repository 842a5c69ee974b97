"""Charts as other programs draw them: dashes as outlines, a legend beside the frame, straight derating."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from reportlab.pdfgen.canvas import Canvas

from extract.charts.drawn import Drawn
from extract.charts.outlines import outline_to_middle
from extract.charts.pieces import pieces_to_lines
from extract.charts.reading import ChartOptions, document_to_curves
from extract.document import Document
from extract.schema import ChartName, Curve, Kind, Place, Quantity, Reading, Status
from tests.extract.charts.drawing import PAGE, log_chart, polyline

BLACK, GREEN, RED = (0.0, 0.0, 0.0), (0.0, 0.6, 0.2), (0.8, 0.1, 0.1)
HOLD_FALLS, TRIP_FALLS = -0.006, -0.004  # of the rating, per kelvin, from 20 °C on


def curves_of(path: Path, draw: Any, parts: Sequence[str] = ()) -> tuple[Curve, ...]:
    """The curves that are read from a page; parts hold 0.5 A, 1.0 A ... by the table."""
    canvas = Canvas(str(path), pagesize=PAGE)
    draw(canvas)
    canvas.showPage()
    canvas.save()
    place = Place(1, 0, 0, 1, 1)
    readings = [
        Reading(path.name, "", part, Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, 0.5 * (i + 1),
                Status.AGREED, place, "1")
        for i, part in enumerate(parts)
    ]  # fmt: skip
    return document_to_curves(Document(path, path.name, "", ("",), (1,)), readings, ChartOptions())


def dash(start: tuple[float, float], angle: float, length: float, width: float) -> list[tuple[float, float]]:
    """The outline of a dash with square ends, closed."""
    dx, dy = math.cos(angle), math.sin(angle)
    x, y = start
    nx, ny = -dy * width / 2, dx * width / 2
    end = (x + length * dx, y + length * dy)
    return [(x + nx, y + ny), (end[0] + nx, end[1] + ny), (end[0] - nx, end[1] - ny), (x - nx, y - ny),
            (x + nx, y + ny)]  # fmt: skip


@pytest.mark.parametrize("turn", [0, 1, 2, 3])
def test_the_middle_of_a_short_dash_runs_along_it(turn: int) -> None:
    """Wherever the outline of a dash begins, its middle joins the middles of its ends, not two corners."""
    ring = dash((10.0, 10.0), 0.7, 5.0, 1.2)[:-1]
    found = outline_to_middle([*ring[turn:], *ring[:turn], ring[turn]])
    assert found is not None
    (ax, ay), (bx, by) = found[0][0], found[0][-1]
    assert math.isclose(abs(math.atan2(by - ay, bx - ax)) % math.pi, 0.7, abs_tol=0.02) or math.isclose(
        math.atan2(ay - by, ax - bx), 0.7, abs_tol=0.02
    )


def test_dashes_cut_short_are_of_the_same_line() -> None:
    """A dash at a corner has an outline of another width by a tenth: it is still a dash of its line."""
    lines = [
        Drawn(
            ((7.0 * i, 3.0 * i), (7.0 * i + 4.7, 3.0 * i + 2.0)),
            1.0 if i % 4 == 3 else 1.1,
            (9, 9, 9),
            False,
            i,
        )
        for i in range(12)
    ]
    assert len(pieces_to_lines(lines)) == 1


def times_with_legend(canvas: Canvas) -> None:
    """Two coloured curves, their legend 20 points to the right of the frame."""
    to_point = log_chart(canvas)
    canvas.setFont("Helvetica-Bold", 10)
    canvas.drawString(180, 680, "Typical time to trip at 23 °C")
    for row, (part, colour, hold) in enumerate((("QRV-050", GREEN, 0.5), ("QRV-100", RED, 1.0))):
        points = [(hold * m, 9.0 / (m - 1.3) ** 1.2) for m in (1.8, 2.2, 3.0, 4.5, 7.0, 12.0, 20.0)]
        polyline(canvas, [to_point(*point) for point in points], 1.2, colour)
        polyline(canvas, [(420, 560 - 14 * row), (440, 560 - 14 * row)], 1.2, colour)
        canvas.setFont("Helvetica", 8)
        canvas.drawString(444, 557 - 14 * row, part)


def test_a_legend_beside_its_frame_names_the_curves(tmp_path: Path) -> None:
    """Samples in the colours of the curves tie a legend to a frame that stands some way off."""
    found = {
        c.part_number: c for c in curves_of(tmp_path / "l.pdf", times_with_legend, ("QRV-050", "QRV-100"))
    }
    assert set(found) == {"QRV-050", "QRV-100"}
    x, y = found["QRV-100"].points[0]
    assert math.isclose(x, 1.8, rel_tol=0.02)
    assert math.isclose(y, 9.0 / 0.5**1.2, rel_tol=0.03)


def derating(canvas: Canvas, dashes: bool) -> None:
    """Hold bends, trip is straight, a legend says so; with `dashes` the trip line is in few pieces."""
    x0, y0, wide, high = 100.0, 400.0, 260.0, 200.0

    def to_point(ambient_c: float, share: float) -> tuple[float, float]:
        return x0 + wide * (ambient_c + 40) / 140, y0 + high * share / 1.6

    for step in range(8):
        x, _ = to_point(-40 + 20 * step, 0)
        polyline(canvas, [(x, y0), (x, y0 + high)], 0.3, (0.6, 0.6, 0.6))
        canvas.setFont("Helvetica", 7)
        canvas.drawCentredString(x, y0 - 10, str(-40 + 20 * step))
    for step in range(9):
        _, y = to_point(0, 0.2 * step)
        polyline(canvas, [(x0, y), (x0 + wide, y)], 0.3, (0.6, 0.6, 0.6))
        canvas.drawRightString(x0 - 4, y - 2, str(20 * step))
    canvas.drawCentredString(x0 + wide / 2, y0 - 24, "Ambient temperature (°C)")
    canvas.drawCentredString(x0 + wide / 2, y0 + high + 16, "Thermal derating")
    canvas.saveState()
    canvas.translate(x0 - 30, y0 + high / 2)
    canvas.rotate(90)
    canvas.drawCentredString(0, 0, "Percent of rating (%)")
    canvas.restoreState()
    hold = [(t, 1 + HOLD_FALLS * (t - 20) - 2e-5 * (t - 20) ** 2) for t in range(-40, 86, 5)]
    polyline(canvas, [to_point(*p) for p in hold], 1.4, (0.1, 0.2, 0.8))
    ends = [to_point(t, 1 + TRIP_FALLS * (t - 20)) for t in (-40.0, 85.0)]
    pieces = 9 if dashes else 1
    for i in range(0, pieces, 2):
        one, other = (
            (
                ends[0][0] + (ends[1][0] - ends[0][0]) * k / pieces,
                ends[0][1] + (ends[1][1] - ends[0][1]) * k / pieces,
            )
            for k in (i, i + 1)
        )
        polyline(canvas, [one, other], 1.4, (0.9, 0.5, 0.1))
    if not dashes:
        for row, (name, colour) in enumerate(
            (("Hold current", (0.1, 0.2, 0.8)), ("Trip current", (0.9, 0.5, 0.1)))
        ):
            polyline(canvas, [(270, 590 - 12 * row), (290, 590 - 12 * row)], 1.4, colour)
            canvas.drawString(294, 587 - 12 * row, name)


def test_a_straight_line_beside_a_bent_one_is_a_derating_too(tmp_path: Path) -> None:
    """Each line of the chart is read under its own name: hold and trip fall with their own slopes."""
    found = {c.chart: c for c in curves_of(tmp_path / "d.pdf", lambda canvas: derating(canvas, False))}
    assert set(found) == {ChartName.HOLD_RATIO, ChartName.TRIP_RATIO}
    last = found[ChartName.TRIP_RATIO].points[-1]
    assert math.isclose(last[1], 1 + TRIP_FALLS * 65, abs_tol=0.01)
    assert math.isclose(last[0], 85, abs_tol=0.5)


def test_beside_a_line_that_is_not_read_none_stands_for_the_series(tmp_path: Path) -> None:
    """One of two lines is never given as that of the whole series."""
    assert curves_of(tmp_path / "d.pdf", lambda canvas: derating(canvas, True)) == ()
