"""Doubts that the sheet itself settles: a row of currents whose value at the reference ambient is the rating
of the part it may speak of; rows of shares that give each part of the sheet just one share at each ambient.

Comes in: readings as printed, repeated ones too. Goes out: the same, with such doubts lifted: what they were
in doubt about is proven by the sheet. Never lifts a doubt about digits, and never makes a number agreed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from extract.causes import doubt_to_code, reading_to_doubts
from extract.schema import Quantity, Reading, Status

PROVABLE = frozenset({"row-of-several-parts", "hold-or-trip"})
PROVEN = "the sheet proves that this row speaks of this part"
_SHARES = (Quantity.HOLD_RATIO, Quantity.TRIP_RATIO)
_RATED = (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT)


def readings_to_proven(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Readings with provable doubts lifted where another table proves them; the order stays."""
    ratings = _ratings(readings)
    groups: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for index, reading in enumerate(readings):
        if reading.quantity in _RATED and _is_provable(reading):
            groups[reading.part_number, reading.quantity, reading.place.page].append(index)
    proven = {
        index
        for group in groups.values()
        if _is_proven([readings[i] for i in group], ratings)
        for index in group
    }
    proven |= _shared_out(readings)
    return tuple(_lifted(r) if index in proven else r for index, r in enumerate(readings))


def _shared_out(readings: Sequence[Reading]) -> set[int]:
    """Indices of shares in doubt for their parts only, on pages whose rows share out all rated parts: each
    part has one share at each ambient, and 100 % at a room temperature."""
    rated = {r.part_number for r in readings if r.quantity in _RATED}
    pages: dict[tuple[int, Quantity], list[int]] = defaultdict(list)
    for index, r in enumerate(readings):
        if r.quantity in _SHARES:
            pages[r.place.page, r.quantity].append(index)
    found: set[int] = set()
    for own in pages.values():
        doubted = [index for index in own if _is_provable(readings[index])]
        if doubted and _gives_each_one([readings[index] for index in own], rated):
            found.update(doubted)
    return found


def _gives_each_one(shares: Sequence[Reading], rated: set[str]) -> bool:
    by_ambient: dict[float | None, list[str]] = defaultdict(list)
    for r in shares:
        by_ambient[r.ambient_c].append(r.part_number)
    once = all(len(parts) == len(set(parts)) and set(parts) == rated for parts in by_ambient.values())
    return once and any(r.value == 1 and r.ambient_c is not None and 15 <= r.ambient_c <= 30 for r in shares)


def _is_provable(reading: Reading) -> bool:
    """Whether all that is in doubt is of which part, or of which current, a row speaks."""
    codes = {doubt_to_code(doubt) for doubt in reading_to_doubts(reading)}
    return reading.status is Status.DISPUTED and bool(codes) and codes <= PROVABLE


def _ratings(readings: Iterable[Reading]) -> dict[tuple[str, Quantity, float], float]:
    """Undoubted hold and trip currents: (part, quantity, ambient) → amps."""
    return {
        (r.part_number, r.quantity, r.ambient_c): r.value
        for r in readings
        if r.quantity in _RATED and r.ambient_c is not None and r.status is not Status.DISPUTED
    }


def _is_proven(group: Sequence[Reading], ratings: dict[tuple[str, Quantity, float], float]) -> bool:
    """Whether some reading of a row is the rating of its part at that ambient, and none contradicts one."""
    met = [
        r.value == ratings[key]
        for r in group
        if r.ambient_c is not None and (key := (r.part_number, r.quantity, r.ambient_c)) in ratings
    ]
    return bool(met) and all(met) and len({r.value for r in group}) > 1


def _lifted(reading: Reading) -> Reading:
    doubts = set(reading_to_doubts(reading))
    kept = tuple(note for note in reading.notes if note not in doubts)
    return replace(reading, status=Status.SINGLE, notes=(*kept, PROVEN))
