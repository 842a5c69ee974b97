"""Ratios of the table checks against published rows.

Published vendor data; the ranges are those of 94 rows of 11 tables, the arithmetic by hand.
"""

import pytest

from extract.checks.limits import limits


@pytest.mark.parametrize(
    ("hold_a", "ohm", "inside"), [(0.5, 1.17, True), (500.0, 1.17, False), (0.5, 1170.0, False)]
)
def test_heat_ratio(hold_a: float, ohm: float, inside: bool) -> None:
    """0.5 A, 1.17 ohm and 0.77 W: hold² × R1max / P is 0.380, in the band; a slip of 1000 is far outside."""
    low, high = limits().ratios["heat_post_trip"].usual
    ratio = hold_a**2 * ohm / 0.77
    assert (low < ratio < high) is inside
    if inside:
        assert ratio == pytest.approx(0.380, abs=5e-4)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("trip_over_hold", 1.67, 3.25),
        ("post_trip_over_min_resistance", 2.15, 14.0),
        ("heat_post_trip", 0.096, 0.495),
        ("heat_min", 0.018, 0.199),
        ("leakage_over_hold", 0.014, 0.67),
        ("test_over_hold", 2.0, 80.0),
    ],
)
def test_no_published_row_is_doubted(name: str, low: float, high: float) -> None:
    """The usual band of each ratio holds the range that was published."""
    band = limits().ratios[name].usual
    assert band[0] <= low
    assert high <= band[1]


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("heat_alone_post_trip", 0.046, 1.92),
        ("heat_alone_max", 0.026, 1.28),
        ("heat_alone_min", 0.007, 0.41),
    ],
)
def test_the_heat_at_hold_current_of_published_rows(name: str, low: float, high: float) -> None:
    """Hold current squared times resistance of 139 published rows (58 with Rmax), W, lies well inside the
    usual band; read in mA for A, a million times less, all of them lie outside what is possible."""
    band = limits().ratios[name]
    assert band.usual[0] * 5 <= low
    assert high * 5 <= band.usual[1] * 1.01
    assert high * 1e-6 < band.possible[0]
    assert low * 1e6 > band.possible[1]
