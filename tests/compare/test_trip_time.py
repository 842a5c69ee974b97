"""Time to trip: what the sheet guarantees, the band of models, and what may be said of a limit.

The models are checked against IEC 60255-149 and scipy in test_thermal; here only how they are used.
"""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compare.derating import Derating
from compare.judging import Question, TimeRules, judged_time
from compare.part_numbers import part_to_numbers
from compare.ranking import numbers_to_candidate
from compare.records import Basis, Margin, Sense, Verdict
from compare.requirement import Requirement
from compare.trip_time import LEAST_BAND, TripTime, TripTimes
from extract.schema import Kind, Part, Quantity, Reading, Status
from extract.standing import Standing

MakePart = Callable[..., Part]
MakeReading = Callable[..., Reading]
MakeRequirement = Callable[..., Requirement]
Row = dict[float, float]
FITS, FAILS, UNDETERMINED = Verdict.FITS, Verdict.FAILS, Verdict.UNDETERMINED


def times(part: Part) -> TripTimes:
    numbers = part_to_numbers(part)
    return TripTimes(numbers, Derating(numbers), 125.0)


def asked(name: str, part: Part, requirement: Requirement) -> Margin:
    margin = numbers_to_candidate(part_to_numbers(part), requirement).margin_named(name)
    assert margin is not None
    return margin


