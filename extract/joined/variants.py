"""The variants of one part, listed above a table of ratings that names none: they share its numbers.

Comes in: the texts above a table, nearest first. Goes out: the names of the variants. Reads no table.

    Part number | Packing | Leads
    TQ-050B       bulk      straight       one and the same digits, other letters behind them
    TQ-050T       taped     straight
    Hold current | 0.50 | A
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.joined.part_names import (
    CODE,
    may_name_a_part,
    name_to_key,
    says_order,
    says_part,
    text_to_name,
)
from extract.joined.rival_names import says_not_own
from extract.meanings.words import priors, text_to_hits
from extract.vocabulary import fold

LONG_STEM = 4
"""Variants of one part share so many letters and digits, digits among them."""
TITLES = 2
"""So many lines may stand between a list and the table it stands above."""
SEVERAL = 2
FEWEST = 50
"""Parts are packed by multiples of this; a size such as 1206 is none."""


@dataclass(frozen=True, slots=True)
class Listed:
    """Names listed above a table, in the order of the sheet: empty if no list stands there; `alike` if they
    differ in letters behind the same digits only; `sure` if the list says that it is one of parts, and
    nothing in it or below it may rate one of them apart."""

    names: tuple[str, ...]
    alike: bool
    sure: bool


NOTHING_LISTED = Listed((), False, False)


def lines_to_listed(lines: Sequence[str]) -> Listed:
    """The list of parts right above a table: a part to a line, or all in one line."""
    for skipped in range(min(TITLES, len(lines)) + 1):
        above = lines[skipped:]
        named = list(itertools.takewhile(_begins_with_a_name, above))
        if len(named) >= SEVERAL:
            head = above[len(named)] if len(named) < len(above) else ""
            names = [line.split()[0] for line in reversed(named)]
            quantities = any(hit.sense == "quantity" for hit in text_to_hits(head))
            rated = quantities or says_not_own(head) or any(map(_may_rate, named))
            return _names_to_listed(names, _says_part(head) and not rated, lines[:skipped])
        codes = CODE.findall(above[0]) if above else []
        if len(codes) >= SEVERAL:
            return _names_to_listed(codes, _is_list(above[0]), lines[:skipped])
    return NOTHING_LISTED


def _begins_with_a_name(line: str) -> bool:
    """Whether a line is a name with something beside it."""
    words = line.split()
    return len(words) > 1 and may_name_a_part(words[0]) and bool(re.search(r"[^\W\d_]{2}", words[0]))


def _names_to_listed(texts: Sequence[str], sure: bool, titles: Sequence[str]) -> Listed:
    """The names of a list; not sure below it where a title names one of them."""
    names = tuple(dict.fromkeys(map(text_to_name, texts)))
    keys = [name_to_key(name) for name in names]
    letters = itertools.takewhile(lambda place: len(set(place)) == 1, zip(*keys, strict=False))
    stem = "".join(place[0] for place in letters)
    if len(names) < SEVERAL or len(stem) < LONG_STEM or not re.search(r"\d", stem):
        return NOTHING_LISTED
    titled = any(stem in name_to_key(title) for title in titles)
    alike = all(key[len(stem) :].isalpha() or key == stem for key in keys)
    return Listed(names, alike, sure and not titled)


_SIZE = re.compile(r"(?<![\w.,-])\d+(?:[.,]\d+)?\s*(?:mm|inch|in\.|pcs|stk|шт)(?!\w)")


_THOUSANDS = re.compile(r"(?<=\d)[,. ](?=\d{3}(?!\d))")


def _may_rate(line: str) -> bool:
    """Whether a line of a list may tell its part apart by more than packing, its count and leads: "TQ-050B
    60 V", "TQ-050B not released"."""
    rest = _SIZE.sub(" ", fold(line.split(" ", 1)[1]))
    naming = priors()["naming"]
    words = set(re.findall(r"[^\W_]+", _THOUSANDS.sub("", rest))) - set(naming["joins"])
    counts = {word for word in words if word.isdecimal() and int(word) >= FEWEST and int(word) % FEWEST == 0}
    return any(not word.startswith(tuple(naming["packing"])) for word in words - counts)


def _is_list(text: str) -> bool:
    """Whether a line says that it lists parts, and no more: any further word may tell them apart."""
    rest = fold(CODE.sub(" ", text))
    for hit in sorted(text_to_hits(rest), key=lambda hit: -hit.start):
        rest = rest[: hit.start] + " " + rest[hit.end :] if hit.sense == "part_number" else rest
    return _says_part(text) and set(re.findall(r"[^\W_]+", rest)) <= set(priors()["naming"]["joins"])


def _says_part(text: str) -> bool:
    return says_part(text) and not says_order(text)
