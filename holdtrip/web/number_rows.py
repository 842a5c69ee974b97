"""A stored number as the page shows it: value, condition, place, what was said of it.

Comes in: numbers of the library. Goes out: flat records for JSON, in reading order of a reviewer.
Decides nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from extract.checks.correction import quantity_to_units
from extract.schema import Place, Quantity, Status
from holdtrip.library.records import Decision, StoredNumber, Verdict
from holdtrip.numbers import KINDS, NAMES, condition_to_text, value_to_text
from holdtrip.web.plain_reasons import is_recognised, note_to_words, notes_to_label

ANSWERED, FRAMED = "answer to ", "framed a table "
"""How the reason begins of a number that an answer to its question, or a framed table, put another in the
place of or left out."""

TAKEN_BACK = "taken back: "
"""How the reason begins of a number that came by an answer which was taken back."""

_FIRST = {Status.DISPUTED: 0, Status.SINGLE: 1}


@dataclass(frozen=True, slots=True)
class NumberRow:
    """One number. `state` is a person's verdict; "replaced" where an answer or a framed table put another in
    its place or left it out; "taken_back" where it came by an answer that holds no more; else, and where a
    second signature is missing, the status it was read with. `said` tells it in words; `decided_at`,
    `decided_by` name the step in the history (numbers of one step share its time); `value` and `shown` are as
    read, `corrected` is what a person put beside it; `units` are what a correction may be typed in;
    `recognised` tells that it stands on a picture."""

    number_id: int
    part_number: str
    quantity: str
    kind: str
    condition: str
    value: float
    shown: str
    corrected: str
    units: tuple[str, ...]
    raw: str
    status: str
    state: str
    said: str
    decided_at: str
    decided_by: str
    because: str
    notes: tuple[str, ...]
    label: str
    recognised: bool
    place: Place


def numbers_to_rows(numbers: Iterable[StoredNumber]) -> tuple[NumberRow, ...]:
    """Disputed numbers first, then those read once, then the others; each group as printed."""
    listed = sorted(numbers, key=lambda one: _FIRST.get(one.reading.status, 2))
    return tuple(map(number_to_row, listed))


def number_to_row(one: StoredNumber) -> NumberRow:
    """One number for the page."""
    reading = one.reading
    said = one.decision if is_decided(one) else None
    return NumberRow(
        one.number_id, reading.part_number, NAMES[reading.quantity], KINDS[reading.kind],
        condition_to_text(reading), reading.value, value_to_text(reading.quantity, reading.value),
        value_to_text(reading.quantity, said.value) if said and said.value is not None else "",
        quantity_to_units(reading.quantity), reading.raw, reading.status.value,
        _state(one),
        _decision_to_text(reading.quantity, one.decision) + _second_to_text(one) if one.decision else "",
        said.at.isoformat() if said else "", said.who if said else "", said.reason if said else "",
        tuple(map(note_to_words, reading.notes)), notes_to_label(reading.notes),
        is_recognised(reading.notes), reading.place)


def is_decided(one: StoredNumber) -> bool:
    """Whether somebody said something of a number that was not taken back."""
    return one.decision is not None and one.decision.verdict is not Verdict.REOPENED


def _state(one: StoredNumber) -> str:
    if one.decision is None or not is_decided(one) or one.waiting:
        return one.reading.status.value
    if one.decision.verdict is Verdict.REJECTED:
        for begins, state in ((ANSWERED, "replaced"), (FRAMED, "replaced"), (TAKEN_BACK, "taken_back")):
            if one.decision.reason.startswith(begins):
                return state
    return one.decision.verdict.value


def _second_to_text(one: StoredNumber) -> str:
    """Whose second signature is there, or that one is missing."""
    if one.waiting:
        return "; waits for a second person"
    return f"; signed by {one.second.who} too" if one.second is not None else ""


def _decision_to_text(quantity: Quantity, said: Decision) -> str:
    value = f" to {value_to_text(quantity, said.value)}" if said.value is not None else ""
    because = f": {said.reason}" if said.reason else ""
    verdict = said.verdict.value.replace("_", " ")
    return f"{verdict}{value} by {said.who}, {said.at:%Y-%m-%d %H:%M} UTC{because}"
