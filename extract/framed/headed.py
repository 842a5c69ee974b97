"""The one temperature, or the one current, that the heading of a framed column names.

Comes in: the text of a heading. Goes out: a number, or nothing where there is none, several, a range, or one
that could be read two ways. Says not what is measured at it.
"""

from __future__ import annotations

import re

from extract.quantities import cell_to_numbers

CELSIUS = r"(?:°\s*C|℃)(?![A-Za-z])"
AMPERES = r"A(?![\w])"
_NUMBER = r"(?<![\w.,])(?P<sign>[-−–]?)(?P<body>\d[\d.,]*)\s*"
_BEFORE = re.compile(r"(?:(?P<dash>[-−–—])|(?<![^\W\d_])\d[\d.,]*(?P<between>\D{0,8}))$")
"""A dash, or a number with little after it, right before another number: the other end of a range, or its
thousands."""
_UNIT = re.compile(r"(?<![^\W_])(?:m?[AVWsΩΩ]|°\s*C|℃|%)(?![^\W_])")


def heading_to_only(text: str, unit: str) -> float | None:
    """The one number that a heading prints with a unit (CELSIUS or AMPERES), though it may print it twice: in
    two languages."""
    found = {_match_to_value(text, match) for match in re.finditer(_NUMBER + unit, text)}
    return found.pop() if len(found) == 1 else None


def _match_to_value(text: str, match: re.Match[str]) -> float | None:
    """The number, or None for one that may be an end of a range, or the end of a larger number."""
    before = _BEFORE.search(text[: match.start()])
    if before is not None and (before["dash"] or not _UNIT.search(before["between"])):
        return None
    numbers = cell_to_numbers(match["body"].rstrip(".,")).numbers
    value = float(numbers[0].value) if len(numbers) == 1 else None
    return -value if value is not None and match["sign"] else value
