"""A zero or the letter O: told by its shape, a third witness where the two recognisers differ.

Comes in: the lines of a page as both recognisers read them, the page's ink. Goes out: how wide, for their
height, the page's zeros and letters O are, and a line's text as the shapes of its round signs tell it. Tells
nothing where the page's type makes both alike, or where ink and signs cannot be matched.

    zeros that both read      0.62  0.63  0.65      of their height
    letters O that both read  0.97  1.02            far enough apart: the type tells them
    the sign in doubt         0.64                  a zero
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

import numpy
from numpy.typing import NDArray

from extract.scans.glyphs import box_to_inked
from extract.scans.ohm_sign import ink_to_marks
from extract.scans.recognisers import SeenLine

ZERO, LETTER = "0", "O"
FEWEST_ZEROS, FEWEST_LETTERS = 5, 2  # fewer say too little of how they look on a page
APART = 1.25  # a page's usual letter O is at least so much wider than its usual zero
LIKE = 0.1  # a sign differs from the usual zero, or from the usual O, by no larger share
LEAST_PX = 12  # a lower sign is too coarse to measure


@dataclass(frozen=True, slots=True)
class RoundShapes:
    """Width over height of a page's usual zero and of its usual letter O."""

    zero: float
    letter: float


def lines_to_shapes(
    lines: Sequence[SeenLine], second: Sequence[Sequence[str]], ink: NDArray[numpy.bool_]
) -> RoundShapes | None:
    """The shapes of the round signs that both recognisers read alike: zeros of numbers, letters O of words;
    None where the type does not tell them apart, or the page shows too few."""
    zeros: list[float] = []
    letters: list[float] = []
    for line, texts in zip(lines, second, strict=True):
        text = line.text.strip()
        if text not in {t.strip() for t in texts}:
            continue
        is_number = all(sign.isdecimal() or sign in ".,-" for sign in text)
        is_word = len(text) > 2 and all(sign.isalpha() or sign.isspace() for sign in text)
        if (is_number and ZERO in text) or (is_word and LETTER in text):
            wanted, found = (ZERO, zeros) if is_number else (LETTER, letters)
            found += [shape for sign, shape in _line_to_signs(line, ink) if sign == wanted and shape]
    if len(zeros) < FEWEST_ZEROS or len(letters) < FEWEST_LETTERS:
        return None
    shapes = RoundShapes(median(zeros), median(letters))
    return shapes if shapes.letter > APART * shapes.zero else None


def line_to_shaped(line: SeenLine, ink: NDArray[numpy.bool_], shapes: RoundShapes | None) -> str:
    """A line's text with its zeros and letters O as their shapes tell; empty where one of them is not
    told."""
    if shapes is None or not {ZERO, LETTER} & set(line.text):
        return ""
    told = [
        _told(shape, shapes) if sign in (ZERO, LETTER) else sign for sign, shape in _line_to_signs(line, ink)
    ]
    return "".join(told) if told and all(told) else ""


def _told(shape: float, shapes: RoundShapes) -> str:
    if abs(shape - shapes.zero) <= LIKE * shapes.zero:
        return ZERO
    return LETTER if shape >= (1 - LIKE) * shapes.letter else ""


def _line_to_signs(line: SeenLine, ink: NDArray[numpy.bool_]) -> Iterator[tuple[str, float]]:
    """The signs of a line with the shapes of their ink, width over height; none where they cannot be
    matched. A shape that cannot be measured is 0."""
    box = box_to_inked(line.box, ink)
    signs = [sign for sign in line.text if not sign.isspace()]
    if box is None:
        return
    x0, top, x1, bottom = box
    marks = ink_to_marks(ink[top:bottom, x0:x1])
    if len(marks) == len(signs):
        yield from zip(signs, map(_mark_to_shape, marks), strict=True)


def _mark_to_shape(mark: NDArray[numpy.bool_]) -> float:
    rows = numpy.flatnonzero(mark.any(axis=1))
    height = int(rows[-1] - rows[0] + 1) if rows.size else 0
    return mark.shape[1] / height if height >= LEAST_PX else 0.0
