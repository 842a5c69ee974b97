"""The tripped state. Formulas of published vendor handbooks (constant tripped power; maximum-power
transfer).
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compare.tripped import (
    critical_load_ohm,
    largest_power_into_part_w,
    leakage_a,
    resets_under_load,
    tripped_power_at_w,
    tripped_resistance_ohm,
)


@pytest.mark.parametrize(
    ("volts", "watts", "ohms", "amps"),
    [(60.0, 1.0, 3600.0, 0.0167), (12.0, 1.0, 144.0, 0.0833), (5.0, 0.8, 31.25, 0.160)],
)
def test_leakage_and_resistance(volts: float, watts: float, ohms: float, amps: float) -> None:
    """V²/P and P/V. The 60 V and 12 V case is a published handbook's, its values and the 5 V case
    arithmetic.
    """
    assert tripped_resistance_ohm(watts, volts) == pytest.approx(ohms)
    assert leakage_a(watts, volts) == pytest.approx(amps, abs=5e-5)


@pytest.mark.parametrize(
    ("volts", "power_w", "resets", "critical_ohm"), [(12.0, 0.36, True, 45.0), (24.0, 1.44, False, 180.0)]
)
def test_reset_under_load(volts: float, power_w: float, resets: bool, critical_ohm: float) -> None:
    """100 ohm load, 0.8 W part: resets by itself at 12 V, stays tripped at 24 V. Arithmetic from V²/4R."""
    assert largest_power_into_part_w(volts, 100.0) == pytest.approx(power_w)
    assert resets_under_load(volts, 100.0, 0.8) is resets
    assert critical_load_ohm(volts, 0.8) == pytest.approx(critical_ohm)


@given(volts=st.floats(1.0, 250.0), load_ohm=st.floats(0.1, 1e4), part_ohm=st.floats(0.01, 1e6))
def test_no_part_takes_more_than_a_quarter_of_v_squared_over_r(
    volts: float, load_ohm: float, part_ohm: float
) -> None:
    """Maximum-power transfer: whatever the part's resistance, it takes at most V²/4R."""
    power_w = (volts / (load_ohm + part_ohm)) ** 2 * part_ohm
    assert power_w <= largest_power_into_part_w(volts, load_ohm) * (1 + 1e-12)


def test_tripped_power_falls_with_ambient() -> None:
    """1 W at 25 °C with a surface of 125 °C is 0.4 W at 85 °C. Arithmetic from P = d (T_sw - T_a)."""
    assert tripped_power_at_w(1.0, 85.0, 25.0, 125.0) == pytest.approx(0.4)
