"""Decisions on numbers: accept, correct, reject, take back.

Comes in: what a person decided of one number or of a whole part of one sheet. Goes out: the numbers and
parts as they stand then. Decides as `holdtrip accept`, `correct`, `reject` and `reopen` do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from fastapi import APIRouter
from pydantic import BaseModel, Field

from app.web.desk import Desk
from app.web.number_rows import NumberRow, numbers_to_rows
from app.web.typed_fields import Identifier, Name, Sha256InPath, Words
from extract.errors import InputError
from extract.schema import WHOLE_SERIES
from library.records import PartRow, ReviewOutcome, Signature, Target


class DecisionSent(BaseModel):
    """A decision. Without `number_id` it is about the whole part; `value` (SI) goes with `correct`;
    `seen_version` is that of the part as it was looked at: an outdated one is refused (409)."""

    action: Literal["accept", "correct", "reject", "reopen"]
    part_number: Name
    number_id: Identifier | None = None
    value: Annotated[float | None, Field(allow_inf_nan=False)] = None
    reason: Words = ""
    who: Words = ""
    seen_version: Identifier | None = None


class PartUndone(BaseModel):
    """Numbers of one part whose decision is taken back; `seen_version` as in a decision."""

    part_number: Name
    number_ids: Annotated[list[Identifier], Field(min_length=1, max_length=100_000)]
    seen_version: Identifier | None = None


class UndoSent(BaseModel):
    """A decision, or several made at once, taken back: their numbers are undecided again."""

    parts: Annotated[list[PartUndone], Field(min_length=1, max_length=10_000)]
    reason: Words
    who: Words = ""


@dataclass(frozen=True, slots=True)
class DecisionAnswer:
    """What the decision did: identifiers of numbers decided, of competitors rejected, of disputed ones left;
    and the part and its series as they stand now."""

    decided: tuple[int, ...]
    rejected: tuple[int, ...]
    left: tuple[int, ...]
    parts: tuple[PartRow, ...]
    numbers: tuple[NumberRow, ...]


def review_router(desk: Desk) -> APIRouter:
    """The route of decisions."""
    router = APIRouter(prefix="/api/sheets", tags=["review"])

    @router.post("/{sha256}/decisions")
    def decide(sha256: Sha256InPath, sent: DecisionSent) -> DecisionAnswer:
        """Accept, correct, reject or take back; a correction and a rejection need a reason."""
        return _outcomes_to_answer(desk, sha256, (_decide(desk, sha256, sent),))

    @router.post("/{sha256}/undo")
    def undo(sha256: Sha256InPath, sent: UndoSent) -> DecisionAnswer:
        """Take back decisions on several numbers at once, each part all or nothing; a reason is needed."""
        by = Signature(desk.signer(sent.who), sent.reason)
        targets = (Target(one.part_number, sha256, seen_version=one.seen_version,
                          number_ids=frozenset(one.number_ids)) for one in sent.parts)
        return _outcomes_to_answer(desk, sha256, [desk.library.reopen(target, by) for target in targets])

    return router


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
        if sent.value is None:
            raise InputError(sent.part_number, "a correction without a value", "the right value in SI units")
        return desk.library.correct(target, sent.value, by)
    ways = {"accept": desk.library.accept, "reject": desk.library.reject, "reopen": desk.library.reopen}
    return ways[sent.action](target, by)
