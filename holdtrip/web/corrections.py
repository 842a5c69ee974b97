"""A correction as typed on the page, judged beside the numbers of its sheet as they stand.

Comes in: stored numbers, the one to correct, what was typed. Goes out: its value and what is odd about it, in
plain words. Judges as extract.checks.correction does; keeps nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from extract.checks.correction import typed_to_judged
from extract.errors import InputError
from extract.schema import Reading
from holdtrip.library.records import StoredNumber, Verdict
from holdtrip.numbers import value_to_text
from holdtrip.web.plain_reasons import note_to_words


@dataclass(frozen=True, slots=True)
class JudgedCorrection:
    """`value` in SI and `shown` with its unit; None and empty where the text is no value. `odd`: why to ask
    again, in sentences."""

    value: float | None
    shown: str
    odd: tuple[str, ...]


def typed_to_answer(
    numbers: Sequence[StoredNumber], number_id: int, text: str, unit: str
) -> JudgedCorrection:
    """Judge a typed value; raises InputError where the sheet has no such number."""
    about = next((one for one in numbers if one.number_id == number_id), None)
    if about is None:
        raise InputError("correction", f"no number {number_id} in this datasheet", "a number of it")
    readings = [about.reading if one is about else _as_it_stands(one) for one in numbers
                if one is about or not _is_rejected(one)]
    judged = typed_to_judged(readings, about.reading, text, unit)
    shown = value_to_text(about.reading.quantity, judged.value) if judged.value is not None else ""
    return JudgedCorrection(judged.value, shown, tuple(map(note_to_words, judged.odd)))


def _is_rejected(one: StoredNumber) -> bool:
    return one.decision is not None and one.decision.verdict is Verdict.REJECTED


def _as_it_stands(one: StoredNumber) -> Reading:
    said = one.decision
    if said is None or said.value is None or said.verdict is not Verdict.CORRECTED:
        return one.reading
    return replace(one.reading, value=said.value)
