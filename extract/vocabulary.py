"""The trade's words: vocabulary.toml, compiled once into a phrase scanner and unit tables.

Comes in: vocabulary.toml. Goes out: `scan`, which finds the known wordings in a heading, and
`spelling_to_unit`. Does not decide what a column means: headings.py does.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from functools import cache, lru_cache
from importlib.resources import files
from itertools import accumulate
from typing import Any

from extract.schema import Kind, Quantity

_JOINTS = frozenset(" \t\n_.-/,:")
_WORD_LETTERS = frozenset("abcdefghijklmnopqrstuvwxyzäöüß0123456789")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as the trade writes it: `name` (mA), SI `base` (A) and the exact factor to it."""

    name: str
    base: str
    factor: Decimal


@dataclass(frozen=True, slots=True)
class Hit:
    """A known wording found in a text: what it stands for and where (start, end) it stands.

    `sense` is quantity, kind, test_current, time, derating, part_number, text or other;
    `name` the quantity, kind or text name; `kind` the kind a resistance symbol carries.
    """

    sense: str
    name: str
    kind: Kind
    start: int
    end: int


def fold(text: str) -> str:
    """Lower case, compatibility forms unified; ohm, micro, degree and minus signs made one."""
    if text.isascii():
        text = text.lower()
    else:
        text = unicodedata.normalize("NFKC", text.translate(_FOLDED)).lower().translate(_FOLDED)
        text = re.sub("(?<=\u00b0)( ?)\u0441", r"\1c", text)  # a Cyrillic letter behind the degree sign
    if "deg" in text or "(cid:" in text:
        # "deg C", and the degree sign of a font that does not say what its characters are
        text = re.sub(r"\bdeg\.?\s?(?=c\b)|(?<=\d)\s?\(cid:\d+\)\s?(?=c\b)", "\u00b0", text)
    return text


_DASHES = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\u207b\u02d7\u0336\u00ad\ufe58\ufe63\uff0d"
_DEGREES = "\u00ba\u02da\u2218\u309c"
_OHMS = "\u03a9\u2126"
_FOLDED = {
    **{ord(dash): "-" for dash in _DASHES},
    **{ord(degree): "\u00b0" for degree in _DEGREES},
    **{ord(ohm): "\u03c9" for ohm in _OHMS},
    0xB5: "\u03bc",
    0xA0: " ",
}


@cache
def vocabulary() -> dict[str, Any]:
    """The TOML as read."""
    return tomllib.loads((files("extract") / "vocabulary.toml").read_text(encoding="utf-8"))


@cache
def foreign_words(group: str) -> re.Pattern[str]:
    """The words of one list of [foreign], whole ones where the script parts words."""
    words = vocabulary()["foreign"][group]
    return re.compile("|".join(rf"(?<![a-zäöüß]){re.escape(word)}(?![a-zäöüß])" for word in words))


@cache
def any_of(group: str) -> str:
    """The words of one list of [wording], as alternatives of a pattern on folded text."""
    return "|".join(re.escape(word) for word in vocabulary()["wording"][group])


@cache
def absent_texts() -> frozenset[str]:
    """Folded cell texts that mean "no number"."""
    return frozenset(fold(text) for text in vocabulary()["absent"]["texts"])


@cache
def unit_spellings() -> dict[str, Unit]:
    """Folded spelling without blanks -> unit."""
    table: dict[str, Unit] = {}
    for name, entry in vocabulary()["unit"].items():
        unit = Unit(name, entry["base"], Decimal(entry["factor"]))
        for spelling in entry["spellings"]:
            table[_squeeze(spelling)] = unit
    return table


def spelling_to_unit(text: str) -> Unit | None:
    """The unit a text spells, or None. Blanks, full stops and brackets do not matter."""
    return unit_spellings().get(_squeeze(text))


def _squeeze(text: str) -> str:
    return re.sub(r"[\s.()\[\]{}]", "", fold(text))


