"""What stands beside a part number in its own cell, and the number itself without it.

Comes in: the texts of one column of labels. Goes out: the part numbers of each, none where nothing stands.
Chooses no column: part_names.py does.

    TQ-050 NEW          a word of status
    TQ-050 (T5)         the marking, or another spelling, in brackets behind nearly every number
    TQ-050 / TQ-050S    two numbers of one row: both
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import takewhile

from extract.meanings.words import priors
from extract.vocabulary import fold

MOSTLY = 0.8
LONG_STEM = 3
"""Two numbers in one cell share so many letters and digits at their beginning."""
_BRACKETS = re.compile(
    r"^(?P<name>\S.*?)\s*[(（\[](?!\d+[)）\]]|\d+\s+\D|[x×]\s?\d)[^()（）\[\]]{1,16}[)）\]]$"
)
"""Digits alone in brackets may be the end of a number: "TQ16 (050)"; a count may say "(2 in parallel)"."""
_SLASH = re.compile(r"\s*[/／]\s*|\s*[,;]\s+")
_WHOLE = re.compile(r"(?=.*[A-Za-z])(?=.*\d)[A-Za-z0-9][\w.+-]{3,}")
_GROUPS = re.compile(r"\d{1,7}(?:(?P<sign>[.\- ])\d{1,7})(?:(?P=sign)\d{1,7})*")


def texts_to_forms(texts: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """The part numbers of each text; a text of one number stays as it is but for status and brackets."""
    plain = _without_brackets(_without_shared_word([_without_status(text) for text in texts]))
    return tuple(_text_to_both(text) for text in plain)


def _without_status(text: str) -> str:
    """A label without a word behind it that says how far a part has come ("new", "obsolete")."""
    words = text.split()
    while len(words) > 1 and fold(words[-1].strip("!.()*")) in priors()["naming"]["status"]:
        words.pop()
    return " ".join(words)


def _without_shared_word(texts: Sequence[str]) -> list[str]:
    """Labels without the one word for a picture before every number: "picture TQ-050", where it is lost. Any
    other word says what the number is: "replaces TQ-050"."""
    pairs = [text.split(" ", 1) for text in texts if text]
    words = {pair[0] for pair in pairs}
    whole = all(len(pair) == 2 and _WHOLE.fullmatch(pair[1]) for pair in pairs)
    shown = len(words) == 1 and fold(words.pop()) in priors()["naming"]["picture"]
    return [text.split(" ", 1)[-1] for text in texts] if len(pairs) > 1 and whole and shown else list(texts)


def _without_brackets(texts: Sequence[str]) -> list[str]:
    """Labels without the brackets behind them, where nearly all have them and differ without."""
    cut = [match["name"] if (match := _BRACKETS.match(text)) else text for text in texts]
    filled = [(old, new) for old, new in zip(texts, cut, strict=True) if old]
    shorter = sum(old != new for old, new in filled)
    names = {new for _, new in filled}
    whole = len(names) == len(filled) and all(re.search(r"\d", new) for _, new in filled)
    return cut if filled and whole and shorter >= MOSTLY * len(filled) else list(texts)


def _text_to_both(text: str) -> tuple[str, ...]:
    """Both numbers of "TQ-050/TQ-050S" or "TQ-050, TQ-050S": each whole, alike at the beginning and about as
    long."""
    pieces = _SLASH.split(text)
    stem = takewhile(lambda letters: len(set(letters)) == 1, zip(*pieces, strict=False))
    lengths = [len(piece) for piece in pieces]
    alike = len(list(stem)) >= LONG_STEM and max(lengths) - min(lengths) <= 2
    two = 1 < len(pieces) <= 3 and len(set(pieces)) == len(pieces) and all(map(_WHOLE.fullmatch, pieces))
    return tuple(pieces) if two and alike else (text,) if text else ()


def is_number_in_groups(text: str) -> bool:
    """Whether a text is an article number printed in groups of digits ("12.345.010", "88-1010"): believed
    only under a heading that says so, and never a decimal number."""
    match = _GROUPS.fullmatch(text)
    if match is None:
        return False
    digits = sum(letter.isdigit() for letter in text)
    return digits >= (7 if match["sign"] == "." and text.count(".") == 1 else 5)


def are_letter_codes(texts: Sequence[str]) -> bool:
    """Whether texts without any digit are codes that tell parts apart ("KA", "KB", "KC"): under a heading
    that says part number only."""
    return len(set(texts)) == len(texts) > 2 and all(re.fullmatch(r"[A-Z]{1,4}", text) for text in texts)
