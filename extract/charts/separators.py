"""Whether a point or a comma in the numbers of one axis parts decimals or thousands.

Comes in: the numbers printed along an axis. Goes out: the same numbers, read in one way all along: 1.000 is a
thousand where 0,1 stands beside it, or where it would break the order of the axis else.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from extract.charts.figures import Figure

_GROUPED = {sign: re.compile(rf"[1-9]\d{{0,2}}(?:\{sign}\d{{3}})+") for sign in ".,"}
_DECIMAL = {sign: re.compile(rf"0?\{sign}\d+|\d+\{sign}(?:\d{{1,2}}|\d{{4,}})") for sign in ".,"}
_OTHER = {".": ",", ",": "."}


def figures_in_one_way(figures: Sequence[Figure], others: Sequence[Figure] = ()) -> list[Figure]:
    """The numbers of an axis in their order along it, points and commas read alike in all of them and in the
    `others` of its chart."""
    found = list(figures)
    texts = [figure.word.text for figure in (*figures, *others)]
    for sign in ".,":
        if not any(_GROUPED[sign].fullmatch(figure.word.text) for figure in found):
            continue
        decimal = _read(found, sign, is_decimal=True)
        thousands = _read(found, sign, is_decimal=False)
        if any(map(_DECIMAL[sign].fullmatch, texts)):
            found = decimal
        elif any(map(_DECIMAL[_OTHER[sign]].fullmatch, texts)):
            found = thousands
        elif _is_ordered(thousands) != _is_ordered(decimal):
            found = thousands if _is_ordered(thousands) else decimal
    return found


def _read(figures: Sequence[Figure], sign: str, *, is_decimal: bool) -> list[Figure]:
    """The numbers with one sign read as that of decimals or of thousands."""
    read = []
    for figure in figures:
        text = figure.word.text
        if _GROUPED[sign].fullmatch(text):
            value = (
                float(text.replace(sign, "." if is_decimal else "")) if text.count(sign) < 2 else figure.value
            )
            figure = replace(figure, value=value)
        read.append(figure)
    return read


def _is_ordered(figures: Sequence[Figure]) -> bool:
    """Whether numbers rise or fall all along."""
    return len({b.value > a.value for a, b in pairwise(figures)}) < 2
