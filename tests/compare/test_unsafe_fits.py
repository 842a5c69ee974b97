"""Fits that an experienced engineer would refuse: none of them may come back.

Each case said "fits" once. Parts and requirements are invented; the arithmetic stands beside each.
"""

from collections.abc import Callable
from pathlib import Path

import pytest

from compare.part_numbers import part_to_numbers
from compare.ranking import numbers_to_candidate, parts_to_ranking
from compare.records import Basis, Margin, Verdict
from compare.requirement import Requirement
from compare.requirement_file import text_to_requirement
from extract.errors import InputError
from extract.schema import Kind, Part, Quantity, Reading, readings_to_parts
from holdtrip.typed_parts import path_to_readings

MakePart = Callable[..., Part]
MakeReading = Callable[..., Reading]
MakeRequirement = Callable[..., Requirement]
FITS, FAILS, UNDETERMINED = Verdict.FITS, Verdict.FAILS, Verdict.UNDETERMINED
AMBIENT = "ambient_cold_c = 20\nambient_hot_c = 40\n"


def asked(name: str, part: Part, requirement: Requirement) -> Margin:
    margin = numbers_to_candidate(part_to_numbers(part), requirement).margin_named(name)
    assert margin is not None
    return margin


def test_1_a_pack_is_not_always_full(make_part: MakePart) -> None:
    """4 cells through 2.6 ohm and a part of 0.4 ohm: full 16.8 V drive 5.6 A, empty 10 V (2.5 V a cell) 3.33
    A.

    A part of 4 A trip current trips on the full pack only.
    """
    pack = (AMBIENT + "normal_current_a = 0.5\nsource_resistance_min_ohm = 1\nsource_resistance_max_ohm = "
                      "2.6\n"
            '[series_pack]\nchemistry = "li_ion"\ncells = 4')
    part = make_part(hold=2.0, trip=4.0, max_voltage=30.0, reference_c=20.0)
    margin = asked("trip_certainty", part, text_to_requirement(pack))
    assert margin.limit == pytest.approx(10.0 / 3.0)
    assert margin.verdict is UNDETERMINED


