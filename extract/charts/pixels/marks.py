"""The marks of a painted chart that could be letters, put together to words.

Comes in: the ink that is neither grid nor curve. Goes out: words as boxes of marks, level or upright. Reads
nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy
from numpy.typing import NDArray

from extract.charts.pixels.hues import Colour
from extract.scans.recognisers import Dots

Mask = NDArray[numpy.uint8]

HIGHEST_PT, LOWEST_PT = 16.0, 2.6  # letters are no higher and no lower
WIDEST_TIMES = 1.4  # of the highest: a letter is no wider
POINT_PT = 0.35  # a point is no smaller
NEAR_EM, ASIDE_EM = 0.45, 0.5  # letters of one word stand no farther apart and no farther off its line
VIVID = 45  # of 255: a colour with a hue
BLACK: Colour = (0, 0, 0)


@dataclass(frozen=True, slots=True)
class Mark:
    """A connected piece of ink that could be a letter: its box in pixels and its colour."""

    box: Dots
    colour: Colour


def mask_to_marks(
    mask: Mask, rgb: NDArray[numpy.uint8], scale: float, colours: Sequence[Colour]
) -> list[Mark]:
    """The pieces of ink of the size of letters, each in the nearest of the chart's colours."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    marks = []
    for number in range(1, count):
        x, y, wide, high, area = (int(v) for v in stats[number])
        if (
            max(wide, high) > HIGHEST_PT * scale * WIDEST_TIMES
            or max(wide, high) < POINT_PT * scale
            or area < 3
        ):
            continue
        inside = labels[y : y + high, x : x + wide] == number
        marks.append(
            Mark((x, y, x + wide, y + high), ink_to_colour(rgb[y : y + high, x : x + wide][inside], colours))
        )
    return marks


def ink_to_colour(ink: NDArray[numpy.uint8], colours: Sequence[Colour]) -> Colour:
    """The nearest of the chart's colours with a hue, if the darker pixels of a mark have one; else black."""
    weights = ink.astype(numpy.int32).sum(axis=1)
    red, green, blue = (int(v) for v in numpy.median(ink[weights <= numpy.median(weights)], axis=0))
    own = (red, green, blue)
    if max(own) - min(own) < VIVID:
        return BLACK
    vivid = [colour for colour in colours if max(colour) - min(colour) >= VIVID]
    return min(vivid, key=lambda colour: math.dist(colour, own), default=BLACK)


@dataclass(frozen=True, slots=True)
class MarkedWord:
    """A word not yet read: its box, its colour, and whether it is read upwards."""

    box: Dots
    colour: Colour
    is_upright: bool


def marks_to_words(marks: Sequence[Mark], scale: float, high: int) -> list[MarkedWord]:
    """Words of marks of one colour beside each other, or above each other where that makes the longer word.
    `high` is the picture's height in pixels."""
    level = _level_words(marks, scale)
    upright = _upright_words(marks, scale, high)
    longest = {mark: len(word) for word in level for mark in word}
    standing = [word for word in upright if len(word) > max(longest.get(mark, 0) for mark in word)]
    taken = {mark for word in standing for mark in word}
    lying = [own for word in level if (own := [mark for mark in word if mark not in taken])]
    return [
        MarkedWord(_around(word), word[0].colour, is_upright)
        for words, is_upright in ((lying, False), (standing, True))
        for word in words
    ]


def _upright_words(marks: Sequence[Mark], scale: float, high: int) -> list[list[Mark]]:
    """Words read upwards."""
    turned = [Mark(_turned(mark.box, high), mark.colour) for mark in marks]
    back = dict(zip(turned, marks, strict=True))
    return [[back[mark] for mark in word] for word in _level_words(turned, scale)]


def _turned(box: Dots, high: int) -> Dots:
    """A box after a quarter turn to the right: what was read upwards is level."""
    x0, top, x1, bottom = box
    return high - bottom, x0, high - top, x1


def _level_words(marks: Sequence[Mark], scale: float) -> list[list[Mark]]:
    """Level words. Points and strokes belong to the word they follow or stand in; alone they are none."""
    words: list[list[Mark]] = []
    for mark in sorted(marks, key=lambda m: (m.box[0], m.box[1])):
        home = next((word for word in reversed(words) if _goes_on(word, mark, scale)), None)
        if home is not None:
            home.append(mark)
        elif _is_tall(mark, scale):
            words.append([mark])
    return words


def _is_tall(mark: Mark, scale: float) -> bool:
    return mark.box[3] - mark.box[1] >= LOWEST_PT * scale


def _goes_on(word: Sequence[Mark], mark: Mark, scale: float) -> bool:
    """Whether a mark is the next of a word: of its colour, on its line, close behind or above it."""
    x0, top, x1, bottom = _around(word)
    high = max(bottom - top, mark.box[3] - mark.box[1])
    middle = (mark.box[1] + mark.box[3]) / 2
    if _is_tall(mark, scale):
        level = abs(middle - (top + bottom) / 2) < ASIDE_EM * high
    else:
        level = top - 0.3 * high < middle < bottom + 0.15 * high
    return mark.colour == word[0].colour and level and x0 - 0.1 * high <= mark.box[0] < x1 + NEAR_EM * high


def _around(word: Sequence[Mark]) -> Dots:
    return (
        min(m.box[0] for m in word), min(m.box[1] for m in word),
        max(m.box[2] for m in word), max(m.box[3] for m in word),
    )  # fmt: skip
