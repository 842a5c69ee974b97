"""Readings of datasheets checked: suspicions told as findings, each with its place.

Comes in: readings. Goes out: findings of the schema. Changes no reading.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from extract.checks.numbers import (
    Number,
    PartNumbers,
    numbers_to_part,
    part_number_to_series,
    text_to_step,
)
from extract.checks.rules import parts_to_suspicions
from extract.checks.suspicions import Suspicion
from extract.checks.writing import value_to_text
from extract.reference import is_room
from extract.schema import WHOLE_SERIES, Finding, Quantity, Reading


def readings_to_findings(readings: Iterable[Reading]) -> tuple[Finding, ...]:
    """Check what was read from sheets: each sheet and each series of part numbers on its own."""
    listed = tuple(readings)
    suspicions = parts_to_suspicions(readings_to_part_numbers(listed))
    return tuple(dict.fromkeys(_suspicion_to_finding(s, listed) for s in suspicions))


def readings_to_part_numbers(readings: Sequence[Reading]) -> tuple[PartNumbers, ...]:
    """Parts with their numbers; `origin` is the reading's index. A ratio row of the whole series is a
    part of its own, named `*`."""
    steps = [text_to_step(r.raw, r.value) for r in readings]
    finest = _ratings_to_steps(readings, steps)
    groups: dict[tuple[str, str, str], list[Number]] = {}
    for index, (r, step) in enumerate(zip(readings, steps, strict=True)):
        step = min(step, finest.get((r.document, r.sha256, r.quantity, r.ambient_c), step))
        number = Number(r.quantity, r.kind, r.ambient_c, r.test_current_a, r.value, step, index)
        groups.setdefault((r.document, r.sha256, r.part_number), []).append(number)
    return tuple(
        numbers_to_part(part, f"{document}\n{sha256}\n{_to_series(part)}", numbers)
        for (document, sha256, part), numbers in groups.items()
    )


def _ratings_to_steps(
    readings: Sequence[Reading], steps: Sequence[float]
) -> dict[tuple[str, str, Quantity, float | None], float]:
    """The finest last digit among a sheet's hold and trip ratings: "0.5" among "0.35" and "1.10" is as
    round as they are."""
    finest: dict[tuple[str, str, Quantity, float | None], float] = {}
    for r, step in zip(readings, steps, strict=True):
        if r.quantity in (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT) and is_room(r.ambient_c):
            key = (r.document, r.sha256, r.quantity, r.ambient_c)
            finest[key] = min(step, finest.get(key, step))
    return finest


def _to_series(part_number: str) -> str:
    return part_number if part_number == WHOLE_SERIES else part_number_to_series(part_number)


def _suspicion_to_finding(suspicion: Suspicion, readings: Sequence[Reading]) -> Finding:
    number = suspicion.numbers[0]
    reading = readings[number.origin]
    found = value_to_text(number.value, number.quantity)
    return Finding(
        suspicion.code.name,
        suspicion.severity,
        suspicion.message,
        found=found,
        expected=suspicion.expected,
        document=reading.document,
        part_number=suspicion.part.part_number,
        quantity=number.quantity,
        place=reading.place,
    )
