"""Temperatures in the texts of headings: one, several, a row of them.

Comes in: texts. Goes out: °C, or None where a text names none or several. Does not say what is measured
at them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from extract.vocabulary import fold

COLDEST_C, HOTTEST_C = -60.0, 180.0
TEMPERATURE = re.compile(
    r"(?P<sign>[-+]?)\s?(?P<value>\d{1,3})\s*(?:°\s*){0,2}(?P<unit>c|℃)(?![a-z])"
    r"|(?P<sign2>[-+]?)\s?(?P<value2>\d{1,3})\s*(?:°\s*){1,2}(?![cf\d])"
)
BARE_TEMPERATURE = re.compile(r"[-+]?\s?\d{1,3}\s*(?:°\s*){0,2}c?")


def text_to_ambient(text: str) -> float | None:
    """The one temperature a text names ("at 23 °C", "-40°C", "85"), in °C; None if none or several."""
    folded = fold(text)
    found = {_match_to_temperature(match) for match in TEMPERATURE.finditer(folded)}
    if found:
        return found.pop() if len(found) == 1 else None
    return text_to_temperature(folded.strip()) if BARE_TEMPERATURE.fullmatch(folded.strip()) else None


def _match_to_temperature(match: re.Match[str]) -> float:
    sign = match["sign"] or match["sign2"] or ""
    value = float(match["value"] or match["value2"])
    return -value if sign == "-" else value


def text_to_bare_ambient(text: str) -> float | None:
    """The temperature a heading level consists of, or None if it says anything else."""
    value = text_to_ambient(text)
    left_over = re.sub(r"[-+\d\s°ºcC℃.]|(?:ta|at|@)", "", fold(text))
    return value if value is not None and not left_over else None


def is_temperature_row(values: Sequence[float | None], signed: bool = False) -> bool:
    """At least three whole temperatures, strictly rising.

    Without degree signs they must reach to zero or below, or rise from a room temperature in small
    steps: voltages, currents and times rise too.
    """
    present = [value for value in values if value is not None]
    if len(present) < 3 or not all(COLDEST_C <= v <= HOTTEST_C and v == int(v) for v in present):
        return False
    steps = [b - a for a, b in pairwise(present)]
    if min(steps) <= 0 or present[-1] < 40:
        return False
    from_room = len(present) >= 4 and 10 <= present[0] <= 30 and max(steps) <= 25
    return signed or present[0] <= 0 or from_room


def text_to_temperature(text: str) -> float:
    """A text that BARE_TEMPERATURE matches, in °C."""
    digits = re.sub(r"[^\d]", "", text)
    return -float(digits) if text.lstrip().startswith("-") else float(digits)
