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

LONG_STEM = 4
"""Variants of one part share so many letters and digits, digits among them."""
TITLES = 2
"""So many lines may stand between a list and the table it stands above."""
SEVERAL = 2


@dataclass(frozen=True, slots=True)
class Listed:
    """Names listed above a table, in the order of the sheet: empty if no list stands there; `alike` if they
    differ in letters behind the same digits only; `headed` if the list says that it is one of parts."""

    names: tuple[str, ...]
    alike: bool
    headed: bool


NOTHING_LISTED = Listed((), False, False)


def lines_to_listed(lines: Sequence[str]) -> Listed:
    """The list of parts right above a table: a part to a line, or all in one line."""
    for skipped in range(min(TITLES, len(lines)) + 1):
        above = lines[skipped:]
        named = list(itertools.takewhile(_begins_with_a_name, above))
        if len(named) >= SEVERAL:
            head = above[len(named)] if len(named) < len(above) else ""
            return _names_to_listed([line.split()[0] for line in reversed(named)], _says_part(head))
        codes = CODE.findall(above[0]) if above else []
        if len(codes) >= SEVERAL:
            return _names_to_listed(codes, _says_part(above[0]))
    return NOTHING_LISTED


def _begins_with_a_name(line: str) -> bool:
    """Whether a line is a name with something beside it."""
    words = line.split()
    return len(words) > 1 and may_name_a_part(words[0]) and bool(re.search(r"[^\W\d_]{2}", words[0]))


def _names_to_listed(texts: Sequence[str], headed: bool) -> Listed:
    names = tuple(dict.fromkeys(map(text_to_name, texts)))
    keys = [name_to_key(name) for name in names]
    letters = itertools.takewhile(lambda place: len(set(place)) == 1, zip(*keys, strict=False))
    stem = "".join(place[0] for place in letters)
    if len(names) < SEVERAL or len(stem) < LONG_STEM or not re.search(r"\d", stem):
        return NOTHING_LISTED
    return Listed(names, all(key[len(stem) :].isalpha() or key == stem for key in keys), headed)


def _says_part(text: str) -> bool:
    return says_part(text) and not says_order(text)
