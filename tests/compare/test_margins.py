"""Every margin: which corner it asks, which side fits, what it rests on.

Limits come from the formulas named in each test; parts are invented.
"""

from collections.abc import Callable

import pytest

from compare.corners import numbers_to_case
from compare.part_numbers import part_to_numbers
from compare.ranking import numbers_to_candidate
from compare.records import Basis, Margin, Verdict
from compare.requirement import Requirement
from compare.tripped_state import case_to_tripped_state
from extract.schema import Kind, Part, Quantity, Reading, Status

MakePart = Callable[..., Part]
MakeReading = Callable[..., Reading]
MakeRequirement = Callable[..., Requirement]
Row = dict[float, float]
FITS, FAILS, UNDETERMINED = Verdict.FITS, Verdict.FAILS, Verdict.UNDETERMINED


def asked(name: str, part: Part, requirement: Requirement) -> Margin:
    """The margin of that name."""
    margin = numbers_to_candidate(part_to_numbers(part), requirement).margin_named(name)
    assert margin is not None
    return margin


def test_hold_is_asked_at_the_hottest_with_neighbours(
    make_part: MakePart, make_requirement: MakeRequirement, row_b: Row
) -> None:
    """50 °C and 10 K of neighbours ask the 60 °C column: 0.75 A × 0.69."""
    margin = asked(
        "hold_current",
        make_part(hold=0.75, ratios=row_b),
        make_requirement(normal_current_a=0.5, ambient_hot_c=50.0, neighbour_heating_k=10.0),
    )
    assert (margin.verdict, margin.at_c, margin.basis) == (FITS, 60.0, Basis.DATA)
    assert margin.value == pytest.approx(0.5175)
    assert margin.margin == pytest.approx(1.035)
    assert margin.source == 'invented.pdf p. 2 "0.69"; invented.pdf p. 2 "0.75"'


@pytest.mark.parametrize(("normal_a", "verdict"), [(0.5175, FITS), (0.518, FAILS)])
def test_hold_on_its_limit(
    make_part: MakePart, make_requirement: MakeRequirement, row_b: Row, normal_a: float, verdict: Verdict
) -> None:
    """The hold current itself is carried; anything more is not guaranteed."""
    requirement = make_requirement(normal_current_a=normal_a, ambient_hot_c=60.0)
    assert asked("hold_current", make_part(hold=0.75, ratios=row_b), requirement).verdict is verdict


