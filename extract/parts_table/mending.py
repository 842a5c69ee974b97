"""A cell that is no number as it stands, but surely means one: a letter for a digit, a comma for a point.

Comes in: the text of a cell and how its column writes numbers. Goes out: the text it surely means, and
what was wrong. Mends nothing that can be read two ways.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from extract.quantities import NumberStyle

_LOOKS = {"o": "0", "l": "1", "i": "1", "s": "5", "b": "8", "z": "2", "о": "0", "|": "1"}
_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
_UNIT = re.compile(r"(?P<number>.*?)(?P<unit>\s*(?:m|k)?(?:A|V|W|Ω|Ohm|ohm|s|%)?)")
_OTHER_SIGN = re.compile(r"(\d+),(\d+)(?!\d)")


@dataclass(frozen=True, slots=True)
class Mended:
    """`text` is what the cell surely means, `fault` what was wrong with it, in words."""

    text: str
    fault: str


def text_to_mended(text: str, style: NumberStyle, *, others_have_points: bool) -> Mended | None:
    """The number a cell surely means, or None if it is one already or means nothing sure."""
    letter = text_to_look_alike(text)
    if letter:
        return Mended(_with_digits(text), f"'{text}' holds {letter} where a digit belongs")
    if not others_have_points or style.decimal_comma:
        return None
    found = _OTHER_SIGN.fullmatch(text.strip())
    if found is None or (len(found[2]) == 3 and found[1] not in ("0",)):
        return None
    return Mended(f"{found[1]}.{found[2]}", f"'{text}' has a comma where the column has points")


_ALONE = ("l", "I")
"""Letters that mean a one where a number must stand."""


def text_to_look_alike(text: str) -> str:
    """The letter that stands among digits ("1O.5", "l.20"), in quotes, or nothing."""
    number, _ = _number_and_unit(text)
    mended = _translate(number)
    if mended != number and _NUMBER.fullmatch(mended) and (re.search(r"\d", number) or number in _ALONE):
        return next(f"'{char}'" for char in number if char.lower() in _LOOKS)
    return ""


def _with_digits(text: str) -> str:
    number, unit = _number_and_unit(text)
    return _translate(number) + unit


def _translate(text: str) -> str:
    return "".join(_LOOKS.get(char.lower(), char) for char in text)


def _number_and_unit(text: str) -> tuple[str, str]:
    """A cell's text parted into what should be a number and a unit behind it."""
    plain = text.strip()
    found = _UNIT.fullmatch(plain)
    return (found["number"], found["unit"]) if found else (plain, "")
