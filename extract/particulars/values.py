"""The value that follows a label: a range of temperatures, one temperature, a count, a level.

Comes in: the text after a label. Goes out: values with their kind, or none. Does not look for labels.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from extract.schema import Kind
from extract.vocabulary import fold

_UNIT = r"\s*(?:°\s*c|℃|c\b)"
_SIGNED = r"(?P<{0}>[-+]?\s*\d{{1,3}}(?:\.\d+)?)"
_TO = r"(?P<word>to|bis|through|tot|til|till|do|až|la|à|a|e|și|~|～|〜|\.\.\.?|…|⋯|至|から|\s-\s|-(?=\+)|/)"
_LEAD = re.compile(
    r"^\W*(?:od|from|von|da|de|van|fra|från|entre|between|du|delle?|is|are|beträgt|:)\s+(?=[-+\d])"
)
_RANGE = re.compile(
    _SIGNED.format("low")
    + rf"(?P<unit1>{_UNIT})?\s*{_TO}\s*"
    + _SIGNED.format("high")
    + rf"(?P<unit2>{_UNIT})?(?!\d)"
)
_SINGLE = re.compile(_SIGNED.format("value") + _UNIT + r"\s*(?P<limit>max|maximum)?")
_VOLT = r"\s*v(?:\s?(?:dc|ac))?\b"
_VOLTS = re.compile(
    rf"(?P<low>\d{{1,3}}(?:\.\d+)?)(?:{_VOLT})?\s*"
    r"(?:to|bis|through|à|a|~|～|\.\.\.?|…|至|-)\s*"
    rf"(?P<high>\d{{1,4}}(?:\.\d+)?){_VOLT}"
)
_CYCLES = re.compile(r"(?<![\w.])(\d{1,3}(?:[,\s]?\d{3})*|\d+)\s*(?:trip\s*)?(?:cycles|times|次|回|サイクル)")
_HOURS = re.compile(r"(?<![\w.])(\d{1,2}(?:,\d{3})|\d+)\s*(?:hours|hour|hrs|hr|h|小时|時間)\b")
_LEVEL = re.compile(r"^\W*(?:is\s+)?(?:level\s*)?(?P<level>[1-6]|2a|5a)(?![\w.])")
COLDEST_C, HOTTEST_C = -80.0, 200.0
"""No polymer PTC fuse works or is stored beyond; a range beyond is misread."""


@dataclass(frozen=True, slots=True)
class Value:
    """One value after a label; `text` where it is no number; `unit` as printed."""

    kind: Kind
    value: float | None
    text: str = ""
    unit: str = ""


def text_to_values(sort: str, text: str) -> tuple[Value, ...]:
    """Values of the sort that a label asks for (range, single, cycles, hours, level, volts), at the beginning
    of the text; none where it says something else."""
    return {
        "range": _to_range,
        "single": _to_single,
        "cycles": _to_cycles,
        "hours": _to_hours,
        "level": _to_level,
        "volts": _to_volts,
    }[sort](fold(text))


def _begins(text: str, match: re.Match[str] | None) -> bool:
    """Whether nothing but leaders, marks and a "from" stands before a match."""
    before = text[: match.start()] if match is not None else ""
    return match is not None and not re.search(r"\w", _LEAD.sub("", f"{before}0")[:-1])


def _to_range(text: str) -> tuple[Value, ...]:
    match = _RANGE.search(text)
    if match is not None and _begins(text, match) and (match["unit1"] or match["unit2"]):
        low_c, high_c = _number(match["low"]), _number(match["high"])
        if match["word"] == "/" and low_c >= 0.0:
            return ()
        if COLDEST_C <= low_c < high_c <= HOTTEST_C:
            return Value(Kind.MIN, low_c, unit="°C"), Value(Kind.MAX, high_c, unit="°C")
        return ()
    single = _SINGLE.search(text)
    if single is not None and _begins(text, single) and single["limit"]:
        return (Value(Kind.MAX, _number(single["value"]), unit="°C"),)
    return ()


def _to_single(text: str) -> tuple[Value, ...]:
    match = _SINGLE.search(text)
    if match is None or not _begins(text, match) or _RANGE.search(text):
        return ()
    value_c = _number(match["value"])
    return (Value(Kind.MAX, value_c, unit="°C"),) if 60.0 <= value_c <= HOTTEST_C else ()


def _to_volts(text: str) -> tuple[Value, ...]:
    match = _VOLTS.search(text)
    if match is None or not _begins(text, match):
        return ()
    low_v, high_v = float(match["low"]), float(match["high"])
    if not low_v < high_v:
        return ()
    return Value(Kind.MIN, low_v, unit="V"), Value(Kind.MAX, high_v, unit="V")


def _to_cycles(text: str) -> tuple[Value, ...]:
    found = _CYCLES.findall(text)
    return (Value(Kind.NONE, float(re.sub(r"[,\s]", "", found[0]))),) if len(found) == 1 else ()


def _to_hours(text: str) -> tuple[Value, ...]:
    found = _HOURS.findall(text)
    return (Value(Kind.NONE, float(found[0].replace(",", "")), unit="h"),) if len(found) == 1 else ()


def _to_level(text: str) -> tuple[Value, ...]:
    match = _LEVEL.match(re.sub(r"^[\s.:…]*", "", text))
    return (Value(Kind.NONE, None, match["level"]),) if match is not None else ()


def _number(text: str) -> float:
    return float(re.sub(r"\s", "", text))
