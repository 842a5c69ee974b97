"""Facts of the trade as measured on one unknown strap part from a two-cell pack (15 V class, near 1.75 A).

Common practice, no source. A single part: its values show sizes, they are no limits.
"""

import pytest

from compare.pulses import fault_current_a
from compare.tripped import leakage_a, tripped_resistance_ohm

DROPS = {1.0: 0.15, 2.0: 0.28}
"""Voltage drop, V, by current, A; the same in both directions."""
TRIPPED = (10.0, 0.12)
"""Voltage across the tripped part, V, and the current it still carries, A."""


def test_resistance_from_drops() -> None:
    """0.15 V at 1 A and 0.28 V at 2 A: 0.14 to 0.15 ohm."""
    assert all(0.14 <= volts / amps <= 0.15 for amps, volts in DROPS.items())


def test_half_a_watt_at_two_amps() -> None:
    """2 A through it make about half a watt."""
    assert 2.0 * DROPS[2.0] == pytest.approx(0.5, abs=0.1)


def test_tripped_power_and_leakage() -> None:
    """0.12 A at 10 V: 1.2 W keep it tripped, 83 ohm; at 8.4 V, full pack, it then leaks 0.14 A (P / V)."""
    power_w = TRIPPED[0] * TRIPPED[1]
    assert power_w == pytest.approx(1.2)
    assert leakage_a(power_w, TRIPPED[0]) == pytest.approx(TRIPPED[1])
    assert tripped_resistance_ohm(power_w, TRIPPED[0]) == pytest.approx(83.3, abs=0.05)
    assert leakage_a(power_w, 8.4) == pytest.approx(0.143, abs=5e-4)


def test_a_ten_volt_source_of_five_amps_has_two_ohms() -> None:
    """5 A from a 10 V source tripped it cold in about 4 s: source and part together are 2 ohm."""
    part_ohm = DROPS[1.0]
    assert fault_current_a(10.0, 2.0 - part_ohm, part_ohm) == pytest.approx(5.0)


def test_twice_a_month_is_years() -> None:
    """100 to 200 trips in a life, at two a month, are four to eight years."""
    assert [trips / (2 * 12) for trips in (100, 200)] == pytest.approx([4.17, 8.33], abs=0.01)