def _meanings() -> list[tuple[str, str, str, Kind]]:
    """(phrase, sense, name, kind) of every wording in the file."""
    words = vocabulary()
    rows: list[tuple[str, str, str, Kind]] = []
    for quantity, entry in words["quantity"].items():
        rows += [(word, "quantity", quantity, Kind.NONE) for word in entry["words"]]
        for kind in (Kind.MIN, Kind.TYP, Kind.MAX, Kind.POST_TRIP_MAX):
            rows += [(word, "quantity", quantity, kind) for word in entry.get(kind.value, ())]
    for kind, phrases in words["kind"].items():
        rows += [(word, "kind", kind, Kind(kind)) for word in phrases]
    for sense in ("test_current", "time", "derating", "part_number", "limit", "other"):
        rows += [(word, sense, sense, Kind.NONE) for word in words[sense]["words"]]
    for kind in (Kind.AC, Kind.DC):
        rows += [(word, "limit", "limit", kind) for word in words["limit"][kind.value]]
    for name, entry in words["text"].items():
        rows += [(word, "text", name, Kind.NONE) for word in entry["words"]]
    return rows


@cache
def known_words() -> tuple[str, ...]:
    """Every folded word of letters that stands in a wording of the file."""
    phrases = (fold(phrase) for phrase, *_ in _meanings())
    return tuple(sorted({word for phrase in phrases for word in re.findall(r"[^\W\d_]+", phrase)}))


@dataclass(frozen=True, slots=True)
class _Phrase:
    """A wording ready for matching: its letters without blanks, the places where blanks, full stops,
    hyphens and the like may stand, whether it must be a word of its own, and what it stands for."""

    letters: str
    joints: frozenset[int]
    is_word: bool
    senses: tuple[tuple[str, str, Kind], ...]


@cache
def _phrases() -> dict[str, tuple[_Phrase, ...]]:
    """First letter -> the wordings that begin with it, longest first."""
    senses: dict[str, list[tuple[str, str, Kind]]] = {}
    for phrase, sense, name, kind in _meanings():
        senses.setdefault(fold(phrase), []).append((sense, name, kind))
    by_letter: dict[str, list[_Phrase]] = {}
    for text in sorted(senses, key=lambda phrase: (-len(phrase), phrase)):
        tokens = text.replace("-", " ").split()
        joints = frozenset(accumulate(len(token) for token in tokens[:-1]))
        is_word = text.isascii() or re.search(r"[a-zäöüßé]", text) is not None
        by_letter.setdefault(tokens[0][0], []).append(
            _Phrase("".join(tokens), joints, is_word, tuple(senses[text]))
        )
    return {letter: tuple(phrases) for letter, phrases in by_letter.items()}


@lru_cache(maxsize=4096)
def scan(text: str) -> tuple[Hit, ...]:
    """Every known wording in a folded text, leftmost first, longest first, without overlaps.

    A wording with several senses gives one hit for each, at the same place.
    """
    hits: list[Hit] = []
    start = 0
    while start < len(text):
        found = _phrase_at(text, start)
        if found is None:
            start += 1
            continue
        phrase, end = found
        hits += [Hit(sense, name, kind, start, end) for sense, name, kind in phrase.senses]
        start = end
    return tuple(hits)


def _phrase_at(text: str, start: int) -> tuple[_Phrase, int] | None:
    """The longest wording that begins at a place, and where it ends."""
    begins_word = start == 0 or not _is_word_letter(text[start - 1])
    for phrase in _phrases().get(text[start], ()):
        if phrase.is_word and not begins_word:
            continue
        end = _phrase_end(text, start, phrase)
        if end is None or (phrase.is_word and end < len(text) and _is_word_letter(text[end])):
            continue
        return phrase, end
    return None


def _is_word_letter(letter: str) -> bool:
    """Whether a letter goes on a word of the Latin script, accents and all: "při" does not end in "i"."""
    return letter in _WORD_LETTERS or ("\u00c0" <= letter < "\u0250" and letter.isalpha())


def _phrase_end(text: str, start: int, phrase: _Phrase) -> int | None:
    place = start
    for number, letter in enumerate(phrase.letters):
        if number in phrase.joints:
            while place < len(text) and text[place] in _JOINTS:
                place += 1
        if place >= len(text) or text[place] != letter:
            return None
        place += 1
    return place


def unit_of_quantity(quantity: Quantity) -> str:
    """SI unit name of a quantity's own scale; ratios have "1"."""
    entry = vocabulary()["quantity"].get(quantity.value)
    return str(entry["unit"]) if entry else "1"
