"""What a frame shows, by the words around it.

Comes in: a frame and the phrases of its page. Goes out: a ChartKind with the words that belong to the chart's
axes and title. Reads no scale, judges no curve.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from importlib.resources import files
from typing import Any

from extract.charts.ink import Box
from extract.charts.wording import Word, is_level, is_upright
from extract.vocabulary import fold

LEFT_PT, RIGHT_PT, ABOVE_PT, BELOW_PT = 75.0, 40.0, 130.0, 55.0  # so far from a frame its texts may stand
_POWER_OF_TEN = re.compile(r"0[.,]0*1|10*|10[-+]?\d")
_FAMILIES = {
    "time": ("time", "milliseconds", "microseconds", "minutes"),
    "current": ("current", "milliamperes", "kiloamperes"),
}


class ChartKind(StrEnum):
    """What a chart shows."""

    TIME_TO_TRIP = "time_to_trip"
    DERATING = "derating"
    OTHER = "other"  # a solder profile, a drawing, a curve of something else
    PICTURE = "picture"  # pixels: named by nothing but its surroundings


@dataclass(frozen=True, slots=True)
class Surroundings:
    """The texts around a frame: beside its left, below it, above it (nearest first), within it, and those
    beside its right that are read upwards or downwards."""

    left: tuple[Word, ...]
    below: tuple[Word, ...]
    above: tuple[Word, ...]
    inside: tuple[Word, ...]
    right: tuple[Word, ...] = ()


@cache
def chart_words() -> dict[str, Any]:
    """words.toml as read."""
    return tomllib.loads((files("extract.charts") / "words.toml").read_text(encoding="utf-8"))


@cache
def _pattern(group: str, name: str) -> re.Pattern[str]:
    words = chart_words()[group][name]
    return re.compile("|".join(_word_to_pattern(word) for word in words))


def _word_to_pattern(word: str) -> str:
    whole = word[0].isalpha() and ord(word[0]) < 0x1100  # scripts without blanks between words come after
    return rf"(?<!\w){re.escape(word)}(?!\w)" if whole else re.escape(word)


def names(group: str, name: str, text: str) -> bool:
    """Whether a text holds one of the words of words.toml [group] name."""
    return _pattern(group, name).search(fold(" ".join(text.split()))) is not None


def box_to_surroundings(box: Box, phrases: Sequence[Word], others: Sequence[Box] = ()) -> Surroundings:
    """The phrases around a box that are nearer to it than to the other boxes of its page."""
    x0, top, x1, bottom = box
    left, below, above, inside, right = [], [], [], [], []
    for phrase in phrases:
        x, y = phrase.mid
        if x0 <= x <= x1 and top <= y <= bottom:
            inside.append(phrase)
        elif x0 - LEFT_PT <= x < x0 + 2 and top - 15 <= y <= bottom + 15 and phrase.box[2] < x0 + 15:
            left.append(phrase)
        elif is_upright(phrase.angle) and x1 < x <= x1 + LEFT_PT and top - 15 <= y <= bottom + 15:
            right.append(phrase)
        elif is_level(phrase.angle) and x0 - 20 <= x <= x1 + RIGHT_PT and bottom < y <= bottom + BELOW_PT:
            below.append(phrase)
        elif is_level(phrase.angle) and _is_above(phrase, box) and not _stands_between(phrase, box, others):
            above.append(phrase)
    above.sort(key=lambda phrase: top - phrase.mid[1])
    return Surroundings(tuple(left), tuple(below), tuple(above), tuple(inside), tuple(right))


def to_other_sides(around: Surroundings) -> Surroundings:
    """The same texts where a chart has its axes at its right, at its head, or both: an axis without a title
    at its usual side."""
    left = around.left if any(is_upright(p.angle) for p in around.left) or not around.right else around.right
    has_title = any(sum(c.isalpha() for c in p.text) >= 4 for p in around.below)
    return replace(around, left=left, below=around.below if has_title else (*around.below, *around.above))


def _is_above(phrase: Word, box: Box) -> bool:
    x, y = phrase.mid
    return box[1] - ABOVE_PT <= y < box[1] and box[0] - 120 <= x <= box[2] + 120


def _stands_between(phrase: Word, box: Box, others: Sequence[Box]) -> bool:
    """Whether another chart stands between a phrase and this one."""
    y = phrase.mid[1]
    return any(
        y < (other[1] + other[3]) / 2 < box[1] and other[0] < box[2] and box[0] < other[2] for other in others
    )


def surroundings_to_kind(around: Surroundings) -> ChartKind:
    """What a chart shows: by its axes; where they say nothing, by its title."""
    upright = _joined([p for p in around.left if is_upright(p.angle)] or around.left)
    below, title = _joined(around.below), _title(around)
    says_other = names("title", "other", title) or names("title", "other", _joined(around.inside))
    if says_other or _shows_another(upright, below):
        return ChartKind.OTHER
    is_titled = names("title", "time_to_trip", title)
    if _is(below, "current") and (_is(upright, "time") or is_titled):
        return ChartKind.TIME_TO_TRIP
    if _is(below, "temperature") and not _is(upright, "time"):
        return ChartKind.DERATING if _shows_share(upright, title) else ChartKind.OTHER
    is_trip = is_titled and not _is(below, "temperature") and _is_logarithmic(around)
    return ChartKind.TIME_TO_TRIP if is_trip else ChartKind.OTHER


def _joined(phrases: Sequence[Word]) -> str:
    return " ".join(phrase.text for phrase in phrases)


def _shows_share(upright: str, title: str) -> bool:
    """Whether what stands over a temperature is a share of a rating or a current."""
    return _is(upright, "percent") or _is(upright, "current") or names("title", "derating", title)


def _shows_another(upright: str, below: str) -> bool:
    """Whether the axes show a temperature over time, a resistance, or anything over a voltage."""
    is_profile = _is(upright, "temperature") and not (_is(upright, "percent") or _is(upright, "current"))
    return is_profile or _is(upright, "resistance") or _is(below, "voltage")


def _is(text: str, name: str) -> bool:
    """Whether an axis title names a quantity, by its word or by its unit in brackets."""
    if names("axis", name, text):
        return True
    spelled = chart_words()["unit"]
    units = [unit for family in _FAMILIES.get(name, (name,)) for unit in spelled.get(family, ())]
    folded = fold(text)
    ways = ("({})", "[{}]", "/ {}")
    return any(way.format(unit) in folded for unit in units for way in ways) or (
        "%" in units and "%" in folded
    )


def _is_logarithmic(around: Surroundings) -> bool:
    """Whether both axes carry powers of ten."""
    left = {p.text for p in around.left if _POWER_OF_TEN.fullmatch(p.text)}
    below = {p.text for p in around.below if _POWER_OF_TEN.fullmatch(p.text)}
    return len(left) >= 3 and len(below) >= 2


def _title(around: Surroundings) -> str:
    """The nearest lines above a chart that hold words."""
    lines = [phrase.text for phrase in around.above if sum(c.isalpha() for c in phrase.text) >= 4]
    return " ".join(lines[:4])
