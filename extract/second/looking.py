"""What stands left of a place, and above it: the row and the headings that an eye finds without any grid.

Comes in: a SecondPage, the places of values on it. Goes out: Sights: the digits at the place, the words of
its row to the left, the words above it in blocks, nearest first. Looks along the row and up the column of
one place; knows no table, no part and no meaning.

    Part     Hold   Trip          the eye at 0.14: left "AB-14", above "Hold (A)"
             (A)    (A)
    AB-14    0.14   0.30
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from extract.boxes import Box
from extract.second.page_words import Level, SecondPage, Word

NEAR_PT = 1.0
LINE_EM = 0.55  # middles of one line lie no farther apart
ROW_EM = 2.2  # without rules a row reaches no farther from the middle of its value
BLOCK_EM = 2.6  # a wider gap parts a heading from what stands above it
MOST_BLOCKS = 4
WIDE_EM = 12.0  # texts over a whole table stand no higher above its headings
_SAYS = re.compile(r"[^\W_]|[%°Ω]")
"""What is neither letter nor digit nor unit, such as a line of dashes, says nothing."""


@dataclass(frozen=True, slots=True)
class Line:
    """Words of one line over a place; `beside`: words of the same phrases that do not stand over it."""

    over: tuple[str, ...]
    beside: tuple[str, ...]


Blocks = tuple[tuple[Line, ...], ...]


@dataclass(frozen=True, slots=True)
class Sight:
    """What is seen at a place.

    `text`: its digits; `row`: words left of it, the nearest last, each with how far its middle is from the
    value's, in em; `right`: the same to the right; `ruled`: whether rules bound the row; `alone`: whether no
    other value of its column stands within them; `above`: blocks of lines over it, the nearest block and line
    first; `around`: the same of `zone`, all the width that neighbouring values leave; `wide`: the whole lines
    above it that hold no values, the nearest first.
    """

    text: str
    row: tuple[tuple[str, float], ...]
    right: tuple[tuple[str, float], ...]
    ruled: bool
    alone: bool
    above: Blocks
    around: Blocks
    zone: tuple[float, float]
    wide: tuple[tuple[str, ...], ...]


class Looker:
    """Looks at the places of values on one page."""

    def __init__(self, page: SecondPage, places: Sequence[Box]) -> None:
        self._page = page
        self._boxes = [page.to_upright(box) for box in dict.fromkeys(places)]
        self._words = sorted((w for w in page.words if _SAYS.search(w.text)), key=lambda word: word.mid_y)
        self._signs = [word for word in page.words if not _SAYS.search(word.text)]
        self._mids = [word.mid_y for word in self._words]
        self._values = frozenset(
            id(word)
            for box in self._boxes
            for word in self._between(box[1] - 9, box[3] + 9)
            if _holds(box, word)
        )
        self._phrases: dict[int, list[Word]] = {}
        for word in self._words:
            self._phrases.setdefault(word.phrase, []).append(word)

    def look(self, place: Box) -> Sight:
        """What is seen at a place of the page as shown."""
        box = self._page.to_upright(place)
        own = [word for word in self._between(box[1] - NEAR_PT, box[3] + NEAR_PT) if _holds(box, word)]
        size = max((word.size for word in own), default=box[3] - box[1])
        top, bottom, ruled = self._row_of(box, size)
        middle = (box[1] + box[3]) / 2
        inside = [word for word in self._between(top, bottom) if id(word) not in self._values]
        told = [(word, (word.text, abs(word.mid_y - middle) / size)) for word in _in_cells(inside)]
        zone = self._zone(box)
        return Sight(
            "".join(word.text for word in _in_order([*own, *self._signs_in(box)] if own else own)),
            tuple(text for word, text in told if word.mid_x < box[0]),
            tuple(text for word, text in told if word.mid_x > box[2]),
            ruled,
            self._is_alone(box, top, bottom),
            self.over(box[0] - NEAR_PT, box[2] + NEAR_PT, box[1] - 1, size),
            self.over(*zone, box[1] - 1, size),
            zone,
            self._wide(box, size),
        )

    def _is_alone(self, box: Box, top: float, bottom: float) -> bool:
        """Whether no other value of a column stands in the row of this one."""
        column = (other for other in self._boxes if other != box and _share_column(other, box))
        return not any(top < _mid_y(other) < bottom for other in column)

    def _signs_in(self, box: Box) -> list[Word]:
        """The signs that part two numbers of one cell ("0,080 / 0,160")."""
        return [sign for sign in self._signs if _holds(box, sign)]

    def _between(self, top: float, bottom: float) -> list[Word]:
        return self._words[bisect_left(self._mids, top) : bisect_left(self._mids, bottom)]

    def _row_of(self, box: Box, size: float) -> tuple[float, float, bool]:
        """Top and bottom of the row of a value: the rules around it, else half way to the values above and
        below it."""
        middle, x = _mid_y(box), (box[0] + box[2]) / 2
        rules = [level.y for level in self._page.levels if _spans(level, x)]
        over, under = _around(rules, box[1] + 2, box[3] - 2)
        column = [_mid_y(other) for other in self._boxes if _share_column(other, box)]
        up, down = _around([y for y in column if abs(y - middle) > 2], middle, middle)
        up, down = (middle - 99 * size if up is None else up), (middle + 99 * size if down is None else down)
        if over is not None and under is not None and not (up > over and down < under):
            return over, under, True
        reach = ROW_EM * size
        return max((up + middle) / 2, middle - reach), min((down + middle) / 2, middle + reach), False

    def over(self, x0: float, x1: float, y: float, size: float) -> Blocks:
        """Blocks of lines between x0 and x1 above y; values of the column lie between them."""
        column = [word for word in self._between(-1e6, y) if word.box[0] < x1 and x0 < word.box[2]]
        blocks: list[list[list[Word]]] = []
        last: float | None = None
        for word in reversed(column):
            if id(word) in self._values:
                last = None
            elif last is None or last - word.mid_y > BLOCK_EM * max(size, word.size):
                if len(blocks) == MOST_BLOCKS:
                    break
                blocks.append([[word]])
                last = word.mid_y
            elif last - word.mid_y > LINE_EM * word.size:
                blocks[-1].append([word])
                last = word.mid_y
            else:
                blocks[-1][-1].append(word)
        return tuple(tuple(self._to_line(line) for line in block) for block in blocks)

    def _zone(self, box: Box) -> tuple[float, float]:
        """A column as wide as the values beside a place leave it."""
        level = [b for b in self._boxes if b[1] < (box[1] + box[3]) / 2 < b[3]]
        left = max((b[2] for b in level if b[2] <= box[0]), default=box[0] - 2 * (box[3] - box[1]))
        right = min((b[0] for b in level if b[0] >= box[2]), default=box[2] + 2 * (box[3] - box[1]))
        return (left + box[0]) / 2, (box[2] + right) / 2

    def _wide(self, box: Box, size: float) -> tuple[tuple[str, ...], ...]:
        """The lines between the first value of a place's column and the text above its headings."""
        tops = [b[1] for b in self._boxes if _share_column(b, box) and b[1] <= box[1]]
        first = box[1]
        for top in sorted(tops, reverse=True):
            if first - top > 4 * size:
                break
            first = top
        words = [
            word for word in self._between(first - WIDE_EM * size, first) if id(word) not in self._values
        ]
        return tuple(tuple(word.text for word in line) for line in reversed(_to_lines(words)))

    def _to_line(self, words: Sequence[Word]) -> Line:
        phrases = {word.phrase for word in words}
        beside = [word for phrase in phrases for word in self._phrases[phrase] if word not in words]
        return Line(_words_to_texts(words), _words_to_texts(beside))


