"""What of a text is not explained: a rule that takes a number from words is sure only if nothing is left.

Comes in: a text, which known wordings explain it, how many values it may hold. Goes out: the rest of the
text. Does not read the values.

    All types: Vmax 30 V                         nothing is left
    All types: Vmax 30 V (16 V for the 110)      "16 v 110"
    Not all types reach Vmax 30 V                "not reach"
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Collection, Iterable
from functools import cache
from importlib.resources import files

from extract.meanings.words import text_to_hits
from extract.reference import is_room_of_a_column
from extract.vocabulary import Unit, fold, spelling_to_unit, vocabulary

_MARKS = re.compile(r"[⁰¹²³⁴-⁹ᵃᵇᶜ*†‡§①-⑳■◆●▪•]")
_VALUE = re.compile(r"(?<![\w.,])(\d+(?:[.,]\d+)?)\s*([^\W\d_]+\.?[^\W\d_]?\.?|ω)")
_TEMPERATURE = re.compile(r"(?:@|ta\s*=|t\s*=)?\s*(?<![\d.,+-])(\d{2})(?:\s*±\s*\d)?\s*(?:°\s*c?|℃)(?![a-z])")
_TABLE = "|".join(map(re.escape, vocabulary()["titles"]["table"]))
_NUMBERED = re.compile(
    rf"\W*(?:(?:{_TABLE})\.?\s*\d+(?:\.\d+)*|\d+(?:\.\d+)*\s?[.):]"
    r"|\(?[a-z\d]\)|[一二三四五六七八九十]、|(?:note|nota|anm\.?|uwaga|pozn\.?|注|註)\s?\d*\s?[:：.)])"
)
_AS_ALWAYS = re.compile(
    r"\(?(?:unless|except where|sauf|salvo|außer|ausser|除)\s*(?:otherwise|indication|mention|divers|indicaci"
    r"|especific|indicat|wo anders|wenn anders|另有|特に)[^).;,]{0,30}\)?"
)
_UNIT = re.compile(r"[(\[]\s*([^()\[\]\d]{1,9})\s*[)\]]|,\s*([^\s()\d]{1,5})$|\bin\s+([^\s()\d]{1,9})$")
_TOKEN = re.compile(r"[^\W\d_]+|\d+(?:[.,]\d+)?|%")
_MEGA = re.compile(r"\s*[MМ]\s?(?:[Ωω\u2126]|[Oo]hm|[Оо]м)")
SUPPLIES = ("ac", "dc", "cc", "ca", "rms")


@cache
def _words(group: str, *lists: str) -> frozenset[str]:
    """The folded words of some lists of a group of plain.toml, of all where none is named."""
    entry = tomllib.loads((files("extract.meanings") / "plain.toml").read_text(encoding="utf-8"))[group]
    return frozenset(
        fold(word) for name, words in entry.items() if not lists or name in lists for word in words
    )


def text_to_left_over(
    text: str, explained: Collection[str], values: int = 0, names: Iterable[str] = ()
) -> str:
    """What is left of a text without its number or mark, wordings whose sense or name is `explained`, so many
    values with units, room temperatures, plain words and these part names; empty if all is explained."""
    for name in sorted(names, key=len, reverse=True):
        text = text.replace(name, " ")
    text = unicodedata.normalize("NFKC", _MARKS.sub(" ", text))
    folded = _AS_ALWAYS.sub(lambda m: " " * len(m[0]), fold(text))
    rest = list(folded)
    spans = [match.span() for match in list(filter(_base, _VALUE.finditer(folded)))[:values]]
    parted = list(folded)
    for start, end in spans:
        parted[start:end] = "#" * (end - start)  # the V of "60 V Imax" begins no symbol
    hits = text_to_hits("".join(parted))
    spans += [(hit.start, hit.end) for hit in hits if {hit.sense, hit.name} & set(explained)]
    spans += [m.span() for m in _TEMPERATURE.finditer(folded) if is_room_of_a_column(float(m[1]))]
    spans += [m.span() for m in _UNIT.finditer(text) if _is_unit(m[1] or m[2] or m[3])]
    numbered = _NUMBERED.match(folded)
    for start, end in (*spans, *([numbered.span()] if numbered else [])):
        rest[start:end] = " " * (end - start)
    return " ".join(filter(None, map(_token_to_left_over, _TOKEN.findall("".join(rest)))))


def text_to_values(text: str) -> list[str]:
    """The base of the unit of each value in a text: "60 V, 1.5 kA" holds V and A."""
    found = (_base(match) for match in _VALUE.finditer(fold(_MARKS.sub(" ", text))))
    return [base for base in found if base]


def text_to_quantities(text: str) -> list[tuple[int, int, float, str, str]]:
    """Each value with a unit in a folded text: where it begins and ends, its number in base units, the base
    and the unit as it stands there."""
    found = []
    for match in _VALUE.finditer(text):
        unit = _unit(match)
        if unit is not None:
            value = float(match[1].replace(",", ".")) * float(unit.factor)
            found.append((match.start(), match.end(), value, unit.base, match[2]))
    return found


def _base(match: re.Match[str]) -> str:
    """The base of the unit behind a number; empty where none stands."""
    unit = _unit(match)
    return unit.base if unit is not None else ""


def _unit(match: re.Match[str]) -> Unit | None:
    """The unit behind a number, perhaps with its supply: "60 Vdc"."""
    unit = match[2].replace(".", "")
    stems = [unit, *(unit.removesuffix(supply) for supply in SUPPLIES if unit.endswith(supply))]
    units = (spelling_to_unit(stem) for stem in stems if stem)
    return next((found for found in units if found is not None), None)


def _is_unit(text: str) -> bool:
    """Whether a text spells a unit for sure: a large M before ohms may be mega."""
    return spelling_to_unit(text) is not None and _MEGA.match(text) is None


def _token_to_left_over(token: str) -> str:
    """A word without what is plain; words of scripts without blanks are taken apart."""
    if token in _words("plain"):
        return ""
    if token.isascii() or re.search(r"[a-zà-ɏа-яіїєґ]", token):
        return token
    for word in sorted(_words("plain"), key=len, reverse=True):
        if not word.isascii():
            token = token.replace(word, "")
    return token


def text_hedges(text: str) -> bool:
    """Whether a text holds a word that says that it is of something else: "formerly", "not", "tested at"."""
    return _holds_any(_AS_ALWAYS.sub(" ", fold(text)), _words("hedged"))


def title_hedges(title: str) -> bool:
    """Whether the title of a table tells of another time or part, or of an exception; "at other ambient
    temperatures" is none."""
    return _holds_any(_AS_ALWAYS.sub(" ", fold(title)), _words("hedged", "another", "exceptions"))


def heading_hedges(head: str) -> bool:
    """Whether a heading tells of another time, part or kind beside its known wordings: "Trip time of former
    types"."""
    folded = fold(head)
    rest = list(folded)
    for hit in text_to_hits(folded):
        rest[hit.start : hit.end] = " " * (hit.end - hit.start)
    return _holds_any("".join(rest), _words("hedged", "another"))


def _holds_any(folded: str, words: frozenset[str]) -> bool:
    """Whether a text holds one of some words, whole where their script parts words."""
    tokens = set(re.findall(r"[^\W\d_]+(?:-[^\W\d_]+)*", folded))
    letters = (word for word in words if not re.search(r"[a-zà-ɏа-яіїєґ]", word))
    return bool(tokens & words) or any(word in folded for word in letters)
