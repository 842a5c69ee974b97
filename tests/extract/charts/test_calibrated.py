"""A picture without readable numbers, read by two marks on each axis."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from reportlab.pdfgen.canvas import Canvas

from extract.charts.calibrated import (
    MARKED,
    NOBODY,
    AxisMarks,
    Calibration,
    document_to_calibrated_curves,
    marks_to_axis,
)
from extract.charts.naming import PartFacts
from extract.errors import InputError
from extract.schema import ChartName, Status
from tests.extract.charts.drawing import PAGE
from tests.extract.charts.test_painted_charts import (
    BLUE,
    CORNER,
    GREEN,
    HOLDS,
    RED,
    SIZE,
    draw_curves,
    pictured,
    time_s,
)

X_MARKS = AxisMarks((CORNER[0], CORNER[0] + SIZE[0]), (0.1, 100.0))
Y_MARKS = AxisMarks((PAGE[1] - CORNER[1], PAGE[1] - CORNER[1] - SIZE[1]), (0.01, 100.0))
FACTS = tuple(PartFacts(part, (hold,), ()) for part, hold in HOLDS.items())


def without_numbers(canvas: Canvas) -> None:
    """The chart of the other tests, its numbers under white paper, the last name of its legend gone."""
    draw_curves(canvas, (RED, BLUE, GREEN), 2)
    canvas.setFillColorRGB(1, 1, 1)
    canvas.rect(CORNER[0] - 38, CORNER[1] - 5, 37, SIZE[1] + 12, stroke=0, fill=1)
    canvas.rect(CORNER[0] - 20, CORNER[1] - 16, SIZE[0] + 40, 14.5, stroke=0, fill=1)
    canvas.setFillColorRGB(0, 0, 0)


def test_the_marks_give_the_scale_and_a_line_without_label_is_nobodys(tmp_path: Path) -> None:
    """Three lines come: two with their parts, one for nobody; each follows its law, none is agreed."""
    document = pictured(tmp_path / "c.pdf", without_numbers, 200.0)
    marked = Calibration(1, ChartName.TIME_TO_TRIP, X_MARKS, Y_MARKS)
    curves = document_to_calibrated_curves(document, FACTS, marked)
    assert sorted(curve.part_number for curve in curves) == [NOBODY, "QVL-050", "QVL-110"]
    for curve in curves:
        hold = HOLDS.get(curve.part_number, 2.5)
        inner = [(x, y) for x, y in curve.points if 1.9 * hold < x < 18 * hold]
        off = sorted(abs(math.log(y / time_s(hold, x))) for x, y in inner)
        assert off[len(off) // 2] < 0.05
        assert curve.status is Status.DISPUTED
        assert MARKED in curve.notes


def test_an_axis_said_to_be_even_is_even(tmp_path: Path) -> None:
    """A chart of trip times whose currents stand on an even scale: half way between two marks is their mean;
    the other axis stays logarithmic, as is usual."""
    document = pictured(tmp_path / "c.pdf", without_numbers, 200.0)
    even = AxisMarks(X_MARKS.places, (0.0, 100.0), is_log=False)
    curves = document_to_calibrated_curves(
        document, FACTS, Calibration(1, ChartName.TIME_TO_TRIP, even, Y_MARKS)
    )
    logarithmic = document_to_calibrated_curves(
        document, FACTS, Calibration(1, ChartName.TIME_TO_TRIP, X_MARKS, Y_MARKS)
    )
    assert curves
    for one, other in zip(curves, logarithmic, strict=True):
        (x, y), (log_x, log_y) = one.points[0], other.points[0]
        assert y == pytest.approx(log_y, rel=1e-6)
        assert x == pytest.approx(100 * (math.log10(log_x) + 1) / 3, rel=0.01)


@pytest.mark.parametrize(
    "marks",
    [
        AxisMarks((100.0, 110.0), (0.1, 100.0)),
        AxisMarks((100.0, 400.0), (0.0, 100.0)),
        AxisMarks((100.0, 400.0), (10.0, 10.0)),
    ],
)
def test_marks_that_give_no_scale_are_refused(marks: AxisMarks) -> None:
    """Too close, not positive on a logarithmic axis, or twice the same value."""
    with pytest.raises(InputError):
        marks_to_axis(marks, True, "x")


def test_an_axis_that_runs_the_wrong_way_is_refused(tmp_path: Path) -> None:
    """Values rise to the right and upwards, or the marks were swapped."""
    document = pictured(tmp_path / "c.pdf", without_numbers, 150.0)
    swapped: Any = AxisMarks(X_MARKS.places, (100.0, 0.1))
    with pytest.raises(InputError, match="wrong way"):
        document_to_calibrated_curves(
            document, FACTS, Calibration(1, ChartName.TIME_TO_TRIP, swapped, Y_MARKS)
        )
