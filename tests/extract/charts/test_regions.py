"""Which boxes of a page are charts."""

from __future__ import annotations

from typing import Any

import pytest

from extract.charts.ink import InkLimits, page_to_drawing
from extract.charts.kinds import ChartKind
from extract.charts.regions import page_to_chart_regions
from tests.extract.charts.drawing import canvas_to_page, log_chart, polyline


def trip_chart(canvas: Any) -> None:
    """A chart of trip times with one curve."""
    to_point = log_chart(canvas)
    polyline(canvas, [to_point(x, 20.0 / x**2) for x in (0.5, 1.0, 3.0, 10.0, 30.0)])


def test_a_chart_of_trip_times_is_found_with_its_labels() -> None:
    """The region's frame is the grid; its box holds tick labels and axis titles too."""
    (region,) = page_to_chart_regions(canvas_to_page(trip_chart), 1)
    assert region.kind is ChartKind.TIME_TO_TRIP
    assert region.frame == pytest.approx((100, 842 - 650, 400, 842 - 400), abs=1)
    assert region.box[0] < 80
    assert region.box[3] > 842 - 385


def test_a_ruled_table_is_no_chart() -> None:
    """A grid without a curve in it is a table."""

    def table(canvas: Any) -> None:
        for row in range(8):
            canvas.line(100, 400 + 20 * row, 400, 400 + 20 * row)
        for column in range(5):
            canvas.line(100 + 75 * column, 400, 100 + 75 * column, 540)

    assert page_to_chart_regions(canvas_to_page(table), 1) == ()


def test_a_solder_profile_is_another_chart() -> None:
    """Temperature over time is no chart of trip times."""

    def profile(canvas: Any) -> None:
        to_point = log_chart(canvas, titles=("Time (seconds)", "Temperature (°C)"))
        polyline(canvas, [to_point(x, x) for x in (0.2, 1.0, 3.0, 10.0)])

    (region,) = page_to_chart_regions(canvas_to_page(profile), 1)
    assert region.kind is ChartKind.OTHER


def test_beyond_its_limits_a_page_is_counted_not_read() -> None:
    """A page of a million pieces costs no more than the limits allow, and says so."""
    ink = page_to_drawing(canvas_to_page(trip_chart), 1, InkLimits(segments=20))
    assert ink.left_out > 0
    assert sum(len(stroke.points) for stroke in ink.strokes) <= 60