def test_1_without_a_lowest_voltage_nothing_that_rests_on_it_is_told(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """Trip, its time, leakage and a latched state: each names the field that is missing."""
    requirement = make_requirement(
        fault_current_min_a="", source_resistance_max_ohm=0.6, trip_time_max_s=9.0, leakage_max_a=0.5,
        reset="latched", load_resistance_ohm=1.0, allow_model=True)
    for name in ("trip_certainty", "time_to_trip", "leakage", "reset"):
        margin = asked(name, make_part(power_typ=0, power_max=0.8), requirement)
        assert margin.verdict is UNDETERMINED
        assert "supply_voltage_min_v" in margin.note


def test_2_a_largest_or_typical_power_does_not_show_that_a_part_resets(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """12 V over 100 ohm put 0.36 W into the part: below 0.8 W at most, but a single part may need 0.3 W."""
    requirement = make_requirement(reset="self", load_resistance_ohm=100.0, allow_model=True)
    for kind in ("power_max", "power_typ"):
        margin = asked("reset", make_part(**{"power_typ": 0, kind: 0.8}), requirement)
        assert margin.verdict is UNDETERMINED


def test_2_a_typical_power_does_not_bound_the_leakage(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """0.8 W typical at 12 V are 67 mA typical: below 100 mA, but not for every part."""
    requirement = make_requirement(leakage_max_a=0.1, supply_voltage_min_v=12.0, allow_model=True)
    margin = asked("leakage", make_part(power_typ=0.8), requirement)
    assert margin.verdict is UNDETERMINED
    assert "typical" in margin.note


@pytest.mark.parametrize(
    ("more", "verdict", "basis"),
    [
        ({}, UNDETERMINED, Basis.DATA),
        ({"supply_short_current_a": 5.0, "supply_limit_tolerance": 0.1}, FITS, Basis.DATA),
        ({"supply_short_current_a": 5.0}, FITS, Basis.ASSUMED),
        ({"supply_short_current_a": 5.0, "supply_limit_tolerance": 0.3}, UNDETERMINED, Basis.DATA),
        ({"supply_short_current_a": 1.2, "supply_limit_tolerance": 0.0}, UNDETERMINED, Basis.DATA),
        ({"supply_short_current_a": 0.9, "supply_limit_tolerance": 0.0}, FAILS, Basis.DATA),
    ],
)
def test_3_the_limit_of_a_supply_is_not_what_it_drives_into_a_short(
    make_part: MakePart, make_requirement: MakeRequirement, more: dict[str, float], verdict: Verdict,
    basis: Basis
) -> None:
    """Limit 6 A, part of 1 A hold and 4 A trip: 5 A less 10 % are 4.5 A, less 30 % 3.5 A; folded back to
    1.2 A it may never trip, to 0.9 A it never does.
    """
    requirement = make_requirement(fault_current_min_a="", supply_current_limit_a=6.0, **more)
    margin = asked("trip_certainty", make_part(hold=1.0, trip=4.0), requirement)
    assert (margin.verdict, margin.basis) == (verdict, basis)


def test_4_a_transient_without_its_current_is_not_judged(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """A rating of 60 V covers 40 V only up to the current it is given for."""
    part = make_part(max_voltage=60.0)
    margin = asked("interrupt_voltage", part, make_requirement(transient_voltage_v=40.0))
    assert margin.verdict is UNDETERMINED
    assert "transient_source_resistance_ohm" in margin.note


@pytest.mark.parametrize("heading", ["Vmax (Vac)", "Max voltage VAC", "AC voltage (V)", "Max AC voltage",
                                     "Umax [V~]"])
def test_5_a_typed_ac_rating_is_none_for_dc(
    heading: str, tmp_path: Path, make_requirement: MakeRequirement
) -> None:
    """A column headed AC in any way says nothing about a DC supply."""
    path = tmp_path / "typed.csv"
    path.write_text(f"Part number,Hold current (A),Trip current (A),{heading},Imax "
                    f"(A)\nQX075,0.75,1.5,60,40\n",
                    encoding="utf-8")
    (part,) = readings_to_parts(path_to_readings(path))
    assert asked("max_voltage", part, make_requirement()).verdict is UNDETERMINED


@pytest.mark.parametrize(
    "line", ["supply_voltage_v = 5.0", "normal_current_a = 0.3", "trip_current_max_a = 6.0",
             "voltage_drop_max_v = 0.5"],
)
def test_6_less_than_a_standard_asks_is_said_or_refused(line: str) -> None:
    """A port of 5.25 V, 0.5 A, 5.0 A and 0.05 V (4.8 V less 4.75 V): less of it is a contradiction, unless
    the file says why, and then it is told.
    """
    text = f'{AMBIENT}supply_voltage_min_v = 4.8\n{line}\n[usb_port]\nstandard = "usb2"\n'
    with pytest.raises(InputError, match="less severe"):
        text_to_requirement(text)
    deliberate = text_to_requirement(text + '[override]\nreason = "a bench set-up of our own"')
    assert len(deliberate.overrides) == 1
    assert "a bench set-up of our own" in deliberate.overrides[0]
    assert line.split(" = ")[0] in deliberate.overrides[0]


def test_6_more_than_a_standard_asks_is_no_contradiction() -> None:
    """A stronger load or a smaller budget is the user's own margin."""
    text = (f"{AMBIENT}supply_voltage_min_v = 4.8\nnormal_current_a = 0.6\nvoltage_drop_max_v = 0.04\n"
            '[usb_port]\nstandard = "usb2"')
    assert text_to_requirement(text).overrides == ()


@pytest.mark.parametrize(
    ("normal_a", "limit_v", "verdict", "basis"),
    [
        (0.3, 0.30, FITS, Basis.ASSUMED),  # 0.12 V: 2.5 times, 0.3 A of 0.75 A hold
        (0.3, 0.17, UNDETERMINED, Basis.MODEL),  # 1.4 times cold
        (0.4, 0.30, UNDETERMINED, Basis.MODEL),  # 0.16 V: 1.9 times, but above half the hold current
        (0.7, 0.60, UNDETERMINED, Basis.ASSUMED),  # 2.1 times, but 93 % of the hold current
        (0.3, 0.11, FAILS, Basis.ASSUMED),
    ],
)
def test_7_the_drop_of_a_warm_part_is_not_that_of_a_cold_one(
    make_part: MakePart, make_requirement: MakeRequirement, normal_a: float, limit_v: float, verdict: Verdict,
    basis: Basis,
) -> None:
    """0.4 ohm after a trip, measured at room temperature; the part runs warm near its hold current."""
    requirement = make_requirement(normal_current_a=normal_a, voltage_drop_max_v=limit_v)
    margin = asked("voltage_drop", make_part(), requirement)
    assert (margin.verdict, margin.basis) == (verdict, basis)
    assert margin.assumed


def test_7_the_model_of_the_warm_part_by_hand(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """0.4 A of 0.75 A hold at 23 °C, switching at 125 °C, 0.6 %/K, counted from 25 °C.

    a = 0.006 * 102 / (1 - 0.006 * 2) = 0.6194; p = 0.2844; x0 = 0.2844 / (1 + 0.6194 * 0.7156) = 0.1971;
    the part is 0.1971 * 102 = 20.1 K warmer: 0.4 ohm * 1.1206 * 0.4 A = 0.1793 V.
    """
    requirement = make_requirement('allow_models = ["drop"]', normal_current_a=0.4, voltage_drop_max_v=0.18)
    margin = asked("voltage_drop", make_part(), requirement)
    assert margin.value == pytest.approx(0.1793, abs=5e-5)
    assert (margin.verdict, margin.basis) == (FITS, Basis.MODEL)


def test_8_no_band_of_times_is_narrower_than_ten_per_cent(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """0.3 s at 8 A asked at 7.9 A: 0.308 s by any model, and a limit of 0.312 s is no fit."""
    requirement = make_requirement(fault_current_min_a=7.9, trip_time_max_s=0.312, allow_model=True)
    margin = asked("time_to_trip", make_part(time=(8.0, 0.3)), requirement)
    assert margin.verdict is UNDETERMINED
    assert margin.band is not None
    assert margin.band[1] >= 1.1 * margin.band[0]


def test_8_colder_than_the_table_no_time_is_told(make_part: MakePart,
                                                 make_requirement: MakeRequirement) -> None:
    """Hold is tabulated from 0 °C on; at -20 °C the square-root law used to answer, unnamed."""
    part = make_part(ratios={0.0: 1.2, 23.0: 1.0, 60.0: 0.6})
    requirement = make_requirement(ambient_cold_c=-20.0, trip_time_max_s=30.0, allow_model=True)
    margin = asked("time_to_trip", part, requirement)
    assert margin.verdict is UNDETERMINED
    assert "-20 °C" in margin.note


@pytest.mark.parametrize(("normal_a", "thin"), [(0.75, True), (0.72, True), (0.71, False), (0.76, False)])
def test_9_a_margin_just_met_says_thin(
    make_part: MakePart, make_requirement: MakeRequirement, normal_a: float, thin: bool
) -> None:
    """0.75 A hold: 1.00 and 1.04 times are thin, 1.056 is not, and what is missed fails."""
    assert asked("hold_current", make_part(), make_requirement(normal_current_a=normal_a)).thin is thin


def test_float_dust_does_not_fail_a_part(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """1.1 * 0.6 is 0.6600000000000001 for a computer and 0.66 for everybody else."""
    requirement = make_requirement(normal_current_a=0.6, hold_factor=1.1)
    assert asked("hold_current", make_part(hold=0.66), requirement).verdict is FITS


def test_a_typical_and_a_table_never_mix(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement
) -> None:
    """A winner never rests on a typical time alone."""
    typical = make_reading(Quantity.TIME_TO_TRIP, 0.1, Kind.TYP, test_a=8.0, ambient_c=23.0)
    requirement = make_requirement(trip_time_max_s=9.0, allow_model=True)
    assert parts_to_ranking([make_part(time=None, more=[typical])], requirement).winner is None
