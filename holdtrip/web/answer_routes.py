"""Answers to the questions of a sheet: one answer settles all numbers of its cause, and can be taken back.

Comes in: a cause, an answer as `holdtrip answer` takes it. Goes out: the sheet as it stands then. A number
read by an answer counts as read once: a person saw the column, not the digits; where the checks object it is
a question again.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, datetime
from typing import Annotated

from fastapi import APIRouter, BackgroundTasks
from pydantic import BaseModel, Field

from extract.answers import cause_of
from extract.asked import Answer, Remembered
from extract.batch import read_sheets
from extract.causes import code_is_remembered
from extract.errors import InputError
from extract.remembered import answer_to_remembered
from holdtrip.library.records import Action, Signature
from holdtrip.memory import library_to_known, sheet_with_memory
from holdtrip.web.causes import readings_to_sheet
from holdtrip.web.desk import Desk
from holdtrip.web.number_rows import TAKEN_BACK
from holdtrip.web.settling import to_reason, to_settled
from holdtrip.web.sheets_routes import SheetReview, sheet_to_review
from holdtrip.web.typed_fields import Identifier, Name, Sha256InPath, Who, Words


class AnswerSent(BaseModel):
    """An answer to the cause of this code and reach; `because` is for whoever reads the history."""

    code: Name
    reach: Words
    answer: Name
    because: Words = ""
    who: Who = None


class TakeBackSent(BaseModel):
    """Numbers that came or went by an answer or a framed table, which is then taken back whole."""

    number_ids: Annotated[list[Identifier], Field(min_length=1, max_length=100_000)]
    reason: Words
    who: Who = None


def answer_router(desk: Desk) -> APIRouter:
    """The routes of answers."""
    router = APIRouter(prefix="/api/sheets", tags=["review"])

    @router.post("/{sha256}/answers")
    def answer_cause(sha256: Sha256InPath, sent: AnswerSent, later: BackgroundTasks) -> SheetReview:
        """Settle all undecided numbers of one cause by one answer; it is remembered, for later sheets of the
        same maker too where it is about words and columns and not about these very digits."""
        who = desk.signer(sent.who)
        said = Answer(sha256, _document(desk, sha256), sent.code, sent.reach, sent.answer, who,
                      f"{datetime.now(UTC):%Y-%m-%d}", sent.because)
        settled = to_settled(desk.library.sheet_numbers(sha256), said)
        by = Signature(who, to_reason(settled.cause, said))
        desk.library.add_later(sha256, settled.came, settled.went, Action.ANSWER, by)
        number = desk.library.remember_answer(Remembered(said), Signature(who, sent.because))
        if code_is_remembered(said.code):
            later.add_task(_remember_for_house, desk, said, number)
        return sheet_to_review(desk, sha256)

    @router.post("/{sha256}/answers/take-back")
    def take_back(sha256: Sha256InPath, sent: TakeBackSent) -> SheetReview:
        """Take back an answer, or a table that was framed, with all that came and went by it."""
        if not sent.reason.strip():
            raise InputError("answer", "taken back without a reason", "a reason that others can follow")
        by = Signature(desk.signer(sent.who), f"{TAKEN_BACK}{sent.reason}")
        outcome = desk.library.take_back_later(sha256, sent.number_ids, by)
        _forget(desk, sha256, outcome.came, by)
        return sheet_to_review(desk, sha256)

    return router


def _document(desk: Desk, sha256: str) -> str:
    return next((one.document for one in desk.library.sheets() if one.sha256 == sha256), "")


def _remember_for_house(desk: Desk, said: Answer, number: int) -> None:
    """Read the kept copy again for its maker's name and the words over the columns of the question, as the
    other answers leave it; the answer then holds for later sheets. Where the copy is gone or asks no such
    question, it stays one of this sheet."""
    path = desk.files.path_of(said.sha256)
    outcome = next(iter(read_sheets([path])), None) if path is not None else None
    if outcome is None or outcome.reading is None:
        return
    question = (said.sha256, said.code, said.reach)
    others = [one for one in library_to_known(desk.library)
              if (one.answer.sha256, one.answer.code, one.answer.reach) != question]
    asked = (sheet_with_memory(outcome.reading, others)[0], outcome.reading)
    reading = next((sheet for sheet in asked if cause_of(sheet, said) is not None), None)
    if reading is None:
        return
    remembered = answer_to_remembered(reading, said, reading.house)
    with suppress(InputError):  # taken back meanwhile
        desk.library.edit_answer(number, remembered, Signature(said.who, said.because))


def _forget(desk: Desk, sha256: str, reopened: Sequence[int], by: Signature) -> None:
    """Forget the answers to the questions of numbers that are open again."""
    numbers = desk.library.sheet_numbers(sha256)
    caused = readings_to_sheet([one.reading for one in numbers])
    wanted = set(reopened)
    open_again = {reading.cause for one, reading in zip(numbers, caused.readings, strict=True)
                  if one.number_id in wanted}
    asked = {(cause.code, cause.reach) for cause in caused.causes if cause.number in open_again}
    for kept in desk.library.answers():
        said = kept.remembered.answer
        if said.sha256 == sha256 and (said.code, said.reach) in asked:
            desk.library.forget_answer(kept.answer_id, by)
