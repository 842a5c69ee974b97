"""A marking as seen against what a part may be marked with.

Comes in: two texts. Goes out: how likely the one is read where the other stands. Letters that look alike are
told from `look_alikes.toml`. Does not know parts.
"""

from __future__ import annotations

import math
import tomllib
import unicodedata
from functools import cache
from importlib.resources import files

MISREAD, LOOK_ALIKE, LOST = 0.02, 0.25, 0.06
"""Chance that a character is read as another, as a look-alike, or is worn off. Common practice, no source."""
LEAST = math.log(1e-6)
"""A marking alone never excludes a part: it may be worn, or be that of another maker."""


@cache
def _look_alikes() -> dict[str, str]:
    """Each character → the first of its group."""
    text = files("compare").joinpath("identify/look_alikes.toml").read_text(encoding="utf-8")
    return {letter: group[0] for group in tomllib.loads(text)["groups"] for letter in group}


@cache
def text_to_letters(text: str) -> str:
    """Capital letters and digits of a text, without blanks, dashes and dots."""
    folded = unicodedata.normalize("NFKC", text).upper()
    return "".join(filter(str.isalnum, folded))


def alike(one: str, other: str) -> bool:
    """Whether two different characters are easily taken for each other."""
    known = _look_alikes()
    return known.get(one, one) == known.get(other, other)


@cache
def marking_to_log_likelihood(seen: str, printed: str) -> float:
    """Natural logarithm of how likely `seen` is read where `printed` stands, at least `LEAST`.

    The cheapest way from one to the other, character by character (edit distance with a price for each
    step).
    """
    left, right = text_to_letters(seen), text_to_letters(printed)
    lost, extra = -math.log(LOST), -math.log(MISREAD)
    costs = [column * lost for column in range(len(right) + 1)]
    for row, letter in enumerate(left, start=1):
        before, costs = costs, [row * extra]
        for column, wanted in enumerate(right, start=1):
            costs.append(min(before[column - 1] + _step(letter, wanted), before[column] + extra,
                             costs[column - 1] + lost))
    return max(-costs[-1], LEAST)


def _step(seen: str, printed: str) -> float:
    if seen == printed:
        return -math.log(1.0 - MISREAD - LOST)
    return -math.log(LOOK_ALIKE if alike(seen, printed) else MISREAD)


def is_same_but_for_look_alikes(seen: str, printed: str) -> bool:
    """Whether the two differ in nothing but characters that look alike."""
    left, right = text_to_letters(seen), text_to_letters(printed)
    return len(left) == len(right) and all(a == b or alike(a, b) for a, b in zip(left, right, strict=True))
