"""What people answered to the questions of sheets, remembered for later sheets of the same house.

Comes in: Remembered answers, signatures. Goes out: those in force, numbered. An answer that is edited or
taken back is replaced, never altered. Does not read sheets and settles nothing: extract.remembered does.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import Connection, insert, select, update

from extract.asked import Answer, Remembered
from extract.errors import InputError
from holdtrip.library.history import SAID_AT, add_change, holds_at, inserted_id, text_to_time, version_at
from holdtrip.library.records import Action, Signature
from holdtrip.library.tables import answer, change

_FIELDS = ("code", "reach", "answer", "document", "learnt_from", "sha256")


@dataclass(frozen=True, slots=True)
class StoredAnswer:
    """A remembered answer of this library; `answer_id` names it, `at` is when it was said."""

    answer_id: int
    remembered: Remembered
    at: datetime


def add_answer(connection: Connection, one: Remembered, by: Signature) -> int:
    """Remember an answer and return its identifier; an earlier one to the same question of the same sheet is
    replaced."""
    said = one.answer
    version = add_change(connection, Action.ANSWER, by)
    connection.execute(
        update(answer).values(replaced_by=version)
        .where(answer.c.sha256 == said.sha256, answer.c.code == said.code, answer.c.reach == said.reach,
               answer.c.replaced_by.is_(None)))
    return _insert(connection, one, version)


def edit_answer(connection: Connection, answer_id: int, edited: Remembered, by: Signature) -> int:
    """Put an edited answer in the place of one in force, and return its identifier."""
    _named(connection, answer_id)
    version = add_change(connection, Action.EDIT_ANSWER, by)
    connection.execute(update(answer).values(replaced_by=version).where(answer.c.id == answer_id))
    return _insert(connection, edited, version)


def forget_answer(connection: Connection, answer_id: int, by: Signature) -> StoredAnswer:
    """Take an answer back; what was read by it stays as it is until the sheet is read again."""
    found = _named(connection, answer_id)
    version = add_change(connection, Action.FORGET_ANSWER, by)
    connection.execute(update(answer).values(replaced_by=version).where(answer.c.id == answer_id))
    return found


def take_in_answers(connection: Connection, given: Iterable[Remembered]) -> int:
    """Remember what another team answered, signed and dated as there; what is known stays. Returns how many
    were new."""
    known = {_question(one.remembered) for one in connection_to_answers(connection, version_at(connection))}
    news = [one for one in given if _question(one) not in known]
    for one in news:
        said = one.answer
        add_answer(connection, one, Signature(said.who, said.because, _day_to_time(said)))
    return len(news)


def connection_to_answers(connection: Connection, version: int) -> tuple[StoredAnswer, ...]:
    """The answers in force at a version, oldest first."""
    query = (
        select(answer.c.id, answer.c.house, answer.c.series, answer.c.words,
               *(answer.c[name] for name in _FIELDS), change.c.who, SAID_AT, change.c.reason)
        .join(change, change.c.id == answer.c.change_id).where(holds_at(answer, version))
        .order_by(answer.c.id))
    found = []
    for answer_id, house, series, words, code, reach, said, document, learnt_from, sha256, who, at, why in (
            connection.execute(query)):
        when = text_to_time(at)
        one = Answer(sha256, document, code, reach, said, who, when.date().isoformat(), why, learnt_from)
        found.append(StoredAnswer(answer_id, Remembered(one, house, series, tuple(json.loads(words))), when))
    return tuple(found)


def answer_with(one: Remembered, said: str | None, house: str | None, series: str | None) -> Remembered:
    """An answer edited: what is None stays."""
    return Remembered(
        replace(one.answer, answer=one.answer.answer if said is None else said),
        one.house if house is None else house, one.series if series is None else series, one.words)


def _insert(connection: Connection, one: Remembered, version: int) -> int:
    said = one.answer
    return inserted_id(connection, insert(answer).values(
        change_id=version, house=one.house, series=one.series, words=json.dumps(one.words),
        **{name: getattr(said, name) for name in _FIELDS}))


def _named(connection: Connection, answer_id: int) -> StoredAnswer:
    known = connection_to_answers(connection, version_at(connection))
    found = next((one for one in known if one.answer_id == answer_id), None)
    if found is None:
        have = ", ".join(str(one.answer_id) for one in known) or "none"
        raise InputError("library", f"no answer {answer_id}", f"one of {have}",
                         "`holdtrip answers` lists them")
    return found


def _question(one: Remembered) -> tuple[str, ...]:
    said = one.answer
    return said.sha256, said.code, said.reach, said.answer, one.house, one.series


def _day_to_time(said: Answer) -> datetime:
    """When it was said, for a file that gives the day or the time."""
    try:
        time = datetime.fromisoformat(said.when)
    except ValueError:
        raise InputError(f"answer on {said.document}", f"the time '{said.when}'",
                         "a date such as 2030-01-31") from None
    return time if time.tzinfo is not None else time.astimezone()