def test_the_tabulated_point_is_data(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """At the test current and reference ambient the sheet's time counts as it stands."""
    part = make_part(time=(8.0, 0.3))
    assert times(part).at(8.0, 23.0).guaranteed_s == 0.3
    for limit_s, verdict in ((0.3, FITS), (0.29, FAILS)):
        margin = asked(
            "time_to_trip", part, make_requirement(fault_current_min_a=8.0, trip_time_max_s=limit_s)
        )
        assert (margin.verdict, margin.basis, margin.value) == (verdict, Basis.DATA, 0.3)


def test_more_current_is_never_slower_than_the_table(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """Above the test current the tabulated time is an upper bound: it can show that a part fits, as data."""
    requirement = make_requirement(fault_current_min_a=12.0, trip_time_max_s=0.3)
    margin = asked("time_to_trip", make_part(time=(8.0, 0.3)), requirement)
    assert (margin.verdict, margin.basis) == (FITS, Basis.DATA)


def test_colder_or_less_current_is_never_faster(
    make_part: MakePart, make_requirement: MakeRequirement, row_a: Row
) -> None:
    """Below the test current or colder than the sheet the tabulated time is a lower bound: it can show a
    failure.
    """
    requirement = make_requirement(fault_current_min_a=7.0, trip_time_max_s=0.29, ambient_cold_c=-20.0)
    margin = asked("time_to_trip", make_part(time=(8.0, 0.3), ratios=row_a), requirement)
    assert (margin.verdict, margin.basis) == (FAILS, Basis.DATA)


@pytest.mark.parametrize(("allow_model", "verdict"), [(False, UNDETERMINED), (True, FITS)])
def test_a_model_fits_only_where_allowed(
    make_part: MakePart, make_requirement: MakeRequirement, row_a: Row, allow_model: bool, verdict: Verdict
) -> None:
    """Cold, only models speak; with the whole band below the limit they say fits where the requirement lets
    them.
    """
    requirement = make_requirement(
        fault_current_min_a=8.0, trip_time_max_s=1.5, ambient_cold_c=-20.0, allow_model=allow_model
    )
    margin = asked("time_to_trip", make_part(time=(8.0, 0.3), ratios=row_a), requirement)
    assert (margin.verdict, margin.basis) == (verdict, Basis.MODEL)
    assert margin.band is not None
    assert 0.3 < margin.band[0] < margin.band[1] == margin.value
    assert any("flatten" in text for text in margin.assumed)


def test_a_limit_inside_the_band_is_undetermined(
    make_part: MakePart, make_requirement: MakeRequirement, row_a: Row
) -> None:
    """A band that spans the limit says nothing, allowed or not."""
    part = make_part(time=(8.0, 0.3), ratios=row_a)
    band = times(part).at(8.0, -20.0)
    assert band.low_s is not None
    assert band.high_s is not None
    requirement = make_requirement(
        fault_current_min_a=8.0,
        trip_time_max_s=(band.low_s + band.high_s) / 2,
        ambient_cold_c=-20.0,
        allow_model=True,
    )
    assert asked("time_to_trip", part, requirement).verdict is UNDETERMINED


def test_a_published_requirement(make_part: MakePart, make_requirement: MakeRequirement, row_c: Row) -> None:
    """Within 2 s at 5 A, part 5.3 s at 3.25 A: proven at no ambient, and no model may say that it fails
    either.

    The requirement is a published design note's; without loss it takes 2.24 s at 23 °C and 1.65 s at 50 °C,
    with the heat spreading 5.3 * (3.25 / 5)^4 = 0.95 s.
    """
    part = make_part(hold=0.65, trip=1.3, time=(3.25, 5.3), ratios=row_c)
    verdicts = [
        asked(
            "time_to_trip",
            part,
            make_requirement(
                fault_current_min_a=5.0, trip_time_max_s=2.0, ambient_cold_c=cold, ambient_hot_c=50.0
            ),
        ).verdict
        for cold in (-20.0, 23.0, 50.0)
    ]
    assert verdicts == [UNDETERMINED] * 3


def test_below_the_trip_current_it_may_never_trip(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """Between hold and trip the band has no upper end; at or below hold it fails."""
    part = make_part(hold=1.0, trip=2.0)
    assert times(part).at(1.5, 23.0).high_s == math.inf
    verdicts = [
        asked(
            "time_to_trip",
            part,
            make_requirement(normal_current_a=0.5, fault_current_min_a=fault, trip_time_max_s=1e6),
        ).verdict
        for fault in (1.5, 1.0)
    ]
    assert verdicts == [UNDETERMINED, FAILS]


def test_without_a_time_nothing_is_said(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """No tabulated time, no model."""
    margin = asked(
        "time_to_trip", make_part(time=None), make_requirement(trip_time_max_s=5.0, allow_model=True)
    )
    assert (margin.verdict, margin.value) == (UNDETERMINED, None)


def test_a_disputed_time_speaks_for_nothing(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement
) -> None:
    """A disputed time calibrates no model either."""
    doubt = make_reading(Quantity.TIME_TO_TRIP, 0.3, test_a=8.0, status=Status.DISPUTED)
    margin = asked(
        "time_to_trip",
        make_part(time=None, more=[doubt]),
        make_requirement(trip_time_max_s=5.0, allow_model=True),
    )
    assert margin.verdict is UNDETERMINED
    assert "disputed" in margin.note


@pytest.mark.parametrize("limit_s", [0.01, 100.0])
def test_a_typical_curve_guarantees_nothing(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement, limit_s: float
) -> None:
    """A point of kind typical, as a digitised curve gives, neither fits nor fails."""
    typical = make_reading(Quantity.TIME_TO_TRIP, 0.3, Kind.TYP, test_a=8.0)
    margin = asked(
        "time_to_trip",
        make_part(time=None, more=[typical]),
        make_requirement(trip_time_max_s=limit_s, allow_model=True),
    )
    assert margin.verdict is UNDETERMINED
    assert "typical" in margin.note


def test_several_points_bracket(make_part: MakePart, make_reading: MakeReading) -> None:
    """Between two tabulated currents the band is that of both, and the slower point bounds it."""
    more = [make_reading(Quantity.TIME_TO_TRIP, 4.0, test_a=3.75)]
    found = times(make_part(time=(8.0, 0.3), more=more)).at(5.0, 23.0)
    assert (found.guaranteed_s, found.at_least_s) == (4.0, 0.3)
    assert [r.value for r in found.readings] == [4.0, 0.3]


@given(data=st.data())
def test_the_band_passes_through_the_tabulated_point(make_part: MakePart, data: st.DataObject) -> None:
    """At its own current every model gives the tabulated time; the band about it is the narrowest allowed."""
    current_a = data.draw(st.floats(2.5, 100.0))
    from_sheet = times(make_part(hold=1.0, trip=2.0, time=(current_a, 0.3))).at(current_a, 23.0)
    assert from_sheet.low_s == pytest.approx(0.3 / math.sqrt(LEAST_BAND))
    assert from_sheet.high_s == pytest.approx(0.3 * math.sqrt(LEAST_BAND))


@given(data=st.data())
def test_the_band_falls_with_current(make_part: MakePart, row_a: Row, data: st.DataObject) -> None:
    """More current never lengthens either end of the band."""
    first, second = data.draw(st.floats(2.5, 100.0)), data.draw(st.floats(2.5, 100.0))
    ambient_c = data.draw(st.floats(-40.0, 85.0))
    model = times(make_part(hold=1.0, trip=2.0, time=(8.0, 0.3), ratios=row_a))
    slow, fast = model.at(min(first, second), ambient_c), model.at(max(first, second), ambient_c)
    assert slow.low_s is not None
    assert fast.low_s is not None
    assert slow.high_s is not None
    assert fast.high_s is not None
    assert fast.low_s <= slow.low_s * (1 + 1e-9)
    assert fast.high_s <= slow.high_s * (1 + 1e-9)


def test_a_given_time_on_its_limit_fits() -> None:
    """A guaranteed time equal to the limit fits."""
    sure = TripTime(1.0, 1.0, 1.0, 1.0, False, ())
    question = Question("time_to_trip", "s", Sense.AT_MOST)
    assert judged_time(question, sure, 1.0, TimeRules(False), 23.0).verdict is FITS


def test_inrush_within_hold(make_part: MakePart, make_requirement: MakeRequirement, row_b: Row) -> None:
    """A peak that the part holds at the hottest ambient fits for any length, as data."""
    requirement = make_requirement(peak_current_a=0.5, peak_duration_s=100.0, ambient_hot_c=60.0)
    margin = asked("inrush", make_part(hold=0.75, ratios=row_b), requirement)
    assert (margin.verdict, margin.unit, margin.basis) == (FITS, "A", Basis.DATA)


@pytest.mark.parametrize(
    ("duration_s", "allow_model", "verdict"),
    [(0.3, True, FAILS), (0.2, True, UNDETERMINED), (0.001, True, FITS), (0.001, False, UNDETERMINED)],
)
def test_inrush_above_hold(
    make_part: MakePart,
    make_requirement: MakeRequirement,
    duration_s: float,
    allow_model: bool,
    verdict: Verdict,
) -> None:
    """Part of 0.3 s at 8 A, R_min a quarter of R_1max: 0.3 s surely trips it, 1 ms does not by any model."""
    requirement = make_requirement(peak_current_a=8.0, peak_duration_s=duration_s, allow_model=allow_model)
    assert asked("inrush", make_part(time=(8.0, 0.3)), requirement).verdict is verdict


def test_shortest_time_counts_the_spread_of_resistance(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """A table gives the slowest part; one of four times its resistance trips in a quarter of the time (t ~
    1/R).
    """
    requirement = make_requirement(peak_current_a=8.0, peak_duration_s=0.01, allow_model=True)
    wide = asked("inrush", make_part(r_min=0.1, r_1max=0.4), requirement).value
    narrow = asked("inrush", make_part(r_min=0.1, r_1max=0.2), requirement).value
    assert wide is not None
    assert narrow is not None
    assert wide == pytest.approx(narrow / 2)
    assert asked("inrush", make_part(r_min=0), requirement).verdict is UNDETERMINED


def test_hot_plug_of_a_published_example(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """100 µF through 0.1 ohm at 5 V (50 A, 10 µs) does not trip an ordinary part. Published example."""
    more = "[hot_plug]\ncapacitance_f = 100e-6\nresistance_ohm = 0.1"
    requirement = make_requirement(more, supply_voltage_v=5.0, allow_model=True)
    margin = asked("hot_plug", make_part(), requirement)
    assert margin.limit == pytest.approx(5e-6)
    assert margin.verdict is FITS


def test_wire_survives_until_the_trip(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """26 AWG to 150 °C stands 282 A²s from 40 °C: at 20 A 0.7 s. A part of 0.3 s fits, one of 3 s not."""
    more = "[wire]\nawg = 26\ninsulation_max_c = 150"
    requirement = make_requirement(
        more, ambient_hot_c=40.0, fault_current_min_a=20.0, fault_current_max_a=20.0
    )
    for time_s, verdict in ((0.3, FITS), (3.0, FAILS)):
        margin = asked("wire", make_part(time=(20.0, time_s)), requirement)
        assert (margin.verdict, margin.basis) == (verdict, Basis.DATA)
        assert margin.limit == pytest.approx(16.8**2 / 20.0**2, rel=0.01)


def test_track_of_the_worked_example(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """10 mil of 1 oz at 25 °C and a part letting 8 A through for 0.1 s: 3 % left. Arithmetic, Onderdonk."""
    more = f'[track]\nwidth_mm = {10 * 0.0254}\ncopper_um = {1.378 * 25.4}\nlayer = "outer"'
    requirement = make_requirement(
        more, ambient_cold_c=25.0, ambient_hot_c=25.0, fault_current_min_a=8.0, fault_current_max_a=8.0
    )
    margin = asked("track", make_part(time=(8.0, 0.1), reference_c=25.0), requirement)
    assert margin.margin == pytest.approx(1.03, abs=5e-3)


def test_ampacity_is_held_against_the_trip_current(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """Anything below the trip current may flow continuously: wire and track must carry that."""
    more = (
        "[wire]\nawg = 24\ninsulation_max_c = 105\nampacity_a = 1.4\n"
        '[track]\nwidth_mm = 0.254\ncopper_um = 35.0\nlayer = "outer"\ntemperature_rise_max_k = 10.0'
    )
    requirement = make_requirement(more, allow_model=True)
    for trip_a, verdicts in ((1.5, (FAILS, FAILS)), (0.8, (FITS, FITS))):
        part = make_part(hold=0.5, trip=trip_a)
        assert (
            asked("wire_ampacity", part, requirement).verdict,
            asked("track_ampacity", part, requirement).verdict,
        ) == verdicts


CURVE = "".join(f"[[damage_curve]]\ncurrent_a = {a}\ntime_s = {s}\n" for a, s in ((4.0, 20.0), (40.0, 0.2)))


@pytest.mark.parametrize(("time_s", "verdict"), [(4.9, FITS), (5.1, FAILS)])
def test_damage_curve_between_points(
    make_part: MakePart, make_requirement: MakeRequirement, time_s: float, verdict: Verdict
) -> None:
    """A curve of constant I²t through (4 A, 20 s) stands 8 A for 5 s: straight in log-log."""
    requirement = make_requirement(CURVE, fault_current_min_a=8.0, fault_current_max_a=8.0)
    assert asked("damage_curve", make_part(time=(8.0, time_s)), requirement).verdict is verdict


def test_damage_curve_ends(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """Beyond the curve's last point nothing is known."""
    requirement = make_requirement(CURVE, fault_current_min_a=8.0, fault_current_max_a=50.0)
    assert asked("damage_curve", make_part(), requirement).verdict is UNDETERMINED


@pytest.mark.parametrize(
    ("quantity", "ambient_c"), [(Quantity.HOLD_RATIO, -20.0), (Quantity.TRIP_CURRENT, 23.0)]
)
def test_models_do_not_pass_over_a_disputed_threshold(
    make_part: MakePart,
    make_reading: MakeReading,
    make_requirement: MakeRequirement,
    row_a: Row,
    quantity: Quantity,
    ambient_c: float,
) -> None:
    """A band without the model that the disputed number spoils would be narrower than honest: there is
    none.
    """
    ratios = {c: share for c, share in row_a.items() if c != -20.0 or quantity is not Quantity.HOLD_RATIO}
    doubt = make_reading(
        quantity,
        1.36,
        ambient_c=ambient_c,
        status=Status.DISPUTED,
        number="*" if quantity is Quantity.HOLD_RATIO else "P1",
    )
    part = make_part(trip=0 if quantity is Quantity.TRIP_CURRENT else 1.5, ratios=ratios, more=[doubt])
    margin = asked(
        "time_to_trip", part, make_requirement(trip_time_max_s=9.0, ambient_cold_c=-20.0, allow_model=True)
    )
    assert margin.verdict is UNDETERMINED
    assert "disputed" in margin.note


def test_without_a_trip_current_no_upper_end_below_the_test_current(make_part: MakePart) -> None:
    """Below the tabulated current nothing says that the part trips at all."""
    found = times(make_part(trip=0)).at(4.0, 23.0)
    assert found.high_s == math.inf
    assert times(make_part(trip=0)).at(8.0, 23.0).high_s == pytest.approx(0.3 * math.sqrt(LEAST_BAND))


def test_the_firmest_of_several_bounds_counts(make_part: MakePart, make_reading: MakeReading) -> None:
    """Of several upper bounds the smallest, of several lower bounds the largest."""
    more = [
        make_reading(Quantity.TIME_TO_TRIP, t, test_a=a) for a, t in ((3.0, 9.0), (4.0, 4.0), (12.0, 0.1))
    ]
    model = times(make_part(time=(8.0, 0.3), more=more))
    assert (model.at(6.0, 23.0).guaranteed_s, model.at(6.0, 23.0).at_least_s) == (4.0, 0.3)
    assert (model.at(20.0, 23.0).guaranteed_s, model.at(2.0, 23.0).at_least_s) == (0.1, 9.0)


@pytest.mark.parametrize(("ambient_c", "assumed"), [(None, True), (23.0, False)])
def test_an_ambient_the_sheet_leaves_out_is_noted(
    make_part: MakePart, make_reading: MakeReading, ambient_c: float | None, assumed: bool
) -> None:
    """A time without ambient is taken as at the reference, and only then that is said."""
    stated = make_reading(Quantity.TIME_TO_TRIP, 0.3, test_a=8.0, ambient_c=ambient_c)
    found = times(make_part(time=None, more=[stated])).at(8.0, 23.0)
    assert found.guaranteed_s == 0.3
    assert bool(found.assumed) is assumed


def test_a_peak_between_hold_and_trip_has_no_longest_time(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """The slowest part may never trip: the margin shows no band, and a long peak is undetermined."""
    requirement = make_requirement(peak_current_a=1.0, peak_duration_s=1e4, allow_model=True)
    margin = asked("inrush", make_part(hold=0.75, trip=1.5), requirement)
    assert (margin.verdict, margin.band) == (UNDETERMINED, None)


def test_a_table_goes_before_a_typical_curve(make_part: MakePart, make_reading: MakeReading) -> None:
    """Longest and typical times are never mixed: where a table has a point, the curve is not asked."""
    typical = [
        make_reading(Quantity.TIME_TO_TRIP, t, Kind.TYP, test_a=a) for a, t in ((4.0, 1.0), (10.0, 0.1))
    ]
    found = times(make_part(time=(8.0, 0.3), more=typical)).at(9.0, 23.0)
    assert not found.typical
    assert [r.value for r in found.readings] == [0.3]


def test_a_load_above_hold_leaves_no_room_for_a_pulse(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """A long load above the hold current fails as it does without a pulse, whatever the models say."""
    requirement = make_requirement(
        normal_current_a=0.8, peak_current_a=8.0, peak_duration_s=1e-6, allow_model=True
    )
    margin = asked("inrush", make_part(hold=0.75), requirement)
    assert (margin.verdict, margin.value, margin.limit) == (FAILS, 0.75, 0.8)
    assert "normal load alone" in margin.note


def test_a_time_above_the_switching_temperature_is_no_time(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement
) -> None:
    """A point stated where the polymer has switched calibrates nothing."""
    hot = make_reading(Quantity.TIME_TO_TRIP, 0.3, test_a=8.0, ambient_c=125.0)
    margin = asked("time_to_trip", make_part(time=None, more=[hot]), make_requirement(trip_time_max_s=1.0))
    assert margin.verdict is UNDETERMINED
    assert "switching temperature" in margin.note


def test_the_band_is_as_wide_as_what_is_not_known(make_part: MakePart, row_a: Row) -> None:
    """Constant and rising resistance calibrated on one point differ elsewhere: the band holds both, by hand.

    Part of 1 A hold, 2 A trip, 5 s at 5 A and 23 °C, asked at 10 A. Without loss 5 * 0.25 = 1.25 s; constant
    resistance and trip as threshold 5 * ln(1 - 0.04) / ln(1 - 0.16) = 1.1706 s; both lie inside.
    """
    found = times(make_part(hold=1.0, trip=2.0, time=(5.0, 5.0), ratios=row_a)).at(10.0, 23.0)
    assert found.low_s is not None
    assert found.high_s is not None
    assert found.low_s < 5.0 * math.log(1 - 0.04) / math.log(1 - 0.16) < 1.25 <= found.high_s


@pytest.mark.parametrize("ambient_c", [-41.0, 86.0])
def test_outside_the_tabulated_ambients_no_model_answers(
    make_part: MakePart, row_a: Row, ambient_c: float
) -> None:
    """Beyond the derating row no threshold is known: undetermined, with the ambient named, models or not."""
    found = times(make_part(ratios=row_a)).at(8.0, ambient_c)
    assert (found.low_s, found.high_s) == (None, None)
    assert f"{ambient_c:g} °C" in found.note


@pytest.mark.parametrize("model", ["time", "leakage", "reset", "limited_power", "track", "drop"])
def test_each_model_has_its_own_switch(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement, row_a: Row, model: str
) -> None:
    """A requirement that names one model lets that one say fits and no other."""
    more = f'''allow_models = ["{model}"]
[limited_power_source]
standard = "iec_60950_1"
measured_after_s = 60.0
[track]
width_mm = 2.0
copper_um = 35.0
layer = "outer"
temperature_rise_max_k = 40.0'''
    requirement = make_requirement(
        more, ambient_cold_c=-20.0, supply_voltage_min_v=12.0, fault_current_min_a=8.0, trip_time_max_s=3.0,
        leakage_max_a=0.5, reset="self", load_resistance_ohm=100.0, voltage_drop_max_v=0.4,
        normal_current_a=0.4)
    smallest = make_reading(Quantity.TRIPPED_POWER, 0.8, Kind.MIN)
    part = make_part(power_typ=0, power_max=1.0, more=[smallest], ratios=row_a)
    by_name = {"time": "time_to_trip", "track": "track_ampacity", "drop": "voltage_drop"}
    for name in ("time", "leakage", "reset", "limited_power", "track", "drop"):
        margin = asked(by_name.get(name, name), part, requirement)
        assert margin.basis is Basis.MODEL, name
        assert margin.verdict is (FITS if name == model else UNDETERMINED), name


def test_the_lowest_fault_counts_with_all_it_rests_on(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement
) -> None:
    """The lowest fault current rests on a resistance read once: the time to trip is no firmer."""
    once = make_reading(Quantity.RESISTANCE, 0.4, Kind.POST_TRIP_MAX, status=Status.SINGLE)
    requirement = make_requirement(fault_current_min_a="", source_resistance_max_ohm=0.6,
                                   supply_voltage_min_v=12.0, trip_time_max_s=1.0)
    margin = asked("time_to_trip", make_part(r_1max=0, more=[once]), requirement)
    assert margin.standing is Standing.SINGLE


def test_repeated_peaks_leave_heat_behind(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """0.4 A with 2 A for 1 s in every 4 s: the mean square is 0.16 + (4 - 0.16) / 4 = 1.12, its root 1.058 A,
    which a part of 0.75 A does not hold: it fails; a single peak is held. Every 60 s it is
    0.473 A and shortens the time.
    """
    asked_for = {"peak_current_a": 2.0, "peak_duration_s": 1.0, "allow_model": True}
    part = make_part(time=(8.0, 0.9), r_min=0.3, r_1max=0.4)
    once = asked("inrush", part, make_requirement(**asked_for))
    often = make_requirement(**asked_for, peak_every_s=4.0)
    assert often.load_before_peak_a == pytest.approx(1.12**0.5)
    assert asked("inrush", part, often).verdict is FAILS
    assert "repeated peaks" in asked("inrush", part, often).note
    seldom = asked("inrush", part, make_requirement(**asked_for, peak_every_s=60.0))
    assert once.value is not None
    assert seldom.value is not None
    assert seldom.value < once.value
