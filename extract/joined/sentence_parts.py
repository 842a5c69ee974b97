"""Which parts a sentence speaks of, and where it names them.

Comes in: a folded sentence, the parts it may speak of. Goes out: places of part numbers and of words, and the
parts of a series that it names. Gives no value to any of them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from extract.joined.part_names import label_to_parts, letters_of
from extract.meanings.words import priors
from extract.vocabulary import fold

OPEN, OPEN_REACH = ("up", "down", "up_to"), 24
_MARKS = re.compile(r"(?<=[\s(（])(\*+|[†‡§]|[¹²³⁴-⁹])(?=[\s:：)）,])")
Names = Sequence[tuple[int, str]]
"""Where a text names a part, and the part."""


@dataclass(frozen=True, slots=True)
class Scope:
    """Of which parts a sentence speaks that names none: `parts`; the labels as printed of each part; whether
    it is the caption of their table, or they are one series."""

    parts: tuple[str, ...]
    labels: dict[str, str]
    whole: bool


def names_in(folded: str, scope: Scope) -> Names:
    """Where a text names parts: whole, the parts between two that a word of a range joins, those that bear a
    mark that it names."""
    found: list[tuple[int, int, str]] = []
    for part in sorted(scope.parts, key=len, reverse=True):
        for match in re.finditer(rf"(?<![\w-]){re.escape(fold(part))}(?![\w-]|/\d)", folded):
            if not any(start <= match.start() < end for start, end, _ in found):
                found.append((match.start(), match.end(), part))
    found.sort()
    through = "|".join(map(re.escape, map(fold, priors()["ranges"]["through"])))
    names = [(start, part) for start, _, part in found]
    for (start, end, one), (start_2, _, other) in pairwise(found):
        if re.fullmatch(rf"\s*(?:{through}|…|\.\.\.|~|–|—|\s-\s)\s*", folded[end:start_2]):
            low, high = scope.parts.index(one), scope.parts.index(other)
            names += [(start, part) for part in scope.parts[low + 1 : high]]
    names += [one for start, end, part in found for one in _open_range(folded, start, end, part, scope)]
    if not names:
        for mark in _MARKS.finditer(folded):
            own = [part for part in scope.parts if mark[1] in scope.labels.get(part, "")]
            names += [(mark.start(), part) for part in own]
    return names


def _open_range(folded: str, start: int, end: int, part: str, scope: Scope) -> list[tuple[int, str]]:
    """The parts before a name behind "up to", or from a name on before "and larger", of its series."""
    before, behind = folded[max(0, start - OPEN_REACH) : start], folded[end : end + OPEN_REACH]
    words = {name: "|".join(map(re.escape, map(fold, priors()["ranges"][name]))) for name in OPEN}
    place = scope.parts.index(part)
    up_to = re.search(rf"(?<![^\W\d_])(?:{words['up_to']})\s+$", before)
    if up_to or re.match(rf"\s*(?:{words['down']})(?!\w)", behind):
        listed = scope.parts[:place]
    elif re.match(rf"\s*(?:{words['up']})(?!\w)", behind):
        listed = scope.parts[place + 1 :]
    else:
        return []
    return [(start, other) for other in listed if letters_of(other) == letters_of(part)]


def place_of(folded: str, group: str) -> int | None:
    """Where the first word of a group begins."""
    places = []
    for word in map(fold, priors()["scope"][group]):
        alone = rf"(?<![^\W\d_]){re.escape(word)}(?![^\W\d_])" if re.match(r"[a-zà-ɏа-я]", word) else word
        places += [match.start() for match in re.finditer(alone, folded)]
    return min(places, default=None)


def scope_of(text: str, folded: str, names: Names, scope: Scope) -> tuple[str, ...]:
    """The parts that a sentence speaks of: those of a series that it names ("all TQ60 types"), else all."""
    rest = folded
    for part in sorted({part for _, part in names}, key=len, reverse=True):
        rest = rest.replace(fold(part), " ")
    codes = re.findall(r"(?<![\w-])[A-Z]{1,5}\d{2,4}(?![\w-])|(?<![\w-])[A-Z]{2,5}(?=-)", text)
    for code in codes:
        if fold(code) in rest:
            own = label_to_parts(code, scope.parts).names
            if own and len(own) < len(scope.parts) and {part for _, part in names} <= set(own):
                return own
    return scope.parts
