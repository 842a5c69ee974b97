"""Parts that can stand in for one: every trait at least as good, or what gets worse.

Comes in: a part, others. Goes out: `StandIn`s, the best first. What a sheet does not say is unknown, never as
good. Does not know the circuit: a stand-in must still meet the requirement.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from compare.traits import Better, Trait, part_to_conditions, part_to_traits
from extract.schema import Part
from extract.standing import Standing, lowest, status_to_standing

SAME = 1e-9
"""Relative difference below which two numbers are the same: the rounding of floats, no more."""


class Change(StrEnum):
    """How a trait of the other part compares with that of the one it shall replace."""

    BETTER = "better"
    SAME = "same"
    WORSE = "worse"
    UNKNOWN = "unknown"


RANK = {Change.WORSE: 3, Change.UNKNOWN: 2, Change.SAME: 1, Change.BETTER: 0}


@dataclass(frozen=True, slots=True)
class Difference:
    """One trait of both parts."""

    own: Trait
    other: Trait
    change: Change


@dataclass(frozen=True, slots=True)
class StandIn:
    """Another part in the place of one; `differences` are in the order of the traits."""

    part: Part
    differences: tuple[Difference, ...]

    def of(self, change: Change) -> tuple[Difference, ...]:
        """Differences of one kind."""
        return tuple(one for one in self.differences if one.change is change)

    @property
    def can_stand_in(self) -> bool | None:
        """True if nothing is worse or unknown, False if something is worse, else None."""
        if self.of(Change.WORSE):
            return False
        return None if self.of(Change.UNKNOWN) else True

    @property
    def standing(self) -> Standing | None:
        """The weakest of all numbers of both parts; None where nothing was compared."""
        traits = [trait for one in self.differences for trait in (one.own, one.other)]
        statuses = {reading.status for trait in traits for reading in trait.number.readings}
        statuses |= {one.status for trait in traits for one in trait.particulars}
        found = [status_to_standing(status) for status in statuses]
        return lowest(found) if found else None


def part_to_stand_ins(part: Part, others: Iterable[Part]) -> tuple[StandIn, ...]:
    """Every other part in place of this one: those that can stand in first, then by what is unknown and
    what gets worse. Asked at the conditions the part's own sheet prints."""
    conditions = part_to_conditions(part)
    own = [trait for trait in part_to_traits(part, conditions) if trait.number.value is not None]
    titles = {trait.title for trait in own}
    found = []
    for other in others:
        if (other.part_number, other.sha256, other.document) == (
            part.part_number,
            part.sha256,
            part.document,
        ):
            continue
        theirs = [trait for trait in part_to_traits(other, conditions) if trait.title in titles]
        found.append(
            StandIn(
                other,
                tuple(
                    Difference(one, two, traits_to_change(one, two))
                    for one, two in zip(own, theirs, strict=True)
                ),
            )
        )
    return tuple(sorted(found, key=_to_rank))


def traits_to_change(own: Trait, other: Trait) -> Change:
    """Whether the other is better, the same, worse, or cannot be told."""
    before, after = own.number.value, other.number.value
    if before is None or after is None:
        return Change.UNKNOWN
    if abs(after - before) <= SAME * max(abs(after), abs(before)):
        return Change.SAME
    return Change.BETTER if (after > before) is (own.better is Better.HIGHER) else Change.WORSE


def _to_rank(one: StandIn) -> tuple[int, int, float, str, str]:
    """Fewest worse, then fewest unknown, then the smallest loss."""
    loss = sum(_loss(difference) for difference in one.of(Change.WORSE))
    return (
        len(one.of(Change.WORSE)),
        len(one.of(Change.UNKNOWN)),
        loss,
        one.part.part_number,
        one.part.document,
    )


def _loss(difference: Difference) -> float:
    before, after = difference.own.number.value, difference.other.number.value
    assert before is not None
    assert after is not None
    return abs(after - before) / max(abs(before), abs(after))
