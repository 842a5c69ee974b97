"""The heat balance until a part trips.

With a constant resistance it is the thermal relay model of IEC 60255-149 (thermal electrical relays).
Expected figures are arithmetic from its forms unless a test says otherwise; the heat balance is also
integrated with scipy, independent of the closed forms, with a constant and with a rising resistance.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from compare.thermal import (
    ENSEMBLE,
    REFERENCE_C,
    Heating,
    constants_rising,
    heat_to_switch,
    warm_resistance_factor,
    warmed,
    way_and_rise,
    way_to_switching,
)

CONSTANT = Heating(0.0, 0.0)


def time_s(current_a: float, threshold_a: float, tau_s: float, preload_a: float = 0.0) -> float:
    """With a constant resistance, as IEC 60255-149 has it."""
    return tau_s * constants_rising((current_a / threshold_a) ** 2, 0.0, (preload_a / threshold_a) ** 2)


@pytest.mark.parametrize(("ratio", "constants"), [(2.0, 0.28768), (1.2, 1.18562), (5.0, 0.04082)])
def test_cold_form(ratio: float, constants: float) -> None:
    """I/I_th of 2, 1.2 and 5 from cold. Derived by arithmetic, formula of IEC 60255-149."""
    assert time_s(ratio, 1.0, 1.0) == pytest.approx(constants, abs=5e-6)


def test_preloaded_form() -> None:
    """I/I_th of 2 after 0.9 of the threshold. Derived by arithmetic, formula of IEC 60255-149."""
    assert time_s(2.0, 1.0, 1.0, 0.9) == pytest.approx(0.06141, abs=5e-6)


def test_calibration_on_one_point() -> None:
    """4.0 s at 2.5 A with a threshold of 1.0 A. Derived by arithmetic, formula of IEC 60255-149."""
    tau_s = 4.0 / constants_rising(2.5**2, 0.0)
    assert tau_s == pytest.approx(22.94, abs=5e-3)
    assert time_s(2.0, 1.0, tau_s) == pytest.approx(6.60, abs=5e-3)
    assert time_s(1.5, 1.0, tau_s) == pytest.approx(13.48, abs=5e-3)
    assert time_s(10.0, 1.0, tau_s) == pytest.approx(0.231, abs=5e-4)
    assert time_s(2.5, 1.0, tau_s, 0.5) == pytest.approx(3.06, abs=5e-3)


@pytest.mark.parametrize(("ambient_c", "factor"), [(85.0, 0.40), (-20.0, 1.45)])
def test_ambient_changes_the_adiabatic_time(ambient_c: float, factor: float) -> None:
    """85 and -20 °C against 25 °C, switching at 125 °C. Derived by arithmetic from the heat balance without
    loss.
    """
    assert way_to_switching(ambient_c, 25.0, 125.0) == pytest.approx(factor)
    ratio = heat_to_switch(CONSTANT, ambient_c, 125.0) / heat_to_switch(CONSTANT, 25.0, 125.0)
    assert ratio == pytest.approx(factor)


def test_a_published_requirement_at_two_ambients() -> None:
    """Trip within 2 s at 5 A by a part of 5.3 s at 3.25 A: 2.24 s at 23 °C, 1.65 s at 50 °C.

    The requirement is a published design note's; the times are arithmetic from the heat balance without loss.
    """
    at_23_s = 3.25**2 * 5.3 / 5.0**2
    scaled = heat_to_switch(CONSTANT, 50.0, 125.0) / heat_to_switch(CONSTANT, 23.0, 125.0)
    assert at_23_s == pytest.approx(2.24, abs=5e-3)
    assert at_23_s * scaled == pytest.approx(1.65, abs=5e-3)


def test_never_trips_at_or_below_the_threshold() -> None:
    """The threshold is carried for ever; a load at or above it has tripped the part already."""
    assert constants_rising(1.0, 0.3) == math.inf
    assert constants_rising(0.8, 0.0, 0.25) == math.inf
    assert constants_rising(4.0, 0.3, 1.0) == 0.0


@pytest.mark.parametrize("heating", ENSEMBLE)
@pytest.mark.parametrize("ambient_c", [-40.0, 25.0, 60.0])
@pytest.mark.parametrize(("ratio", "preload"), [(1.2, 0.0), (2.0, 0.0), (2.0, 0.9), (5.0, 0.5), (40.0, 0.0)])
def test_closed_forms_against_the_integrated_heat_balance(
    heating: Heating, ambient_c: float, ratio: float, preload: float
) -> None:
    """C dT/dt = I² R(T) - d (T - T_a), integrated by scipy until the steep part, gives the time of the form.

    C = 3 J/K, R = 0.5 ohm at 25 °C, rising as the member says; d follows from the threshold of 1 A; the long
    load before is the temperature where the balance rests, found by bisection.
    """
    capacity, top_c = 3.0, 125.0 - heating.steep_k

    def resistance_ohm(at_c: float) -> float:
        return 0.5 * (1.0 + heating.rise_per_k * (at_c - REFERENCE_C))

    loss = resistance_ohm(top_c) / (top_c - ambient_c)
    cold_c, hot_c = ambient_c, top_c
    for _ in range(200):
        middle_c = (cold_c + hot_c) / 2.0
        rests = preload**2 * resistance_ohm(middle_c) > loss * (middle_c - ambient_c)
        cold_c, hot_c = (middle_c, hot_c) if rests else (cold_c, middle_c)

    def heats(_: float, at_c: list[float]) -> list[float]:
        return [(ratio**2 * resistance_ohm(at_c[0]) - loss * (at_c[0] - ambient_c)) / capacity]

    def reached(_: float, at_c: list[float]) -> float:
        return at_c[0] - top_c

    reached.terminal = True  # type: ignore[attr-defined]  # scipy reads the attribute
    found = solve_ivp(heats, (0.0, 1e5), [hot_c], events=reached, rtol=1e-10, atol=1e-10, max_step=10.0)
    _, rise = way_and_rise(heating, ambient_c, 125.0)
    closed_s = capacity / loss * constants_rising(ratio**2, rise, preload**2)
    assert found.t_events[0][0] == pytest.approx(closed_s, rel=1e-6)


@pytest.mark.parametrize("heating", ENSEMBLE)
def test_without_loss_the_heat_is_that_of_very_large_currents(heating: Heating) -> None:
    """At a thousand times the threshold hardly any heat is lost: cold against warm both forms agree."""
    warm, cold = (constants_rising(1e6, way_and_rise(heating, c, 125.0)[1])
                  * way_and_rise(heating, c, 125.0)[0]
                  / ((1.0 + way_and_rise(heating, c, 125.0)[1])
                     * (1.0 + heating.rise_per_k * (c - REFERENCE_C))) for c in (60.0, -40.0))
    heats = heat_to_switch(heating, 60.0, 125.0) / heat_to_switch(heating, -40.0, 125.0)
    assert warm / cold == pytest.approx(heats, rel=1e-4)


def test_a_warm_part_has_more_resistance() -> None:
    """Half the hold current at the reference: x0 = 0.25 / (1 + 0.6 * 0.75) of 100 K at 0.6 %/K, by hand."""
    by_hand = 1.0 + 0.006 * (0.25 / (1.0 + 0.6 * 0.75)) * 100.0
    assert warm_resistance_factor(0.5, 25.0, 25.0, 125.0) == pytest.approx(by_hand)
    assert warm_resistance_factor(0.1, -40.0, 25.0, 125.0) == 1.0


ABOVE = st.floats(min_value=1.001, max_value=1e6)
RISES = st.floats(min_value=0.0, max_value=1.5)


@given(low=ABOVE, high=ABOVE, rise=RISES, preload=st.floats(min_value=0.0, max_value=0.99))
def test_more_current_or_preload_is_never_slower(low: float, high: float, rise: float,
                                                 preload: float) -> None:
    """Time falls with current, and a preloaded part is never slower than a cold one."""
    low, high = sorted((low, high))
    assert constants_rising(high, rise) <= constants_rising(low, rise) * (1 + 1e-9)
    assert constants_rising(low, rise, preload) <= constants_rising(low, rise) * (1 + 1e-9)
    assert 0.0 <= warmed(preload, rise) <= preload


@given(current=ABOVE)
def test_losing_heat_only_delays(current: float) -> None:
    """Cold time is at least (I_th/I)² time constants, and nearly that at high current."""
    assert constants_rising(current, 0.0) >= 1.0 / current * (1 - 1e-12)
    if current > 1000:
        assert constants_rising(current, 0.0) == pytest.approx(1.0 / current, rel=1e-3)
