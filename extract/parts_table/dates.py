"""Numbers that a spreadsheet has turned into dates: 1.5 becomes 1 May, 3-4 becomes 3 April.

Comes in: the text of a cell. Goes out: what the date may have been, or nothing. Reads no number.
"""

from __future__ import annotations

import re

_MONTHS = (
    "jan ene gen",
    "feb fév fev",
    "mar mär mrz",
    "apr abr avr",
    "may mai mag",
    "jun giu juin",
    "jul lug juil",
    "aug ago aoû",
    "sep set",
    "oct okt ott out",
    "nov",
    "dec dez dic déc",
)
_MONTH_OF = {name: number for number, names in enumerate(_MONTHS, 1) for name in names.split()}
_STORED = re.compile(r"date (\d{4})-(\d\d)-(\d\d)(?: .*)?")
_ISO = re.compile(r"((?:19|20)\d\d)-(\d\d)-(\d\d)(?:[ T]\d\d:\d\d(?::\d\d)?)?")
_NAMED = re.compile(r"(\d{1,2})[-. /]{1,2}([^\W\d_]{3,9})\.?(?:[-. /]{1,2}\d{2,4})?")
_NAMED_FIRST = re.compile(r"([^\W\d_]{3,9})\.?[-. /]{1,2}(\d{1,4})")
_SLASHED = re.compile(r"(\d{1,2})[/.](\d{1,2})[/.](\d{4}|\d\d)")


def text_to_date(text: str) -> str:
    """What a date may have been typed as, such as "1.5 or 5.1"; "" for a text that is no date."""
    plain = " ".join(text.split()).casefold()
    if plain.startswith("date "):
        found = _STORED.fullmatch(plain)
        return _day_month(int(found[3]), int(found[2])) if found else "a number"
    if (found := _ISO.fullmatch(plain)) is not None:
        return _day_month(int(found[3]), int(found[2]))
    if (found := _NAMED.fullmatch(plain)) is not None and (month := _month(found[2])):
        return _day_month(int(found[1]), month)
    if (found := _NAMED_FIRST.fullmatch(plain)) is not None and (month := _month(found[1])):
        return _day_month(int(found[2]), month)
    if (found := _SLASHED.fullmatch(plain)) is not None:
        return _day_month(int(found[1]), int(found[2]))
    return ""


def _month(name: str) -> int:
    return next((number for start, number in _MONTH_OF.items() if name.startswith(start)), 0)


def _day_month(day: int, month: int) -> str:
    return f"{day}.{month} or {month}.{day}" if day != month else f"{day}.{month}"
