"""The questions a sheet asks a person: its numbered causes, each with what may be answered by one key.

Comes in: stored numbers of one sheet. Goes out: questions in plain words, the numbers that hang on each, the
answers with what they would make of the first number. The causes are those of extract.causes; a contradiction
is asked value by value, whatever else its numbers are doubted for: only the page tells which one is right.
Decides nothing.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from extract.answers import sheet_to_answered
from extract.asked import Answer
from extract.causes import sheet_to_causes
from extract.schema import Cause, Reading, SheetReading
from holdtrip.library.records import StoredNumber
from holdtrip.numbers import KINDS, NAMES, condition_to_text, value_to_text
from holdtrip.web.plain_reasons import note_to_words, notes_to_reasons

ONE_BY_ONE = "contradiction"


@dataclass(frozen=True, slots=True)
class PossibleAnswer:
    """What may be said to a cause: the answer as `holdtrip answer` takes it, in words, and what it would make
    of the first number."""

    answer: str
    words: str
    makes: str


@dataclass(frozen=True, slots=True)
class ReviewCause:
    """A question. `number`, `code` and `reach` are those of the cause; `sort` is values (one number, several
    values: one of them is taken) or answers; `title` asks, `about` says of what, `reasons` are sentences,
    `number_ids` are its numbers in printed order."""

    cause_id: int
    number: int
    code: str
    reach: str
    sort: str
    title: str
    about: str
    reasons: tuple[str, ...]
    parts: tuple[str, ...]
    pages: tuple[int, ...]
    number_ids: tuple[int, ...]
    answers: tuple[PossibleAnswer, ...]


def numbers_to_causes(numbers: Iterable[StoredNumber]) -> tuple[ReviewCause, ...]:
    """Every disputed number in exactly one question, in the order of the causes."""
    listed = tuple(numbers)
    caused = readings_to_sheet(tuple(one.reading for one in listed))
    causes = {cause.number: cause for cause in caused.causes}
    groups: dict[object, list[StoredNumber]] = {}
    asked: dict[object, Cause] = {}
    rivals = {_slot(reading) for reading in caused.readings
              if reading.cause and causes[reading.cause].code == ONE_BY_ONE}
    for one, reading in zip(listed, caused.readings, strict=True):
        if reading.cause:
            cause = causes[reading.cause]
            key = slot if (slot := _slot(reading)) in rivals else cause.number
            groups.setdefault(key, []).append(one)
            asked.setdefault(key, cause)
    order = sorted(groups, key=lambda key: asked[key].number)
    return tuple(_to_question(number, asked[key], sorted(groups[key], key=_printed_order))
                 for number, key in enumerate(order, 1))


def readings_to_sheet(readings: Sequence[Reading]) -> SheetReading:
    """Readings of one stored sheet with their causes; nothing else of the sheet."""
    first = readings[0] if readings else None
    sheet = SheetReading(first.document if first else "", first.sha256 if first else "", 0, (), "",
                         tuple(readings), (), ())
    return sheet_to_causes(sheet)


def _slot(reading: Reading) -> object:
    """What competing values are values of, wherever on the sheet they stand."""
    return (reading.part_number, reading.quantity, reading.kind, reading.ambient_c, reading.test_current_a)


def _printed_order(one: StoredNumber) -> tuple[float, ...]:
    place = one.reading.place
    return place.page, place.top, place.x0, one.number_id


def _to_question(cause_id: int, cause: Cause, group: list[StoredNumber]) -> ReviewCause:
    parts = tuple(dict.fromkeys(one.reading.part_number for one in group))
    pages = tuple(sorted({one.reading.place.page for one in group}))
    is_choice = len({_slot(one.reading) for one in group}) == 1 and len(
        {one.reading.value for one in group}) > 1
    title = _values_title(group) if is_choice else cause.question
    answers = () if is_choice else tuple(_to_answers(cause, group[0].reading))
    return ReviewCause(
        cause_id, cause.number, cause.code, cause.reach, "values" if is_choice else "answers", title,
        _about(group, parts), _reasons(group), parts, pages, tuple(one.number_id for one in group), answers)


def _reasons(group: list[StoredNumber]) -> tuple[str, ...]:
    """Why, in sentences; what tells values apart stands before what the pictures show anyway."""
    notes = dict.fromkeys(note for one in group for note in notes_to_reasons(one.reading.notes))
    listed = sorted(notes, key=lambda note: note.startswith("the sheet prints") or "both given as" in note)
    more = (f"And {len(listed) - 4} more like these.",) if len(listed) > 5 else ()
    return (*map(note_to_words, listed[:4] if more else listed), *more)


def _about(group: list[StoredNumber], parts: tuple[str, ...]) -> str:
    names = dict.fromkeys(_name(one.reading) for one in group)
    of = "the whole series" if parts == ("*",) else parts[0] if len(parts) == 1 else f"{len(parts)} parts"
    if len(group) > 1:
        return f"{', '.join(names)} of {of}"
    reading = group[0].reading
    what = " ".join(filter(None, (_name(reading), condition_to_text(reading))))
    return f"{what} of {of}: {value_to_text(reading.quantity, reading.value)}"


def _values_title(group: list[StoredNumber]) -> str:
    first = group[0].reading
    what = " ".join(filter(None, (_name(first), condition_to_text(first))))
    values = dict.fromkeys(value_to_text(one.reading.quantity, one.reading.value) for one in group)
    return f"{what[:1].upper()}{what[1:]}: {' or '.join(values)}?"


def _to_answers(cause: Cause, first: Reading) -> Iterator[PossibleAnswer]:
    """Each answer with what it makes of the first number, found by giving it."""
    alone = readings_to_sheet((first,))
    for answer in cause.answers:
        said = Answer(first.sha256, first.document, cause.code, cause.reach, answer, "", "")
        made = sheet_to_answered(alone, (said,)).readings
        yield PossibleAnswer(answer, answer_to_words(answer), _makes(first, made[0] if made else None))


def _makes(first: Reading, made: Reading | None) -> str:
    if made is None:
        return "left out, as if not read"
    what = " ".join(filter(None, (_name(made), condition_to_text(made))))
    return f"“{first.raw}” is {what} {value_to_text(made.quantity, made.value)}, read once"


def _name(reading: Reading) -> str:
    """The quantity, and whether it is a least, typical or largest one, of AC or of DC."""
    return f"{NAMES[reading.quantity]} {KINDS[reading.kind]}".strip()


def answer_to_words(answer: str) -> str:
    """An answer in the words of a button."""
    table = _words()
    what, _, value = answer.partition(":")
    return table.get(answer, table.get(what, answer)).replace("%", value)


@cache
def _words() -> dict[str, str]:
    text = (files("holdtrip.web") / "answer_words.toml").read_text(encoding="utf-8")
    return {str(answer): str(words) for answer, words in tomllib.loads(text)["words"].items()}
