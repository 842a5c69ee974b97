"""Footnote digits that are characters of their own in a font and call themselves plain digits.

Comes in: the characters of a page. Goes out: the same, such a digit as its raised form (24¹, not 241).
A raised digit has the size of its neighbours and only its width betrays it: much narrower than the same
digit of the same font and size elsewhere, beside a neighbour of usual width.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from extract.page_objects import Char

NARROW = 0.75  # a raised digit is about 0.6 times as wide as the plain one
USUAL = 0.95
NEAR_EM = 0.2
RAISED = dict(zip("0123456789", "\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079", strict=True))
Key = tuple[str, str, int]


def chars_to_raised(chars: Sequence[Char]) -> list[Char]:
    """The characters with digits of a narrower kind raised."""
    widest: dict[Key, float] = {}
    for char in chars:
        if char.text.isalnum():
            key = _key(char)
            widest[key] = max(widest.get(key, 0.0), _width(char))
    found = list(chars)
    for n, (before, char) in enumerate(pairwise(chars), start=1):
        narrow = char.text in RAISED and _width(char) < NARROW * widest[_key(char)]
        if narrow and _is_usual(before, char, widest):
            found[n] = replace(char, text=RAISED[char.text])
    return found


def _is_usual(before: Char, char: Char, widest: dict[Key, float]) -> bool:
    """Whether the neighbour on the left, of the same font and line, is as wide as it ever is."""
    size = char.box[3] - char.box[1]
    beside = before.box[1] == char.box[1] and abs(char.box[0] - before.box[2]) < NEAR_EM * size
    alike = before.text.isalnum() and _key(before)[1:] == _key(char)[1:]
    return beside and alike and _width(before) >= USUAL * widest[_key(before)]


def _width(char: Char) -> float:
    return char.box[2] - char.box[0]


def _key(char: Char) -> Key:
    return char.text, char.font, round(10 * (char.box[3] - char.box[1]))
