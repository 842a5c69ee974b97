"""Hold and trip current against ambient.

Rows A, B, C and E are published vendor data; expected values are arithmetic from them.
"""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compare.corners import numbers_to_case
from compare.derating import Derating, row_at
from compare.margins import case_to_margins
from compare.part_numbers import part_to_numbers
from compare.records import Basis, Margin, Number, Verdict
from compare.requirement import Requirement
from extract.schema import Kind, Part, Place, Quantity, Reading, Status

MakePart = Callable[..., Part]
MakeReading = Callable[..., Reading]
MakeRequirement = Callable[..., Requirement]
Row = dict[float, float]


def derating(part: Part, assume_c: float | None = None) -> Derating:
    return Derating(part_to_numbers(part), assume_c)


def hold(part: Part, ambient_c: float) -> Number:
    return derating(part).hold(ambient_c)


def trip(part: Part, ambient_c: float) -> Number:
    return derating(part).trip(ambient_c)


def test_percent_row_applied_to_the_part(make_part: MakePart, row_b: Row) -> None:
    """Row B, 0.75 A, 60 °C: 0.5175 A, and it says data: both numbers stand in the sheet."""
    found = hold(make_part(hold=0.75, ratios=row_b), 60.0)
    assert found.value == pytest.approx(0.5175)
    assert found.basis is Basis.DATA
    assert [r.value for r in found.readings] == [0.69, 0.75]


def test_amps_row_between_columns(make_part: MakePart, row_e_amps: Row) -> None:
    """Row E at 25 °C: 0.525 A, straight between 20 and 40 °C, and it says interpolated."""
    part = make_part(hold=0, trip=0, hold_row=row_e_amps)
    found = hold(part, 25.0)
    assert found.value == pytest.approx(0.525)
    assert found.basis is Basis.INTERPOLATED
    assert hold(part, 40.0) == Number(0.45, Basis.DATA, found.readings[1:])


@pytest.mark.parametrize(
    ("row", "ambient_c", "share"),
    [("row_c", 55.0, 0.73), ("row_a", 55.0, 0.655), ("row_a", 65.0, 0.54), ("row_c", 80.0, 0.537)],
)
def test_between_columns_of_percent_rows(
    make_part: MakePart, request: pytest.FixtureRequest, row: str, ambient_c: float, share: float
) -> None:
    """Row C: 73 % at 55 °C, 53.7 % at 80 °C; row A: 65.5 % at 55 °C, 54 % at 65 °C."""
    part = make_part(hold=1.0, ratios=request.getfixturevalue(row))
    assert hold(part, ambient_c).value == pytest.approx(share, abs=5e-4)


def test_size_for_a_current_at_an_ambient(make_part: MakePart, row_c: Row) -> None:
    """0.45 A at 50 °C with row C needs 0.584 A at 23 °C; the 0.65 A size gives 0.5005 A.

    The requirement is a published design note's, the values arithmetic.
    """
    assert 0.45 / row_c[50.0] == pytest.approx(0.584, abs=5e-4)
    assert hold(make_part(hold=0.65, ratios=row_c), 50.0).value == pytest.approx(0.5005)


@pytest.mark.parametrize("ambient_c", [-40.1, 85.1, 125.0])
def test_nothing_beyond_the_table(make_part: MakePart, row_a: Row, ambient_c: float) -> None:
    """No value beyond the first and last column, and the reason names the columns."""
    found = hold(make_part(ratios=row_a), ambient_c)
    assert found.value is None
    assert "-40 to 85 °C" in found.note


def test_bounds_beyond_the_table(make_part: MakePart, row_a: Row) -> None:
    """Beyond the ends only a bound: hotter at most the last column, colder at least the first; marked
    assumed.
    """
    table = derating(make_part(hold=1.0, ratios=row_a))
    assert table.hold_at_most(100.0)[:2] == (0.30, Basis.ASSUMED)
    assert table.hold_at_least(-60.0)[:2] == (1.52, Basis.ASSUMED)


def test_without_derating_only_the_reference(make_part: MakePart) -> None:
    """A rating alone says nothing of another ambient."""
    part = make_part(hold=0.75)
    assert hold(part, 23.0).value == 0.75
    assert hold(part, 40.0).value is None


def test_own_row_goes_before_the_series_row(
    make_part: MakePart, make_reading: MakeReading, row_a: Row
) -> None:
    """A ratio row printed for the part replaces the one for its whole series."""
    own = [make_reading(Quantity.HOLD_RATIO, value, ambient_c=c) for c, value in ((23.0, 1.0), (60.0, 0.5))]
    assert hold(make_part(hold=1.0, ratios=row_a, more=own), 60.0).value == pytest.approx(0.5)


