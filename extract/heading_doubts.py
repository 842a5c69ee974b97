"""What in a heading speaks against the meaning it was given.

Comes in: a column's heading lines and their meaning. Goes out: a quantity they also name. Decides nothing:
the numbers below such a heading are read and flagged.
"""

from __future__ import annotations

import re
from functools import cache

from extract.column_roles import Column
from extract.schema import Quantity
from extract.vocabulary import Hit, fold, scan, unit_of_quantity, vocabulary

SHORTEST = 4  # letters of a symbol that is none by chance


def column_to_stranger(column: Column) -> Quantity | None:
    """A quantity the heading names, outside any condition, that its unit cannot measure.

    A piece of a neighbour's heading has strayed in then, or a piece of this one is missing. None for times,
    whose headings speak of currents, and for columns of two numbers a cell.
    """
    meaning = column.meaning
    if meaning.quantity in (None, Quantity.TIME_TO_TRIP) or meaning.pair or meaning.unit is None:
        return None
    text = " ".join(fold(level) for level in column.levels)
    for hit in scan(text):
        if hit.sense != "quantity" or hit.end - hit.start < SHORTEST or _is_condition(hit, text):
            continue
        named = Quantity(hit.name)
        if named is not meaning.quantity and unit_of_quantity(named) != meaning.unit.base:
            return named
    return None


def _is_condition(hit: Hit, text: str) -> bool:
    """Whether a hit says under which condition the column was measured ("at max. voltage", "Vmax 时")."""
    before, after = _conditions()
    alone = text[hit.start : hit.end] in vocabulary()["condition"]["alone"]
    return alone or bool(before.search(text[: hit.start]) or after.match(text[hit.end :]))


@cache
def _conditions() -> tuple[re.Pattern[str], re.Pattern[str]]:
    """What ends the text before a condition, and what begins the text after one."""
    words = vocabulary()["condition"]
    before = "|".join(rf"\b{re.escape(w)}" if w[0].isalpha() else re.escape(w) for w in words["before"])
    before_han = "|".join(map(re.escape, words["before_han"]))
    after = "|".join(map(re.escape, words["after"]))
    return re.compile(rf"(?:{before}|{before_han})[\s-]*$"), re.compile(rf"\s*(?:{after})")
