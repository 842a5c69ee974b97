"""The numbers printed along an axis.

Comes in: words beside a frame. Goes out: TickLabels: what each says and where its middle is. Places nothing:
labels do not stand at their lines.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from extract.charts.ink import Box, Letter
from extract.charts.wording import Word, is_level, is_upright, join_words, letter_to_height
from extract.vocabulary import fold

BELOW_PT, BESIDE_PT = 24.0, 48.0  # tick labels stand no farther from their axis
_NUMBER = re.compile(r"[-+]?(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:e[-+]?\d+)?")
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:[, ']\d{3})+")
_SAME_ROW_PT = 4.0
_LEAST_COLUMN = 3  # so many numbers above each other are those of the upright axis
_CORNER = 0.8  # of its height: numbers of one column stand farther apart
_PIECES_EM = 0.12  # pieces of one number leave no wider gap
_BEHIND = re.compile(r"\s*(?:%|°c?|℃|a|s|c)?")


_Number = tuple[Word, float]


@dataclass(frozen=True, slots=True)
class TickLabel:
    """A printed number and the place of its middle along the axis."""

    value: float
    at: float


def text_to_number(text: str) -> float | None:
    """A number as axes print it: 0,01 and .5 and 1,000 and 1.E-03 and -40 °C; None for anything else."""
    folded = fold(text).replace("−", "-").strip().replace(".e", "e")
    if _THOUSANDS.fullmatch(folded):
        return float(re.sub(r"[, ']", "", folded))
    match = _NUMBER.match(folded)
    if match is None or re.match(r"0\d", folded) or not _BEHIND.fullmatch(folded[match.end() :]):
        return None
    return float(match[0].replace(",", "."))


def word_to_number(word: Word) -> float | None:
    """The number a word says; a raised exponent is one."""
    power = _to_power(word.letters)
    return power if power is not None else text_to_number(word.text)


def _to_power(letters: Sequence[Letter]) -> float | None:
    """Ten with a raised exponent: smaller letters that stand higher."""
    text = "".join(letter.text for letter in letters)
    if not re.fullmatch(r"10[-−–+]?\d", text):
        return None
    base, exponent = letters[0], letters[2:]
    height = letter_to_height(base)
    raised = all(
        letter.box[3] < base.box[3] - 0.12 * height and letter_to_height(letter) < 0.92 * height
        for letter in exponent
    )
    return 10.0 ** int(fold(text[2:]).replace("−", "-").replace("+", "")) if raised else None


def words_to_ticks(words: Sequence[Word], frame: Box) -> tuple[tuple[TickLabel, ...], tuple[TickLabel, ...]]:
    """The numbers below a frame (else above it), and those at its left (else at its right)."""
    numbers = _numbers_near(words, frame)
    left = max(_beside(numbers, frame), _read_upwards(words, frame), key=len)
    left = _without_corner(left) if len(left) > _LEAST_COLUMN else left
    taken = {id(word) for word, _ in left} if len(left) >= _LEAST_COLUMN else set()
    below = _below([(word, number) for word, number in numbers if id(word) not in taken], frame)
    return (
        tuple(TickLabel(n, w.mid[0]) for w, n in sorted(below, key=lambda item: item[0].mid[0])),
        tuple(TickLabel(n, w.mid[1]) for w, n in sorted(left, key=lambda item: item[0].mid[1])),
    )


def _numbers_near(words: Sequence[Word], frame: Box) -> list[_Number]:
    """The level words around a frame that are numbers, their pieces put together."""
    x0, top, x1, bottom = frame
    around = (x0 - 60, top - 30, x1 + 60, bottom + 30)
    figures = [
        w for w in words if is_level(w.angle) and _is_in(w, around) and any(c.isdigit() for c in w.text)
    ]
    read = ((word, word_to_number(word)) for word in join_words(figures, _PIECES_EM))
    return [(word, number) for word, number in read if number is not None]


def _is_in(word: Word, box: Box) -> bool:
    """Whether the middle of a word lies in a box."""
    x, y = word.mid
    return box[0] <= x <= box[2] and box[1] <= y <= box[3]


def _beside(numbers: Sequence[_Number], frame: Box) -> list[_Number]:
    """The numbers in a column at the left of a frame, else at its right."""
    x0, top, x1, bottom = frame
    high = [(w, n) for w, n in numbers if top - 10 <= w.mid[1] <= bottom + 10]
    left = [(w, n) for w, n in high if x0 - BESIDE_PT <= w.box[2] <= x0 + 4]
    right = [(w, n) for w, n in high if x1 - 4 <= w.box[0] <= x1 + BESIDE_PT]
    return _column(left, True) or _column(right, False)


def _without_corner(left: Sequence[_Number]) -> list[_Number]:
    """A column without its lowest number, if that stands right beside the next one: it is the first of the
    level axis."""
    ordered = sorted(left, key=lambda item: item[0].mid[1])
    (above, _), (lowest, _) = ordered[-2], ordered[-1]
    return ordered[:-1] if lowest.mid[1] - above.mid[1] < _CORNER * lowest.size else ordered


def _read_upwards(words: Sequence[Word], frame: Box) -> list[_Number]:
    """The numbers at the left of a frame that are read upwards, as some programs print them."""
    x0, top, _, bottom = frame
    upright = [w for w in words if is_upright(w.angle) and x0 - BESIDE_PT <= w.box[2] <= x0 + 4]
    along = [w for w in upright if top - 10 <= w.mid[1] <= bottom + 10]
    return _column([(w, n) for w in along if (n := text_to_number(w.text)) is not None], True)


def _below(numbers: Sequence[_Number], frame: Box) -> list[_Number]:
    """The numbers in a row below a frame, else above it."""
    x0, top, x1, bottom = frame
    foot = _row(numbers, (x0, bottom - 1, x1, bottom + BELOW_PT))
    head = _row(numbers, (x0, top - BELOW_PT, x1, top + 1))
    return _nearest_row(foot) or _nearest_row(head[::-1])


def _row(numbers: Sequence[_Number], band: Box) -> list[_Number]:
    """The numbers in a band along the level axis, those on a line with one clear of the upright axis."""
    x0, low, x1, high = band
    clear = [w.mid[1] for w, _ in numbers if _is_in(w, (x0 + 6, low, x1 + 15, high))]
    along = [(w, n) for w, n in numbers if _is_in(w, (x0 - 15, low, x1 + 15, high))]
    return [(w, n) for w, n in along if any(abs(w.mid[1] - y) < _SAME_ROW_PT for y in clear)]


def _nearest_row(found: list[_Number]) -> list[_Number]:
    """The line of labels with the most numbers that rise or fall all along; else the one with the most."""
    rows: list[list[_Number]] = []
    for word, number in sorted(found, key=lambda item: item[0].mid[1]):
        if rows and abs(rows[-1][0][0].mid[1] - word.mid[1]) < _SAME_ROW_PT:
            rows[-1].append((word, number))
        else:
            rows.append([(word, number)])
    ordered = [row for row in rows if _runs_one_way(row)]
    return max(ordered or rows, key=len) if rows else []


def _runs_one_way(row: Sequence[_Number]) -> bool:
    numbers = [number for _, number in sorted(row, key=lambda item: item[0].mid[0])]
    return len({b > a for a, b in pairwise(numbers) if a != b}) == 1


def _column(found: list[_Number], left: bool) -> list[_Number]:
    """The labels that are aligned at one edge, or at their middles."""
    best: list[_Number] = []
    edges: tuple[Callable[[Word], float], ...] = (lambda w: w.box[2], lambda w: w.mid[0], lambda w: w.box[0])
    for edge in edges:
        for anchor, _ in found:
            aligned = [(w, n) for w, n in found if abs(edge(w) - edge(anchor)) < 3.5]
            if len(aligned) > len(best):
                best = aligned
    return best if left or len(best) >= 2 else []
