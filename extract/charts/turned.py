"""Numbers that are read upwards or downwards, as if they were level.

Comes in: words in one such direction. Goes out: their Figures, at their places on the page: pieces put
together and exponents raised as in level ones. Chooses none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from extract.charts.figures import Figure, words_to_figures
from extract.charts.ink import Box, Letter
from extract.charts.wording import Word


def turned_to_figures(words: Sequence[Word]) -> list[Figure]:
    """The numbers among words that are all read upwards, or all downwards."""
    found: list[Figure] = []
    for is_up in (True, False):
        own = [word for word in words if (word.angle % 360 < 180) == is_up]
        origin: dict[int, Letter] = {}
        level = [_to_level(word, is_up, origin) for word in own]
        for figure in words_to_figures(level):
            letters = tuple(origin[id(letter)] for letter in figure.word.letters)
            box = _box_back(figure.word.box, is_up)
            found.append(replace(figure, word=Word(figure.word.text, letters, box)))
    return found


def _to_level(word: Word, is_up: bool, origin: dict[int, Letter]) -> Word:
    """A word turned level; `origin` remembers its letters."""
    letters = []
    for letter in word.letters:
        turned = replace(letter, box=_to_level_box(letter.box, is_up), angle=0.0)
        origin[id(turned)] = letter
        letters.append(turned)
    return Word(word.text, tuple(letters), _to_level_box(word.box, is_up))


def _to_level_box(box: Box, is_up: bool) -> Box:
    x0, top, x1, bottom = box
    return (-bottom, x0, -top, x1) if is_up else (top, -x1, bottom, -x0)


def _box_back(box: Box, is_up: bool) -> Box:
    x0, top, x1, bottom = box
    return (top, -x1, bottom, -x0) if is_up else (-bottom, x0, -top, x1)
