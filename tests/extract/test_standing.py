"""Rules of the order of trust."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extract.schema import Status
from extract.standing import STANDING_RANK, Standing, lowest, status_to_standing, weaker

STANDINGS = st.lists(st.sampled_from(Standing), min_size=1)


@given(STANDINGS)
def test_a_result_never_stands_better_than_any_source(standings):
    """Rule: the lowest of several standings is one of them, and none of them is weaker."""
    result = lowest(standings)
    assert result in standings
    assert not any(weaker(one, result) for one in standings)


@given(STANDINGS, st.sampled_from(Standing))
def test_one_more_source_never_raises(standings, more):
    """Rule: a further source can only lower a result's standing."""
    assert STANDING_RANK[lowest([*standings, more])] >= STANDING_RANK[lowest(standings)]


def test_nothing_has_no_standing():
    """Rule: what rests on nothing has no standing."""
    with pytest.raises(ValueError, match="empty"):
        lowest([])


def test_every_status_has_a_standing_and_bulk_stands_below_agreed():
    """Rule: every status maps to one standing; accepting many at once does not raise a number above two
    readings that agree."""
    assert {status_to_standing(s) for s in Status} <= set(Standing)
    assert weaker(status_to_standing(Status.BULK), status_to_standing(Status.AGREED))
    assert weaker(status_to_standing(Status.SINGLE), status_to_standing(Status.BULK))
