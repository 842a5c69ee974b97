"""How firmly a number stands, from the page to the signature: one order for every room.

Comes in: the status of a reading, or the standings of several numbers. Goes out: a Standing, and the lowest
of several. Does not judge parts, read sheets or store decisions.

The law: what a result rests on is never better than its worst source, and only a person's decision on that
very number raises it. So standings are only ever combined by `lowest`.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from extract.schema import Status


class Standing(StrEnum):
    """What a number rests on, from the firmest to the weakest; the order of this list is that of trust."""

    PERSON = "person"  # accepted or corrected by a person who saw this number
    AGREED = "agreed"  # two independent readings of the cell agree
    BULK = "bulk"  # accepted by a person together with others, without looking at each
    SINGLE = "single"  # read once
    CURVE = "curve"  # read from a drawn curve, typical
    INTERPOLATED = "interpolated"  # between two tabulated ambients
    ASSUMED = "assumed"  # holds under an assumption that is named
    MODEL = "model"  # calculated by a physical model
    DISPUTED = "disputed"  # readings or checks disagree: a person must look


STANDING_RANK = {standing: rank for rank, standing in enumerate(Standing)}
"""0 is the firmest."""

_OF_STATUS = {
    Status.ACCEPTED: Standing.PERSON,
    Status.CORRECTED: Standing.PERSON,
    Status.AGREED: Standing.AGREED,
    Status.BULK: Standing.BULK,
    Status.SINGLE: Standing.SINGLE,
    Status.DISPUTED: Standing.DISPUTED,
}


def status_to_standing(status: Status) -> Standing:
    """The standing of a number as read, or as a person decided on it."""
    return _OF_STATUS[status]


def lowest(standings: Iterable[Standing]) -> Standing:
    """The weakest of several standings. Raises ValueError for none: what rests on nothing has no standing."""
    return max(standings, key=STANDING_RANK.__getitem__)


def weaker(one: Standing, other: Standing) -> bool:
    """Whether `one` is weaker than `other`."""
    return STANDING_RANK[one] > STANDING_RANK[other]
