"""The records of what a person answered to a question of a sheet.

Comes in: nothing. Goes out: frozen records. Settles nothing: answers.py and remembered.py do.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person said: of which file (`sha256`, and its name), to the question of this code and reach, the
    answer, who, when (ISO date), why; `learnt_from` is the other sheet where it was said, if it was."""

    sha256: str
    document: str
    code: str
    reach: str
    answer: str
    who: str
    when: str
    because: str = ""
    learnt_from: str = ""


@dataclass(frozen=True, slots=True)
class Remembered:
    """An answer of a team: `answer` as it was given on its sheet; the house it holds for (empty: that sheet
    only); the series it is limited to (the beginning of part numbers; empty: all); the words that stood over
    its columns."""

    answer: Answer
    house: str = ""
    series: str = ""
    words: tuple[str, ...] = ()
