"""Row labels of any table become the parts they speak of.

Comes in: a label as printed and the parts of the sheet. Goes out: the parts meant, how that was
found, or nothing. Never picks one of several equally good parts.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from extract.schema import WHOLE_SERIES
from extract.vocabulary import fold


@dataclass(frozen=True, slots=True)
class Joined:
    """The parts a label names. `how` is exact, short, series, range, list, voltage class,
    group or unknown."""

    parts: tuple[str, ...]
    how: str


_MARKS = re.compile(r"[\s*†‡§¹²³⁴-⁹]+$|\s+\(?\d\)?$")
_RANGE = re.compile(
    r"(?P<low>.+?)(?:\s+(?:to|thru|through|until|bis|až)\s+|\s*(?:~|～|〜|至|から|…|\.\.\.|–|—)\s*|\s+-\s+)(?P<high>.+?)(?:まで)?",
    re.IGNORECASE,
)
_ALL = {
    "all",
    "all parts",
    "all types",
    "all models",
    "alle",
    "alle typen",
    "全部",
    "全系列",
    "全型番",
    "所有型号",
    "全て",
}


def clean_part_number(text: str) -> str:
    """A part number as printed, without footnote and approval marks."""
    text = " ".join(text.split())
    return re.sub(r"[\s*†‡§¹²³⁴-⁹▲●■□○█]+$", "", text)


def label_to_parts(label: str, parts: Sequence[str], rows_in_table: int) -> Joined:
    """The parts of `parts` that a row label names.

    In this order: exactly; a list; a range; the series (its name, "all", or a lone row whose label
    starts every part); a short or suffixed name; a code inside the part numbers.
    """
    name = clean_part_number(label)
    key = _key(name)
    exact = [part for part in parts if _key(part) == key]
    if exact:
        return Joined(tuple(exact), "exact")
    if fold(name) in _ALL:
        return Joined((WHOLE_SERIES,), "series")
    pieces = [piece for piece in re.split(r"\s*[,;/&、，]\s*|\s+and\s+|\s+und\s+", name) if piece]
    if len(pieces) > 1:
        found = [label_to_parts(piece, parts, rows_in_table) for piece in pieces]
        listed = [part for joined in found for part in joined.parts]
        known = all(joined.parts and joined.how in ("exact", "code", "range", "short") for joined in found)
        if known and len(set(listed)) == len(listed):
            unsure = any(joined.how == "short" and len(joined.parts) > 1 for joined in found)
            return Joined(tuple(listed), "short" if unsure else "list")
    if ranged := _range_to_parts(name, parts):
        return Joined(ranged, "range")
    if key and parts and all(_key(part).startswith(key) for part in parts):
        return Joined((WHOLE_SERIES,), "series")
    if family := _family_to_parts(name, parts):
        return Joined(family, "family")
    if short := _short_to_parts(_cut_key(name), parts):
        return Joined(short, "short")
    if coded := _code_to_parts(name, parts):
        return Joined(coded, "code")
    if rows_in_table == 1 and _says_series(name, parts):
        return Joined((WHOLE_SERIES,), "series")
    return Joined((), "unknown")


def voltage_class_to_parts(
    label: str, parts: Sequence[str], voltages: Mapping[str, set[Decimal]]
) -> tuple[str, ...]:
    """The parts rated for the voltages a label consists of ("60 V / 33 V"), if each voltage has parts."""
    pieces = re.split(r"\s*[,;/&、，+]\s*|\s+and\s+|\s+und\s+", label.strip())
    found = [_VOLTAGE.fullmatch(piece) for piece in pieces]
    if not all(found) or _VOLTAGE.fullmatch(pieces[-1])["unit"] is None:  # type: ignore[index]
        return ()
    named = {Decimal(match["value"]) for match in found if match is not None}
    rated = {part: voltages.get(part, set()) & named for part in parts}
    if set().union(*rated.values()) != named:
        return ()
    return tuple(part for part in parts if rated[part])


def group_to_parts(label: str, groups: Mapping[str, str]) -> tuple[str, ...]:
    """The parts under whose table's title or line the label of a group stands as a word ("0805 series").

    `groups`: part -> that title or line.
    """
    stem = _FAMILY.sub("", fold(label).strip()).strip()
    if len(stem) < 3 or not re.search(r"\d", stem):
        return ()
    word = re.compile(rf"(?<![a-z0-9.]){re.escape(stem)}(?![a-z0-9.])")
    found = tuple(part for part, text in groups.items() if word.search(fold(text)))
    return found if len(found) < len(groups) else ()


_VOLTAGE = re.compile(
    r"(?i)(?P<value>\d+(?:\.\d+)?)\s*(?P<unit>v(?:\s?dc|\s?ac)?)?(?:\s*(?:series|types|系列))?"
)


@lru_cache(maxsize=4096)
def _key(text: str) -> str:
    return re.sub(r"[^A-Z0-9./]", "", text.upper())


def _cut_key(text: str) -> str:
    """Like _key, with the signs kept at which a short name may be cut off."""
    return re.sub(r"[^A-Z0-9./\-_]", "", re.sub(r"[‐‑–—−]", "-", text.upper()))


_FAMILY = re.compile(r"(?i)\s*(?:series|types|family|baureihe|serie|typen|系列|シリーズ)$")


def _family_to_parts(name: str, parts: Sequence[str]) -> tuple[str, ...]:
    """The parts whose number begins with a name that is called a series, cut at a sign: "AB16 series"."""
    stem = _cut_key(_FAMILY.sub("", name))
    if not _FAMILY.search(name) or len(stem) < 2:
        return ()
    begins = re.compile(rf"{re.escape(stem)}(?:[-_/.]|(?<=\d)[A-Z]|(?<=[A-Z])\d)")
    return tuple(part for part in parts if begins.match(_cut_key(part)))


_AT_TEMPERATURE = re.compile(r"\(?\d{2}\s*(?:°|º)\s*C\)?")


def _says_series(name: str, parts: Sequence[str]) -> bool:
    """A lone row: its label is words about the series, not the number of a part we do not know."""
    name = _AT_TEMPERATURE.sub("", name)  # "IH(T) / IH(23 °C)" names no part
    stem = _common_prefix([_key(part) for part in parts])
    series = re.sub(r"(?i)\s*(series|baureihe|serie|系列|シリーズ)$", "", name)
    key = _key(series)
    return not re.search(r"\d", name) or (
        len(key) >= 2 and (stem.startswith(key) or (key.startswith(stem) and len(stem) >= 2))
    )


def _common_prefix(texts: Sequence[str]) -> str:
    if not texts:
        return ""
    low, high = min(texts), max(texts)
    length = next(
        (i for i, (a, b) in enumerate(zip(low, high, strict=False)) if a != b), min(len(low), len(high))
    )
    return low[:length]


def _short_to_parts(key: str, parts: Sequence[str]) -> tuple[str, ...]:
    """Parts whose number is the label plus a suffix or a prefix, or the other way round.

    A digit may not stand on both sides of the cut: 05 is no short form of 050.
    """
    if len(key) < 3:
        return ()
    longer = [part for part in parts if _is_cut_of(key, _cut_key(part))]
    if longer:
        return tuple(longer)
    shorter = [part for part in parts if len(_cut_key(part)) >= 3 and _is_cut_of(_cut_key(part), key)]
    longest = max((len(part) for part in shorter), default=0)
    best = [part for part in shorter if len(part) == longest]
    return tuple(best) if len(best) == 1 else ()


def _is_cut_of(short: str, long: str) -> bool:
    if long.startswith(short) and len(long) > len(short):
        return not (short[-1].isdigit() and long[len(short)].isdigit())
    if long.endswith(short) and len(long) > len(short):
        return not (short[0].isdigit() and long[-len(short) - 1].isdigit())
    return False


def _code_to_parts(name: str, parts: Sequence[str]) -> tuple[str, ...]:
    """Parts that contain a label of digits (a current code) at one and the same place."""
    code = _cut_key(name)
    if not re.fullmatch(r"\d{2,5}", code):
        return ()
    by_place: dict[int, list[str]] = {}
    for part in parts:
        for match in re.finditer(rf"(?<!\d){code}(?!\d)|(?<=\D){code}(?=\D|$)", _cut_key(part)):
            by_place.setdefault(match.start(), []).append(part)
    return tuple(next(iter(by_place.values()))) if len(by_place) == 1 else ()


def _range_to_parts(name: str, parts: Sequence[str]) -> tuple[str, ...]:
    """Parts from one code or part number to another, both ends included, by the digits at that place."""
    match = _RANGE.fullmatch(name)
    if match is None:
        return ()
    low, high = _cut_key(match["low"]), _cut_key(match["high"])
    keys = {part: _cut_key(part) for part in parts}
    if low in keys.values() and high in keys.values():
        order = [keys[part] for part in parts]
        first, last = order.index(low), order.index(high)
        return tuple(parts[first : last + 1]) if first <= last else ()
    low_digits, high_digits = re.search(r"\d+(?!.*\d)", low), re.search(r"\d+(?!.*\d)", high)
    if not low_digits or not high_digits or len(low_digits[0]) != len(high_digits[0]):
        return ()
    return _between_codes(low_digits[0], high_digits[0], keys)


def _between_codes(low: str, high: str, keys: dict[str, str]) -> tuple[str, ...]:
    width = len(low)
    places = {
        match.start()
        for key in keys.values()
        for match in re.finditer(rf"(?=({low}|{high}))", key)
        if not _splits_digits(key, match.start(), width)
    }
    if len(places) != 1:
        return ()
    place = places.pop()
    inside = [
        part
        for part, key in keys.items()
        if key[place : place + width].isdigit() and int(low) <= int(key[place : place + width]) <= int(high)
    ]
    has_ends = all(any(keys[part][place : place + width] == end for part in inside) for end in (low, high))
    return tuple(inside) if has_ends else ()


def _splits_digits(key: str, start: int, width: int) -> bool:
    before = start > 0 and key[start - 1].isdigit()
    after = start + width < len(key) and key[start + width].isdigit()
    return before or after
