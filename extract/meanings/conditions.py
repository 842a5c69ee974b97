"""The current at which a time to trip is measured: said in a heading, beside it, as a multiple.

Comes in: Series, texts. Goes out: a test current in A, or a multiple of the hold current. Decides no meaning.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from extract.meanings.series import Series
from extract.meanings.words import text_to_hits
from extract.vocabulary import any_of, fold

_MULTIPLE = re.compile(
    rf"(\d+(?:[.,]\d+)?)\s*(?:(?:[x×*·⋅✕]|{any_of('times')})\s*"
    rf"(?:(?:{any_of('times_of')})\s+|[a-z])?\s*(?P<of>i[\w.]*|hold|rated|nominal)|"
    r"\s?(?P<short>i[\s_]?(?:h|hold)\b))"
)
_TIMES = re.compile(r"(?P<of>i[\w]*|[一-龥ァ-ヶ]*(?:電流|电流)[a-z]*)\s*[のx×]?\s*(\d+(?:[.,]\d+)?)\s*倍")
_AT_CURRENT = re.compile(
    rf"(?:@|=|在|\b(?:{any_of('at')})\b)\s*"
    r"(\d+(?:[.,]\d+)?)\s*(m?a|amp(?:ere)?s?)\b"
)
_BARE_CURRENT = re.compile(
    r"(?:@|\D{1,6}\s)?\s*(\d+(?:[.,]\d+)?)\s*(m?a|amp(?:ere)?s?)(?:\s*\(?\s*m?s\s*\)?)?",
)
_ANY_CURRENT = re.compile(r"(?<![\d.,])(\d+(?:[.,]\d+)?)\s*(m?a|amp(?:ere)?s?)(?![a-z])")
_BARE_MULTIPLE = re.compile(
    r"(?:@|\D{1,6}\s)?\s*(\d+(?:[.,]\d+)?)\s*[x×]\s*(?P<of>i[\w ]*)?(?:\s*\(?\s*m?s\s*\)?)?"
)


def texts_to_multiple(texts: Iterable[str]) -> float | None:
    """The multiple of the hold current at which times are measured ("5 x IH"); None if none or several."""
    found: set[float] = set()
    for text in texts:
        folded = fold(text)
        for pattern, place in ((_MULTIPLE, 1), (_TIMES, 2)):
            for match in pattern.finditer(folded):
                if not _is_of_trip(match["of"]):
                    found.add(float(match[place].replace(",", ".")))
    found = {value for value in found if 1.5 <= value <= 20}
    return found.pop() if len(found) == 1 else None


def _is_of_trip(symbol: str | None) -> bool:
    """Whether a symbol is that of the trip current and of no other: "5 x Itrip"."""
    names = {hit.name for hit in text_to_hits(symbol or "") if hit.sense == "quantity"}
    return bool(names) and "hold_current" not in names


def text_to_current(text: str) -> float | None:
    """The test current that a heading states ("at 8 A"), in A."""
    return _only_current(text, _AT_CURRENT)


def field_to_condition(field: Series) -> tuple[float | None, float | None]:
    """The current in A, or the multiple of the hold current, at which the heading of a series of times says
    they are measured: within it ("at 8 A", "5 x IH"), as a line of its own ("8 A", "5X"), or in the condition
    beside it."""
    for level in (field.own, *field.levels):
        folded = fold(level).strip(" ()[],")
        current, multiple = _BARE_CURRENT.fullmatch(folded), _BARE_MULTIPLE.fullmatch(folded)
        if current is not None:
            return _match_to_amperes(current), None
        if multiple is not None and not _is_of_trip(multiple["of"]):
            return None, float(multiple[1].replace(",", "."))
    said = texts_to_multiple([field.head])
    stated = text_to_current(field.head)
    if stated is None and said is None:
        stated = _only_current(field.head)
    if stated is None and said is None and field.condition:
        stated, said = _only_current(field.condition), texts_to_multiple([field.condition])
    return stated, said


def _only_current(text: str, printed: re.Pattern[str] = _ANY_CURRENT) -> float | None:
    """The one current that a text prints, or prints so, in A."""
    found = {_match_to_amperes(m) for m in printed.finditer(fold(text))}
    return found.pop() if len(found) == 1 else None


def _match_to_amperes(match: re.Match[str]) -> float:
    return float(match[1].replace(",", ".")) * (0.001 if match[2] == "ma" else 1.0)
