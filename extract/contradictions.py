"""One row for each number of a sheet.

Comes in: readings as printed, repeated ones too. Goes out: each number once. Chooses between no two values.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from extract.schema import AT_AMBIENT, Reading, Status


def mark_contradictions(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """One row for each number: equal repeats go, different ones stay and are disputed."""
    groups: dict[tuple[object, ...], list[Reading]] = {}
    for reading in readings:
        key = (
            reading.part_number,
            reading.quantity,
            reading.kind,
            reading.ambient_c if reading.quantity in AT_AMBIENT else None,
            reading.test_current_a,
        )
        groups.setdefault(key, []).append(reading)
    kept: list[Reading] = []
    for group in groups.values():
        distinct: dict[float, Reading] = {}
        for reading in group:
            best = distinct.get(reading.value)
            if best is None or (best.status is Status.DISPUTED and reading.status is not Status.DISPUTED):
                distinct[reading.value] = reading
        if len(distinct) == 1:
            kept += distinct.values()
            continue
        values = ", ".join(f"'{r.raw}' on page {r.place.page}" for r in distinct.values())
        kept += [
            replace(r, status=Status.DISPUTED, notes=(*r.notes, f"the sheet prints {values}"))
            for r in distinct.values()
        ]
    return tuple(kept)
