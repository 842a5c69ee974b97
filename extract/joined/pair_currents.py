"""Which current a number over ambients is of: told by its heading, or by its place in a pair.

Comes in: the points of a row, the titles of its table. Goes out: hold or trip current, where the words and
the order of a pair say so; nothing else is asked.
"""

from __future__ import annotations

from collections.abc import Sequence

from extract.meanings.fields import head_to_quantities
from extract.meanings.left_over import text_to_left_over
from extract.meanings.series import Entry, Series, text_to_units
from extract.meanings.words import priors, text_to_hits
from extract.schema import Quantity

Point = tuple[float, Series, Entry, float]
"""Ambient, its field, the entry, the number as printed."""


def heads_to_current(row: Sequence[Point], titles: Sequence[str] = ()) -> set[Quantity]:
    """The one current that every heading of a row names, or that each, or a title, names at the place of its
    number in a pair: "hold / trip" over "0.84 / 1.69". A part number may look like another's symbol."""
    named = [named_currents(field.head) for _, field, _, _ in row]
    if len(named[0]) == 1 and all(one == named[0] for one in named):
        return named[0]
    placed = {_pair_to_current(field.head, entry, value) for _, field, entry, value in row}
    if placed == {None} and all(map(_is_of_pairs, titles[:1])):
        placed = {_pair_to_current(text, entry, v) for text in titles[:1] for _, _, entry, v in row}
    current = placed.pop() if len(placed) == 1 else None
    return {current} if current is not None else set()


def _is_of_pairs(title: str) -> bool:
    """Whether a title says hold and trip current over ambients, in amperes, and nothing else."""
    left = text_to_left_over(title, ("hold_current", "trip_current", "derating")).split()
    units = {unit.name for unit in text_to_units(title)}
    return set(left) <= set(priors()["titles"]["ambients"]) and units <= {"A"}


def _pair_to_current(head: str, entry: Entry, value: float) -> Quantity | None:
    """The current that a heading names where a number stands in a pair, by the order of its words."""
    order, numbers = head_to_quantities(head), [number.value for number in entry.numbers]
    if set(order) != {"hold_current", "trip_current"} or len(set(numbers)) != 2 or len(numbers) != 2:
        return None
    if numbers[order.index("trip_current")] <= numbers[order.index("hold_current")]:
        return None
    return Quantity(order[numbers.index(value)])


def named_currents(text: str) -> set[Quantity]:
    if text in ("hold_current", "trip_current"):
        return {Quantity(text)}
    return {Quantity(hit.name) for hit in text_to_hits(text) if hit.name in ("hold_current", "trip_current")}
