"""Decisions on numbers: accept, correct, reject, take back.

Comes in: what a person decided of one number or of a whole part of one sheet. Goes out: the numbers and
parts as they stand then. Decides as `holdtrip accept`, `correct`, `reject` and `reopen` do.
"""

from __future__ import annotations

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
        outcome = _decide(desk, sha256, sent)
        touched = (outcome.part.part_number, WHOLE_SERIES)
        numbers = (one for one in desk.library.sheet_numbers(sha256) if one.reading.part_number in touched)
        rows = tuple(row for row in desk.library.sheet_rows(sha256) if row.part_number in touched)
        return DecisionAnswer(
            tuple(one.number_id for one in outcome.decided), tuple(one.number_id for one in outcome.rejected),
            tuple(one.number_id for one in outcome.left), rows, numbers_to_rows(numbers))

    return router


def _decide(desk: Desk, sha256: str, sent: DecisionSent) -> ReviewOutcome:
    target = Target(sent.part_number, sha256, number_id=sent.number_id, seen_version=sent.seen_version)
    by = Signature(desk.signer(sent.who), sent.reason)
    if sent.action == "correct":
        if sent.value is None:
            raise InputError(sent.part_number, "a correction without a value", "the right value in SI units")
        return desk.library.correct(target, sent.value, by)
    ways = {"accept": desk.library.accept, "reject": desk.library.reject, "reopen": desk.library.reopen}
    return ways[sent.action](target, by)
