"""Recognised words of headings held against the trade's vocabulary.

Comes in: a recognised line, what the second recogniser reads there. Goes out: the line with words that are
one or two letters off a known one set right, and which they were, if the line says something else by them.
Changes letters only, never a number; a word so set right is evidence, not proof: numbers below it are single
at best, unless the second recogniser reads it so.

    Powor -> Power      lhold -> Ihold      OC in a row of temperatures -> 0°C, if both then read a zero
    Ia 20 °C -> la 20 °C
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from extract.scans.doubts import DEGREES
from extract.scans.recognisers import SeenLine
from extract.vocabulary import fold, known_words, scan

SHORT, LONG = 5, 9  # letters: a shorter word is too like others; a longer one may be two letters off
LEVEL = 0.5  # of a line's height: middles of one row differ less
FEW = 2  # other temperatures make a row of temperatures
_WORD = re.compile(r"[^\W\d_]{5,}")
_SYMBOL = re.compile(r"(?<!\w)[l|](?![aeiou](?!\w))(?=[A-Za-z]{1,4}(?!\w))")  # la, le, il are words
_PREPOSITION = re.compile(r"(?<!\w)Ia(?= ?\d)")
_ZERO = re.compile(r"[OoQ] ?[°º˚]? ?[C℃]")


def line_to_known(line: SeenLine, second: Sequence[str]) -> tuple[str, tuple[str, ...]]:
    """A line's text with known words, and the words that only likeness to the vocabulary bears out."""
    taken: list[str] = []

    def known(found: re.Match[str]) -> str:
        word = found[0]
        other = word_to_known(word.lower())
        if not other or any(word.lower() in fold(text) for text in second):
            return word  # read so twice, it is printed so
        if not any(other in fold(text) for text in second):
            taken.append(word)
        return other.upper() if word.isupper() else other.capitalize() if word[0].isupper() else other

    text = _with_symbols(line.text)
    changed = _WORD.sub(known, text)
    return changed, tuple(taken) if _to_senses(changed) != _to_senses(text) else ()


def _to_senses(text: str) -> set[tuple[str, str]]:
    """What a text says in the trade's words."""
    return {(hit.sense, hit.name) for hit in scan(fold(text))}


@lru_cache(maxsize=4096)
def word_to_known(word: str) -> str:
    """The one known word that an unknown one is a letter or two off; empty where there is none, or two."""
    words = known_words()
    if len(word) < SHORT or word in words or scan(word):
        return ""
    off = 1 if len(word) < LONG else 2
    near = process.extract(word, words, scorer=Levenshtein.distance, score_cutoff=off, limit=4)
    near = [one for one in near if one[1] == near[0][1]]
    likely = [str(other) for other, *_ in near if other[0] == word[0] and not _is_another_form(word, other)]
    return likely[0] if len(near) == len(likely) == 1 else ""


def _is_another_form(word: str, other: str) -> bool:
    """Whether two words differ by their ending only: "devices" is no misread "device"."""
    return word.startswith(other) or other.startswith(word)


def _with_symbols(text: str) -> str:
    """I for a small L or a bar before letters that make a known symbol with it: they are printed
    alike. Before a number it is the other way round: "la 20 °C" says where, no current."""

    def symbol(found: re.Match[str]) -> str:
        word = re.match(r"\w+", text[found.end() :])
        known = word is not None and scan(fold(f"I{word[0]}")) and not scan(fold(f"l{word[0]}"))
        return "I" if known else found[0]

    return _SYMBOL.sub(symbol, _PREPOSITION.sub("la", text))


def lines_with_zero_degrees(lines: Sequence[SeenLine]) -> list[SeenLine]:
    """The lines with 0°C for OC in a row of other temperatures."""
    warm = [line for line in lines if DEGREES.fullmatch(line.text.strip())]
    return [
        replace(line, text="0°C")
        if _ZERO.fullmatch(line.text.strip()) and sum(_is_level(line, other) for other in warm) >= FEW
        else line
        for line in lines
    ]


def _is_level(line: SeenLine, other: SeenLine) -> bool:
    (_, top, _, bottom), (_, above, _, below) = line.box, other.box
    return abs(top + bottom - above - below) / 2 < LEVEL * (bottom - top)
