"""What was measured on the bench against the sheet: fits, outside, or not comparable, with the reason."""

from collections.abc import Callable

import pytest

from compare.bench_check import BenchCheck, BenchVerdict, part_to_bench_checks
from compare.measurements import text_to_measurements
from extract.errors import InputError
from extract.schema import Part

MakePart = Callable[..., Part]
Row = dict[float, float]
FITS, OUTSIDE, NOT_COMPARABLE = BenchVerdict.FITS, BenchVerdict.OUTSIDE, BenchVerdict.NOT_COMPARABLE
SOUND = "ambient_c = 23\nfour_wire = true\n"


def checked(part: Part, text: str) -> dict[str, BenchCheck]:
    """The checks by name."""
    return {check.name: check for check in part_to_bench_checks(part, text_to_measurements(text))}


def drops(ohm: float, currents: tuple[float, ...] = (0.05, 0.1)) -> str:
    return "".join(f"[[drop]]\ncurrent_a = {a}\nvoltage_v = {a * ohm}\n" for a in currents)


@pytest.mark.parametrize(
    ("ohm", "verdict", "words"),
    [
        (0.15, FITS, "within"),
        (0.3, FITS, "heated before"),
        (0.09, OUTSIDE, "below the smallest"),
        (0.41, OUTSIDE, "above the largest after a trip"),
    ],
)
def test_initial_resistance(make_part: MakePart, ohm: float, verdict: BenchVerdict, words: str) -> None:
    """Between R_min 0.1 and R_1max 0.4; above R_max 0.2 it has been soldered or tripped before."""
    check = checked(make_part(r_max=0.2), SOUND + drops(ohm))["initial_resistance"]
    assert check.measured == pytest.approx(ohm)
    assert check.verdict is verdict
    assert words in check.reason
    assert check.source.startswith('invented.pdf p. 2 "0.1"')


def test_meter_leads_are_taken_off(make_part: MakePart) -> None:
    """0.25 ohm with leads of 0.1 ohm is a part of 0.15 ohm; with unknown leads nothing can be said."""
    known = checked(make_part(), "ambient_c = 23\nmeter_lead_resistance_ohm = 0.1\n" + drops(0.25))
    assert known["initial_resistance"].measured == pytest.approx(0.15)
    unknown = checked(make_part(), "ambient_c = 23\n" + drops(0.25))["initial_resistance"]
    assert unknown.verdict is NOT_COMPARABLE
    assert "leads" in unknown.reason


def test_steps_that_warm_the_part_do_not_count(make_part: MakePart) -> None:
    """Only steps well below the hold current of 0.75 A are used; with none, nothing can be said."""
    text = SOUND + drops(0.15) + drops(0.6, (0.7,))
    assert checked(make_part(), text)["initial_resistance"].measured == pytest.approx(0.15)
    assert checked(make_part(), SOUND + drops(0.2, (0.7,)))["initial_resistance"].verdict is NOT_COMPARABLE


@pytest.mark.parametrize("head", ["four_wire = true\n", "four_wire = true\nambient_c = 40\n"])
def test_resistance_away_from_the_reference(make_part: MakePart, head: str) -> None:
    """At an unknown or another ambient a resistance is not compared."""
    assert checked(make_part(), head + drops(0.15))["initial_resistance"].verdict is NOT_COMPARABLE


def trip(current_a: float, time_s: float) -> str:
    return f"[trip]\ncurrent_a = {current_a}\ntime_s = {time_s}\n"


@pytest.mark.parametrize(
    ("current_a", "time_s", "verdict"),
    [(8.0, 0.3, FITS), (8.0, 0.31, OUTSIDE), (10.0, 0.25, FITS), (7.0, 0.4, NOT_COMPARABLE)],
)
def test_trip_time(make_part: MakePart, current_a: float, time_s: float, verdict: BenchVerdict) -> None:
    """At or above the test current the sheet's time is the longest; below it guarantees none, only a model
    speaks.
    """
    check = checked(make_part(time=(8.0, 0.3)), SOUND + trip(current_a, time_s))["trip_time"]
    assert check.verdict is verdict
    assert ("model" in check.reason) is (verdict is NOT_COMPARABLE)


def test_trip_in_the_cold_is_not_comparable(make_part: MakePart, row_b: Row) -> None:
    """Colder than the sheet the part may take longer."""
    text = "ambient_c = 0\n" + trip(8.0, 0.35)
    assert checked(make_part(ratios=row_b), text)["trip_time"].verdict is NOT_COMPARABLE


