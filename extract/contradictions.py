"""One row for each number of a sheet.

Comes in: readings as printed, repeated ones too. Goes out: each number once; where two columns give different
values all the way down, each value says in which it stands. Chooses between no two values.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from extract.schema import AT_AMBIENT, Place, Reading, Status

LEAST_ROWS = 3
TWO_COLUMNS = " of two columns taken for the same"


def mark_contradictions(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """One row for each number: equal repeats go, different ones stay and are disputed."""
    groups: dict[tuple[object, ...], list[Reading]] = {}
    for reading in readings:
        groups.setdefault(reading_to_slot(reading), []).append(reading)
    distinct = [_to_distinct(group) for group in groups.values()]
    sides = _two_columns(distinct)
    return tuple(marked for values in distinct for marked in _marked(values, sides))


def reading_to_slot(reading: Reading) -> tuple[object, ...]:
    """What a number is of: two values of one slot contradict each other."""
    ambient_c = reading.ambient_c if reading.quantity in AT_AMBIENT else None
    return reading.part_number, reading.quantity, reading.kind, ambient_c, reading.test_current_a


def _to_distinct(group: Sequence[Reading]) -> tuple[Reading, ...]:
    """The different values of one number; of two alike one that is not disputed."""
    found: dict[float, Reading] = {}
    for reading in group:
        best = found.get(reading.value)
        if best is None or (best.status is Status.DISPUTED and reading.status is not Status.DISPUTED):
            found[reading.value] = reading
    return tuple(found.values())


def _marked(values: tuple[Reading, ...], sides: Mapping[Place, str]) -> tuple[Reading, ...]:
    if len(values) == 1:
        return values
    printed = ", ".join(f"'{r.raw}' on page {r.place.page}" for r in values)
    marked = []
    for reading in values:
        side = sides.get(reading.place) if len(values) == 2 else None
        told = [f"the sheet prints {printed}", *([f"the {side}{TWO_COLUMNS}"] if side else [])]
        notes = (*reading.notes, *(note for note in told if note not in reading.notes))
        marked.append(replace(reading, status=Status.DISPUTED, notes=notes))
    return tuple(marked)


def _two_columns(groups: Iterable[tuple[Reading, ...]]) -> dict[Place, str]:
    """Places of numbers that stand in one of two columns which give different values of the same, row after
    row: "left" or "right"."""
    pairs: dict[tuple[object, ...], list[tuple[Place, Place]]] = {}
    for group in groups:
        if len(group) != 2:
            continue
        left, right = sorted((reading.place for reading in group), key=lambda place: place.x0)
        beside = left.page == right.page and left.x1 <= right.x0
        if beside and min(left.bottom, right.bottom) > max(left.top, right.top):
            pairs.setdefault((left.page, group[0].quantity, group[0].kind), []).append((left, right))
    sides: dict[Place, str] = {}
    for own in pairs.values():
        if len(own) >= LEAST_ROWS and max(left.x1 for left, _ in own) <= min(right.x0 for _, right in own):
            sides |= {left: "left" for left, _ in own} | {right: "right" for _, right in own}
    return sides
