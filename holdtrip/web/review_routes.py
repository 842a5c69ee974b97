"""Decisions on numbers: accept, correct, reject, take back.

Comes in: what a person decided of one number or of a whole part of one sheet. Goes out: the numbers and
parts as they stand then. Decides as `holdtrip accept`, `correct`, `reject` and `reopen` do.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Annotated, Literal

from fastapi import APIRouter, HTTPException
from pydantic import BaseModel, Field

from extract.errors import HoldtripError, InputError
from extract.schema import WHOLE_SERIES
from holdtrip.library.records import PartRow, ReviewOutcome, Signature, Target
from holdtrip.web.corrections import JudgedCorrection, typed_to_answer
from holdtrip.web.desk import Desk
from holdtrip.web.number_rows import NumberRow, numbers_to_rows
from holdtrip.web.typed_fields import (
    Identifier,
    IdentifierInQuery,
    Name,
    Sha256InPath,
    Typed,
    Who,
    Words,
    WordsInQuery,
)


class DecisionSent(BaseModel):
    """A decision. Without `number_id` it is about the whole part. With `correct` goes `text`, the right
    value as typed, in `unit` where it names none itself, or `value` in SI; a value that is odd is refused
    (428) until `sure` says that it is meant. `seen_version` is that of the part as it was looked at: an
    outdated one is refused (409)."""

    action: Literal["accept", "correct", "reject", "reopen"]
    part_number: Name
    number_id: Identifier | None = None
    value: Annotated[float | None, Field(allow_inf_nan=False)] = None
    text: Typed = ""
    unit: Typed = ""
    sure: bool = False
    reason: Words = ""
    who: Who = None
    seen_version: Identifier | None = None


class NumbersOfPart(BaseModel):
    """Numbers of one part; `seen_version` as in a decision."""

    part_number: Name
    number_ids: Annotated[list[Identifier], Field(min_length=1, max_length=100_000)]
    seen_version: Identifier | None = None


Parts = Annotated[list[NumbersOfPart], Field(min_length=1, max_length=10_000)]


class UndoSent(BaseModel):
    """A decision, or several made at once, taken back: their numbers are undecided again."""

    parts: Parts
    reason: Words
    who: Who = None


class StepSent(BaseModel):
    """One decision on several numbers, of one part or of many: all accepted, or all rejected; in bulk, if
    nobody looked at each."""

    action: Literal["accept", "accept_in_bulk", "reject"]
    parts: Parts
    reason: Words = ""
    who: Who = None


@dataclass(frozen=True, slots=True)
class DecisionAnswer:
    """What the decision did: identifiers of numbers decided, of competitors rejected, of disputed ones left;
    the parts and their series as they stand now; `refused`: why parts behind those decided were left as they
    were, in one line."""

    decided: tuple[int, ...]
    rejected: tuple[int, ...]
    left: tuple[int, ...]
    parts: tuple[PartRow, ...]
    numbers: tuple[NumberRow, ...]
    refused: str = ""


def review_router(desk: Desk) -> APIRouter:
    """The route of decisions."""
    router = APIRouter(prefix="/api/sheets", tags=["review"])

    @router.post("/{sha256}/decisions")
    def decide(sha256: Sha256InPath, sent: DecisionSent) -> DecisionAnswer:
        """Accept, correct, reject or take back; a correction and a rejection need a reason."""
        return _outcomes_to_answer(desk, sha256, (_decide(desk, sha256, sent),))

    @router.post("/{sha256}/steps")
    def step(sha256: Sha256InPath, sent: StepSent) -> DecisionAnswer:
        """One decision on several numbers, each part all or nothing; a rejection needs a reason."""
        by = Signature(desk.signer(sent.who), sent.reason)
        ways: dict[str, Callable[[Target, Signature], ReviewOutcome]] = {
            "accept": desk.library.accept, "reject": desk.library.reject,
            "accept_in_bulk": partial(desk.library.accept, singles=True, in_bulk=True)}
        decide_on = ways[sent.action]
        outcomes: list[ReviewOutcome] = []
        for target in _parts_to_targets(sha256, sent.parts):
            try:
                outcomes.append(decide_on(target, by))
            except HoldtripError as error:
                if not outcomes:
                    raise
                return replace(_outcomes_to_answer(desk, sha256, outcomes), refused=str(error))
        return _outcomes_to_answer(desk, sha256, outcomes)

    @router.get("/{sha256}/judged")
    def judged(sha256: Sha256InPath, number_id: IdentifierInQuery, text: WordsInQuery,
               unit: WordsInQuery = "") -> JudgedCorrection:
        """What a typed correction means, and what is odd about it, before it is sent."""
        return typed_to_answer(desk.library.sheet_numbers(sha256), number_id, text, unit)

    @router.post("/{sha256}/undo")
    def undo(sha256: Sha256InPath, sent: UndoSent) -> DecisionAnswer:
        """Take back decisions on several numbers at once, each part all or nothing; a reason is needed."""
        by = Signature(desk.signer(sent.who), sent.reason)
        targets = _parts_to_targets(sha256, sent.parts)
        return _outcomes_to_answer(desk, sha256, [desk.library.reopen(target, by) for target in targets])

    return router


def _parts_to_targets(sha256: str, parts: Sequence[NumbersOfPart]) -> list[Target]:
    return [Target(one.part_number, sha256, seen_version=one.seen_version,
                   number_ids=frozenset(one.number_ids)) for one in parts]


def _outcomes_to_answer(desk: Desk, sha256: str, outcomes: Sequence[ReviewOutcome]) -> DecisionAnswer:
    touched = {WHOLE_SERIES, *(outcome.part.part_number for outcome in outcomes)}
    numbers = (one for one in desk.library.sheet_numbers(sha256) if one.reading.part_number in touched)
    rows = tuple(row for row in desk.library.sheet_rows(sha256) if row.part_number in touched)
    decided, rejected, left = (
        tuple(one.number_id for outcome in outcomes for one in getattr(outcome, field))
        for field in ("decided", "rejected", "left"))
    return DecisionAnswer(decided, rejected, left, rows, numbers_to_rows(numbers))


def _decide(desk: Desk, sha256: str, sent: DecisionSent) -> ReviewOutcome:
    target = Target(sent.part_number, sha256, number_id=sent.number_id, seen_version=sent.seen_version)
    by = Signature(desk.signer(sent.who), sent.reason)
    if sent.action == "correct":
        return desk.library.correct(target, _sent_to_value(desk, sha256, sent), by)
    ways = {"accept": desk.library.accept, "reject": desk.library.reject, "reopen": desk.library.reopen}
    return ways[sent.action](target, by)


def _sent_to_value(desk: Desk, sha256: str, sent: DecisionSent) -> float:
    """The corrected value in SI, once it is sound or somebody is sure of it."""
    typed = sent.text or ("" if sent.value is None else repr(sent.value))
    if not typed or sent.number_id is None:
        raise InputError(sent.part_number, "a correction without a value or a number", "both")
    found = typed_to_answer(desk.library.sheet_numbers(sha256), sent.number_id, typed, sent.unit)
    if found.value is None:
        raise InputError(sent.part_number, found.odd[0])
    if found.odd and not sent.sure:
        raise HTTPException(428, f"{sent.part_number}: {found.shown} is odd: {' '.join(found.odd)} "
                                 "Say that you are sure to keep it")
    return found.value