@pytest.mark.parametrize(("current_a", "verdict"), [(0.75, OUTSIDE), (0.76, FITS)])
def test_a_part_may_not_trip_at_its_hold_current(
    make_part: MakePart, current_a: float, verdict: BenchVerdict
) -> None:
    """Tripping at 0.75 A or less betrays a smaller or weakened part."""
    assert checked(make_part(), SOUND + trip(current_a, 60.0))["trip_current"].verdict is verdict


def tripped(power_w: float, more: str = "") -> str:
    return f"[tripped]\nvoltage_v = 10.0\ncurrent_a = {power_w / 10}\n{more}"


@pytest.mark.parametrize(
    ("rating", "power_w", "verdict"),
    [
        ("power_typ", 0.9, FITS),
        ("power_typ", 1.1, OUTSIDE),
        ("power_typ", 0.5, OUTSIDE),
        ("power_max", 0.5, FITS),
        ("power_max", 0.81, OUTSIDE),
    ],
)
def test_tripped_power(make_part: MakePart, rating: str, power_w: float, verdict: BenchVerdict) -> None:
    """0.8 W: a typical power may be missed by 30 %, a largest one not exceeded."""
    part = make_part(**{"power_typ": 0, rating: 0.8})
    assert checked(part, SOUND + tripped(power_w))["tripped_power"].verdict is verdict


def test_tripped_power_at_another_ambient(make_part: MakePart) -> None:
    """At 74 °C half of the way from 23 to 125 °C is gone, so half the power is expected. Arithmetic, d
    (T_sw - T_a).
    """
    check = checked(make_part(power_typ=0, power_max=0.8), "ambient_c = 74\n" + tripped(0.3))["tripped_power"]
    assert check.high == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("more", "verdict"),
    [
        ("surface_c = 110\nsettled_s = 60\nthermometer_lag_s = 10", FITS),
        ("surface_c = 50\nsettled_s = 50\nthermometer_lag_s = 10", OUTSIDE),
        ("surface_c = 110\nsettled_s = 40\nthermometer_lag_s = 10", NOT_COMPARABLE),
        ("surface_c = 110", NOT_COMPARABLE),
    ],
)
def test_surface_and_thermometer_lag(make_part: MakePart, more: str, verdict: BenchVerdict) -> None:
    """After five time constants a thermometer shows 99 % of a step; before that its reading says little."""
    assert checked(make_part(), SOUND + tripped(0.8, more))["surface_temperature"].verdict is verdict


@pytest.mark.parametrize(
    ("after_ohm", "after_s", "verdict"),
    [(0.3, 3600, FITS), (0.45, 3600, OUTSIDE), (0.3, 600, NOT_COMPARABLE)],
)
def test_recovery(make_part: MakePart, after_ohm: float, after_s: float, verdict: BenchVerdict) -> None:
    """One hour after the trip the part must lie below R_1max; sooner nothing is stated."""
    text = (
        SOUND
        + f"[recovery]\nresistance_before_ohm = 0.15\nresistance_after_ohm = {after_ohm}\nafter_s = {after_s}"
    )
    assert checked(make_part(), text)["recovery"].verdict is verdict


def test_a_sheet_that_says_little(make_part: MakePart) -> None:
    """Without limits in the sheet every check says so."""
    bare = make_part(hold=0, trip=0, r_min=0, r_1max=0, power_typ=0, time=None)
    text = SOUND + drops(0.15) + trip(8.0, 0.3) + tripped(0.8)
    assert {check.verdict for check in checked(bare, text).values()} == {NOT_COMPARABLE}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("ambient_c = 23", "nothing measured"),
        ("[trip]\ncurrent_a = 1", "trip.time_s"),
        ("ambiant_c = 23", "ambient_c"),
        ("[[drop]]\ncurrent_a = 0\nvoltage_v = 1", "above 0"),
        (
            "four_wire = true\nmeter_lead_resistance_ohm = 0.1\n[trip]\ncurrent_a = 1\ntime_s = 1",
            "one of them",
        ),
    ],
)
def test_measurements_that_make_no_sense_are_refused(text: str, words: str) -> None:
    """In one line with file and field."""
    with pytest.raises(InputError, match=words) as caught:
        text_to_measurements(text, "bench.toml")
    assert str(caught.value).startswith("bench.toml")


@pytest.mark.parametrize(
    ("ambient_c", "time_s", "verdict"),
    [(21, 0.305, FITS), (21, 0.31, OUTSIDE), (18, 0.314, FITS), (17.9, 0.3, NOT_COMPARABLE)],
)
def test_a_bench_a_little_colder_than_the_sheet(
    make_part: MakePart, row_b: Row, ambient_c: float, time_s: float, verdict: BenchVerdict
) -> None:
    """Up to 5 K below 23 °C the longest time grows by (125 - T) / (125 - 23), and that is told."""
    text = f"ambient_c = {ambient_c}\n" + trip(8.0, time_s)
    check = checked(make_part(ratios=row_b, time=(8.0, 0.3)), text)["trip_time"]
    assert check.verdict is verdict
    assert ("colder bench" in check.reason) is (verdict is not NOT_COMPARABLE)


