"""`--map "heading=meaning"`: what a person says a column means.

Comes in: the text after the equals sign. Goes out: a Column. Guesses nothing: a word not understood
is an error that lists what may stand there.
"""

from __future__ import annotations

import re

from extract.errors import InputError
from extract.parts_table.records import Column, ColumnRole
from extract.schema import UNIT_OF, Kind, Quantity
from extract.vocabulary import spelling_to_unit

_PLAIN = {
    "part_number": ColumnRole.PART_NUMBER,
    "test_current": ColumnRole.TEST_CURRENT,
    "ignore": ColumnRole.IGNORED,
}

WORDS = ", ".join((*_PLAIN, *(quantity.value for quantity in Quantity)))


def text_to_column(index: int, heading: str, text: str) -> Column:
    """The column that a text such as "resistance post_trip_max mOhm" or "hold_current at 85 C" means:
    a quantity (or part_number, test_current, ignore), then in any order a kind, a unit, `at` ambient,
    `at` test current. Raises InputError for a word it does not know."""
    rest = " ".join(text.split())
    ambient_c = test_current_a = None
    if (match := re.search(r"\bat\s*([-+]?\d+(?:\.\d+)?)\s*°?\s*C\b", rest)) is not None:
        ambient_c, rest = float(match[1]), rest.replace(match[0], " ")
    if (match := re.search(r"\bat\s*(\d+(?:\.\d+)?)\s*A\b", rest)) is not None:
        test_current_a, rest = float(match[1]), rest.replace(match[0], " ")
    name, *words = rest.split() or [""]
    if name in _PLAIN:
        unit = spelling_to_unit(words[0]) if words else None
        return Column(index, heading, _PLAIN[name], unit=unit, is_mapped=True, how="as mapped")
    try:
        quantity = Quantity(name)
    except ValueError:
        raise InputError(f"--map for '{heading}'", f"'{name}'", f"one of {WORDS}") from None
    kind, unit = Kind.NONE, None
    for word in words:
        if word in set(Kind):
            kind = Kind(word)
        elif (unit := spelling_to_unit(word)) is None or unit.base != UNIT_OF[quantity]:
            raise InputError(
                f"--map for '{heading}'",
                f"'{word}'",
                f"a kind ({', '.join(k.value for k in Kind if k)}) or a unit of {UNIT_OF[quantity]}",
            )
    return Column(
        index,
        heading,
        ColumnRole.VALUE,
        quantity,
        kind,
        unit,
        ambient_c=ambient_c,
        test_current_a=test_current_a,
        is_mapped=True,
        how="as mapped",
    )
