"""Numbers as they are printed along axes, whole: their pieces put together, their units understood.

Comes in: the words near a frame. Goes out: Figures: each with its word, what it says, and whether a unit
stands behind it. Tells no axis.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.charts.geometry import Box
from extract.charts.ink import Letter
from extract.charts.wording import Word, join_words, letter_to_height
from extract.vocabulary import fold

_NUMBER = re.compile(r"[-+]?(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:e[-+]?\d+)?")
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:[, ']\d{3})+")
_HEAD, _GROUP = re.compile(r"\d{1,3}(?: ?000)*"), re.compile(r"(?:000)+")
_RAISED_SIGNS = re.compile("[⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺]")
_LOWERED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")
_POWER = re.compile(
    r"(?:(\d(?:[.,]\d+)?)\s*[x×·*∙⋅]\s*)?10"
    r"(?:\s*\^\s*\{?([-+−–]?\d{1,2}(?:\.\d{1,2})?)\}?|([⁻⁺]?[⁰¹²³⁴-⁹]{1,2}))"
)
_TIMES = ("×", "x", "·", "∙", "⋅")
_TEN = re.compile(r"(?:\d(?:[.,]\d+)?[×x·∙⋅])?10")
_SET_POWER = re.compile(r"(?:(\d(?:[.,]\d+)?)[×x·∙⋅])?10([-−–+]?\d)")
_PIECES_EM = 0.12  # pieces of one number leave no wider gap
_BLANK_EM = 0.5  # nor does a blank within a number, or before its unit
_RAISED = 0.9  # of the height of a ten: its exponent is no higher
_BEHIND = re.compile(r"\s*(?:%|°c?|℃|c)?")
_UNITS = {
    "s": 1.0, "sec": 1.0, "ms": 1e-3, "μs": 1e-6, "us": 1e-6, "min": 60.0,
    "a": 1.0, "ma": 1e-3, "μa": 1e-6, "ka": 1e3,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Figure:
    """A printed number: its word, its value (in A or s if `has_unit`: a unit stands behind it)."""

    word: Word
    value: float
    has_unit: bool = False


def text_to_number(text: str) -> float | None:
    """A number as axes print it: 0,01 and .5 and 1,000 and 1.E-03 and -40 °C and 10 ms; None for anything
    else."""
    found = _text_to_value(text)
    return found[0] if found is not None else None


def _text_to_value(text: str) -> tuple[float, bool] | None:
    """The number a text says, and whether a unit of time or current stands behind it."""
    power = _written_power(text)
    if power is not None or _RAISED_SIGNS.search(text):
        return None if power is None else (power, False)
    folded = fold(text).replace("−", "-").strip().replace(".e", "e")
    if _THOUSANDS.fullmatch(folded):
        return float(re.sub(r"[, ']", "", folded)), False
    match = _NUMBER.match(folded)
    if match is None or re.match(r"0\d", folded):
        return None
    behind, value = folded[match.end() :].strip(), float(match[0].replace(",", "."))
    if behind in _UNITS:
        return value * _UNITS[behind], True
    return (value, False) if _BEHIND.fullmatch(behind) else None


def _written_power(text: str) -> float | None:
    """A power of ten, perhaps with a factor, in raised signs or behind a caret: 10⁻², 2×10³, 10^-1,
    10^0.5."""
    match = _POWER.fullmatch(text.strip())
    if match is None:
        return None
    exponent = (match[2] or match[3]).translate(_LOWERED).replace("−", "-").replace("–", "-")
    return float((match[1] or "1").replace(",", ".")) * float(10.0 ** float(exponent))


def words_to_figures(words: Sequence[Word]) -> list[Figure]:
    """The words that are numbers, their pieces put together: digits, raised exponents, groups of thousands,
    units behind a blank."""
    found = []
    for word in _whole(words):
        power = _to_power(word.letters)
        read = (power, False) if power is not None else _text_to_value(word.text)
        if read is not None:
            found.append(Figure(word, *read))
    return found


def _whole(words: Sequence[Word]) -> list[Word]:
    """Words with digits, their pieces put together."""
    figures = [word for word in words if any(c.isdigit() for c in word.text)]
    joined = _grouped(_raised(_multiplied(join_words(figures, _PIECES_EM), words)))
    units = [word for word in words if fold(word.text) in _UNITS]
    return [_with_next(word, units) for word in joined]


def _multiplied(figures: Sequence[Word], words: Sequence[Word]) -> list[Word]:
    """A digit, a sign of multiplication and a ten, printed apart, as one word."""
    found = list(figures)
    for sign in (word for word in words if word.text in _TIMES):
        before = next((word for word in found if _is_next(word, sign)), None)
        behind = next((word for word in found if _is_next(sign, word)), None)
        if before is not None and behind is not None:
            letters = (*before.letters, *sign.letters, *behind.letters)
            box = _around(_around(before.box, sign.box), behind.box)
            found = [word for word in found if word is not before and word is not behind]
            found.append(Word(before.text + sign.text + behind.text, letters, box))
    return found


def _raised(words: Sequence[Word]) -> list[Word]:
    """Tens with the smaller exponents that stand at their upper right corner."""
    tens = [word for word in words if _TEN.fullmatch(word.text)]
    rest = [word for word in words if not _TEN.fullmatch(word.text)]
    found = []
    for ten in tens:
        near = [word for word in rest if _is_exponent(word, ten)]
        if len(near) == 1:
            rest.remove(near[0])
            ten = Word(
                ten.text + near[0].text, (*ten.letters, *near[0].letters), _around(ten.box, near[0].box)
            )
        found.append(ten)
    return sorted([*rest, *found], key=lambda word: word.box[0])


def _is_exponent(word: Word, ten: Word) -> bool:
    """Whether a word is a raised, smaller number behind a ten."""
    is_number = re.fullmatch(r"[-−–+]?\d", word.text) is not None
    gap, high = word.box[0] - ten.box[2], ten.box[3] - ten.box[1]
    is_behind = -_PIECES_EM * ten.size < gap < 2 * _PIECES_EM * ten.size
    is_smaller = word.box[3] - word.box[1] < _RAISED * high
    return is_number and is_behind and is_smaller and ten.box[1] - high < word.mid[1] < ten.mid[1]


def _grouped(words: Sequence[Word]) -> list[Word]:
    """Numbers whose thousands stand behind blanks: 1 000 and 200 000. Two numbers side by side are never
    "000"."""
    groups = [word for word in words if _GROUP.fullmatch(word.text)]
    found = [word for word in words if word not in groups]
    for group in sorted(groups, key=lambda word: word.box[0]):
        at = next((i for i, w in enumerate(found) if _HEAD.fullmatch(w.text) and _is_next(w, group)), None)
        if at is None:
            found.append(group)
        else:
            found[at] = _joined(found[at], group)
    return found


def _with_next(word: Word, units: Sequence[Word]) -> Word:
    """A number with the unit behind it."""
    unit = next((unit for unit in units if _is_next(word, unit)), None)
    return word if unit is None or text_to_number(word.text) is None else _joined(word, unit)


def _is_next(one: Word, other: Word) -> bool:
    """Whether a word follows on the same line behind a blank."""
    aside, gap = abs(one.mid[1] - other.mid[1]), other.box[0] - one.box[2]
    return aside < 0.3 * one.size and gap + 0.1 * one.size >= 0.0 and gap < _BLANK_EM * one.size


def _joined(one: Word, other: Word) -> Word:
    return Word(f"{one.text} {other.text}", (*one.letters, *other.letters), _around(one.box, other.box))


def _around(one: Box, other: Box) -> Box:
    return min(one[0], other[0]), min(one[1], other[1]), max(one[2], other[2]), max(one[3], other[3])


def _to_power(letters: Sequence[Letter]) -> float | None:
    """Ten with a raised exponent: smaller letters that stand higher."""
    match = _SET_POWER.fullmatch("".join(letter.text for letter in letters))
    if match is None:
        return None
    base, exponent = letters[0], letters[match.start(2) :]
    height = letter_to_height(base)
    raised = all(
        letter.box[3] < base.box[3] - 0.12 * height and letter_to_height(letter) < 0.92 * height
        for letter in exponent
    )
    power = 10.0 ** int(fold(match[2]).replace("−", "-").replace("+", ""))
    return float((match[1] or "1").replace(",", ".")) * power if raised else None
