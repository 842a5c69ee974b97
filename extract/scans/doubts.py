"""A recognised line, and why its numbers or its unit are in doubt.

Comes in: what two recognisers, and a text layer laid under the picture, say of one line. Goes out: one
sentence, or nothing. Corrects nothing.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from extract.boxes import Box
from extract.vocabulary import fold, scan

SURE = 0.85  # below this the first recogniser itself is in doubt
SURE_OF_DEGREES = 0.5  # its doubt of a temperature is the degree sign, "°C" or "℃"; two looks must confirm
CONFIRMED = 2  # looks that read the same: no more are needed
DEGREES = re.compile(r"[-+−–±]?\d[\d.,]* ?[°º˚]? ?[C℃]")
HOLD_OR_TRIP = frozenset(("hold_current", "trip_current"))  # alike in all but their word
_NUMBER = re.compile(r"[-−–]?\d[\d.,:]*")
_IN_WORD = re.compile(r"(?<=[a-zà-ÿ])\d+(?=[a-zà-ÿ])")  # "lamp6tilassa": an unknown letter
_RAISED = re.compile(r"[⁰¹²³⁴-⁹]")
_DASHES = str.maketrans("−–—", "---")
_UNIT = re.compile(r"(?<![A-Za-z])m?[AVWΩs](?![A-Za-z])")


@dataclass(frozen=True, slots=True)
class ScannedLine:
    """A line as the first recogniser read it, its box in points of the level page, what the second read, and
    the text that another program's recognition laid under it; `taken`: words of it that were taken for known
    ones they are like; `shaped`: the text as the shapes of its round signs tell it, empty where they tell
    nothing."""

    box: Box
    text: str
    confidence: float
    second: tuple[str, ...]
    layer: str = ""
    taken: tuple[str, ...] = ()
    shaped: str = ""


def has_number(text: str) -> bool:
    """Whether a text holds a number."""
    return bool(_NUMBER.search(text))


def is_settled(text: str, looks: Sequence[str]) -> bool:
    """Whether two looks of the second recogniser read the numbers of a text: a third could not overturn
    them."""
    return sum(_numbers(look) == _numbers(text) for look in looks) >= CONFIRMED


def line_to_doubt(line: ScannedLine) -> str:
    """Why the numbers of a line are in doubt; empty where both recognisers read the same, or only one did."""
    if line.confidence < SURE and not _is_sure_of_degrees(line):
        return f"recognised as '{line.text}', but not surely"
    ours = _numbers(line.text)
    layer = _numbers(line.layer)
    if layer and not set(ours) <= set(layer):
        return f"recognised as '{line.text}', in the text laid under the picture as '{line.layer}'"
    if not line.second:
        return ""
    looks = [_numbers(text) for text in line.second]
    others = [text for text, numbers in zip(line.second, looks, strict=True) if numbers != ours]
    same = {_numbers(text) for text in others}
    if ours not in looks or (len(others) > 1 and len(same) == 1 and same != {()}):
        seen = "', '".join(dict.fromkeys(line.second))
        return f"recognised as '{line.text}', by the second recogniser as '{seen}'"
    return ""


def _is_sure_of_degrees(line: ScannedLine) -> bool:
    sure = line.confidence >= SURE_OF_DEGREES and is_settled(line.text, line.second)
    return sure and bool(DEGREES.fullmatch(line.text.strip()))


def line_to_unit_doubt(line: ScannedLine) -> str:
    """Why a unit in a line is in doubt: A for one recogniser, mA for the other, in one look of one or in two.
    A unit that the other does not read is none."""
    ours, looks = _UNIT.findall(line.text), [_UNIT.findall(text) for text in line.second]
    others = [text for text, units in zip(line.second, looks, strict=True) if _contradict(ours, units)]
    if not others or len(others) < min(CONFIRMED, len(looks)):
        return ""
    return f"recognised as '{line.text}', by the second recogniser as '{others[0]}'"


def _contradict(ours: Sequence[str], theirs: Sequence[str]) -> bool:
    """Whether two rows of units cannot be one, of which either misses some."""
    if set(ours) - set(theirs) and set(theirs) - set(ours):
        return True
    return any(
        not _is_within(*sorted((_of_base(ours, base), _of_base(theirs, base)), key=len))
        for base in {unit[-1] for unit in ours}
    )


def _of_base(units: Sequence[str], base: str) -> list[str]:
    return [unit for unit in units if unit.endswith(base)]


def _is_within(some: Sequence[str], all_of_them: Sequence[str]) -> bool:
    """Whether the units of a row stand in another in the same order."""
    rest = iter(all_of_them)
    return all(unit in rest for unit in some)


def line_to_meaning_doubt(line: ScannedLine) -> str:
    """Why what a line names is in doubt: the hold current for one recogniser, the trip current for the other.
    A wording that the second does not know is none: it reads few languages."""
    ours, others = _named(line.text), [_named(text) for text in line.second]
    if not ours or not others or not all(others) or any(ours & named for named in others):
        return ""
    return f"recognised as '{line.text}', by the second recogniser as '{line.second[0]}'"


def heads_column(text: str) -> bool:
    """Whether a text without numbers names a unit or a quantity: the heading of a column."""
    if has_number(text):
        return False
    return bool(_UNIT.search(text)) or any(hit.sense == "quantity" for hit in scan(fold(text)))


def line_to_heading_doubt(line: ScannedLine) -> str:
    """Why a line's unit, or what it names, is in doubt."""
    return line_to_unit_doubt(line) or line_to_meaning_doubt(line)


@lru_cache(maxsize=4096)
def _named(text: str) -> frozenset[str]:
    return frozenset(hit.name for hit in scan(fold(text)) if hit.sense == "quantity") & HOLD_OR_TRIP


def text_to_values(text: str) -> tuple[float, ...]:
    """The numbers of a text as values; what is no plain number is left out."""
    plain = (number.replace(",", ".") for number in _numbers(text))
    return tuple(float(number) for number in plain if re.fullmatch(r"-?\d+(?:\.\d+)?", number))


def text_to_printed(text: str) -> tuple[str, ...]:
    """The numbers of a text as printed, without raised digits: those are footnotes' marks."""
    return _numbers(_RAISED.sub("", text))


def _numbers(text: str) -> tuple[str, ...]:
    """The numbers of a text, sign and decimal point as printed; a comma is a comma. A digit between two
    small letters is a letter misread."""
    folded = _IN_WORD.sub("", unicodedata.normalize("NFKC", text).translate(_DASHES))
    return tuple(found.rstrip(".,:") for found in _NUMBER.findall(folded))
