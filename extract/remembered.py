"""Answers that a team remembers, used for later sheets of the same house: nobody is asked twice.

Comes in: a sheet with its questions, what is remembered. Goes out: the sheet with every question answered
that was answered before, for the same house, under the same words. Such a number has the standing of that
answer: read once. Where the checks, units or trends object to one of its numbers, the answer is not used and
the question is asked. Answers about single digits or one very sheet are never used for another.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from extract.answers import sheet_to_answered
from extract.asked import Answer, Remembered
from extract.causes import COLUMN_BY_COLUMN, code_is_remembered, doubt_to_code, reading_to_doubts
from extract.house import names_house
from extract.schema import (
    WHOLE_SERIES,
    Cause,
    Finding,
    Place,
    Severity,
    SheetReading,
    Status,
)

NOT_USED = "answer-not-used"
MOST_ROUNDS = 8
_OBJECTIONS = frozenset({"check", "contradiction"})


@dataclass(frozen=True, slots=True)
class Use:
    """A question of a sheet that a remembered answer settled, or would have but for an objection."""

    remembered: Remembered
    cause: Cause
    objection: str = ""


def answer_to_remembered(sheet: SheetReading, answer: Answer, house: str, series: str = "") -> Remembered:
    """What is remembered of an answer to a question of a sheet; of one about digits, or about columns
    without words over them, for this sheet only."""
    cause = next(c for c in sheet.causes if (c.code, c.reach) == (answer.code, answer.reach))
    if not code_is_remembered(answer.code) or not _all_worded(cause):
        return Remembered(answer)
    return Remembered(answer, house, series, cause.words)


def sheet_to_remembered(
    sheet: SheetReading, known: Sequence[Remembered]
) -> tuple[SheetReading, tuple[Use, ...]]:
    """The sheet with what was answered on it, then with what is remembered of its house; and each use."""
    sheet = sheet_to_answered(sheet, [one.answer for one in known])
    uses: list[Use] = []
    refused: set[tuple[str, str]] = set()
    for _ in range(MOST_ROUNDS):
        found = _next_match(sheet, known, refused)
        if found is None:
            break
        cause, one = found
        answered = _with_answer(sheet, cause, one)
        objection = _objection(sheet, answered, cause)
        uses.append(Use(one, cause, objection))
        if objection:
            refused.add((cause.code, cause.reach))
        else:
            sheet = answered
    objected = tuple(_use_to_finding(sheet, use) for use in uses if use.objection)
    return replace(sheet, findings=(*sheet.findings, *objected)), tuple(uses)


def _next_match(
    sheet: SheetReading, known: Sequence[Remembered], refused: set[tuple[str, str]]
) -> tuple[Cause, Remembered] | None:
    """The first question that is remembered, and the latest answer to it."""
    for cause in sheet.causes:
        if (cause.code, cause.reach) in refused:
            continue
        fitting = [one for one in known if _fits(sheet, cause, one)]
        if fitting:
            return cause, max(fitting, key=lambda one: one.answer.when)
    return None


def _fits(sheet: SheetReading, cause: Cause, one: Remembered) -> bool:
    """Whether it is the same question of the same house, under words that were seen then."""
    said = one.answer
    if said.code != cause.code or said.sha256 == sheet.sha256 or said.answer not in cause.answers:
        return False
    if not one.house or not code_is_remembered(cause.code) or not names_house(sheet.edges, one.house):
        return False
    own = {r.part_number for r in sheet.readings if r.cause == cause.number} - {WHOLE_SERIES}
    if one.series and not all(number.casefold().startswith(one.series.casefold()) for number in own):
        return False
    return _all_worded(cause) and set(cause.words) <= set(one.words)


def _all_worded(cause: Cause) -> bool:
    """Whether words stand over each column of a question: without them none is known again."""
    return bool(cause.words) and not any(words.endswith(": ") for words in cause.words)


def _with_answer(sheet: SheetReading, cause: Cause, one: Remembered) -> SheetReading:
    said = one.answer
    own = replace(
        said,
        sha256=sheet.sha256,
        document=sheet.document,
        reach=cause.reach,
        learnt_from=said.learnt_from or said.document,
    )
    return sheet_to_answered(sheet, [own])


def _objection(before: SheetReading, after: SheetReading, cause: Cause) -> str:
    """What speaks against an answer among the numbers it settles; empty if nothing does."""
    places = {_slot_place(r.place) for r in before.readings if r.cause == cause.number}
    for reading in after.readings:
        if reading.status is Status.DISPUTED and _slot_place(reading.place) in places:
            for doubt in reading_to_doubts(reading):
                if doubt_to_code(doubt) in _OBJECTIONS:
                    return f"{reading.part_number}: {doubt}"
    return ""


def _slot_place(place: Place) -> tuple[int, float, float]:
    return place.page, place.x0, place.top


def _use_to_finding(sheet: SheetReading, use: Use) -> Finding:
    said = use.remembered.answer
    return Finding(
        NOT_USED,
        Severity.DOUBT,
        f"the answer of {said.when} on {said.learnt_from or said.document} ({said.answer}) was not used:"
        f" {use.objection}",
        found=use.cause.question,
        expected="numbers that no check objects to",
        document=sheet.document,
        place=use.cause.place,
    )


def uses_to_lines(uses: Iterable[Use]) -> list[str]:
    """Each use in a sentence: how many numbers, because of whose answer, when, on which sheet."""
    lines = []
    for use in uses:
        if use.remembered.answer.answer == COLUMN_BY_COLUMN and not use.objection:
            continue  # it settles nothing: the answers for each column are told
        said = use.remembered.answer
        by = f"{said.who}'s answer of {said.when} on {said.learnt_from or said.document} ({said.answer})"
        numbers = f"{use.cause.count} number{'s' if use.cause.count > 1 else ''}"
        if use.objection:
            lines.append(f"{numbers} not read by {by}: {use.objection}")
        else:
            lines.append(f"{numbers} read so because of {by}")
    return lines
