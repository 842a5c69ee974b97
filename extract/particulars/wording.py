"""The words of wording.toml, ready to be asked.

Comes in: wording.toml. Goes out: labels, kinds, units and names of sizes. Reads no page.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from extract.schema import Kind, ParticularName
from extract.vocabulary import fold

_BRACKETED_IN = re.compile(r"[(\[/]\s*in\.?\s*[)\]/]")  # "Dimensions in mm" names no inches


@dataclass(frozen=True, slots=True)
class Label:
    """A wording of a line, what it names, what sort of value follows, and what it must not stand beside."""

    wording: str
    name: ParticularName
    value: str
    never: tuple[str, ...]
    pattern: re.Pattern[str]


@cache
def wording() -> dict[str, Any]:
    """The parsed file."""
    return tomllib.loads(files("extract").joinpath("particulars/wording.toml").read_text(encoding="utf-8"))


@cache
def labels() -> tuple[Label, ...]:
    """All labels of lines, the longest wording first."""
    found = [
        Label(
            fold(text),
            ParticularName(name),
            rule["value"],
            tuple(map(fold, rule["never"])),
            re.compile(r"\s*".join(map(re.escape, fold(text).split()))),
        )
        for name, rule in wording()["lines"].items()
        for text in rule["labels"]
    ]
    return tuple(sorted(found, key=lambda label: -len(label.wording)))


def text_to_labels(folded: str) -> tuple[Label, ...]:
    """The labels a folded text begins with, after numbering: of one name the longest; two names where one
    wording ("operating and storage temperature") names both."""
    text = re.sub(r"^[^\w]*(?:\d+(?:\.\d+)*[.)]?\s+)?", "", folded)
    found = [label for label in labels() if label.pattern.match(text)]
    longest = max((len(label.wording) for label in found), default=0)
    return tuple(label for label in found if len(label.wording) == longest)


@cache
def _by_word(group: str) -> dict[str, str]:
    return {fold(word): name for name, words in wording()["dimensions"][group].items() for word in words}


def word_to_kind(word: str) -> Kind | None:
    """Which limit a word of a heading names."""
    name = _by_word("kinds").get(_bare(word))
    return Kind(name) if name is not None else None


def word_to_length_unit(word: str) -> str | None:
    """mm or in, where a word is a unit of length."""
    return _by_word("units").get(_bare(word))


def text_to_length_units(text: str) -> list[str]:
    """The units of length that a title names, in order; "in" only where brackets show it is a unit."""
    words = [
        word
        for word in re.split(r"[\s()/\[\],:]+", text)
        if word and (word != "in" or _BRACKETED_IN.search(text))
    ]
    return [unit for word in words if (unit := word_to_length_unit(word)) is not None]


def word_to_size(word: str) -> tuple[ParticularName, str] | None:
    """What a heading of a size names: a named size, or the letter of a drawing with that letter."""
    bare = word.strip("().: ")
    named = _by_word("words").get(fold(bare))
    if named is not None and (len(bare) > 1 or bare.isupper()):
        return ParticularName(named), ""
    if len(bare) == 1 and bare in wording()["dimensions"]["letters"]:
        return ParticularName.DIMENSION, bare
    return None


def is_dimension_title(text: str) -> bool:
    """Whether a line announces sizes of the part, not of its tape, reel or pads."""
    folded, rules = fold(text), wording()["dimensions"]
    return any(word in folded for word in rules["titles"]) and not is_other_title(text)


def is_other_title(text: str) -> bool:
    """Whether a line speaks of tape, reel, pads or packing."""
    folded = fold(text)
    return any(word in folded for word in wording()["dimensions"]["not_titles"])


def _bare(word: str) -> str:
    return fold(word).strip("().,:[] ")


def text_to_stem(text: str) -> str:
    """A part number or a part of one without blanks, signs and capitals, to compare it with others."""
    return re.sub(r"[^0-9a-z]+", "", text.lower())
