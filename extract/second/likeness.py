"""How alike two headings are, however they are cut into words and lines.

Comes in: the texts of the headings of a page. Goes out: for words seen over a value, which of the headings
they are most like. Knows no vocabulary: letters and digits only.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import lru_cache

from extract.vocabulary import fold

SHINGLES = (2, 3)  # so many signs side by side
NUMBER = 3.0  # a whole number weighs as much as so many of them
BESIDE = 0.5  # what stands in the same phrase but not over the value counts so much
UNSEEN = 0.05  # what a heading says besides: spanning texts stand over other columns
_NUMBER = re.compile(r"-?\d+")


@lru_cache(maxsize=8192)
def text_to_signs(text: str) -> frozenset[str]:
    """Two and three letters or digits side by side, and whole numbers: "R1 max" and "R1max" have the same."""
    plain = re.sub(r"[^\w%°-]|_", "", fold(text))
    shingles = {plain[i : i + n] for n in SHINGLES for i in range(len(plain) - n + 1)} or {plain} - {""}
    return frozenset({*shingles, *("#" + number for number in _NUMBER.findall(fold(text)))})


Window = tuple[Sequence[str], Sequence[str]]
"""Words over a value, and words of the same phrases beside them."""


class Headings:
    """The different headings of a page; what all of them say weighs little."""

    def __init__(self, texts: Iterable[str]) -> None:
        self._signs = {text: text_to_signs(text) for text in dict.fromkeys(texts)}
        self._counts = Counter(sign for signs in self._signs.values() for sign in signs)

    def likenesses(self, over: Sequence[str], beside: Sequence[str] = ()) -> dict[str, float]:
        """Heading -> how like it is, from 0 to 1, to the words over a value."""
        return {text: like for text, (_, like) in self._told(over, beside).items()}

    def each_at_best(self, windows: Iterable[Window]) -> dict[str, dict[str, float]]:
        """Heading -> the likenesses of all headings to those of the given words that say most of it and least
        besides."""
        told = [self._told(*window) for window in windows]
        best = {text: max((one[text][0], index) for index, one in enumerate(told))[1] for text in self._signs}
        return {text: {t: like for t, (_, like) in told[index].items()} for text, index in best.items()}

    def _told(self, over: Sequence[str], beside: Sequence[str]) -> dict[str, tuple[float, float]]:
        """Heading -> what words say of it less what they say besides, and how like it is to them."""
        seen, near = text_to_signs(" ".join(over)), text_to_signs(" ".join(beside))
        whole = self._weight(seen)
        told = {}
        for text, signs in self._signs.items():
            both = self._weight(seen & signs) + BESIDE * self._weight((near - seen) & signs)
            like = both / max(1e-9, whole + UNSEEN * self._weight(signs - seen))
            told[text] = 2 * both - whole, min(1.0, like)
        return told

    def _weight(self, signs: Iterable[str]) -> float:
        return sum((NUMBER if sign[0] == "#" else 1.0) / max(1, self._counts[sign]) for sign in signs)

    def nearest_saying(self, own: str, rivals: Iterable[str], lines: Iterable[Sequence[str]]) -> bool | None:
        """Whether the nearest line that tells a heading from its rivals speaks for it; None if none does."""
        mine = self._signs[own]
        others = [self._signs[rival] for rival in rivals]
        theirs = frozenset().union(*others)
        alike = mine.intersection(*others)
        for line in lines:
            seen = text_to_signs(" ".join(line))
            for_it, against = seen & (mine - theirs), seen & (theirs - mine - alike)
            if for_it or against:
                return None if for_it and against else bool(for_it)
        return None