def test_design_margin_raises_the_limit(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """hold_factor multiplies the normal current."""
    margin = asked(
        "hold_current", make_part(hold=0.75), make_requirement(normal_current_a=0.65, hold_factor=1.2)
    )
    assert margin.limit == pytest.approx(0.78)
    assert margin.verdict is FAILS


@pytest.mark.parametrize(("normal_a", "verdict"), [(0.2, UNDETERMINED), (0.4, FAILS)])
def test_hold_beyond_the_table(
    make_part: MakePart, make_requirement: MakeRequirement, row_a: Row, normal_a: float, verdict: Verdict
) -> None:
    """Beyond the last column nothing fits; what even that column cannot carry fails, marked assumed."""
    margin = asked(
        "hold_current",
        make_part(hold=1.0, ratios=row_a),
        make_requirement(normal_current_a=normal_a, ambient_hot_c=95.0),
    )
    assert margin.verdict is verdict
    assert margin.basis is (Basis.DATA if verdict is UNDETERMINED else Basis.ASSUMED)


@pytest.mark.parametrize(
    ("fault_a", "verdict"), [(2.72, FITS), (2.71, UNDETERMINED), (1.37, UNDETERMINED), (1.36, FAILS)]
)
def test_between_hold_and_trip_nothing_is_defined(
    make_part: MakePart, make_requirement: MakeRequirement, row_a: Row, fault_a: float, verdict: Verdict
) -> None:
    """Asked at the coldest: trip 2.72 A and hold 1.36 A at -20 °C for a part of 2 A and 1 A."""
    margin = asked(
        "trip_certainty",
        make_part(hold=1.0, trip=2.0, ratios=row_a),
        make_requirement(ambient_cold_c=-20.0, fault_current_min_a=fault_a),
    )
    assert (margin.verdict, margin.at_c, margin.basis) == (verdict, -20.0, Basis.ASSUMED)
    assert margin.margin == pytest.approx(fault_a / 2.72)


def test_a_supply_that_folds_back_never_trips_the_part(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """A 5 V supply that limits at 3 A and a part of 2.3 A hold, 4.6 A trip: it may never trip.

    A published question; at 2.3 A or less it certainly never trips.
    """
    part = make_part(hold=2.3, trip=4.6, max_voltage=6.0)
    wide = make_requirement(supply_voltage_v=5.0, normal_current_a=2.0, supply_current_limit_a=3.0)
    assert asked("trip_certainty", part, wide).verdict is UNDETERMINED
    strong = make_requirement(supply_voltage_v=5.0, normal_current_a=2.0, supply_current_limit_a=5.0)
    assert asked("trip_certainty", part, strong).verdict is UNDETERMINED  # what it folds back to is unknown
    tight = make_requirement(supply_voltage_v=5.0, normal_current_a=2.0, supply_current_limit_a=2.3)
    margin = asked("trip_certainty", part, tight)
    assert margin.verdict is FAILS
    assert "never trips" in margin.note


def test_a_limit_of_the_supply_is_no_lowest_fault_current_where_a_resistance_lies_before_it(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """5 V over 1.6 ohm and an unknown part cannot be told to reach the 6 A at which the supply limits."""
    requirement = make_requirement(supply_voltage_v=5.0, supply_voltage_min_v=5.0, supply_current_limit_a=6.0,
                                   supply_short_current_a=6.0, fault_current_min_a="",
                                   source_resistance_max_ohm=1.6)
    assert asked("trip_certainty", make_part(r_1max=0.0), requirement).verdict is UNDETERMINED
    assert asked("trip_certainty", make_part(), requirement).limit == pytest.approx(2.5)


def test_fault_current_with_the_parts_own_resistance(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """Highest: 12 V / (0.3 + R_min 0.1) = 30 A; lowest: 10 V / (1.6 + R_1max 0.4) = 5 A."""
    requirement = make_requirement(
        fault_current_min_a="",
        fault_current_max_a="",
        source_resistance_min_ohm=0.3,
        source_resistance_max_ohm=1.6,
        supply_voltage_min_v=10.0,
    )
    part = make_part(trip=1.5)
    assert asked("max_current", part, requirement).limit == pytest.approx(30.0)
    assert asked("trip_certainty", part, requirement).limit == pytest.approx(5.0)


def test_unknown_fault_currents_are_undetermined(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """A requirement without fault currents leaves trip and fault rating open, and says what to add."""
    requirement = make_requirement(fault_current_min_a="", fault_current_max_a="")
    for name in ("trip_certainty", "max_current"):
        margin = asked(name, make_part(), requirement)
        assert margin.verdict is UNDETERMINED
        assert "source resistance" in margin.note


@pytest.mark.parametrize(
    ("supply", "rating", "verdict"),
    [
        ("dc", "max_voltage", FITS),
        ("dc", "max_voltage_dc", FITS),
        ("dc", "max_voltage_ac", UNDETERMINED),
        ("ac", "max_voltage", UNDETERMINED),
        ("ac", "max_voltage_dc", UNDETERMINED),
        ("ac", "max_voltage_ac", FITS),
    ],
)
def test_a_dc_rating_says_nothing_about_ac(
    make_part: MakePart, make_requirement: MakeRequirement, supply: str, rating: str, verdict: Verdict
) -> None:
    """Only a rating for the kind of supply counts; one without a label counts for DC."""
    part = make_part(**{"max_voltage": 0, rating: 30.0})
    assert asked("max_voltage", part, make_requirement(supply=supply)).verdict is verdict


def test_pack_voltage_excludes_low_ratings(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """13 cells of 4.2 V: a tripped part sees 54.6 V, so 16 V and 30 V parts fail. A published thread's
    pack.
    """
    requirement = make_requirement(
        '[series_pack]\nchemistry = "li_ion"\ncells = 13\nshort_circuit_current_a = 20.0',
        supply_voltage_v="",
        fault_current_max_a="",
    )
    assert requirement.supply_voltage_v == pytest.approx(54.6)
    verdicts = [
        asked("max_voltage", make_part(max_voltage=v), requirement).verdict for v in (16.0, 30.0, 60.0)
    ]
    assert verdicts == [FAILS, FAILS, FITS]


def test_voltage_drop_after_a_trip(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """0.14 A through 6 ohm on 5 V: 0.84 V drop. Owners of a published board saw 4 V left; arithmetic."""
    part = make_part(hold=0.2, trip=0.4, r_min=2.0, r_1max=6.0)
    margin = asked("voltage_drop", part, make_requirement(normal_current_a=0.14, voltage_drop_max_v=0.5))
    assert margin.value == pytest.approx(0.84)
    assert margin.verdict is FAILS


@pytest.mark.parametrize(("limit_v", "verdict"), [(0.01, FAILS), (0.5, UNDETERMINED)])
def test_voltage_drop_without_post_trip_resistance(
    make_part: MakePart, make_requirement: MakeRequirement, limit_v: float, verdict: Verdict
) -> None:
    """The resistance as delivered can only show that the drop is too large, never that it is small enough."""
    requirement = make_requirement(normal_current_a=0.4, voltage_drop_max_v=limit_v)
    assert asked("voltage_drop", make_part(r_1max=0, r_max=0.2), requirement).verdict is verdict


def test_leakage_at_the_lowest_voltage(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """0.8 W over 5 V is 160 mA, over 12 V less: the lowest voltage decides. A model: fits only where
    allowed.
    """
    fields = {"supply_voltage_min_v": 5.0, "leakage_max_a": 0.2}
    part = make_part(power_typ=0, power_max=0.8)
    margin = asked("leakage", part, make_requirement(**fields))
    assert margin.value == pytest.approx(0.160)
    assert (margin.verdict, margin.basis) == (UNDETERMINED, Basis.MODEL)
    allowed = make_requirement('allow_models = ["leakage"]', **fields)
    assert asked("leakage", part, allowed).verdict is FITS
    assert asked("leakage", part, make_requirement(**{**fields, "leakage_max_a": 0.1})).verdict is FAILS


@pytest.mark.parametrize(
    ("wish", "voltage_v", "verdict"),
    [("self", 12.0, FITS), ("latched", 12.0, FAILS), ("self", 24.0, FAILS), ("latched", 24.0, FITS)],
)
def test_reset_with_the_load_connected(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement, wish: str,
    voltage_v: float, verdict: Verdict,
) -> None:
    """100 ohm and 0.8 W: self-resetting at 12 V (0.36 W), latched at 24 V (1.44 W). Arithmetic from V²/4R.

    Only the bound that counts may show a fit: the smallest power for self, the largest for latched.
    """
    requirement = make_requirement(
        'allow_models = ["reset"]', supply_voltage_v=voltage_v, supply_voltage_min_v=voltage_v, reset=wish,
        load_resistance_ohm=100.0)
    bound = Kind.MIN if wish == "self" else Kind.MAX
    for kind in (Kind.MIN, Kind.TYP, Kind.NONE, Kind.MAX):
        power = make_reading(Quantity.TRIPPED_POWER, 0.8, kind)
        margin = asked("reset", make_part(power_typ=0, more=[power]), requirement)
        shown = verdict is FAILS or kind is bound
        assert margin.verdict is (verdict if shown else UNDETERMINED), kind


def test_reset_needs_the_load(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """Without the load's resistance nobody can tell."""
    assert asked("reset", make_part(), make_requirement(reset="self")).verdict is UNDETERMINED


def test_trip_current_that_passes_warm_and_fails_cold(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """12 V, 5.0 A trip at 23 °C is just 60 VA; at -20 °C (factor 1.30) 6.5 A are 78 VA: fails.

    Limits of IEC 60950-1 table 2B (8 A, 5 × U up to 20 V); the case is arithmetic.
    """
    part = make_part(hold=2.5, trip=5.0, trip_ratios={-20.0: 1.30, 23.0: 1.0})
    more = '[limited_power_source]\nstandard = "iec_60950_1"\nmeasured_after_s = 60.0'
    margin = asked("limited_power", part, make_requirement(more, ambient_cold_c=-20.0))
    assert margin.value == pytest.approx(6.5)
    assert margin.limit == pytest.approx(5.0)
    assert margin.verdict is FAILS


def test_limited_power_of_a_weak_source(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """A source that cannot deliver the limit fits whatever the part does."""
    more = '[limited_power_source]\nstandard = "iec_62368_1"\nmeasured_after_s = 5.0'
    requirement = make_requirement(more, fault_current_min_a=2.0, fault_current_max_a=4.9)
    assert asked("limited_power", make_part(trip=9.0), requirement).verdict is FITS


def test_limited_power_counts_currents_above_trip_that_have_not_tripped_yet(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """8 A for 5 s: after 5 s a current above the trip current may still flow; after 60 s none from the
    tabulated 5 A on, which trip within 8 s: that is data, and needs no model."""
    part = make_part(hold=1.0, trip=2.0, time=(5.0, 8.0))
    text = '[limited_power_source]\nstandard = "iec_60950_1"\nmeasured_after_s = {}'
    early, late = (asked("limited_power", part, make_requirement(text.format(s))) for s in (5.0, 60.0))
    assert early.value is not None
    assert late.value is not None
    assert early.value > late.value > 2.0
    assert (early.verdict, late.verdict) == (FAILS, FITS)
    assert late.value == 5.0
    assert late.basis is not Basis.MODEL
    allowed = make_requirement(text.format(60.0), allow_model=True)
    assert asked("limited_power", part, allowed).verdict is FITS


def test_packages(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """A wish is met by the same body under its metric code, and not by another; none printed is
    undetermined.
    """
    requirement = make_requirement('packages = ["1812"]')
    assert asked("package", make_part(package="4532 metric"), requirement).verdict is FITS
    assert asked("package", make_part(package="2920"), requirement).verdict is FAILS
    assert asked("package", make_part(), requirement).verdict is UNDETERMINED


@pytest.mark.parametrize(("per_month", "verdict"), [(1.0, FITS), (2.0, FAILS)])
def test_endurance(
    make_part: MakePart, make_requirement: MakeRequirement, per_month: float, verdict: Verdict
) -> None:
    """One trip a month for 8 years are 96, two are 192, against 100 cycles (published vendor data)."""
    more = f"[endurance]\ntrips_per_month = {per_month}\nservice_years = 8"
    margin = asked("endurance", make_part(), make_requirement(more))
    assert (margin.verdict, margin.basis, margin.limit) == (verdict, Basis.ASSUMED, per_month * 96)


@pytest.mark.parametrize(
    ("quantity", "name", "kind"),
    [
        (Quantity.MAX_VOLTAGE, "max_voltage", "max_voltage"),
        (Quantity.MAX_CURRENT, "max_current", "max_current"),
        (Quantity.HOLD_CURRENT, "hold_current", "hold"),
        (Quantity.TRIP_CURRENT, "trip_certainty", "trip"),
    ],
)
def test_a_disputed_number_leaves_its_margin_undetermined(
    make_part: MakePart,
    make_reading: MakeReading,
    make_requirement: MakeRequirement,
    quantity: Quantity,
    name: str,
    kind: str,
) -> None:
    """However large the disputed number, its margin says undetermined, why, and where it stands."""
    doubt = make_reading(
        quantity,
        99.0,
        status=Status.DISPUTED,
        raw="99.",
        ambient_c=23.0 if kind in ("hold", "trip") else None,
    )
    margin = asked(name, make_part(**{kind: 0}, more=[doubt]), make_requirement())
    assert margin.verdict is UNDETERMINED
    assert "disputed" in margin.note
    assert '"99."' in margin.source


def test_interrupt_voltage_for_transients(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement
) -> None:
    """A transient is held against the rated voltage, which holds up to the rated current, else against the
    interrupt voltage, which holds up to the current printed with it: 40 V over 4 ohm and 0.1 ohm drive 9.76
    A.
    """
    plain, known = make_requirement(transient_voltage_v=40.0), make_requirement(
        transient_voltage_v=40.0, transient_source_resistance_ohm=4.0)
    assert asked("interrupt_voltage", make_part(max_voltage=60.0), plain).verdict is UNDETERMINED
    assert asked("interrupt_voltage", make_part(max_voltage=60.0), known).verdict is FITS
    assert asked("interrupt_voltage", make_part(max_voltage=60.0, max_current=9.7), known).verdict is FAILS
    assert asked("interrupt_voltage", make_part(max_voltage=16.0), plain).verdict is FAILS
    assert asked("interrupt_voltage", make_part(interrupt_voltage=60.0), known).verdict is UNDETERMINED
    for current_a, verdict in ((9.7, FAILS), (9.8, FITS)):
        rated = make_reading(Quantity.MAX_INTERRUPT_VOLTAGE, 60.0, test_a=current_a)
        assert asked("interrupt_voltage", make_part(more=[rated]), known).verdict is verdict


def test_the_current_of_a_transient_counts_against_the_fault_rating(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """40 V over 0.9 and 0.1 ohm drive 40 A, twice the highest fault of 20 A; a kick drives what flowed."""
    requirement = make_requirement(transient_voltage_v=40.0, transient_source_resistance_ohm=0.9)
    margin = asked("max_current", make_part(max_voltage=60.0, max_current=30.0), requirement)
    assert (margin.verdict, margin.limit) == (FAILS, pytest.approx(40.0))
    kick = make_requirement(transient_voltage_v=40.0, load_inductance_h=0.01, load_current_a=2.0)
    margin = asked("max_current", make_part(max_voltage=60.0, max_current=30.0), kick)
    assert (margin.verdict, margin.limit) == (FITS, pytest.approx(20.0))


def test_an_interrupt_rating_stands_for_its_own_transient(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement
) -> None:
    """40 V over 0.9 and 0.1 ohm drive 40 A: with 60 V up to 50 A printed, the rated current is asked for the
    highest fault of 20 A alone; without a current printed the transient counts."""
    requirement = make_requirement(transient_voltage_v=40.0, transient_source_resistance_ohm=0.9)
    for current_a, limit in ((50.0, 20.0), (None, 40.0)):
        rated = make_reading(Quantity.MAX_INTERRUPT_VOLTAGE, 60.0, test_a=current_a)
        part = make_part(max_voltage=16.0, max_current=30.0, more=[rated])
        margin = asked("max_current", part, requirement)
        assert margin.limit == pytest.approx(limit)


def test_tripped_state(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """1 W at 60 V: 3600 ohm, 16.7 mA, critical load 900 ohm; 20 A for 0.3 s let 120 A²s through.

    Resistance and leakage of a published handbook's case; the others are arithmetic from V²/4P and I²t.
    """
    requirement = make_requirement(supply_voltage_v=60.0, load_resistance_ohm=100.0)
    part = make_part(max_voltage=60.0, power_typ=1.0, time=(8.0, 0.3))
    state = case_to_tripped_state(numbers_to_case(part_to_numbers(part), requirement))
    assert state.resistance_ohm == pytest.approx(3600.0)
    assert state.leakage_a == pytest.approx(0.0167, abs=5e-5)
    assert state.critical_load_ohm == pytest.approx(900.0)
    assert state.resets_under_load is False
    assert state.let_through_a2s == pytest.approx(120.0)


def test_tripped_state_of_a_silent_sheet(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """Without power and time there is nothing to tell."""
    part = make_part(power_typ=0, time=None)
    state = case_to_tripped_state(numbers_to_case(part_to_numbers(part), make_requirement()))
    assert (state.leakage_a, state.resets_under_load, state.let_through_a2s) == (None, None, None)


def test_a_track_that_fails_names_the_width(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """1 A on an outer track of 1 oz with 10 K needs 11.8 mil, 0.30 mm (IPC-2221 fit)."""
    more = '[track]\nwidth_mm = 0.1\ncopper_um = 35.0\nlayer = "outer"\ntemperature_rise_max_k = 10.0'
    margin = asked("track_ampacity", make_part(hold=0.5, trip=1.0), make_requirement(more))
    assert margin.verdict is FAILS
    assert margin.note == "a track of 0.3 mm would carry it"


@pytest.mark.parametrize(
    ("source_ohm", "r_min", "verdict", "basis"),
    [
        (0.6, 0, FITS, Basis.ASSUMED),
        (0.0, 0, UNDETERMINED, Basis.DATA),
        (0.0, 0.3, FITS, Basis.DATA),
        (0.2, 0, FAILS, Basis.ASSUMED),
    ],
)
def test_highest_fault_without_a_smallest_resistance(
    make_part: MakePart,
    make_requirement: MakeRequirement,
    source_ohm: float,
    r_min: float,
    verdict: Verdict,
    basis: Basis,
) -> None:
    """Then the part is taken as a short, which is said; without any resistance there is no number."""
    requirement = make_requirement(fault_current_max_a="", source_resistance_min_ohm=source_ohm)
    margin = asked("max_current", make_part(r_min=r_min), requirement)
    assert (margin.verdict, margin.basis) == (verdict, basis)


@pytest.mark.parametrize("kind", [Kind.MIN, Kind.POST_TRIP_MAX])
def test_a_disputed_resistance_leaves_a_pulse_open(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement, kind: Kind
) -> None:
    """The spread of resistance rests on both ends."""
    ends = {Kind.MIN: "r_min", Kind.POST_TRIP_MAX: "r_1max"}
    doubt = make_reading(Quantity.RESISTANCE, 0.2, kind, status=Status.DISPUTED)
    requirement = make_requirement(peak_current_a=8.0, peak_duration_s=1e-4, allow_model=True)
    margin = asked("inrush", make_part(**{ends[kind]: 0}, more=[doubt]), requirement)
    assert margin.verdict is UNDETERMINED
    assert "disputed" in margin.note
