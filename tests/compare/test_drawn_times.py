"""Drawn curves of trip times: what they answer, what they never do.

The line between two vertices is straight in log-log, as on the log paper of the charts; scipy's interpolation
of the logarithms is the reference.
"""

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook
from scipy.interpolate import interp1d

from compare.cautions import ranking_to_cautions
from compare.corners import numbers_to_case
from compare.drawn_times import curve_to_band
from compare.part_numbers import part_to_numbers
from compare.plots_drawing import Label, Line
from compare.ranking import numbers_to_candidate, parts_to_ranking
from compare.records import Basis, Margin, Verdict
from compare.report_content import ranking_to_record
from compare.requirement import Requirement
from compare.tripped_state import case_to_tripped_state
from compare.workbook import ranking_to_workbook
from extract.schema import ChartName, Curve, Kind, Part, Place, Status

MakePart = Callable[..., Part]
MakeRequirement = Callable[..., Requirement]
Row = dict[float, float]
FITS, FAILS, UNDETERMINED = Verdict.FITS, Verdict.FAILS, Verdict.UNDETERMINED
POINTS = ((2.0, 20.0), (4.0, 1.0), (8.0, 0.2), (20.0, 0.02))


def curve(points: tuple[tuple[float, float], ...] = POINTS, **changed: object) -> Curve:
    """A typical curve on page 3 of the invented sheet; the line's width is 1 % unless `changed`."""
    found = Curve("invented.pdf", "0" * 64, "P1", ChartName.TIME_TO_TRIP, Kind.TYP, 23.0, points,
                  Status.AGREED, Place(3, 50.0, 60.0, 300.0, 400.0), "P1", 0.01, 0.01)
    return replace(found, **changed)  # type: ignore[arg-type]


def drawn(part: Part, *curves: Curve) -> Part:
    return replace(part, curves=curves or (curve(),))


def asked(name: str, part: Part, requirement: Requirement) -> Margin:
    margin = numbers_to_candidate(part_to_numbers(part), requirement).margin_named(name)
    assert margin is not None
    return margin


@given(st.floats(2.0, 20.0))
def test_the_line_is_straight_on_log_paper(current_a: float) -> None:
    """Between vertices the time follows scipy's straight line through the logarithms, within the errors."""
    log_a, log_s = (np.log([point[axis] for point in POINTS]) for axis in (0, 1))
    expected_s = math.exp(float(interp1d(log_a, log_s, bounds_error=False, fill_value="extrapolate")(
        math.log(current_a))))
    sharp = curve_to_band(curve(x_error=0.0, y_error=0.0), current_a)
    assert sharp is not None
    assert sharp == pytest.approx((expected_s, expected_s))
    band = curve_to_band(curve(), current_a)
    assert band is not None
    assert band[0] < expected_s < band[1]


@pytest.mark.parametrize("current_a", [1.9, 20.5])
def test_beyond_its_ends_a_curve_is_silent(
    make_part: MakePart, make_requirement: MakeRequirement, current_a: float
) -> None:
    """Outside the drawn curve nothing is told, and the note says where it ends."""
    part = drawn(make_part(time=None, hold=0.3, trip=0.6))
    requirement = make_requirement(fault_current_min_a=current_a, fault_current_max_a=30.0,
                                   normal_current_a=0.2, trip_time_max_s=100.0, typical_to_max_factor=2.0)
    margin = asked("time_to_trip", part, requirement)
    assert (margin.verdict, margin.value) == (UNDETERMINED, None)
    assert "outside the drawn curve of page 3, which runs from 2 to 20 A" in margin.note


