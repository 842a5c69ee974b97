"""Facts of the trade as measured on one unknown strap part from a two-cell pack (15 V class, near 1.75 A).

Common practice, no source. A single part: its values show sizes, they are no limits.
"""

from collections.abc import Callable

import pytest

from compare.bench_check import BenchCheck, BenchVerdict, part_to_bench_checks
from compare.identify.ranking import parts_to_identification
from compare.identify.seen import text_to_seen
from compare.measurements import text_to_measurements
from compare.part_numbers import part_to_numbers
from compare.pulses import fault_current_a
from compare.ranking import numbers_to_candidate
from compare.records import Verdict
from compare.requirement import Requirement
from compare.tripped import leakage_a, tripped_resistance_ohm
from extract.schema import Part
from tests.compare.conftest import ROW_C

MakePart = Callable[..., Part]

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


def strap(make_part: MakePart) -> Part:
    """An invented sheet of such a strap: 1.75 A hold, 3.5 A trip, 15 V, 90 to 180 milliohm, 1.2 W typical,
    1.5 s at five times hold."""
    return make_part(number="strap", hold=1.75, trip=3.5, max_voltage=15.0, max_current=100.0, r_min=0.09,
                     r_1max=0.18, power_typ=1.2, time=(8.75, 1.5), ratios=ROW_C)


def checked(part: Part, text: str) -> dict[str, BenchCheck]:
    """What `bench` says, by the name of the check."""
    return {check.name: check for check in part_to_bench_checks(part, text_to_measurements(text))}


def test_two_wire_reading_says_nothing(make_part: MakePart) -> None:
    """The leads alone read 1.5 ohm: refused until they are taken off; then the part has 0.145 ohm."""
    drop = "[[drop]]\ncurrent_a = 0.1\nvoltage_v = 0.1645\n"
    refused = checked(strap(make_part), f"ambient_c = 23\n{drop}")["initial_resistance"]
    assert refused.verdict is BenchVerdict.NOT_COMPARABLE
    assert "leads" in refused.reason
    taken_off = f"ambient_c = 23\nmeter_lead_resistance_ohm = 1.5\n{drop}"
    told = checked(strap(make_part), taken_off)["initial_resistance"]
    assert told.verdict is BenchVerdict.FITS
    assert told.measured == pytest.approx(0.145)


def test_drops_at_one_and_two_amps_are_of_a_warm_part(make_part: MakePart) -> None:
    """1 A and 2 A warm a part of 1.75 A: their resistances are no initial resistance."""
    drops = "".join(f"[[drop]]\ncurrent_a = {a}\nvoltage_v = {v}\n" for a, v in DROPS.items())
    check = checked(strap(make_part), f"ambient_c = 23\nfour_wire = true\n{drops}")["initial_resistance"]
    assert check.verdict is BenchVerdict.NOT_COMPARABLE
    assert "warms the part" in check.reason


def test_the_time_of_the_sheet_holds_at_its_own_current(make_part: MakePart) -> None:
    """4 s at 5 A is no failure against 1.5 s at 8.75 A: no time is guaranteed there."""
    text = "ambient_c = 23\nfour_wire = true\n[trip]\ncurrent_a = 5.0\ntime_s = 4.0\n"
    checks = checked(strap(make_part), text)
    assert checks["trip_current"].verdict is BenchVerdict.FITS
    assert checks["trip_time"].verdict is BenchVerdict.NOT_COMPARABLE
    assert "guarantees no time" in checks["trip_time"].reason


@pytest.mark.parametrize(
    ("ambient_c", "current_a", "verdict"),
    [
        (23, 3.0, BenchVerdict.FITS),  # raised slowly, it tripped between hold and trip: that is allowed
        (60, 1.3, BenchVerdict.FITS),  # hotter trips early
        (23, 1.3, BenchVerdict.OUTSIDE),
        (-20, 2.2, BenchVerdict.OUTSIDE),  # colder holds more: 2.275 A
    ],
)
def test_where_it_may_trip(
    make_part: MakePart, ambient_c: int, current_a: float, verdict: BenchVerdict
) -> None:
    """Above what it holds at the ambient it may trip, below it must not."""
    text = f"ambient_c = {ambient_c}\nfour_wire = true\n[trip]\ncurrent_a = {current_a}\ntime_s = 600\n"
    assert checked(strap(make_part), text)["trip_current"].verdict is verdict


def test_the_skin_of_a_sound_part_is_no_fault(make_part: MakePart) -> None:
    """0.12 A at 10 V and 64 degC after half an hour: the power fits, the skin speaks against nothing."""
    text = ("ambient_c = 23\nfour_wire = true\n[tripped]\ncurrent_a = 0.12\nvoltage_v = 10.0\n"
            "surface_c = 64\nthermometer_lag_s = 60\nsettled_s = 1800\n")
    checks = checked(strap(make_part), text)
    assert checks["tripped_power"].verdict is BenchVerdict.FITS
    assert checks["surface_temperature"].verdict is BenchVerdict.NOT_COMPARABLE


def test_identify_agrees(make_part: MakePart) -> None:
    """All that was measured on the strap leaves it possible, and speaks against nothing of it."""
    seen = text_to_seen(
        "ambient_c = 23\nresistance_ohm = 0.145\nfour_wire = true\n"
        "[[drop]]\ncurrent_a = 1.0\nvoltage_v = 0.15\n[[drop]]\ncurrent_a = 2.0\nvoltage_v = 0.28\n"
        "[[held]]\ncurrent_a = 1.75\ntime_s = 1800\n[[trip]]\ncurrent_a = 3.0\n"
        "[[trip]]\ncurrent_a = 5.0\ntime_s = 4.0\n"
        "[tripped]\ncurrent_a = 0.12\nvoltage_v = 10.0\nsurface_c = 64\n"
    )
    small = make_part(number="small", hold=0.5, trip=1.0, r_min=0.32, r_1max=0.64, ratios=ROW_C)
    large = make_part(number="large", hold=7.0, trip=12.0, r_min=0.01, r_1max=0.03, ratios=ROW_C)
    found = parts_to_identification([small, strap(make_part), large], seen)
    assert found.suspects[0].part.part_number == "strap"
    assert found.suspects[0].share > 0.9
    assert not any(clue.against for clue in found.suspects[0].clues)
    assert "small" in {suspect.part.part_number for suspect in found.excluded}


def test_twice_its_voltage_is_never_relied_on(
    make_part: MakePart, make_requirement: Callable[..., Requirement]
) -> None:
    """One part lived through twice its rated voltage for 5 s; above the rating it fails all the same."""
    judged = numbers_to_candidate(part_to_numbers(strap(make_part)), make_requirement(supply_voltage_v=16.0))
    margin = judged.margin_named("max_voltage")
    assert margin is not None
    assert margin.verdict is Verdict.FAILS
