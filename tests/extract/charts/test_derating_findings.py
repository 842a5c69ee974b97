"""Derating charts held against the derating tables of their sheet."""

from __future__ import annotations

import pytest

from extract.charts.derating_findings import DERATING_APART, derating_to_findings
from extract.schema import ChartName, Curve, Kind, Place, Quantity, Reading, Status

PLACE = Place(3, 0, 0, 1, 1)


def line(part: str, y_error: float = 0.005, chart: ChartName = ChartName.HOLD_RATIO) -> Curve:
    """From 140 % at -40 °C straight to 65 % at 85 °C: 100 % stands at 27 °C, 80 % at 60 °C."""
    points = ((-40.0, 1.4), (85.0, 0.65))
    return Curve("s.pdf", "", part, chart, Kind.NONE, None, points, Status.AGREED, PLACE, "", 0.01, y_error)


def hold(part: str, ambient_c: float, value: float, raw: str) -> Reading:
    """A tabulated hold current."""
    return Reading("s.pdf", "", part, Quantity.HOLD_CURRENT, Kind.NONE, ambient_c, None, value, Status.AGREED,
                   Place(2, 0, 0, 1, 1), raw)  # fmt: skip


@pytest.mark.parametrize(("value", "count"), [(1.6, 0), (1.58, 0), (1.4, 1), (1.8, 1)])
def test_a_line_off_the_table_by_more_than_its_width_is_told(value: float, count: int) -> None:
    """A part of 2.00 A holds 1.60 A at 60 °C by the line of 80 %; 1 % off is within line and rounding, 10 %
    is not."""
    table = [hold("A", 23.0, 2.0, "2.00"), hold("A", 60.0, value, f"{value:.2f}")]
    found = derating_to_findings([line("*")], table)
    assert [one.code for one in found] == [DERATING_APART] * count
    assert all("the table counts" in one.message for one in found)


def test_a_coarse_print_explains_more_than_a_fine_one() -> None:
    """0.1 A at 60 °C of a part of 0.1 A is printed too coarsely to contradict 80 %."""
    assert derating_to_findings([line("*")], [hold("A", 23.0, 0.1, "0.1"), hold("A", 60.0, 0.1, "0.1")]) == []


def test_a_line_of_one_part_is_held_against_that_part_only() -> None:
    """The line of B says nothing of A, and nothing is said beyond the ends of a line."""
    table = [hold("A", 23.0, 2.0, "2.00"), hold("A", 60.0, 1.0, "1.00"), hold("A", 125.0, 0.1, "0.10")]
    assert derating_to_findings([line("B")], table) == []
    (found,) = derating_to_findings([line("A")], table)
    assert found.part_number == "A"
    assert "60" in found.message
