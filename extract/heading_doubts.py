"""What in a heading speaks against the meaning it was given.

Comes in: a column's heading lines and their meaning. Goes out: a quantity they also name. Decides nothing:
the numbers below such a heading are read and flagged.
"""

from __future__ import annotations

import re

from extract.column_roles import Column
from extract.schema import Quantity
from extract.vocabulary import Hit, fold, scan, unit_of_quantity

_CONDITION = re.compile(r"(?:\b(?:at|after|before|bei|nach|vor|under|with)|@|post|[在後后前])[\s-]*$")
_CONDITION_AFTER = re.compile(r"\s*(?:时|時|下|後|后|前|での|における)")
SHORTEST = 4  # letters of a symbol that is none by chance
CONDITIONS = ("trip", "hold")  # alone they are words of conditions ("standard trip")


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
        if text[hit.start : hit.end] in CONDITIONS:
            continue
        named = Quantity(hit.name)
        if named is not meaning.quantity and unit_of_quantity(named) != meaning.unit.base:
            return named
    return None


def _is_condition(hit: Hit, text: str) -> bool:
    return bool(_CONDITION.search(text[: hit.start]) or _CONDITION_AFTER.match(text[hit.end :]))
