"""How many questions a person is asked, and what comes of the answers: a script that knows the truth answers.

    python bench/answering.py FOLDER TRUTH [--remember] [--without PATTERN] [--complete]

Reads every PDF of FOLDER and answers each question as somebody would who sees the page: with the answer under
which no number of the question is wrong and most are right; where none is, column by column, then number by
number. With --remember what was answered on a sheet is used for those behind it. --without takes every
wording that the pattern finds out of the vocabulary first: a language that holdtrip does not know. Goes out:
questions of each sheet, numbers decided by hand, entries right and silently wrong before and after. Ends
with 1 if any is silently wrong after the answers.
"""

from __future__ import annotations

import argparse
import re
import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.accuracy import all_truth
from bench.scoring import (
    AC_OR_DC,
    SILENTLY_WRONG,
    Outcome,
    Value,
    by_key,
    judge,
    reading_value,
    same,
    sum_line,
    versions_line,
)
from extract.answers import sheet_to_answered
from extract.asked import Answer, Remembered
from extract.causes import COLUMN_BY_COLUMN, sheet_to_causes
from extract.errors import InputError
from extract.remembered import answer_to_remembered, sheet_to_remembered
from extract.schema import Cause, Kind, Place, Reading, SheetReading, Status

MOST_QUESTIONS = 40


def forget_words(pattern: str) -> None:
    """Take the wordings that a pattern finds out of the vocabulary of this process."""
    from extract.vocabulary import vocabulary

    def forgotten(held: Any) -> Any:
        if isinstance(held, dict):
            return {key: forgotten(value) for key, value in held.items()}
        if isinstance(held, list):
            return [one for one in held if not (isinstance(one, str) and re.search(pattern, one))]
        return held

    if pattern:
        words = vocabulary()
        left = forgotten(dict(words))
        words.clear()
        words.update(left)


def read_one(path: Path, pattern: str) -> tuple[str, SheetReading | None, str]:
    """Name, reading and error of one sheet."""
    from extract.sheet import ReadOptions, read_sheet

    forget_words(pattern)
    try:
        return path.name, read_sheet(path, ReadOptions(witness_process=False)), ""
    except InputError as error:
        return path.name, None, str(error)


class Person:
    """Somebody who sees the page: knows of each reading whether it stands there."""

    def __init__(self, truth: list[Value]) -> None:
        self._true = by_key(truth)

    def is_right(self, reading: Reading) -> bool:
        """Whether the sheet prints this number for this part and condition."""
        value = reading_value(reading)
        keys = [value.key]
        if reading.quantity in AC_OR_DC:  # as scoring.by_key: of one kind alone it does not matter which
            keys.append((*value.key[:2], Kind.NONE, *value.key[3:]))
        return any(same(one.number, value.number) for key in keys for one in self._true.get(key, ()))

    def says(self, sheet: SheetReading, cause: Cause) -> str:
        """The answer that leaves no number of the question wrong and most right; empty if there is none."""
        places = {(r.place, r.part_number) for r in sheet.readings if r.cause == cause.number}
        best, most = "", -1
        for said in cause.answers:
            kept = _at(_answered(sheet, cause, said), places)
            right = self._right(kept)
            if all(map(self.is_right, kept)) and right > most:
                best, most = said, right
        lost = self._right([r for r in sheet.readings if r.cause == cause.number]) - most
        split = COLUMN_BY_COLUMN if COLUMN_BY_COLUMN in cause.answers else ""
        return split if lost > 0 else best

    def _right(self, readings: list[Reading]) -> int:
        """How many printed numbers are right; one that two readers gave counts once."""
        return len({(r.place, r.part_number, r.quantity, r.value) for r in readings if self.is_right(r)})


def _at(sheet: SheetReading, places: set[tuple[Place, str]]) -> list[Reading]:
    return [r for r in sheet.readings if (r.place, r.part_number) in places]


def _count_by_hand(sheet: SheetReading, cause: Cause) -> int:
    """How many questions a cause is that no answer settles: of contradictions, one for each number that has
    several values, as the page asks them."""
    own = [r for r in sheet.readings if r.cause == cause.number]
    slots = {(r.part_number, r.quantity, r.kind, r.ambient_c, r.test_current_a) for r in own}
    return len(slots) if cause.code == "contradiction" else 1


