"""The reference ambient: at which temperature a part's ratings hold. One rule for every room.

Comes in: the hold and trip currents of one part with their ambients. Goes out: the reference ambient, or None
where it cannot be told. Reads no sheet and judges nothing.

Published tables state 20, 23 or 25 °C, and some print a column for two of them: then the ratings tell which
one they repeat. Nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

USUAL_C = (20.0, 25.0)
"""Between these lie the reference ambients of published tables."""
ROOM_C, WARM_ROOM_C = (15.0, 30.0), 35.0
SAME_SHARE = 1e-6
SAME_K = 1e-6

Rated = tuple[float | None, float]
"""A current as stated: its ambient, °C, or None where the sheet is silent, and its value, A."""


def is_room(ambient_c: float | None) -> bool:
    """Whether an ambient may be the reference of ratings."""
    return ambient_c is not None and ROOM_C[0] <= ambient_c <= ROOM_C[1]


def is_room_of_a_column(ambient_c: float | None) -> bool:
    """Whether a column over ambients may repeat the ratings: some tables begin or go on a little warmer."""
    return ambient_c is not None and ROOM_C[0] <= ambient_c <= WARM_ROOM_C


def reference_ambient_c(
    holds: Sequence[Rated],
    trips: Sequence[Rated] = (),
    full_c: float | None = None,
    stated_c: Collection[float] = (),
) -> float | None:
    """The reference ambient of a part, °C, or None.

    holds, trips: its hold and trip currents; full_c: ambient of a column of 100 %; stated_c: ambients that
    the sheet states for other ratings of the part. In this order: the column of 100 %; the only ambient of
    the hold current; the only usual one; of several usual ones that whose hold current repeats the rating
    without ambient, that of the trip rating, that of the other ratings.
    """
    if full_c is not None:
        return full_c
    placed = {ambient_c: value for ambient_c, value in holds if ambient_c is not None}
    if len(placed) == 1:
        return next(iter(placed))
    usual = [ambient_c for ambient_c in placed if USUAL_C[0] <= ambient_c <= USUAL_C[1]]
    if len(usual) <= 1:
        return usual[0] if usual else None
    trips_c = {ambient_c for ambient_c, _ in trips if ambient_c is not None}
    told = (_repeating(usual, placed, holds), _among(usual, trips_c), _among(usual, stated_c))
    return next((one[0] for one in told if len(one) == 1), None)


def _repeating(usual: Sequence[float], placed: Mapping[float, float], holds: Sequence[Rated]) -> list[float]:
    """The usual ambients at which the hold current is the rating without ambient."""
    rated = {value for ambient_c, value in holds if ambient_c is None}
    return [c for c in usual if any(_same(placed[c], value) for value in rated)]


def _among(usual: Sequence[float], stated_c: Collection[float]) -> list[float]:
    """The usual ambients that are stated elsewhere."""
    return [c for c in usual if any(abs(c - other_c) <= SAME_K for other_c in stated_c)]


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= SAME_SHARE * max(abs(one), abs(other))
