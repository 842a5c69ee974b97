"""Rules of the scoring: what counts as right, flagged, silently wrong, missing."""

from __future__ import annotations

import pytest

from bench.scoring import Outcome, Value, judge, made_key, share_line
from extract.schema import Kind, Quantity, Status

HOLD = made_key("QX-035", Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None)


def value(number: float, status: Status = Status.SINGLE, key: object = HOLD) -> Value:
    """A value of hold current, or of another key."""
    return Value(key, number, status, "")  # type: ignore[arg-type]


@pytest.mark.parametrize(("read", "outcome"), [
    ([value(0.35)], Outcome.RIGHT),
    ([value(0.53)], Outcome.WRONG),
    ([value(0.53, Status.DISPUTED)], Outcome.FLAGGED),
    ([value(0.35), value(0.53)], Outcome.WRONG),
    ([], Outcome.MISSING),
])
def test_an_entry_gets_the_outcome_of_its_worst_reading(read: list[Value], outcome: Outcome) -> None:
    """One undisputed wrong reading makes an entry silently wrong, whatever else was read."""
    assert [verdict.outcome for verdict in judge([value(0.35)], read)] == [outcome]


def test_an_undisputed_reading_without_truth_is_extra() -> None:
    """A number the sheet does not hold is silently wrong if its quantity is covered; not if disputed."""
    other = made_key("QX-050", Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None)
    outcomes = [v.outcome for v in judge([value(0.35)], [value(0.35), value(0.5, key=other)])]
    assert outcomes == [Outcome.RIGHT, Outcome.EXTRA]
    disputed = [value(0.35), value(0.5, Status.DISPUTED, other)]
    assert [v.outcome for v in judge([value(0.35)], disputed)] == [Outcome.RIGHT]


def test_either_value_of_a_contradicting_sheet_is_right() -> None:
    """Where two tables differ, reading both or one of them is right."""
    truth = [value(0.75), value(0.70)]
    assert judge(truth, [value(0.70)])[0].outcome == Outcome.RIGHT
    assert judge(truth, [value(0.70), value(0.75)])[0].outcome == Outcome.RIGHT


def test_ac_or_dc_matters_only_where_both_stand() -> None:
    """A lone DC rating may be read without its kind; of two, each needs its kind."""
    dc = made_key("QX-035", Quantity.MAX_VOLTAGE, Kind.DC, None, None)
    ac = made_key("QX-035", Quantity.MAX_VOLTAGE, Kind.AC, None, None)
    bare = made_key("QX-035", Quantity.MAX_VOLTAGE, Kind.NONE, None, None)
    assert judge([value(30, key=dc)], [value(30, key=bare)])[0].outcome == Outcome.RIGHT
    both = judge([value(30, key=dc), value(24, key=ac)], [value(30, key=bare)])
    assert [v.outcome for v in both] == [Outcome.MISSING, Outcome.MISSING, Outcome.EXTRA]


@pytest.mark.parametrize(
    ("found", "of", "text"),
    [(0, 2265, "below 0.13%"), (2265, 2265, "above 99.87%"), (0, 0, "nothing counted")],
)
def test_a_counted_share_tells_its_interval(found, of, text):
    """Rule: none of 2,265 is below 0.13 % with 95 % confidence: 1 - 0.05 ** (1 / 2265), Clopper-Pearson."""
    assert share_line(found, of) == text


def test_an_empty_or_complete_truth_covers_every_quantity():
    """Rule: a sheet of another kind of part says nothing of the trade, so each of its readings is extra."""
    assert [v.outcome for v in judge([], [value(0.35)])] == [Outcome.EXTRA]
