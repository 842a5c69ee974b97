"""Whether a text says a rating so plainly that nobody need be asked.

Comes in: a text, a rating found in it, the parts it names. Goes out: yes or no. A sentence anywhere on the
sheet must be explained to the last word; a caption stands over the table it rates, and may describe it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.cells.tables import Grid
from extract.joined.conditions import Said, text_says_all, text_to_said
from extract.meanings.left_over import text_hedges, text_to_left_over, text_to_values
from extract.vocabulary import any_of, unit_of_quantity

EXPLAINED = ("part_number", "series", "limit", "max", "ac", "dc")
_STOP = re.compile(r"(?<=[^\d.]\.)\s+(?=[A-ZÀ-ÝА-Я])|(?<=。)\s*")
_SENTENCE = re.compile(r"(?<=[^\d.]\.)\s+(?=[^a-zà-ÿ])|(?<=[。；;])\s*")


def text_to_sentences(text: str) -> list[str]:
    """The sentences of a text; what one names is no matter of the next. A semicolon ends none: an exception
    behind it is of what stands before."""
    return _STOP.split(text)


def said_of_all_plainly(said: Said) -> bool:
    """Whether one sentence of the text says the rating of all parts and nothing else, and no other sentence
    has a value in its unit."""
    sentences = _SENTENCE.split(said.text)
    own = [text for text in sentences if text_says_all(text) and _holds(text, said)]
    others = [text for text in sentences if text not in own]
    base = unit_of_quantity(said.quantity)
    return len(own) == 1 and said_plainly(own[0]) and not any(base in text_to_values(t) for t in others)


def said_plainly(text: str, names: Sequence[str] = ()) -> bool:
    """Whether a text is ratings, the parts they are of, and nothing else."""
    found = text_to_said(text)
    quantities = {said.quantity.value for said in found}
    return bool(found) and not text_to_left_over(text, {*EXPLAINED, *quantities}, len(found), names)


def captioned_plainly(text: str, said: Said) -> bool:
    """Whether the sentence of a caption that says a rating holds no other value in its unit, and no word that
    tells of another time, another part or a test."""
    base = unit_of_quantity(said.quantity)
    for sentence in _SENTENCE.split(text):
        if _holds(sentence, said):
            if _LONG_ASIDE.search(sentence) and not said_plainly(_CODE.sub(" ", sentence)):
                return False
            same = [one for one in text_to_said(sentence) if unit_of_quantity(one.quantity) == base]
            return text_to_values(sentence).count(base) <= len(same) and not text_hedges(sentence)
    return not text_hedges(text)


def _holds(text: str, said: Said) -> bool:
    """Whether a text says this rating."""
    return any((one.quantity, one.value) == (said.quantity, said.value) for one in text_to_said(text))


def grids_to_captioned(grids: Sequence[Grid]) -> tuple[Grid, ...]:
    """The grids, a line over the headings that says ratings and nothing else made a caption:

    Series TQ60   Vmax 60 V   Imax 40 A        one line, its texts far apart
    Type | IH | IT | Rmin | R1max
    """
    return tuple(_captioned(grid) for grid in grids)


def _captioned(grid: Grid) -> Grid:
    levels = sorted({head.level for head in grid.heads})
    for level in levels[:-1]:
        line = " ".join(head.text for head in grid.heads if head.level == level)
        if said_plainly(_CODE.sub(" ", line)):
            heads = tuple(head for head in grid.heads if head.level != level)
            return replace(grid, heads=heads, captions=(line, *grid.captions))
    return grid


_CODE = re.compile(r"\b[A-Z]{1,6}-?\d[A-Z\d]*\b")
_LONG_ASIDE = re.compile(
    rf"\b(?:{any_of('of')})\s(?:\S+\s){{2,4}}(?:(?:{any_of('is')}|è|=)\s*)?\d",
    re.IGNORECASE,
)
"""Words between a wording and its value: they may say of what it is."""
