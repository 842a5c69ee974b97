"""What holds for a whole table or sheet: the reference ambient, ratings said in a caption.

Comes in: Tables, texts. Goes out: votes for a reference ambient, ratings with the text that says them.
A caption rates the table, half or group it stands over."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from extract.meanings.tables import Table
from extract.meanings.words import Meaning, hits_to_kinds, text_to_hits
from extract.schema import Kind, Quantity
from extract.vocabulary import fold, spelling_to_unit

ROOM_C = (15.0, 35.0)
_TEMPERATURE = re.compile(r"(?<![\d.,~–-])(\d{2})\s*(?:°\s*){0,2}\s*[c℃](?![a-z])|(?<![\d.,])(\d{2})\s*℃")
_VALUE = r"\s*(\d+(?:[.,]\d+)?)\s*([km]?[av])(?![a-z])\s*(\S*)"
_ASIDE = r"\s*(?:\([^)]{0,16}\)\s*)?(?:(?:of|for|für|von|pour|de|di|för|voor)\s\S+\s)?"
_RATING = re.compile(_ASIDE + r"(?:[=:：]|is|of|≤|ist|est|är)" + _VALUE)
_SHORT_RATING = re.compile(_ASIDE + r"(?:[=:：≤,]|is|of|ist|est|är)?" + _VALUE)
_OF_SOME = re.compile(r"\b(?:only|except|suffix|nur|au(?:ss|ß)er|sauf|solo|excepto|tylko)\b|仅|僅|のみ")
"""Words of a text that rates some of the parts it stands over, and does not say well enough which."""
SHORT_TEXT = 60
"""A text of so few letters says a rating without an equals sign: "Maximum voltage 60 V"."""


_MARK = re.compile(r"(\*+|[†‡§]|[⁰-⁹¹²³ᵃᵇᶜ]|\([A-Za-z\d]\))[)⁾]?$")


def footnote_to_exception(text: str, part: str, notes: Sequence[str], base: str) -> str:
    """The footnote that may give a marked number another value for a part: it begins with the number's mark
    and names a number in the same unit, for this part or for none by name; empty if there is none."""
    match = _MARK.search(text.strip())
    if match is None:
        return ""
    sign = unicodedata.normalize("NFKC", match[1])
    for note in notes:
        plain = unicodedata.normalize("NFKC", note)
        place = plain.find(sign)
        if place < 0 or place > 60:
            continue
        rest = plain[place + len(sign) :]
        if re.search(rf"\d\s*(?:m|k)?{base.lower()}(?![a-z])", fold(rest)) and (
            part in rest or not re.search(r"[A-Z]{2,}[-/]?\d", rest)
        ):
            return note
    return ""


@dataclass(frozen=True, slots=True)
class Said:
    """A rating that a text gives to everything below or beside it."""

    quantity: Quantity
    kind: Kind
    value: float
    unit: str
    text: str


def texts_to_ambients(texts: Iterable[str]) -> list[float]:
    """Room temperatures in texts, one for each time they stand there."""
    found = []
    for text in texts:
        for match in _TEMPERATURE.finditer(fold(text)):
            value = float(match[1] or match[2])
            if ROOM_C[0] <= value <= ROOM_C[1]:
                found.append(value)
    return found


def table_to_ambient_votes(table: Table) -> Counter[float]:
    """What a table of ratings says of its reference ambient: its headings most, its caption, its notes."""
    votes: Counter[float] = Counter()
    heads = [a.candidate.head for a in table.assigned if a.meaning in (Meaning.HOLD, Meaning.TRIP)]
    for weight, texts in ((6, heads), (4, table.grid.captions[:2]), (1, table.grid.notes)):
        for value in set(texts_to_ambients(texts)):
            votes[value] += weight
    return votes


def text_to_said(text: str) -> tuple[Said, ...]:
    """Ratings that a text states: the symbol or words of a voltage or current, an equals sign, a number, a
    unit."""
    folded = fold(text)
    found = []
    for hit in () if _OF_SOME.search(folded) else text_to_hits(text):
        if hit.sense != "quantity" or Quantity(hit.name) not in _SAID:
            continue
        match = (_RATING if len(folded) > SHORT_TEXT else _SHORT_RATING).match(folded, hit.end)
        unit = spelling_to_unit(match[2]) if match is not None else None
        if match is None or unit is None or unit.base != _SAID[Quantity(hit.name)]:
            continue
        factor = float(unit.factor)
        kinds = hits_to_kinds(text_to_hits(match[3])) & {Kind.AC, Kind.DC}
        kind = kinds.pop() if len(kinds) == 1 else Kind.NONE
        value = float(match[1].replace(",", ".")) * factor
        found.append(Said(Quantity(hit.name), kind, value, match[2], text))
    return tuple(found)


_PAIR = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*v\s*(dc|ac)?\s*[/,;]\s*(\d+(?:[.,]\d+)?)\s*a\s*(dc|ac|rms)?(?![a-z])"
)


def lines_to_limits(lines: Sequence[str]) -> tuple[Said, ...]:
    """Limits as bare volts and amperes below a line that speaks of maximum ratings: "30 VDC / 100 A DC"."""
    found = []
    for number, line in enumerate(lines):
        match = _PAIR.fullmatch(fold(line).strip().rstrip("."))
        above = " ".join(lines[max(0, number - 3) : number])
        if match is None or not any(hit.sense == "limit" for hit in text_to_hits(above)):
            continue
        kinds = [
            Kind(word) if word in ("ac", "dc") else Kind.AC if word else Kind.NONE
            for word in (match[2], match[4])
        ]
        for quantity, value, kind, unit in (
            (Quantity.MAX_VOLTAGE, match[1], kinds[0], "V"),
            (Quantity.MAX_CURRENT, match[3], kinds[1], "A"),
        ):
            found.append(Said(quantity, kind, float(value.replace(",", ".")), unit, line))
    return tuple(found)


_SAID = {
    Quantity.MAX_VOLTAGE: "V",
    Quantity.MAX_CURRENT: "A",
    Quantity.MAX_INTERRUPT_VOLTAGE: "V",
}