def _answer(sheet: SheetReading, cause: Cause, said: str) -> Answer:
    return Answer(sheet.sha256, sheet.document, cause.code, cause.reach, said, "bench", "2030-01-01")


def _answered(sheet: SheetReading, cause: Cause, said: str) -> SheetReading:
    return sheet_to_answered(sheet, [_answer(sheet, cause, said)])


def by_hand(sheet: SheetReading, cause: Cause, person: Person) -> SheetReading:
    """The sheet with each number of a question accepted or rejected by itself."""
    readings = [replace(r, status=Status.ACCEPTED) if r.cause == cause.number else r for r in sheet.readings
                if r.cause != cause.number or person.is_right(r)]
    return sheet_to_causes(replace(sheet, readings=tuple(readings)))


@dataclass(frozen=True, slots=True)
class Story:
    """What came of a sheet: questions as read, asked, answered from memory; numbers decided by hand."""

    sheet: SheetReading
    before: int
    remembered: int
    asked: int
    by_hand: int
    answers: tuple[Remembered, ...]


def sheet_to_story(sheet: SheetReading, person: Person, known: list[Remembered]) -> Story:
    """Ask until nothing is asked any more."""
    before = len(sheet.causes)
    sheet, uses = sheet_to_remembered(sheet, known)
    asked = hands = 0
    given: list[Remembered] = []
    while sheet.causes and asked < MOST_QUESTIONS:
        # What columns are is asked before which of two values is right: that may answer itself.
        cause = min(sheet.causes, key=lambda one: one.code == "contradiction")
        asked += 1
        said = person.says(sheet, cause)
        if said:
            answer = _answer(sheet, cause, said)
            given.append(answer_to_remembered(sheet, answer, sheet.house))
            after = sheet_to_answered(sheet, [answer])
            if after.readings != sheet.readings and (cause.code, cause.reach) not in [
                    (one.code, one.reach) for one in after.causes]:
                sheet = after
                continue
        asked += _count_by_hand(sheet, cause) - 1
        hands += cause.count
        sheet = by_hand(sheet, cause, person)
    used = sum(not use.objection for use in uses)
    return Story(sheet, before, used, asked, hands, tuple(given))


def main() -> int:
    """Read, answer, print."""
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("folder", type=Path)
    parser.add_argument("truth", type=Path)
    parser.add_argument("--remember", action="store_true", help="use answers for the sheets behind")
    parser.add_argument("--without", default="", help="take wordings out of the vocabulary")
    parser.add_argument("--complete", action="store_true", help="the truth lists all that the sheets say")
    options = parser.parse_args()
    truth = all_truth(options.truth)
    paths = [path for path in sorted(options.folder.glob("*.pdf")) if path.name in truth]
    with ProcessPoolExecutor() as pool:
        read = list(pool.map(partial(read_one, pattern=options.without), paths))
    print(versions_line())
    print(f"{'document':24}{'questions':>10}{'known':>7}{'asked':>7}{'by hand':>9}{'right':>8}{'silent':>8}")
    before, after, stories = [], [], []
    known: list[Remembered] = []
    for document, sheet, error in read:
        first = judge(truth[document], map(reading_value, sheet.readings if sheet else ()), options.complete)
        before += first
        if sheet is None:
            print(f"{document}: {error}")
            after += first
            continue
        story = sheet_to_story(sheet, Person(truth[document]), known)
        known += story.answers if options.remember else ()
        stories.append(story)
        found = judge(truth[document], map(reading_value, story.sheet.readings), options.complete)
        after += found
        right = sum(one.outcome is Outcome.RIGHT for one in found)
        silent = sum(one.outcome in SILENTLY_WRONG for one in found)
        print(f"{document:24}{story.before:10}{story.remembered:7}{story.asked:7}{story.by_hand:9}"
              f"{right / max(1, len(found)):8.3f}{silent:8}")
    asked = sorted(story.asked for story in stories)
    few = sum(count <= 3 for count in asked)
    print(f"as read:  {sum_line(before)}\nanswered: {sum_line(after)}")
    print(f"questions asked: {sum(asked)} on {len(asked)} sheets, at most {max(asked, default=0)};"
          f" at most 3 on {few} of {len(asked)}; numbers decided by hand {sum(s.by_hand for s in stories)}")
    return int(any(one.outcome in SILENTLY_WRONG for one in after))


if __name__ == "__main__":
    raise SystemExit(main())