def _words_to_texts(words: Sequence[Word]) -> tuple[str, ...]:
    return tuple(word.text for word in _in_order(words))


def _in_cells(words: Sequence[Word]) -> list[Word]:
    """The words of a row, cell by cell: what stands over each other is one cell, read line by line."""
    cells: list[list[Word]] = []
    end = 0.0
    for word in sorted(words, key=lambda word: word.box[0]):
        if cells and word.box[0] < end - NEAR_PT:
            cells[-1].append(word)
            end = max(end, word.box[2])
        else:
            cells.append([word])
            end = word.box[2]
    return [word for cell in cells for word in _in_order(cell)]


def _in_order(words: Sequence[Word]) -> list[Word]:
    """Words in reading order."""
    return [word for line in _to_lines(words) for word in line]


def _to_lines(words: Sequence[Word]) -> list[list[Word]]:
    """Words as lines, top to bottom, left to right."""
    lines: list[list[Word]] = []
    for word in sorted(words, key=lambda word: word.mid_y):
        if lines and word.mid_y - lines[-1][0].mid_y < LINE_EM * max(word.size, lines[-1][0].size):
            lines[-1].append(word)
        else:
            lines.append([word])
    return [sorted(line, key=lambda word: word.box[0]) for line in lines]


def _around(places: Sequence[float], low: float, high: float) -> tuple[float | None, float | None]:
    """The nearest place at or above one y and the nearest at or below another; None where there is none."""
    above, below = [y for y in places if y <= low], [y for y in places if y >= high]
    return max(above, default=None), min(below, default=None)


def _mid_y(box: Box) -> float:
    return (box[1] + box[3]) / 2


def _share_column(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2]


def _holds(box: Box, word: Word) -> bool:
    x0, top, x1, bottom = box
    return x0 - NEAR_PT <= word.mid_x <= x1 + NEAR_PT and top - NEAR_PT <= word.mid_y <= bottom + NEAR_PT


def _spans(level: Level, x: float) -> bool:
    return level.x0 - NEAR_PT <= x <= level.x1 + NEAR_PT