def test_trip_by_its_own_row(make_part: MakePart, row_a: Row) -> None:
    """A trip row is applied as it stands, and says data."""
    found = trip(make_part(trip=2.0, ratios=row_a, trip_ratios={-20.0: 1.25, 23.0: 1.0}), -20.0)
    assert found.value == pytest.approx(2.5)
    assert found.basis is Basis.DATA


def test_trip_row_is_not_left_for_hold_scaling(make_part: MakePart, row_a: Row) -> None:
    """Beyond the trip row there is no number, even where the hold row reaches farther."""
    assert trip(make_part(ratios=row_a, trip_ratios={0.0: 1.1, 23.0: 1.0}), -20.0).value is None


def test_trip_scaled_like_hold_is_marked(make_part: MakePart, row_a: Row) -> None:
    """Without a trip row, trip follows the hold row, marked assumed, with the reason."""
    found = trip(make_part(trip=2.0, ratios=row_a), -20.0)
    assert found.value == pytest.approx(2.0 * 1.36)
    assert found.basis is Basis.ASSUMED
    assert any("scaled like hold" in text for text in found.assumed)


def test_trip_at_the_reference_is_data(make_part: MakePart, row_a: Row) -> None:
    """At its own ambient the rated trip current needs no assumption."""
    assert trip(make_part(trip=2.0, ratios=row_a), 23.0).basis is Basis.DATA


def test_two_tables_that_differ(make_part: MakePart, row_a: Row) -> None:
    """An amps row and a percent row that disagree give no number."""
    found = hold(make_part(hold=1.0, ratios=row_a, hold_row={60.0: 0.75}), 60.0)
    assert found.value is None
    assert "two tables differ" in found.note


def test_two_tables_within_rounding(make_part: MakePart, row_a: Row) -> None:
    """An amps row that agrees with the percent row within its few digits is used as it stands."""
    assert hold(make_part(hold=1.0, ratios=row_a, hold_row={60.0: 0.62}), 60.0).value == 0.62


def test_percent_row_with_another_reference(make_part: MakePart) -> None:
    """A row with 100 % at 20 °C for a rating at 25 °C is applied, but marked assumed."""
    found = hold(make_part(hold=1.0, reference_c=25.0, ratios={20.0: 1.0, 60.0: 0.6}), 60.0)
    assert found.value == pytest.approx(0.6)
    assert found.basis is Basis.ASSUMED


def test_rating_without_ambient(make_part: MakePart, make_reading: MakeReading) -> None:
    """A rating without ambient is no number, unless the requirement names an ambient to assume."""
    bare = make_part(hold=0, trip=0, more=[make_reading(Quantity.HOLD_CURRENT, 0.5)])
    assert derating(bare).hold(25.0).value is None
    assumed = derating(bare, assume_c=25.0)
    assert assumed.hold(25.0)[:2] == (0.5, Basis.ASSUMED)
    assert assumed.hold(40.0).value is None


@pytest.mark.parametrize("neighbour", [20.0, 40.0])
def test_a_disputed_column_spoils_what_rests_on_it(
    make_part: MakePart, make_reading: MakeReading, row_e_amps: Row, neighbour: float
) -> None:
    """Interpolation from a disputed column gives no number; other columns still do."""
    row = dict(row_e_amps)
    doubt = make_reading(
        Quantity.HOLD_CURRENT, row.pop(neighbour), ambient_c=neighbour, status=Status.DISPUTED
    )
    part = make_part(hold=0, trip=0, hold_row=row, more=[doubt])
    assert hold(part, 30.0).value is None
    assert "disputed" in hold(part, 30.0).note
    assert hold(part, 60.0).value == 0.35


@pytest.mark.parametrize(
    ("row", "worst_line", "worst_root"),
    [("row_a", 0.10, 0.17), ("row_b", 0.045, 0.17), ("row_c", 0.04, 0.17)],
)
def test_why_the_square_root_law_is_not_used(
    request: pytest.FixtureRequest, row: str, worst_line: float, worst_root: float
) -> None:
    """Published rows lie near a straight line; with 125 °C the square-root law errs up to a fifth of the
    rating.
    """
    points = request.getfixturevalue(row)
    slope = min(
        (k / 10000 for k in range(50, 150)),
        key=lambda k: max(abs(1 - k * (t - 23.0) - v) for t, v in points.items()),
    )
    line = max(abs(1 - slope * (t - 23.0) - v) for t, v in points.items())
    root = max(abs(math.sqrt((125.0 - t) / (125.0 - 23.0)) - v) for t, v in points.items())
    assert line <= worst_line
    assert line < root
    assert root >= worst_root


FALLING = st.lists(st.floats(0.05, 3.0), min_size=2, max_size=8, unique=True).map(
    lambda values: sorted(values, reverse=True)
)


