"""Judges every part name that readings carry: a name made of values, a bare code or a temperature is none.

Comes in: a sheet's readings. Goes out: those under such a name disputed with one reason; one finding for each
kind of doubt. Shared by all readers: it looks at names, never at tables.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from extract.schema import WHOLE_SERIES, Finding, Reading, Severity, SheetReading, Status
from extract.vocabulary import fold, scan

NAME_DOUBTFUL = "part-name-doubtful"
VALUES_BESIDE = "it holds values beside a name"
SHORTEST_NUMBER = 5  # digits of a part number without any letter

_VALUE = re.compile(
    r"[<>≤≥±~+-]?\d+(?:[.,]\d+)?"
    r"(?:\s?(?:m?a|k?a|v|vdc|vac|v dc|v ac|m?w|m?ω|k?ω|m?ohms?|m?s|sec|%|°c|°|mm|℃))?"
)
_DECIMAL = re.compile(r"\d*[.,]\d+(?:[a-zω%°]{1,3})?")
_WITH_UNIT = re.compile(r"\d+(?:m?a|v|v[ad]c|m?w|m?ω|m?ohms?)")
_NUMBER_CODE = re.compile(r"(?=.*[a-z].*\d|\d{6,}$)[a-z0-9-]{5,}")
_WORD = re.compile(r"[^\W\d_]{5,}")
_UNFINISHED = re.compile(
    r"^[~≈?(\[*†‡§]|[?~…]$|\.\.$|\d[A-Z]/[A-Z]$|(?<!\d)(?:0\d{2,3}/\d{3,4}|\d{3,4}/0\d{2,3})$"
)
"""Signs of a name that goes on, is asked, stands in brackets or in a footnote, or is two: "AB-050..",
"(AB-050)", "* AB-050", "AB-050A/B", "AB 050/075"."""
_FLAME_CLASS = re.compile(r"ul[\s-]*94([\s-]*(v[\s-]*[012]|hb|5v[ab]?))?")  # UL 94: how plastics burn
_TEMPERATURE = re.compile(r"[+-]?\d{1,3}\s?(?:°\s?c?|℃)")
_UNIT = re.compile(r"(?:m?a|k?a|v|vdc|vac|m?w|m?ω|m?s|%|°c|mm)")


def sheet_to_named(sheet: SheetReading) -> SheetReading:
    """The sheet with every name judged."""
    names = tuple(dict.fromkeys(r.part_number for r in sheet.readings if r.part_number != WHOLE_SERIES))
    doubts = {name: doubt for name in names if (doubt := name_to_doubt(name))}
    if not doubts:
        return sheet
    readings = tuple(_to_named(r, doubts) for r in sheet.readings)
    findings = (*sheet.findings, *_doubts_to_findings(doubts, sheet))
    return replace(sheet, readings=readings, findings=findings)


def name_to_doubt(name: str) -> str:
    """Why a text is no part number by itself; empty for one that may be."""
    folded = fold(name).strip()
    tokens = folded.split()
    if _TEMPERATURE.fullmatch(folded):
        return "it is a temperature"
    if _FLAME_CLASS.fullmatch(folded):
        return "it is a class of how plastics burn"
    if all(_VALUE.fullmatch(token) or _UNIT.fullmatch(token) or token in "/-–+,;" for token in tokens):
        return _values_to_doubt(tokens)
    if len(tokens) > 1 and (doubt := _tokens_to_doubt(tokens)):
        return doubt
    if _is_of_two_numbers(name):
        return "it is made of two numbers"
    if _UNFINISHED.search(name):
        return "it is no whole number"
    if len(tokens) > 1 and any(map(_is_small_word, name.split())):
        return "it holds words beside a name"
    if not re.search(r"\d", folded) and any(hit.sense in ("quantity", "kind") for hit in scan(folded)):
        return "it says what is measured"
    return ""


def _is_small_word(token: str) -> bool:
    """Whether a token is a word in small letters, or an abbreviation or a times sign: "e.g.", "see", "x"."""
    letters = token.strip("()[],;:").replace(".", "")
    counted = re.fullmatch(r"[x×]\d*|\d+[x×]", letters) is not None
    return counted or letters == "OLD" or (letters.isalpha() and letters.islower())


def _is_of_two_numbers(name: str) -> bool:
    """Whether a stroke parts two numbers that begin with the same letters: "AB050/AB60"."""
    stems = [re.match(r"\s*([A-Za-z]{2,})[-.]?\d", piece) for piece in name.split("/")]
    return len(stems) > 1 and all(stems) and len({stem[1] for stem in stems if stem is not None}) == 1


def _values_to_doubt(tokens: Sequence[str]) -> str:
    """Why a text of values names no part; a long number alone may."""
    if len(tokens) == 1 and re.fullmatch(r"\d+", tokens[0]):
        return "" if len(tokens[0]) >= SHORTEST_NUMBER else "it is a bare code"
    return "it is made of values"


def _tokens_to_doubt(tokens: Sequence[str]) -> str:
    """Why a text of several words is no name: it was glued together from more than a name."""
    apart = any(_VALUE.fullmatch(value) and _UNIT.fullmatch(unit) for value, unit in pairwise(tokens))
    if apart or any(_DECIMAL.fullmatch(token) or _WITH_UNIT.fullmatch(token) for token in tokens):
        return VALUES_BESIDE
    if any(_WORD.fullmatch(token.strip("()[]")) for token in tokens):
        return "it holds words beside a name"
    numbers = sum(bool(_NUMBER_CODE.fullmatch(token)) for token in tokens)
    return "it is made of two numbers" if numbers > 1 else ""


def _to_named(reading: Reading, doubts: Mapping[str, str]) -> Reading:
    name = reading.part_number
    if name in doubts:
        reason = f"'{name}' is no part number: {doubts[name]}"
        return replace(reading, status=Status.DISPUTED, notes=(*reading.notes, reason))
    return reading


def _doubts_to_findings(doubts: Mapping[str, str], sheet: SheetReading) -> list[Finding]:
    """One finding for each reason: how many names, and the first with its place."""
    names: dict[str, list[str]] = defaultdict(list)
    for name, doubt in doubts.items():
        names[doubt].append(name)
    findings = []
    for doubt, own in names.items():
        first = next(r for r in sheet.readings if r.part_number == own[0])
        message = (
            f"what stands for the part number of {len(own)} rows is none: {doubt}; their numbers are disputed"
        )
        findings.append(
            Finding(
                NAME_DOUBTFUL,
                Severity.DOUBT,
                message,
                found=", ".join(own[:5]),
                expected="a part number",
                document=sheet.document,
                place=first.place,
            )
        )
    return findings
