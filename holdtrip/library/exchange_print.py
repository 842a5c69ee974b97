"""Whether a number of another library is what its printed text says.

Comes in: a reading. Goes out: yes or no. Knows no headings: a text may print several numbers, in any usual
way of writing and with any prefix; the value must be one of them. Whether it is the right one, checks say.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from extract.schema import Reading

_NUMBER = re.compile(r"\d[\d.,'’ ]*|[.,]\d+")
_RAISED = str.maketrans("", "", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_SCALES = (1.0, 1e-3, 1e3, 1e-2, 1e-6, 1e6, 60.0, 3600.0)
"""Prefixes, percent, minutes, hours."""
_NEAR = 1e-5


def is_printed(one: Reading) -> bool:
    """Whether a reading's value is among the numbers of its printed text; a text without any says nothing."""
    printed, value = tuple(_text_to_values(one.raw)), abs(one.value)
    return not printed or any(
        abs(value - number * scale) <= _NEAR * value for number in printed for scale in _SCALES)


def _text_to_values(raw: str) -> Iterator[float]:
    """Every number that a text may print: point or comma for decimals, either or a blank for thousands."""
    for found in _NUMBER.findall(unicodedata.normalize("NFKC", raw.translate(_RAISED))):
        body = re.sub(r"['’ ]", "", found).strip(".,") if found[0].isdigit() else found
        pieces = [piece.strip(".,") or piece for piece in found.split()]
        for text in {body, body.replace(",", ""), body.replace(",", "."), *pieces,
                     body.replace(".", "").replace(",", "."), *(one.replace(",", ".") for one in pieces)}:
            try:
                yield float(text)
            except ValueError:
                continue
