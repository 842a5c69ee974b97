"""Derated hold currents against published rows.

Rows B, C, A and E: published vendor data (percent of rating by ambient; row E in amps). The expected values
are arithmetic from them, done by hand.
"""

from collections.abc import Callable

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import make_interp_spline

from compare.derating import Derating
from compare.part_numbers import part_to_numbers
from extract.schema import Part
from tests.compare.conftest import ROW_A, ROW_B, ROW_C, ROW_E_AMPS
from tests.compare.conftest import part as invented_part

MakePart = Callable[..., Part]


def hold_a(part: Part, ambient_c: float) -> float | None:
    """Hold current of a part at an ambient, A."""
    return Derating(part_to_numbers(part)).hold(ambient_c).value


def test_percent_row_of_a_part(make_part: MakePart) -> None:
    """Row B, 0.75 A, 60 °C: 0.5175 A."""
    assert hold_a(make_part(hold=0.75, ratios=ROW_B), 60.0) == pytest.approx(0.5175)


def test_amps_row_between_two_columns(make_part: MakePart) -> None:
    """Row E at 25 °C, straight between 20 and 40 °C: 0.525 A."""
    assert hold_a(make_part(hold=0, trip=0, hold_row=ROW_E_AMPS), 25.0) == pytest.approx(0.525)


@pytest.mark.parametrize(
    ("row", "ambient_c", "share"),
    [(ROW_C, 55.0, 0.73), (ROW_A, 55.0, 0.655), (ROW_C, 80.0, 0.537)],
    ids=["C-55", "A-55", "C-80"],
)
def test_percent_rows_between_columns(
    make_part: MakePart, row: dict[float, float], ambient_c: float, share: float
) -> None:
    """Row C: 73 % at 55 °C, 53.7 % at 80 °C; row A: 65.5 % at 55 °C."""
    assert hold_a(make_part(hold=1.0, ratios=row), ambient_c) == pytest.approx(share, abs=5e-4)


def test_size_for_a_current_at_an_ambient(make_part: MakePart) -> None:
    """0.45 A at 50 °C with row C needs 0.584 A at 23 °C; the 0.65 A size gives 0.5005 A.

    The requirement is a published design note's.
    """
    needed_a = 0.45 / ROW_C[50.0]
    assert needed_a == pytest.approx(0.584, abs=5e-4)
    assert hold_a(make_part(hold=0.65, ratios=ROW_C), 50.0) == pytest.approx(0.5005)


@pytest.mark.parametrize(
    ("current_a", "share", "used", "rating_a"), [(4.0, 0.90, 0.75, 5.93), (1.5, 0.95, 0.70, 2.255)]
)
def test_rating_for_a_current_by_shares(
    make_part: MakePart, current_a: float, share: float, used: float, rating_a: float
) -> None:
    """A published fuse guide sizes one-time fuses by the same division: 4 A, 0.90 at 65 °C, 75 % used give
    5.93 A; 1.5 A, 0.95, 70 % used give 2.255 A. A part of that rating carries just the current.
    (holdtrip does not rate one-time fuses; their 75 % is no rule for PTC parts.)"""
    part = make_part(hold=rating_a, ratios={25.0: 1.0, 65.0: share})
    assert used * hold_a(part, 65.0) == pytest.approx(current_a, rel=2e-3)


@given(ambient_c=st.floats(-40.0, 85.0), row=st.sampled_from([ROW_A, ROW_B, ROW_C]))
def test_between_columns_scipy_says_the_same(ambient_c: float, row: dict[float, float]) -> None:
    """Reference library: scipy's spline of degree one through the same columns gives the same share."""
    columns = sorted(row)
    spline = make_interp_spline(columns, [row[c] for c in columns], k=1)
    ours = hold_a(invented_part(hold=1.0, ratios=row), ambient_c)
    near = 1e-6  # an ambient within a millionth of a column is the column
    assert ours == pytest.approx(float(numpy.asarray(spline(ambient_c))), abs=near)