@given(values=FALLING, share=st.floats(0.0, 1.0))
def test_interpolation_stays_between_its_neighbours(values: list[float], share: float) -> None:
    """Inside a falling row every value lies between its neighbours."""
    row = [(10.0 * column, [_reading(value)]) for column, value in enumerate(values)]
    ambient_c = share * row[-1][0]
    column = min(int(ambient_c / 10.0), len(values) - 2)
    found = row_at(row, ambient_c).value
    assert found is not None
    assert values[column + 1] * (1 - 1e-12) <= found <= values[column] * (1 + 1e-12)


@given(values=FALLING)
def test_columns_come_back_as_printed(values: list[float]) -> None:
    """At a column the value is that of the cell, bit for bit, and rests on that cell alone."""
    row = [(10.0 * column, [_reading(value)]) for column, value in enumerate(values)]
    for ambient_c, readings in row:
        assert row_at(row, ambient_c) == Number(readings[0].value, Basis.DATA, (readings[0],))


def _reading(value: float) -> Reading:
    return Reading(
        "invented.pdf",
        "0" * 64,
        "P1",
        Quantity.HOLD_CURRENT,
        Kind.NONE,
        None,
        None,
        value,
        Status.AGREED,
        Place(1, 0.0, 0.0, 1.0, 1.0),
        f"{value:g}",
    )


@pytest.mark.parametrize(
    ("rating", "at_60", "agrees"),
    [(5.0, 3.25, True), (5.0, 3.35, False), (0.5, 0.32, True), (0.5, 0.34, False)],
)
def test_what_counts_as_rounding_grows_with_the_rating(
    make_part: MakePart, row_a: Row, rating: float, at_60: float, agrees: bool
) -> None:
    """Two tables may differ by 6 % of the rating, whatever the rating is."""
    found = hold(make_part(hold=rating, ratios=row_a, hold_row={60.0: at_60}), 60.0)
    assert found.value == (at_60 if agrees else None)


@pytest.mark.parametrize("reference_c", [20.0, 23.0, 25.0])
def test_reference_of_an_amps_row(make_part: MakePart, reference_c: float) -> None:
    """Without percent row, the one column from 20 to 25 °C is the reference; with two of them none is."""
    row = {0.0: 1.2, reference_c: 1.0, 40.0: 0.8}
    assert derating(make_part(hold=0, trip=0, hold_row=row)).rated_hold()[0] == reference_c
    two = {0.0: 1.2, 20.0: 1.02, 25.0: 1.0}
    assert derating(make_part(hold=0, trip=0, hold_row=two)).rated_hold()[1].value is None


def test_trip_scaled_from_another_reference(
    make_part: MakePart, make_reading: MakeReading, row_e_amps: Row
) -> None:
    """Hold stated at 20 °C, trip at 25 °C: scaled by hold at 25 °C, not by the rated hold."""
    trip_at_25 = make_reading(Quantity.TRIP_CURRENT, 1.05, ambient_c=25.0)
    found = trip(make_part(hold=0, trip=0, hold_row=row_e_amps, more=[trip_at_25]), 60.0)
    assert found.value == pytest.approx(1.05 * 0.35 / 0.525)


def test_a_trip_current_without_a_sure_number_is_bounded_by_its_neighbours(
    make_part: MakePart, make_reading: MakeReading, make_requirement: MakeRequirement
) -> None:
    """Trip 2.0 A at -20, doubtful at 0, 1.5 A at 23 °C: at 0 °C at most 2.0 and at least 1.5 A. A fault of
    2.1 A trips it, one of 1.8 A may; a limit of 2.2 A is kept, one of 1.4 A is not, at 1.7 A nothing is told.
    """
    row = {-20.0: 2.0, 0.0: 1.7, 23.0: 1.5}
    more = [make_reading(Quantity.TRIP_CURRENT, value, ambient_c=ambient_c,
                         status=Status.DISPUTED if ambient_c == 0.0 else Status.AGREED)
            for ambient_c, value in row.items()]
    part = make_part(trip=0, hold_row={-20.0: 1.0, 0.0: 0.9, 23.0: 0.75}, hold=0, more=more)

    def asked(name: str, **fields: float) -> Margin:
        case = numbers_to_case(part_to_numbers(part), make_requirement(ambient_cold_c=0.0, **fields))
        return next(one for one in case_to_margins(case) if one.name == name)

    assert asked("trip_certainty", fault_current_min_a=2.1).verdict is Verdict.FITS
    assert asked("trip_certainty", fault_current_min_a=2.1).basis is Basis.ASSUMED
    assert asked("trip_certainty", fault_current_min_a=1.8).verdict is Verdict.UNDETERMINED
    for limit_a, verdict in ((2.2, Verdict.FITS), (1.7, Verdict.UNDETERMINED), (1.4, Verdict.FAILS)):
        assert asked("trip_current_limit", trip_current_max_a=limit_a).verdict is verdict
