"""A stored number as the page shows it: value, condition, place, what was said of it.

Comes in: numbers of the library. Goes out: flat records for JSON, in reading order of a reviewer.
Decides nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from app.numbers import KINDS, NAMES, condition_to_text, value_to_text
from extract.schema import UNIT_OF, Place, Quantity, Status
from library.records import Decision, StoredNumber, Verdict

_FIRST = {Status.DISPUTED: 0, Status.SINGLE: 1}
RATIOS = frozenset({Quantity.HOLD_RATIO, Quantity.TRIP_RATIO})


@dataclass(frozen=True, slots=True)
class NumberRow:
    """One number. `state` is a person's verdict or, without one, the status it was read with; `said` tells
    that verdict in words; `value` and `shown` are as read, `corrected` is what a person put beside it;
    `unit` is what a correction is typed in."""

    number_id: int
    part_number: str
    quantity: str
    kind: str
    condition: str
    value: float
    shown: str
    corrected: str
    unit: str
    raw: str
    status: str
    state: str
    said: str
    notes: tuple[str, ...]
    place: Place


def numbers_to_rows(numbers: Iterable[StoredNumber]) -> tuple[NumberRow, ...]:
    """Disputed numbers first, then those read once, then the others; each group as printed."""
    listed = sorted(numbers, key=lambda one: _FIRST.get(one.reading.status, 2))
    return tuple(map(number_to_row, listed))


def number_to_row(one: StoredNumber) -> NumberRow:
    """One number for the page."""
    reading, said = one.reading, one.decision
    decided = said is not None and said.verdict is not Verdict.REOPENED
    unit = "a fraction, 0.83 for 83 %" if reading.quantity in RATIOS else UNIT_OF[reading.quantity]
    return NumberRow(
        one.number_id, reading.part_number, NAMES[reading.quantity], KINDS[reading.kind],
        condition_to_text(reading), reading.value, value_to_text(reading.quantity, reading.value),
        value_to_text(reading.quantity, said.value) if said and said.value is not None else "", unit,
        reading.raw, reading.status.value, said.verdict.value if said and decided else reading.status.value,
        _decision_to_text(reading.quantity, said) if said else "", reading.notes, reading.place)


def _decision_to_text(quantity: Quantity, said: Decision) -> str:
    value = f" to {value_to_text(quantity, said.value)}" if said.value is not None else ""
    because = f": {said.reason}" if said.reason else ""
    return f"{said.verdict.value}{value} by {said.who}, {said.at:%Y-%m-%d %H:%M} UTC{because}"