@pytest.mark.parametrize("text", [
    "meter_lead_resistance_ohm = 0.3\n" + drops(0.25),
    "meter_lead_resistance_ohm = 0.3\n[recovery]\nresistance_after_ohm = 0.2\nafter_s = 3700",
])
def test_no_resistance_is_negative(text: str) -> None:
    """Leads of 0.3 ohm in 0.25 ohm measured: a slip, told before anything is judged."""
    with pytest.raises(InputError, match="of which the leads are"):
        text_to_measurements("ambient_c = 23\n" + text)


def test_the_resistance_before_the_trip_is_used(make_part: MakePart) -> None:
    """R_min 0.1 and R_1max 0.4: at most four times. From 0.1 to 0.39 fits, from 0.05 it is 7.8 times."""
    text = SOUND + "[recovery]\nresistance_before_ohm = {}\nresistance_after_ohm = 0.39\nafter_s = 3700"
    assert checked(make_part(), text.format(0.1))["growth by the trip"].verdict is FITS
    assert checked(make_part(), text.format(0.05))["growth by the trip"].verdict is OUTSIDE
    alone = SOUND + "[recovery]\nresistance_after_ohm = 0.39\nafter_s = 3700"
    assert set(checked(make_part(), alone)) == {"recovery"}


@pytest.mark.parametrize(("time_s", "verdict"), [(0.29, FITS), (0.08, FITS), (0.05, OUTSIDE), (0.31,
                                                                                               OUTSIDE)])
def test_a_trip_faster_than_any_part_of_the_type(make_part: MakePart, time_s: float,
                                                 verdict: BenchVerdict) -> None:
    """0.3 s at 8 A for the slowest; with four times its resistance 0.3 / 1.049 / 4 = 0.0715 s: faster is
    another part, as counterfeits of a smaller type are.
    """
    text = SOUND + f"[trip]\ncurrent_a = 8\ntime_s = {time_s}"
    assert checked(make_part(time=(8.0, 0.3)), text)["trip_time"].verdict is verdict


def test_steps_that_disagree_are_told_and_not_averaged(make_part: MakePart) -> None:
    """0.15 and 0.2 ohm: both are named, and no mean stands there."""
    text = SOUND + drops(0.15, (0.05,)) + drops(0.2, (0.1,))
    check = checked(make_part(), text)["initial_resistance"]
    assert (check.verdict, check.measured) == (NOT_COMPARABLE, None)
    assert "0.15 ohm at 0.05 A, 0.2 ohm at 0.1 A" in check.reason


def test_measuring_above_the_ratings_warns(make_part: MakePart) -> None:
    """50 A and 20 V on a part of 40 A and 16 V: the sample may be damaged."""
    text = SOUND + "[trip]\ncurrent_a = 50\ntime_s = 0.01\n[tripped]\ncurrent_a = 0.04\nvoltage_v = 20"
    found = checked(make_part(), text)
    for name in ("measured above max_current", "measured above max_voltage"):
        assert found[name].verdict is OUTSIDE
        assert "do not use this sample" in found[name].reason


def test_the_accuracy_of_the_meter_widens_the_limits(make_part: MakePart) -> None:
    """0.405 ohm over 0.4 ohm is outside for a perfect meter and cannot be told by one of 1 %."""
    assert checked(make_part(), SOUND + drops(0.405))["initial_resistance"].verdict is OUTSIDE
    coarse = checked(make_part(), "meter_accuracy = 0.01\n" + SOUND + drops(0.405))["initial_resistance"]
    assert coarse.verdict is NOT_COMPARABLE
    assert "nearer to the limit" in coarse.reason


@pytest.mark.parametrize(("current_a", "minutes", "verdict", "words"), [
    (0.75, 30.0, FITS, "holds what it must"), (0.5, 60.0, FITS, "no more"),
    (0.75, 5.0, NOT_COMPARABLE, "30 minutes"), (1.6, 30.0, OUTSIDE, "larger part")])
def test_a_current_held_for_minutes(
    make_part: MakePart, current_a: float, minutes: float, verdict: BenchVerdict, words: str
) -> None:
    """Hold 0.75 A and trip 1.5 A at 23 °C; the hold test of published vendor data lasts 30 minutes."""
    text = SOUND + f"[[held]]\ncurrent_a = {current_a}\nminutes = {minutes}"
    (check,) = checked(make_part(), text).values()
    assert check.verdict is verdict
    assert words in check.reason
