"""Wires and tracks against published tables and formulas.

Sources: ASTM B258 (wire diameters), Preece's and Onderdonk's equations as printed in published wire tables
and handbooks, the fit of the IPC-2221 chart (from memory, checked against a published lesson).
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compare.conductors import (
    MM2_PER_CMIL,
    MM_PER_INCH,
    awg_to_area_mm2,
    awg_to_diameter_inch,
    insulation_i2t_a2s,
    mm2_to_cmil,
    onderdonk_i2t_a2s,
    preece_fusing_a,
    track_area_mm2,
    track_current_a,
    track_width_mm,
)
from compare.pulses import hot_plug_pulse, pulse_i2t_a2s

MIL_MM = MM_PER_INCH / 1000.0
UM_PER_OUNCE = 1.378 * MM_PER_INCH
"""Thickness of one ounce of copper per square foot: 1.378 mil."""


@pytest.mark.parametrize(
    ("awg", "inch"), [(36, 0.0050), (24, 0.02010), (16, 0.0508), (10, 0.1019), (0, 0.3249), (-3, 0.4600)]
)
def test_diameters_of_the_wire_gauge(awg: float, inch: float) -> None:
    """No. 36 is 0.0050 inch and No. 0000 is 0.4600 inch by definition; the others as ASTM B258 tabulates
    them.
    """
    assert awg_to_diameter_inch(awg) == pytest.approx(inch, abs=6e-5)


@pytest.mark.parametrize(("awg", "cmil"), [(24, 404.0), (16, 2581.0), (14, 4110.0)])
def test_areas_of_the_wire_gauge(awg: float, cmil: float) -> None:
    """Circular mils as ASTM B258 tabulates them."""
    assert mm2_to_cmil(awg_to_area_mm2(awg)) == pytest.approx(cmil, rel=1e-3)


def test_onderdonk_melting_current() -> None:
    """16 AWG, 2581 circular mils, 5 s, 25 °C: 168.9 A; with the known sign error it would be 178 A.

    A published forum calculation, corrected by arithmetic from Onderdonk's equation.
    """
    area_mm2 = 2581.0 * MM2_PER_CMIL
    assert math.sqrt(onderdonk_i2t_a2s(area_mm2, 25.0) / 5.0) == pytest.approx(168.9, abs=0.05)


def test_onderdonk_melting_time() -> None:
    """14 AWG, 4110 circular mils, 400 A, 25 °C: 2.26 s. Derived by arithmetic from Onderdonk's equation."""
    assert onderdonk_i2t_a2s(4110.0 * MM2_PER_CMIL, 25.0) / 400.0**2 == pytest.approx(2.26, abs=5e-3)


@pytest.mark.parametrize(
    ("awg", "seconds", "amps"), [(24, 1.0, 59.1), (24, 0.1, 186.9), (28, 1.0, 23.4), (30, 1.0, 14.7)]
)
def test_onderdonk_for_small_wires(awg: float, seconds: float, amps: float) -> None:
    """Melting current from 25 °C. Derived by arithmetic from Onderdonk's equation and ASTM B258."""
    assert math.sqrt(onderdonk_i2t_a2s(awg_to_area_mm2(awg), 25.0) / seconds) == pytest.approx(amps, abs=0.06)


@pytest.mark.parametrize(("awg", "i2t"), [(24, 3494.0), (28, 547.0), (30, 216.0)])
def test_onderdonk_let_through(awg: float, i2t: float) -> None:
    """I²t to melting from 25 °C. Derived by arithmetic from Onderdonk's equation and ASTM B258."""
    assert onderdonk_i2t_a2s(awg_to_area_mm2(awg), 25.0) == pytest.approx(i2t, rel=2e-3)


def test_insulation_gives_out_long_before_the_copper() -> None:
    """26 AWG, 1 s, from 40 °C: 16.8 A warms it to 150 °C, 36.5 A melts it (37.2 A would melt it from 25 °C).

    Derived by arithmetic; short-circuit formula of cable makers, (I/A)² t = 0.0297 log10((T2+234)/(T1+234)),
    and Onderdonk's equation. The 150 °C of the insulation is from memory.
    """
    area_mm2 = awg_to_area_mm2(26)
    assert math.sqrt(insulation_i2t_a2s(area_mm2, 40.0, 150.0)) == pytest.approx(16.8, abs=0.06)
    assert math.sqrt(onderdonk_i2t_a2s(area_mm2, 40.0)) == pytest.approx(36.5, abs=0.06)
    assert math.sqrt(onderdonk_i2t_a2s(area_mm2, 25.0)) == pytest.approx(37.2, abs=0.06)


@given(start_c=st.floats(-40.0, 90.0), insulation_c=st.floats(100.0, 250.0))
def test_insulation_formula_stays_just_below_onderdonk(start_c: float, insulation_c: float) -> None:
    """Two published formulas for one heating differ by their constants only: 0.0297 against 1/33, 2 %."""
    area_mm2 = awg_to_area_mm2(26)
    cable = insulation_i2t_a2s(area_mm2, start_c, insulation_c)
    assert cable / onderdonk_i2t_a2s(area_mm2, start_c, insulation_c) == pytest.approx(0.0297 * 33.0)


@pytest.mark.parametrize(("amps", "inch"), [(10.0, 0.0098), (30.0, 0.0205), (100.0, 0.0457)])
def test_preece_table(amps: float, inch: float) -> None:
    """Fusing current of copper wires as a published wire table prints it (diameters to four places)."""
    assert preece_fusing_a(inch) == pytest.approx(amps, rel=8e-3)


