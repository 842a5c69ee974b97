"""The rules of states: from decisions on numbers to a part's state, from revisions to the one in force.

Comes in: counts, states. Goes out: states. Reads no database.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from extract.schema import Status
from holdtrip.library.records import PartState, StoredNumber, Verdict
from holdtrip.library.signing import POSITIVE, weaker_verdict


@dataclass(frozen=True, slots=True)
class Counts:
    """How many numbers of a part stand where."""

    undecided: int
    disputed: int
    accepted: int
    rejected: int
    single: int
    in_bulk: int
    waiting: int = 0


def numbers_to_counts(numbers: Iterable[StoredNumber]) -> Counts:
    """Count the numbers of a part by what was read and what was said; reopened is undecided, and so is what
    waits for a second signature."""
    return verdicts_to_counts(
        (one.reading.status, None if one.decision is None else weaker_verdict(
            one.decision.verdict, one.second.verdict if one.second is not None else None), one.waiting)
        for one in numbers)


def verdicts_to_counts(numbers: Iterable[tuple[Status, Verdict | None, bool]]) -> Counts:
    """As `numbers_to_counts`, of (status, verdict, whether it waits for a second signature)."""
    undecided = disputed = accepted = rejected = single = in_bulk = waiting = 0
    for status, verdict, waits in numbers:
        waiting += waits
        if verdict in POSITIVE and not waits:
            accepted += 1
            in_bulk += verdict is Verdict.BULK
        elif verdict is Verdict.REJECTED:
            rejected += 1
        else:
            undecided += 1
            disputed += status is Status.DISPUTED
            single += status is Status.SINGLE
    return Counts(undecided, disputed, accepted, rejected, single, in_bulk, waiting)


def counts_to_state(counts: Counts, under_review: bool) -> PartState:
    """A part's own state: accepted once every number is decided and one may be used."""
    if counts.undecided == 0 and counts.accepted:
        return PartState.ACCEPTED
    if counts.undecided == 0 and counts.rejected:
        return PartState.REJECTED
    if under_review or counts.accepted or counts.rejected or counts.waiting:
        return PartState.IN_REVIEW
    return PartState.READ


def index_in_force(newest_first: Sequence[PartState], with_accepted: Sequence[bool] = ()) -> int:
    """Which revision of a part goes out: the newest accepted one, without any the newest of which a number
    was accepted (`with_accepted`), without any the newest.

    What a person accepted stays in force until a person accepts something of its newer revision.
    """
    if PartState.ACCEPTED in newest_first:
        return newest_first.index(PartState.ACCEPTED)
    return with_accepted.index(True) if True in with_accepted else 0