def test_a_bare_typical_proves_no_longest_time(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """Though the typical part trips in a tenth of the time allowed, nothing fits without a stated factor."""
    part = drawn(make_part(time=None))
    margin = asked("time_to_trip", part, make_requirement(fault_current_min_a=8.0, trip_time_max_s=2.0))
    assert (margin.verdict, margin.basis) == (UNDETERMINED, Basis.CURVE)
    assert "typical_to_max_factor" in margin.note
    assert margin.source == 'invented.pdf p. 3 curve "P1"'


@pytest.mark.parametrize(("limit_s", "verdict"), [(0.9, FITS), (0.5, UNDETERMINED), (0.15, FAILS)])
def test_the_factor_of_the_requirement_makes_a_longest_time(
    make_part: MakePart, make_requirement: MakeRequirement, limit_s: float, verdict: Verdict
) -> None:
    """0.2 s typical, four times that for the longest: 0.8 s within the width of the line, basis curve.

    The factor is a bound: between 0.2 and 0.8 s nothing is proven.
    """
    part = drawn(make_part(time=None))
    margin = asked("time_to_trip", part, make_requirement(
        fault_current_min_a=8.0, trip_time_max_s=limit_s, typical_to_max_factor=4.0))
    assert (margin.verdict, margin.basis) == (verdict, Basis.CURVE)
    assert margin.band is not None
    proof_s = 0.2 if verdict is FAILS else 0.8  # only the typical time itself proves a failure
    assert margin.band[0] < proof_s < margin.band[1]
    assert any("no limit" in text for text in margin.assumed)


def test_the_table_goes_before_the_curve(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """Where the tabulated longest time decides, no curve is asked."""
    part = drawn(make_part(time=(8.0, 0.3)), curve(((2.0, 40.0), (20.0, 4.0))))
    margin = asked("time_to_trip", part, make_requirement(
        fault_current_min_a=8.0, trip_time_max_s=0.3, typical_to_max_factor=3.0))
    assert (margin.verdict, margin.basis, margin.curves) == (FITS, Basis.DATA, ())


def test_a_typical_part_that_is_too_slow_fails(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """No longest time is shorter than a typical one: even models that are allowed do not talk it away."""
    part = drawn(make_part(time=(20.0, 0.01)), curve(((2.0, 40.0), (20.0, 4.0))))
    margin = asked("time_to_trip", part, make_requirement(
        fault_current_min_a=5.0, trip_time_max_s=1.0, allow_model=True))
    assert (margin.verdict, margin.basis) == (FAILS, Basis.CURVE)


def test_a_curve_that_refutes_the_model_stops_it(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """A typical time above the models' longest one shows that the models are wrong here: nothing fits."""
    part = drawn(make_part(time=(4.0, 1.0)), curve(((2.0, 10.0), (20.0, 9.0))))
    margin = asked("time_to_trip", part, make_requirement(
        fault_current_min_a=3.9, trip_time_max_s=12.0, allow_model=True))
    assert margin.verdict is UNDETERMINED
    assert margin.basis is Basis.CURVE


def test_scaled_to_the_cold_it_is_worth_no_more_than_the_model(
    make_part: MakePart, make_requirement: MakeRequirement, row_a: Row
) -> None:
    """At another ambient the models scale the curve: slower in the cold, basis model, and fits only where
    models may say so."""
    part = drawn(make_part(time=None, ratios=row_a))
    fields = {"fault_current_min_a": 8.0, "ambient_cold_c": -20.0, "typical_to_max_factor": 1.0,
              "trip_time_max_s": 2.0}
    margin = asked("time_to_trip", part, make_requirement(**fields))
    assert (margin.verdict, margin.basis) == (UNDETERMINED, Basis.MODEL)
    allowed = asked("time_to_trip", part, make_requirement(**fields, allow_model=True))
    assert (allowed.verdict, allowed.basis) == (FITS, Basis.MODEL)
    assert allowed.band is not None
    assert 0.2 < allowed.band[0] < allowed.band[1]
    assert any("scaled to -20 °C" in text for text in allowed.assumed)
    assert any(reading.ambient_c == -20.0 for reading in allowed.readings)


def test_a_disputed_curve_is_never_used(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """What two parts may own answers for none of them, and the reason is said."""
    part = drawn(make_part(time=None), curve(status=Status.DISPUTED, notes=("P1 or P2",)))
    margin = asked("time_to_trip", part, make_requirement(trip_time_max_s=9.0, typical_to_max_factor=2.0))
    assert (margin.verdict, margin.value) == (UNDETERMINED, None)
    assert "P1 or P2" in margin.note


def test_two_curves_of_a_part_that_lie_apart_say_nothing(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """As two values of one number: a label may be wrong, a person must look."""
    part = drawn(make_part(time=None), curve(), curve(tuple((x, 3.0 * y) for x, y in POINTS)))
    margin = asked("time_to_trip", part, make_requirement(trip_time_max_s=9.0, typical_to_max_factor=2.0))
    assert (margin.verdict, margin.value) == (UNDETERMINED, None)
    assert "lie apart" in margin.note


def test_a_chart_without_ambient_is_an_assumption(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """Its curve is taken as at the reference ambient, and is worth no more than that assumption."""
    part = drawn(make_part(time=None), curve(ambient_c=None))
    margin = asked("time_to_trip", part, make_requirement(trip_time_max_s=9.0, typical_to_max_factor=2.0))
    assert (margin.verdict, margin.basis) == (FITS, Basis.ASSUMED)


@pytest.mark.parametrize(("lasts_s", "factor", "verdict"), [
    (0.001, 2.0, FITS), (0.015, 2.0, UNDETERMINED), (0.5, 2.0, FAILS), (0.001, None, UNDETERMINED)])
def test_a_peak_passes_by_a_stated_factor_only(
    make_part: MakePart, make_requirement: MakeRequirement, lasts_s: float, factor: float | None,
    verdict: Verdict,
) -> None:
    """The shortest time is the typical one by the factor and by R_min / R_1max; a typical part that trips in
    the peak fails."""
    more = {} if factor is None else {"typical_to_min_factor": factor, "allow_model": True}
    part = drawn(make_part(time=None))
    margin = asked("inrush", part, make_requirement(
        peak_current_a=8.0, peak_duration_s=lasts_s, fault_current_min_a=10.0, **more))
    assert margin.verdict is verdict, margin
    if verdict is FITS:
        assert margin.value is not None
        assert margin.value < 0.2 / 2.0 * 0.1 / 0.4


def test_a_wire_is_held_against_the_curve(make_part: MakePart, make_requirement: MakeRequirement) -> None:
    """The worst of all vertices counts: a bulge of the curve between the fault currents lies above what the
    wire stands, though both ends lie below."""
    flat = curve(((2.0, 1.0), (10.0, 1.0), (20.0, 0.001)))
    wire = "[wire]\narea_mm2 = 0.02\ninsulation_max_c = 105.0"
    requirement = make_requirement(wire, fault_current_min_a=2.0, typical_to_max_factor=1.0)
    margin = asked("wire", drawn(make_part(time=None), flat), requirement)
    assert (margin.verdict, margin.basis) == (FAILS, Basis.CURVE)
    assert "worst at 10 A" in margin.note


def test_the_energy_let_through_is_that_of_table_or_curve(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """I²t at the highest fault: by the table's time where there is one; the typical one by the curve."""
    part = drawn(make_part(time=(8.0, 0.3)))
    state = case_to_tripped_state(numbers_to_case(part_to_numbers(part), make_requirement(
        fault_current_max_a=8.0)))
    assert state.let_through_a2s == pytest.approx(8.0**2 * 0.3)
    assert state.let_through_by is Basis.DATA
    assert state.typical_let_through_a2s == pytest.approx(8.0**2 * 0.2, rel=0.06)


def test_the_workbook_shows_what_was_judged(
    make_part: MakePart, make_requirement: MakeRequirement, tmp_path: Path
) -> None:
    """A margin by a curve stands in the workbook as judged, with its source, the caution and the row of the
    curve among the sources."""
    part = drawn(make_part(time=None))
    ranking = parts_to_ranking([part], make_requirement(trip_time_max_s=2.0, typical_to_max_factor=2.0))
    ranking_to_workbook(ranking, tmp_path / "out.xlsx")
    book = load_workbook(tmp_path / "out.xlsx", data_only=True)
    rows = {row[2]: row for row in book["Margins"].iter_rows(min_row=5, values_only=True)}
    row = next(row for name, row in rows.items() if row[14] == "while tables decide")
    assert (row[9], row[10]) == ("fits", "curve")
    assert 'p. 3 curve "P1"' in row[12]
    assert any("typical" in str(cell.value) for cell in book["Cautions"]["A"])
    assert any(str(cell.value).startswith("curve") for cell in book["Sources"]["D"])


def test_the_record_draws_the_curves_and_what_is_asked(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """Trip times stand on log paper with the limits of the requirement; without a curve there is no such
    plot."""
    asked_for = make_requirement(trip_time_max_s=0.9, peak_current_a=5.0, peak_duration_s=0.01)
    for part, count in ((make_part(), 0), (drawn(make_part()), 1)):
        plots = ranking_to_record(parts_to_ranking([part], asked_for)).plots
        trips = [plot for plot in plots if plot.says.startswith("Typical times to trip")]
        assert len(trips) == count
    words = {shape.text for shape in trips[0].shapes if isinstance(shape, Label)}
    assert {"must trip by 0.9 s", "must not trip before 0.01 s"} <= words
    line = max((shape for shape in trips[0].shapes if isinstance(shape, Line)), key=lambda one: one.width)
    assert len(line.points) == len(POINTS)


def test_where_a_verdict_rests_on_a_curve_the_caution_stands(
    make_part: MakePart, make_requirement: MakeRequirement
) -> None:
    """The caution about typical curves is shown exactly where a margin rests on one."""
    requirement = make_requirement(trip_time_max_s=2.0)
    for part, shown in ((make_part(time=None), False), (drawn(make_part(time=None)), True)):
        cautions = ranking_to_cautions(parts_to_ranking([part], requirement))
        assert any(caution.name == "typical_curves" for caution in cautions) is shown
