"""What curves and tables say of each other."""

from __future__ import annotations

import pytest

from extract.charts.findings import ABOVE_MAXIMUM, ALIKE, GRID, MISSING, curve_at, curves_to_findings
from extract.charts.witness import Named, Word, curves_to_words
from extract.schema import ChartName, Curve, Kind, Place, Quantity, Reading, Status

PLACE = Place(2, 0, 0, 1, 1)


def curve(part: str, status: Status = Status.AGREED, error: float = 0.01) -> Curve:
    """A straight line on log paper: 10 s at 1 A, 0.1 s at 10 A."""
    points = ((1.0, 10.0), (10.0, 0.1))
    notes = ("it fits another",) if status is Status.DISPUTED else ()
    kind, chart = Kind.TYP, ChartName.TIME_TO_TRIP
    return Curve("s.pdf", "", part, chart, kind, 23.0, points, status, PLACE, part, error, error, notes)


def limit(part: str, current_a: float, time_s: float) -> Reading:
    """A tabulated maximum time to trip."""
    return Reading(
        "s.pdf", "", part, Quantity.TIME_TO_TRIP, Kind.NONE, None, current_a, time_s, Status.AGREED, PLACE, ""
    )


def test_a_curve_is_read_along_log_paper_and_not_beyond_its_ends() -> None:
    """10 s at 1 A and 0.1 s at 10 A is I to the power of -2 between them; outside there is nothing."""
    assert curve_at(curve("A"), 2.0) == pytest.approx(10.0 / 2.0**2)
    assert curve_at(curve("A"), 0.99) is None
    assert curve_at(curve("A"), 10.1) is None


def test_a_typical_time_above_the_maximum_is_a_doubt() -> None:
    """2.5 s typical at 2 A contradicts a maximum of 2 s, not one of 5 s."""
    codes = [f.code for f in curves_to_findings([curve("A")], [limit("A", 2.0, 2.0)])]
    assert codes == [ABOVE_MAXIMUM]
    assert curves_to_findings([curve("A")], [limit("A", 2.0, 5.0)]) == ()


def test_missing_disputed_and_irregular_are_told() -> None:
    """A part without a curve, a disputed curve and a bad grid each give their finding."""
    found = curves_to_findings(
        [curve("A"), curve("B", Status.DISPUTED, error=0.06)], [limit("A", 2.0, 5.0), limit("C", 2.0, 5.0)]
    )
    assert {finding.code for finding in found} == {MISSING, ALIKE, GRID}


def test_the_tables_bear_out_the_order_of_curves_or_not() -> None:
    """Curves in the order of their hold currents are borne out; swapped ones are not; one below its hold
    current is contradicted."""
    low, high = ((100.0, 100.0), (150.0, 300.0)), ((200.0, 100.0), (250.0, 300.0))
    holds = {"S": 0.5, "L": 1.0}
    right = [Named(low, 0.9, ("S",)), Named(high, 1.9, ("L",))]
    assert curves_to_words(right, holds) == (Word.BORNE_OUT, Word.BORNE_OUT)
    swapped = [Named(low, 1.2, ("L",)), Named(high, 1.9, ("S",))]
    assert curves_to_words(swapped, holds) == (Word.SILENT, Word.SILENT)
    below = [Named(low, 0.9, ("L",)), Named(high, 1.9, ("S",))]
    assert curves_to_words(below, holds)[0] is Word.CONTRADICTED
