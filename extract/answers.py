"""Answers to the questions of a sheet: one answer settles all readings of its cause, and can be taken back.

Comes in: a sheet with its causes, answers that a person gave, or a file of them. Goes out: the sheet as
answered. A number read by an answer is single at best: a person saw the column, not the digits. The checks
look again; where they object, the number is disputed as before. Answers are of one file, by its SHA-256.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from typing import Any

from extract.account.fates import SLACK_PT
from extract.asked import Answer, Remembered
from extract.causes import (
    COLUMN_BY_COLUMN,
    code_is_known,
    doubt_to_code,
    reading_to_doubts,
    reading_to_key,
    sheet_to_causes,
)
from extract.checked_sheet import sheet_to_checked
from extract.contradictions import TWO_COLUMNS as TWO
from extract.contradictions import mark_contradictions, reading_to_slot
from extract.errors import InputError
from extract.schema import (
    AccountRow,
    Cause,
    Fate,
    Kind,
    Quantity,
    Reading,
    SheetReading,
    Status,
)

FORMAT = "holdtrip answers 1"
BY_ANSWER = "by your answer"
CONFIRMED = "by your answer the sheet prints it so"
BY_COLUMN = "asked column by column"
CHECK, CONTRADICTION, TWO_COLUMNS = "check", "contradiction", "two-columns"
MOST_ROUNDS = 4
LEFT_OUT = "left_out"
OF_A_COLUMN = frozenset({"typical-time", "two-columns", "column", "meaning", "which-resistance", "heading"})
"""Questions about what a column holds: who answers one of them has seen the column and its heading."""
_UNITS = {"mA": 1e-3, "mΩ": 1e-3, "ms": 1e-3, "mW": 1e-3}


PRINTED_TWICE = "printed_twice_and_different"
FREED = f"{BY_ANSWER} to another question: the value that contradicted it does not count"


def cause_to_answer(sheet: SheetReading, number: int, said: str, signed: tuple[str, str, str]) -> Answer:
    """An answer to a numbered cause of a sheet; `signed`: who, when, why. Raises InputError for a number or
    an answer that there is not."""
    cause = next((cause for cause in sheet.causes if cause.number == number), None)
    if cause is None:
        have = ", ".join(str(cause.number) for cause in sheet.causes) or "none: nothing is in doubt"
        raise InputError(
            sheet.document, f"no question {number}", f"one of {have}", "`holdtrip read` shows the questions"
        )
    if said not in cause.answers:
        have = ", ".join(cause.answers)
        raise InputError(f"{sheet.document}, question {number}", f"the answer '{said}'", have)
    return Answer(sheet.sha256, sheet.document, cause.code, cause.reach, said, *signed)


def sheet_to_answered(sheet: SheetReading, answers: Iterable[Answer]) -> SheetReading:
    """The sheet with answers applied, checked again, and its questions numbered anew."""
    own = {(a.code, a.reach): a for a in answers if a.sha256 == sheet.sha256}
    for _ in range(MOST_ROUNDS if own else 0):  # an answer may lead to a question that was answered too
        before, sheet = sheet, _answered_once(sheet, own)
        if sheet.readings == before.readings:
            break
    return sheet


def _answered_once(sheet: SheetReading, own: Mapping[tuple[str, str], Answer]) -> SheetReading:
    possible = {(cause.code, cause.reach): cause.answers for cause in sheet.causes}
    own = {key: one for key, one in own.items() if one.answer in possible.get(key, ())}
    found = [done for r in sheet.readings if (done := _reading_to_answered(r, own)) is not None]
    # Two values that were both called right are a question again.
    settled = mark_contradictions(_without_gone_values(sheet.readings, _without_doubles(found)))
    checked = sheet_to_checked(replace(sheet, readings=settled))
    readings = tuple(
        before if CONFIRMED in before.notes else after
        for before, after in zip(settled, checked.readings, strict=True)
    )
    answered = sheet_to_causes(replace(checked, readings=readings))
    return replace(answered, account=tuple(_row_to_refated(row, answered) for row in sheet.account))


def _without_doubles(readings: list[Reading]) -> list[Reading]:
    """Of one printed number that two readers kept, one as AC or DC and one without a kind, the former."""
    told = {(r.place, r.part_number, r.quantity, r.value) for r in readings if r.kind in (Kind.AC, Kind.DC)}
    return [
        r
        for r in readings
        if r.kind is not Kind.NONE or (r.place, r.part_number, r.quantity, r.value) not in told
    ]


def _without_gone_values(before: Iterable[Reading], found: list[Reading]) -> list[Reading]:
    """Numbers that were contradicted only by what an answer left out, or called another thing, are not any
    more: each was read once."""
    rivals, left = _slots_to_values(before), _slots_to_values(found)

    def freed(reading: Reading) -> Reading:
        slot = reading_to_slot(reading)
        if reading.status is not Status.DISPUTED or len(rivals.get(slot, ())) < 2 or len(left[slot]) > 1:
            return reading
        doubts = reading_to_doubts(reading)
        gone = [doubt for doubt in doubts if doubt == PRINTED_TWICE or doubt_to_code(doubt) == CONTRADICTION]
        if not gone:
            return reading  # no doubt of it was that value
        notes = (*(note for note in reading.notes if note not in gone), FREED)
        still = len(gone) < len(doubts)
        return replace(reading, notes=notes, status=Status.DISPUTED if still else Status.SINGLE, cause=0)

    return [freed(reading) for reading in found]


def _slots_to_values(readings: Iterable[Reading]) -> dict[tuple[object, ...], set[float]]:
    """The values of each number."""
    values: dict[tuple[object, ...], set[float]] = {}
    for reading in readings:
        values.setdefault(reading_to_slot(reading), set()).add(reading.value)
    return values


def _reading_to_answered(reading: Reading, answers: Mapping[tuple[str, str], Answer]) -> Reading | None:
    """A reading after the answer to its cause; None if it is left out. Doubts of another cause stay; those of
    the checks are judged anew, unless the answer was to them."""
    key = reading_to_key(reading) if reading.status is Status.DISPUTED else ("", "")
    answer = answers.get(key)
    if answer is None:
        return reading
    on = f" on {answer.learnt_from}" if answer.learnt_from else ""
    told = f"{BY_ANSWER} of {answer.when}{on}: {answer.answer}"
    if answer.answer == COLUMN_BY_COLUMN:
        return replace(reading, notes=(*reading.notes, told, BY_COLUMN), cause=0)
    said = _of_its_side(reading, answer.answer)
    if said == "leave-out":
        return None
    doubts = {doubt: doubt_to_code(doubt) for doubt in reading_to_doubts(reading)}
    settled = {answer.code, CHECK, *(OF_A_COLUMN if answer.code in OF_A_COLUMN else ())}
    settled |= {CONTRADICTION} if answer.code == TWO_COLUMNS else set()
    still = [doubt for doubt, code in doubts.items() if code not in settled]
    remarks = [note for note in reading.notes if note not in doubts]
    confirmed = [CONFIRMED] if answer.code == CHECK else []
    status = Status.DISPUTED if still else Status.SINGLE
    notes = (*remarks, *still, told, *confirmed)
    return replace(_changed(reading, said), status=status, notes=notes, cause=0)


def _of_its_side(reading: Reading, answer: str) -> str:
    """What an answer about two columns says of the one in which a number stands; any other as it is."""
    what, _, both = answer.partition(":")
    if what != "columns":
        return answer
    left, _, right = both.partition("/")
    mine = left if any(note == f"the left{TWO}" for note in reading.notes) else right
    return mine if mine in ("as-read", "leave-out") else f"kind:{mine}"


def _row_to_refated(row: AccountRow, sheet: SheetReading) -> AccountRow:
    """A doubted number of the account after the answers: read, still in doubt, or left out."""
    if row.fate is not Fate.DOUBTED:
        return row
    x, y = row.place.mid_x, row.place.mid_y
    over = [
        r
        for r in sheet.readings
        if r.place.page == row.place.page
        and r.place.x0 - SLACK_PT <= x <= r.place.x1 + SLACK_PT
        and r.place.top - SLACK_PT <= y <= r.place.bottom + SLACK_PT
    ]
    if not over:
        return AccountRow(row.place, row.raw, Fate.NOT_READ, LEFT_OUT)
    disputed = next((r for r in over if r.status is Status.DISPUTED), None)
    fate = Fate.DOUBTED if disputed is not None else Fate.READ
    return AccountRow(row.place, row.raw, fate, "", disputed.cause if disputed is not None else 0)


def _changed(reading: Reading, answer: str) -> Reading:
    """What an answer makes of a reading besides settling it: a unit, a quantity, a kind, an ambient."""
    what, _, value = answer.partition(":")
    match what:
        case "unit":
            return replace(reading, value=float(f"{reading.value * _UNITS[value]:.12g}"), unit=value)
        case "quantity":
            return replace(reading, quantity=Quantity(value))
        case "kind":
            return replace(reading, kind=Kind("" if value == "none" else value))
        case "ambient":
            return replace(reading, ambient_c=float(value))
        case _:
            return reading


def write_answers(answers: Iterable[Remembered], path: Path) -> int:
    """Write answers as JSON, for `read_answers` and for another team; returns how many."""
    listed = [
        asdict(one.answer) | {"house": one.house, "series": one.series, "words": list(one.words)}
        for one in answers
    ]
    text = json.dumps({"format": FORMAT, "answers": listed}, ensure_ascii=False, indent=1)
    path.write_text(text + "\n", encoding="utf-8")
    return len(listed)


def read_answers(path: Path) -> tuple[Remembered, ...]:
    """Read a file of answers. Raises InputError if it is none, or one of its answers is not whole."""
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
        if not isinstance(found, dict) or found.get("format") != FORMAT:
            raise ValueError("another format")
        return tuple(_object_to_answer(one) for one in found["answers"])
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise InputError(
            str(path),
            f"no file of answers ({error})",
            f'JSON with "format": "{FORMAT}"',
            "`holdtrip answer` and `holdtrip answers --export` write one",
        ) from error


def _object_to_answer(one: dict[str, Any]) -> Remembered:
    """One answer of a file. Raises ValueError or TypeError for what is missing, unknown or no text."""
    words = one.pop("words", [])
    house, series = one.pop("house", ""), one.pop("series", "")
    texts = [*one.values(), *words, house, series]
    if not isinstance(words, list) or not all(isinstance(text, str) for text in texts):
        raise ValueError("an answer is made of texts")
    answer = Answer(**one)
    date.fromisoformat(answer.when[:10])
    if not code_is_known(answer.code):
        raise ValueError(f"no question is called '{answer.code}'")
    return Remembered(answer, house, series, tuple(words))


def cause_of(sheet: SheetReading, answer: Answer) -> Cause | None:
    """The cause of a sheet that an answer would settle, or None."""
    return next((c for c in sheet.causes if (c.code, c.reach) == (answer.code, answer.reach)), None)
