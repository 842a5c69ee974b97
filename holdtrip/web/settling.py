"""What an answer to a question of a stored sheet makes of its undecided numbers, for the page and
`accept --cause` alike.

Comes in: stored numbers of one sheet, an answer. Goes out: the cause, the readings that come and the numbers
that go. Stores nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from extract.answers import BY_ANSWER, cause_of, sheet_to_answered
from extract.asked import Answer
from extract.contradictions import reading_to_slot
from extract.errors import InputError
from extract.schema import Cause, Reading
from holdtrip.library.records import ConflictError, StoredNumber, Verdict
from holdtrip.web.causes import answer_to_words, readings_to_sheet
from holdtrip.web.number_rows import ANSWERED, is_decided

RIGHT = "right"
"""The answer that all is as read."""


def open_causes(numbers: Sequence[StoredNumber]) -> tuple[Cause, ...]:
    """The questions that undecided numbers of a sheet wait for."""
    return readings_to_sheet([one.reading for one in numbers if not is_decided(one)]).causes


def cause_to_name(cause: Cause) -> str:
    """How a question is named on the command line: its code, and how far it reaches."""
    return f"{cause.code} {cause.reach}".strip()


def named_cause(causes: Sequence[Cause], named: str) -> Cause:
    """The question of that name, or the only one of that code; raises InputError for none or several."""
    found = [one for one in causes if named in (cause_to_name(one), one.code)]
    exact = [one for one in found if cause_to_name(one) == named]
    if len(exact or found) != 1:
        have = "; ".join(f"'{cause_to_name(one)}' ({one.count} numbers)" for one in found or causes)
        raise InputError("--cause", f"{len(found)} open questions are called '{named}'",
                         have or "an open question: there is none", "`holdtrip sheet SHEET` lists them")
    return (exact or found)[0]


@dataclass(frozen=True, slots=True)
class Settled:
    """A cause, the readings an answer to it makes, and the numbers they stand in place of."""

    cause: Cause
    came: tuple[Reading, ...]
    went: tuple[int, ...]


def to_reason(cause: Cause, said: Answer) -> str:
    """The answer as the history tells it."""
    where = f" ({cause.reach.replace('_', ' ')})" if cause.reach else ""
    because = f". {said.because}" if said.because else ""
    return f"{ANSWERED}“{cause.question}”{where}: {answer_to_words(said.answer)}{because}"


def to_settled(numbers: Sequence[StoredNumber], said: Answer) -> Settled:
    """What an answer makes of the undecided numbers of its cause, checked among all others of the sheet.

    Raises InputError for an answer that there is not, ConflictError where nothing waits for it.
    """
    used = [one for one in numbers
            if one.decision is None or one.decision.verdict is not Verdict.REJECTED]
    sheet = readings_to_sheet([one.reading for one in used])
    cause = cause_of(sheet, said)
    if cause is None:
        raise ConflictError(f"{said.code}: nothing on this sheet waits for that answer any more. Look again")
    if said.answer not in cause.answers:
        raise InputError(said.code, f"the answer '{said.answer}'", ", ".join(cause.answers))
    went = tuple(one.number_id for one, reading in zip(used, sheet.readings, strict=True)
                 if reading.cause == cause.number and not is_decided(one))
    if not went:
        raise ConflictError(f"{said.code}: all its numbers are decided already. Look again")
    decided = {id(reading) for one, reading in zip(used, sheet.readings, strict=True) if is_decided(one)}
    open_only = replace(sheet, readings=tuple(r for r in sheet.readings if id(r) not in decided))
    told = f"{BY_ANSWER} of {said.when}: {said.answer}"
    asked = {_cell(reading) for reading in open_only.readings if reading.cause == cause.number}
    told_before = {_cell(reading) + reading_to_slot(reading) for reading in open_only.readings
                   if told in reading.notes and reading.cause != cause.number}
    came = tuple(
        reading for reading in sheet_to_answered(open_only, (said,)).readings
        if told in reading.notes and _cell(reading) in asked
        and _cell(reading) + reading_to_slot(reading) not in told_before)
    return Settled(cause, came, went)


def _cell(reading: Reading) -> tuple[object, ...]:
    """Where a number of a part stands, whatever an answer calls it."""
    return reading.part_number, reading.place
