"""The thermal relay model and the adiabatic bound.

Both forms: IEC 60255-149 (thermal electrical relays). Expected figures are arithmetic from those forms
unless a test says otherwise; the heat balance is also integrated with scipy, independent of the closed
forms.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from compare.thermal import (
    adiabatic_i2t_a2s,
    current_tripping_in_a,
    tau_from_point_s,
    threshold_scaled_a,
    time_constants_cold,
    time_preloaded_s,
    way_to_switching,
)


def time_cold_s(current_a: float, threshold_a: float, tau_s: float) -> float:
    """Without preload the two forms are one."""
    cold_s = tau_s * time_constants_cold(current_a, threshold_a)
    assert time_preloaded_s(current_a, threshold_a, tau_s, 0.0) == pytest.approx(cold_s)
    return cold_s


@pytest.mark.parametrize(("ratio", "constants"), [(2.0, 0.28768), (1.2, 1.18562), (5.0, 0.04082)])
def test_cold_form(ratio: float, constants: float) -> None:
    """I/I_th of 2, 1.2 and 5 from cold. Derived by arithmetic, formula of IEC 60255-149."""
    assert time_cold_s(ratio, 1.0, 1.0) == pytest.approx(constants, abs=5e-6)


def test_preloaded_form() -> None:
    """I/I_th of 2 after 0.9 of the threshold. Derived by arithmetic, formula of IEC 60255-149."""
    assert time_preloaded_s(2.0, 1.0, 1.0, 0.9) == pytest.approx(0.06141, abs=5e-6)


def test_calibration_on_one_point() -> None:
    """4.0 s at 2.5 A with a threshold of 1.0 A. Derived by arithmetic, formula of IEC 60255-149."""
    tau_s = tau_from_point_s(4.0, 2.5, 1.0)
    assert tau_s == pytest.approx(22.94, abs=5e-3)
    assert tau_s is not None
    assert time_cold_s(2.5, 1.0, tau_s) == pytest.approx(4.0)
    assert time_cold_s(2.0, 1.0, tau_s) == pytest.approx(6.60, abs=5e-3)
    assert time_cold_s(1.5, 1.0, tau_s) == pytest.approx(13.48, abs=5e-3)
    assert time_cold_s(10.0, 1.0, tau_s) == pytest.approx(0.231, abs=5e-4)
    assert time_preloaded_s(2.5, 1.0, tau_s, 0.5) == pytest.approx(3.06, abs=5e-3)


def test_adiabatic_scaling() -> None:
    """The same point at 10 A with I²t kept: 0.25 s. Derived by arithmetic from the heat balance without
    loss.
    """
    assert adiabatic_i2t_a2s((2.5, 4.0, 25.0), 25.0, 125.0) / 10.0**2 == pytest.approx(0.25)


@pytest.mark.parametrize(("ambient_c", "factor"), [(85.0, 0.40), (-20.0, 1.45)])
def test_ambient_changes_the_adiabatic_time(ambient_c: float, factor: float) -> None:
    """85 and -20 °C against 25 °C, switching at 125 °C. Derived by arithmetic from the heat balance without
    loss.
    """
    assert way_to_switching(ambient_c, 25.0, 125.0) == pytest.approx(factor)


def test_a_published_requirement_at_two_ambients() -> None:
    """Trip within 2 s at 5 A by a part of 5.3 s at 3.25 A: 2.24 s at 23 °C, 1.65 s at 50 °C.

    The requirement is a published design note's; the times are arithmetic from the heat balance without loss.
    """
    point = (3.25, 5.3, 23.0)
    assert adiabatic_i2t_a2s(point, 23.0, 125.0) / 5.0**2 == pytest.approx(2.24, abs=5e-3)
    assert adiabatic_i2t_a2s(point, 50.0, 125.0) / 5.0**2 == pytest.approx(1.65, abs=5e-3)


def test_never_trips_at_or_below_the_threshold() -> None:
    """The threshold is carried for ever, and a point below it calibrates nothing."""
    assert time_cold_s(1.0, 1.0, 10.0) == math.inf
    assert time_preloaded_s(0.9, 1.0, 10.0, 0.5) == math.inf
    assert tau_from_point_s(4.0, 0.9, 1.0) is None


@pytest.mark.parametrize(
    ("current_a", "preload_a"), [(2.0, 0.0), (1.2, 0.0), (5.0, 0.0), (2.0, 0.9), (3.0, 0.5)]
)
def test_closed_forms_against_the_integrated_heat_balance(current_a: float, preload_a: float) -> None:
    """C dT/dt = I² R - d (T - T_a), integrated by scipy until T_sw, gives the time of the closed form.

    C = 3 J/K, R = 0.5 ohm, T_sw - T_a = 100 K; d follows from the threshold of 1 A; tau = C / d.
    """
    capacity, resistance_ohm, rise_k, threshold_a = 3.0, 0.5, 100.0, 1.0
    loss = threshold_a**2 * resistance_ohm / rise_k

    def heating(_: float, rise: list[float]) -> list[float]:
        return [(current_a**2 * resistance_ohm - loss * rise[0]) / capacity]

    def reached(_: float, rise: list[float]) -> float:
        return rise[0] - rise_k

    reached.terminal = True  # type: ignore[attr-defined]  # scipy reads the attribute
    start_k = preload_a**2 * resistance_ohm / loss
    solution = solve_ivp(heating, (0.0, 1e5), [start_k], events=reached, rtol=1e-10, atol=1e-10)
    closed_s = time_preloaded_s(current_a, threshold_a, capacity / loss, preload_a)
    assert solution.t_events[0][0] == pytest.approx(closed_s, rel=1e-6)


def test_square_root_law_against_the_integrated_heat_balance() -> None:
    """The current that just holds at 85 °C is where the integrated temperature settles at the switching
    one.
    """
    at_85_a = threshold_scaled_a(1.0, 85.0, 25.0, 125.0)
    loss = 0.005  # W/K, with R = 0.5 ohm: 1 A settles 100 K above ambient
    solution = solve_ivp(
        lambda _, rise: [(at_85_a**2 * 0.5 - loss * rise[0]) / 3.0], (0.0, 2e4), [0.0], rtol=1e-9
    )
    assert 85.0 + solution.y[0][-1] == pytest.approx(125.0, abs=1e-3)


ABOVE = st.floats(min_value=1.001, max_value=1000.0)


@given(current=ABOVE, time_s=st.floats(min_value=1e-3, max_value=1e3))
def test_current_and_time_are_inverse(current: float, time_s: float) -> None:
    """The current that trips in a time trips in that time."""
    tau_s = tau_from_point_s(time_s, current, 1.0)
    assert tau_s is not None
    assert current_tripping_in_a(time_s, 1.0, tau_s) == pytest.approx(current, rel=1e-6)


@given(low=ABOVE, high=ABOVE, preload=st.floats(min_value=0.0, max_value=0.99))
def test_more_current_or_preload_is_never_slower(low: float, high: float, preload: float) -> None:
    """Time falls with current, and a preloaded part is never slower than a cold one."""
    low, high = sorted((low, high))
    assert time_cold_s(high, 1.0, 1.0) <= time_cold_s(low, 1.0, 1.0)
    assert time_preloaded_s(low, 1.0, 1.0, preload) <= time_cold_s(low, 1.0, 1.0) * (1 + 1e-12)


@given(current=ABOVE)
def test_cold_form_never_exceeds_nor_leaves_the_adiabatic_time(current: float) -> None:
    """Losing heat only delays: cold time ≥ tau (I_th/I)², and nearly that at high current."""
    adiabatic = 1.0 / current**2
    assert time_cold_s(current, 1.0, 1.0) >= adiabatic * (1 - 1e-12)
    if current > 30:
        assert time_cold_s(current, 1.0, 1.0) == pytest.approx(adiabatic, rel=1e-3)
