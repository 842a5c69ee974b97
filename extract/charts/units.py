"""The unit of an axis: what turns the numbers printed along it into A or s.

Comes in: the texts of an axis. Goes out: a factor, and why it is in doubt: a unit that is not known, or two
of them. A title without a unit counts as A or s, as printed charts mean it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.charts.geometry import Box, to_box
from extract.charts.kinds import chart_words, names
from extract.charts.numbers import TickLabel
from extract.charts.wording import Word, is_level
from extract.vocabulary import fold

FACTORS = {
    "time": {"time": 1.0, "milliseconds": 1e-3, "microseconds": 1e-6, "minutes": 60.0, "hours": 3600.0},
    "current": {"current": 1.0, "milliamperes": 1e-3, "microamperes": 1e-6, "kiloamperes": 1e3},
}
_LONG = 4  # letters of a unit that is a word, or of an abbreviation nothing else is written like
_BARE = {"ms", "ma", "msec"}
_LONGEST, _SHORT = 12, 3  # letters that could be a unit, in brackets and without
_FACTOR = re.compile(r"[×x]\s*10|1[eE][-+−]?\d+$")
MANY_FACTORS = 3
_MULTIPLES = re.compile(r"multipl\w*|vielfach\w*|\btimes\b|(?<=[(\[])\s*[x×]|i\s*/\s*i")
_BRACKETED = re.compile(r"[(\[（【]\s*([^()\[\]（）【】]+?)\s*[)\]）】]")
_LAST = re.compile(r"(?:/|,|\bin\b|\ben\b|÷|:)\s*([^\s()\[\],/]+)\s*$")
_MULTIPLE = re.compile(r"[×x*]\s*1?0|10\s*\^?\s*[-−]?\d|\d")
_SAYS_TYPICAL = re.compile(r"typ|avg|log|max|min\.|°|rms|dc|ac")


@dataclass(frozen=True, slots=True)
class AxisUnit:
    """`factor` turns printed numbers into A or s; `doubt` says why that is not sure."""

    factor: float = 1.0
    doubt: str = ""


def texts_to_unit(texts: Sequence[str], quantity: str, title: str = "") -> AxisUnit:
    """The unit that the texts of an axis of times or currents name; else the one its chart's title names."""
    folded = [fold(text) for text in texts]
    titles = [text for text in folded if names("axis", quantity, text)]
    known: dict[float, str] = {}
    for group in (titles, folded, [fold(title)]):
        known = known or {FACTORS[quantity][name]: said for t in group for name, said in _units(t, quantity)}
    strange = [said for text in titles or folded for said in _strange(text, quantity)]
    scaled = [said for said in strange if _MULTIPLE.search(said)]
    if len(known) > 1 or (known and scaled):
        return AxisUnit(1.0, f"its axis names the units {' and '.join([*known.values(), *scaled])}")
    if known:
        return AxisUnit(next(iter(known)))
    return AxisUnit(1.0, f"its axis is in '{strange[0]}', which is no unit known here" if strange else "")


def labels_to_unit(labels: Sequence[TickLabel], titled: AxisUnit) -> AxisUnit:
    """The unit of an axis whose numbers may carry their own: then all of them are in A or s already, and its
    title names no other."""
    with_unit = sum(label.has_unit for label in labels)
    if not with_unit:
        return titled
    if with_unit < len(labels) or titled.factor != 1.0:
        return AxisUnit(
            1.0, "some of its numbers carry a unit that others do not, or its title names another"
        )
    return titled


def words_to_factors(words: Sequence[Word], frame: Box) -> tuple[str, ...]:
    """Factors that stand at the end of an axis for all its numbers, as some programs print them: 1e3, ×10."""
    x0, top, x1, bottom = frame
    ends = ((x0 - 40, top - 20, x0 + 40, top), (x1 - 40, bottom, x1 + 40, bottom + 40))
    near = [w for w in words if is_level(w.angle) and any(to_box(w.mid, end) == 0.0 for end in ends)]
    many = sum(_FACTOR.match(word.text) is not None for word in words)  # 1e3 may be a number like the others
    return tuple(word.text for word in near if _FACTOR.match(word.text) and many < MANY_FACTORS)


def _units(text: str, quantity: str) -> list[tuple[str, str]]:
    """The units in a text with their spelling: in brackets, behind a stroke or a comma, or written out."""
    said = [*_BRACKETED.findall(text), *_LAST.findall(text)]
    found = [(name, spelling) for spelling in said if (name := _unit_of(spelling, quantity))]
    return found + _bare_units(text, quantity)


def _strange(text: str, quantity: str) -> list[str]:
    """What stands where a unit would and is none that is known."""
    said = [(text, _LONGEST) for text in _BRACKETED.findall(text)]
    said += [(text, _SHORT) for text in _LAST.findall(text)]
    last = text.split()[-1].rstrip(".") if text.split() else ""
    if FACTORS[quantity].get(_unit_of(last, quantity), 1.0) != 1.0:
        return [last]  # "min" may stand for the least or for minutes
    return [
        text
        for text, longest in said
        if len(text) <= longest
        and re.search(r"[^\W\d_]|%", text)
        and not _unit_of(text, quantity)
        and not _SAYS_TYPICAL.search(text)
        and not names("axis", quantity, text)
    ] + ([match[0]] if quantity == "current" and (match := _MULTIPLES.search(text)) else [])


def _unit_of(said: str, quantity: str) -> str:
    """The unit a text is, or empty."""
    text = said.replace(" ", "").rstrip(".")
    return next((name for name in FACTORS[quantity] if text in chart_words()["unit"][name]), "")


def _bare_units(text: str, quantity: str) -> list[tuple[str, str]]:
    """Units written out in a text, or as abbreviations of nothing else, without brackets."""
    return [
        (name, spelling)
        for name in FACTORS[quantity]
        for spelling in chart_words()["unit"][name]
        if (len(spelling) >= _LONG or spelling in _BARE)
        and re.search(rf"(?<!\w){re.escape(spelling)}(?!\w)", text)
    ]
