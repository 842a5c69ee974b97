"""Headings of columns of sizes in one text: "A max.", "Dimensions (in) ‖ A max", "Ø fio", "W ± 0.2 (mm)".

Comes in: all heading texts over one column. Goes out: what it sizes, its letter, limits and unit; None where
a word is left that is none of these. Reads no cell.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from extract.particulars.wording import (
    is_dimension_title,
    is_other_title,
    word_to_kind,
    word_to_length_unit,
    wording,
)
from extract.schema import Kind, ParticularName
from extract.vocabulary import fold

_WORDS = re.compile(r"[^\s()\[\]/‖,:]+")
_LETTER = re.compile(r"[A-Z]\d?")


@dataclass(frozen=True, slots=True)
class SizeColumn:
    """What a column sizes; `kinds` the limits its heading names, in order; `unit` empty where it names
    none."""

    name: ParticularName
    letter: str
    kinds: tuple[Kind, ...]
    unit: str


@cache
def _phrases() -> tuple[tuple[re.Pattern[str], ParticularName], ...]:
    """Wordings of named sizes, the longest first; single letters are letters of a drawing."""
    found = [
        (fold(word), ParticularName(name))
        for name, words in wording()["dimensions"]["words"].items()
        for word in words
        if len(word) > 1
    ]
    return tuple(
        (re.compile(rf"(?<![^\W\d_]){re.escape(word)}(?![^\W\d_])"), name)
        for word, name in sorted(found, key=lambda one: -len(one[0]))
    )


def heading_to_column(heading: str) -> SizeColumn | None:
    """What a heading sizes; None if it names nothing, two things, or says a word that is unknown here."""
    named, text = _heading_to_name(heading)
    kinds: list[Kind] = []
    units: list[str] = []
    letters: list[str] = []
    for word in _WORDS.findall(text):
        kind, unit = word_to_kind(word), word_to_length_unit(word)
        if kind is not None:
            kinds.append(kind)
        elif unit is not None:
            units.append(unit)
        elif _LETTER.fullmatch(word.strip(".")):
            letters.append(word.strip("."))
        elif not (is_dimension_title(word) and not is_other_title(word)):
            return None
    if len(letters) > 1 or len(set(units)) > 1 or (named is None and not letters):
        return None
    letter = "" if named is not None else letters[0]
    return SizeColumn(named or ParticularName.DIMENSION, letter, tuple(kinds), "".join(units[:1]))


def _heading_to_name(heading: str) -> tuple[ParticularName | None, str]:
    """The size that a heading names in words, and what else it says."""
    folded = fold(heading).replace("⌀", "ø")
    if len(folded) != len(heading):
        return None, heading  # where a word stands cannot be told
    for pattern, name in _phrases():
        if (match := pattern.search(folded)) is not None:
            return name, f"{heading[: match.start()]} {heading[match.end() :]}"
    return None, heading
