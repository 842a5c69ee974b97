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
from functools import cache
from importlib.resources import files
from typing import Any

from extract.schema import Kind, Quantity

_JOINT = r"[\s_.\-‐‑/,:]*"


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
    """Lower case, compatibility forms unified, ohm and micro signs and minus signs made one."""
    text = unicodedata.normalize("NFKC", text.translate(_FOLDED)).lower()
    return text.translate(_FOLDED)


_DASHES = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\u207b\u02d7\u00ad\ufe58\ufe63\uff0d"
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


def _phrase_to_pattern(phrase: str) -> str:
    body = _JOINT.join(re.escape(token) for token in fold(phrase).replace("-", " ").split())
    if phrase.isascii() or re.search(r"[a-zäöüßé]", fold(phrase)):
        return rf"(?<![a-zäöüß0-9])(?:{body})(?![a-zäöüß0-9])"
    return body


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
    for sense in ("test_current", "time", "derating", "part_number", "other"):
        rows += [(word, sense, sense, Kind.NONE) for word in words[sense]["words"]]
    for name, entry in words["text"].items():
        rows += [(word, "text", name, Kind.NONE) for word in entry["words"]]
    return rows


@cache
def _scanner() -> tuple[re.Pattern[str], dict[str, list[tuple[str, str, Kind]]]]:
    by_phrase: dict[str, list[tuple[str, str, Kind]]] = {}
    for phrase, sense, name, kind in _meanings():
        by_phrase.setdefault(fold(phrase), []).append((sense, name, kind))
    longest_first = sorted(by_phrase, key=lambda phrase: (-len(phrase), phrase))
    groups = [f"(?P<p{number}>{_phrase_to_pattern(phrase)})" for number, phrase in enumerate(longest_first)]
    senses = {f"p{number}": by_phrase[phrase] for number, phrase in enumerate(longest_first)}
    return re.compile("|".join(groups)), senses


def scan(text: str) -> tuple[Hit, ...]:
    """Every known wording in a folded text, leftmost first, longest first, without overlaps.

    A wording with several senses gives one hit for each, at the same place.
    """
    pattern, senses = _scanner()
    hits: list[Hit] = []
    for match in pattern.finditer(text):
        group = match.lastgroup
        if group is not None:
            hits += [
                Hit(sense, name, kind, match.start(), match.end()) for sense, name, kind in senses[group]
            ]
    return tuple(hits)


def unit_of_quantity(quantity: Quantity) -> str:
    """SI unit name of a quantity's own scale; ratios have "1"."""
    entry = vocabulary()["quantity"].get(quantity.value)
    return str(entry["unit"]) if entry else "1"