@pytest.mark.parametrize(("inch", "amps"), [(0.0524, 123.0), (0.02010, 29.2)])
def test_preece_examples(inch: float, amps: float) -> None:
    """0.0524 inch: 123 A in a published thread; 24 AWG: 29.2 A by arithmetic from Preece's equation."""
    assert preece_fusing_a(inch) == pytest.approx(amps, abs=0.5)


def test_track_current_of_a_published_lesson() -> None:
    """10 mil of 1 oz with a rise of 10 K: 0.884 A outer as a lesson prints it; inner is half by the
    constants.
    """
    outer_a = track_current_a(10 * MIL_MM, UM_PER_OUNCE, "outer", 10.0)
    assert outer_a == pytest.approx(0.885, abs=1.1e-3)
    assert track_current_a(10 * MIL_MM, UM_PER_OUNCE, "inner", 10.0) == pytest.approx(0.443, abs=1e-3)


@pytest.mark.parametrize(
    ("amps", "layer", "mils"),
    [(1.0, "outer", 11.8), (2.0, "outer", 30.8), (3.0, "outer", 53.8), (1.0, "inner", 30.8)],
)
def test_track_width(amps: float, layer: str, mils: float) -> None:
    """Widths of 1 oz for a rise of 10 K. Derived by arithmetic from the IPC-2221 fit (constants from
    memory).
    """
    assert track_width_mm(amps, UM_PER_OUNCE, layer, 10.0) / MIL_MM == pytest.approx(mils, abs=0.06)


def test_track_melting() -> None:
    """10 mil of 1 oz: 17.55 circular mils, 2.57 A for 1 s, 6.6 A²s; a part letting 8 A for 0.1 s through
    leaves 3 %.

    20 mil stand 26.4 A²s. Derived by arithmetic from Onderdonk's equation with the area in circular mils.
    """
    area_mm2 = track_area_mm2(10 * MIL_MM, UM_PER_OUNCE)
    assert mm2_to_cmil(area_mm2) == pytest.approx(17.55, abs=0.01)
    assert math.sqrt(onderdonk_i2t_a2s(area_mm2, 25.0)) == pytest.approx(2.57, abs=5e-3)
    stands = onderdonk_i2t_a2s(area_mm2, 25.0)
    assert stands == pytest.approx(6.6, abs=0.05)
    assert pulse_i2t_a2s(8.0, 0.1) == pytest.approx(6.4)
    assert stands / pulse_i2t_a2s(8.0, 0.1) - 1 == pytest.approx(0.03, abs=5e-3)
    assert onderdonk_i2t_a2s(2 * area_mm2, 25.0) == pytest.approx(26.4, abs=0.05)


def test_hot_plug() -> None:
    """100 µF through 0.1 ohm at 5 V: 50 A peak, time constant 10 µs, 0.0125 A²s = C V² / (2 R).

    A published hot-plug example; the I²t is arithmetic.
    """
    pulse = hot_plug_pulse(5.0, 100e-6, 0.1)
    assert pulse.current_a == pytest.approx(50.0)
    assert pulse.duration_s == pytest.approx(10e-6 / 2)
    assert pulse_i2t_a2s(pulse.current_a, pulse.duration_s) == pytest.approx(0.0125)
    assert pulse_i2t_a2s(50.0, 10e-6, "exponential") == pytest.approx(0.0125)


@pytest.mark.parametrize(
    ("shape", "factor"), [("square", 1.0), ("half_sine", 0.5), ("exponential", 0.5), ("triangle", 1 / 3)]
)
def test_pulse_shapes_against_the_integral(shape: str, factor: float) -> None:
    """I²t of each shape is the integral of i² dt, here summed numerically; factors as published fuse
    guides.
    """
    peak, time_s, steps = 3.0, 0.02, 20_000
    form = {
        "square": lambda _: 1.0,
        "half_sine": lambda x: math.sin(math.pi * x),
        "triangle": lambda x: x,
        "exponential": lambda x: math.exp(-x),
    }[shape]
    span = 40.0 if shape == "exponential" else 1.0
    width = span / steps
    total = sum((peak * form((step + 0.5) * width)) ** 2 for step in range(steps)) * time_s * width
    assert pulse_i2t_a2s(peak, time_s, shape) == pytest.approx(total, rel=1e-3)
    assert pulse_i2t_a2s(peak, time_s, shape) == pytest.approx(factor * peak**2 * time_s)


@given(awg=st.floats(min_value=-3, max_value=50))
def test_three_gauges_halve_the_area(awg: float) -> None:
    """Three gauges up halve the area to a quarter of a percent, and thinner is always smaller (ASTM B258)."""
    assert awg_to_area_mm2(awg) / awg_to_area_mm2(awg + 3) == pytest.approx(2.0, rel=3e-3)
    assert awg_to_area_mm2(awg + 1) < awg_to_area_mm2(awg)


@given(amps=st.floats(min_value=0.05, max_value=30), rise_k=st.floats(min_value=1, max_value=100))
def test_track_width_and_current_are_inverse(amps: float, rise_k: float) -> None:
    """The width for a current carries that current."""
    width_mm = track_width_mm(amps, 35.0, "outer", rise_k)
    assert track_current_a(width_mm, 35.0, "outer", rise_k) == pytest.approx(amps, rel=1e-9)
