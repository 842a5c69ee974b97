"""The scale of an axis: one regular scale through the lines; labels only name it."""

from __future__ import annotations

import math

import pytest

from extract.charts.axes import labels_to_axis
from extract.charts.figures import text_to_number
from extract.charts.numbers import TickLabel

UNIT = 80.0  # points a decade


def decade_lines(first: int, last: int, start: float = 100.0) -> list[float]:
    """The places of 1, 2 ... 9 of each decade, and of the last power."""
    values = [step * 10.0**power for power in range(first, last) for step in range(1, 10)] + [10.0**last]
    return [start + UNIT * (math.log10(value) - first) for value in values]


def test_labels_off_their_lines_do_not_move_the_scale() -> None:
    """Labels 0.12 of a decade aside name the decades and nothing else."""
    lines = decade_lines(-1, 2)
    labels = [TickLabel(10.0**p, 100 + UNIT * (p + 1) + 0.12 * UNIT) for p in (-1, 0, 1, 2)]
    axis = labels_to_axis(labels, lines, (lines[0], lines[-1]), is_log=True)
    assert axis is not None
    assert axis.is_log
    assert not axis.is_disputed
    assert axis.value(100 + UNIT) == pytest.approx(1.0, rel=0.002)
    assert axis.value(100 + UNIT * 2.5) == pytest.approx(10**1.5, rel=0.002)


def test_one_wrong_line_is_left_out() -> None:
    """A line a tenth of a decade off changes nothing but is no reason to doubt the rest."""
    lines = decade_lines(-1, 2)
    lines[10] += 0.1 * UNIT
    labels = [TickLabel(10.0**p, 100 + UNIT * (p + 1)) for p in (-1, 0, 1, 2)]
    axis = labels_to_axis(labels, lines, (lines[0], lines[-1]), is_log=True)
    assert axis is not None
    assert axis.value(100 + UNIT * 2) == pytest.approx(10.0, rel=0.005)


def test_a_missing_label_is_no_matter() -> None:
    """Two labels of three decades name all of them."""
    lines = decade_lines(0, 3)
    labels = [TickLabel(1.0, 100.0), TickLabel(10.0, 180.0)]
    axis = labels_to_axis(labels, lines, (lines[0], lines[-1]), is_log=True)
    assert axis is not None
    assert axis.value(100 + 3 * UNIT) == pytest.approx(1000.0, rel=0.005)


@pytest.mark.parametrize(
    ("text", "value"),
    [("0,01", 0.01), ("1,000", 1000.0), ("1.E-03", 0.001), (".5", 0.5), ("−40", -40.0), ("110%", 110.0)],
)
def test_numbers_are_read_as_axes_print_them(text: str, value: float) -> None:
    """Decimal commas, thousands, exponents, signs of other fonts."""
    assert text_to_number(text) == pytest.approx(value)


@pytest.mark.parametrize("text", ["0020", "014", "A1", "MF-050"])
def test_codes_are_no_numbers(text: str) -> None:
    """A leading zero makes a code of a part."""
    assert text_to_number(text) is None
