"""The columns of a quantity beside an ambient, of every part at once.

Comes in: a connection, a quantity, an ambient in °C. Goes out: for each part the nearest column at or below
the ambient and the nearest at or above it. Only the columns passed on the way are fetched, each once. Knows
nothing of decisions: numbers are as printed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, func, select

from extract.schema import Quantity
from holdtrip.library.tables import reading

SAME_AMBIENT_K = 1e-6
"""Columns so near to an ambient are columns of that ambient."""


Column = tuple[float, float, float]
"""A column of a part: its ambient, °C, and its least and largest number, the same where there is one. A plain
tuple, since a comparison makes a hundred thousand."""

Columns = tuple[Column | None, Column | None]
"""The nearest column at or below an ambient and the nearest at or above it; None beyond the table."""

NO_COLUMNS: Columns = (None, None)


class Slice(NamedTuple):
    """One ambient of all parts that have it: part → its least and its largest number there."""

    ambient_c: float
    least: dict[int, float]
    largest: dict[int, float]

    def column(self, part_id: int) -> Column | None:
        """The column of a part, or None where it has none here."""
        least = self.least.get(part_id)
        return None if least is None else (self.ambient_c, least, self.largest[part_id])


class Beside(NamedTuple):
    """The slices at an ambient and away from it, nearest first."""

    at: Slice
    below: tuple[Slice, ...]
    above: tuple[Slice, ...]

    def columns(self, part_id: int) -> Columns:
        """The columns of a part; at the ambient itself twice the same."""
        here = self.at.column(part_id)
        if here is not None:
            return here, here
        return _nearest(self.below, part_id), _nearest(self.above, part_id)


def _nearest(slices: tuple[Slice, ...], part_id: int) -> Column | None:
    for ambient_c, least, largest in slices:
        if part_id in least:
            return ambient_c, least[part_id], largest[part_id]
    return None


class QuantityColumns:
    """All columns of one quantity; what was fetched is kept."""

    def __init__(self, connection: Connection, quantity: Quantity) -> None:
        self._connection = connection
        self._of_quantity = reading.c.quantity == quantity.value
        self._slices: dict[tuple[float, float], Slice] = {}

    def at(self, ambient_c: float, within_k: float = SAME_AMBIENT_K) -> Slice:
        """The column at an ambient, of every part that has one there."""
        ends = ambient_c - within_k, ambient_c + within_k
        found = self._slices.get(ends)
        if found is None:
            found = self._slices[ends] = _rows_to_slice(ambient_c, self._connection.execute(
                select(reading.c.part_id, reading.c.value)
                .where(self._of_quantity, reading.c.ambient_c.between(*ends))).all())
        return found

    def beside(self, ambient_c: float, part_ids: Collection[int]) -> Beside:
        """The slices at an ambient and beside it, as far as some parts have no nearer column."""
        here = self.at(ambient_c)
        missing = set(part_ids).difference(here.least)
        return Beside(here, tuple(self._walk(ambient_c, set(missing), upward=False)),
                      tuple(self._walk(ambient_c, set(missing), upward=True)))

    def _walk(self, ambient_c: float, missing: set[int], *, upward: bool) -> Iterator[Slice]:
        """Slices away from an ambient until no part misses one, or there are no more."""
        edge_c = self._next_ambient(ambient_c + (SAME_AMBIENT_K if upward else -SAME_AMBIENT_K), upward)
        while missing and edge_c is not None:
            found = self.at(edge_c, within_k=0.0)
            missing.difference_update(found.least)
            yield found
            edge_c = self._next_ambient(edge_c, upward)

    def _next_ambient(self, edge_c: float, upward: bool) -> float | None:
        """The nearest ambient of any part beyond one."""
        column = reading.c.ambient_c
        query = (select(func.min(column)).where(self._of_quantity, column > edge_c) if upward
                 else select(func.max(column)).where(self._of_quantity, column < edge_c))
        return self._connection.execute(query).scalar()


def _rows_to_slice(ambient_c: float, rows: Sequence[Sequence[Any]]) -> Slice:
    least: dict[int, float] = {part_id: value for part_id, value in rows}  # noqa: C416 - rows are no tuples
    if len(least) == len(rows):
        return Slice(ambient_c, least, least)
    largest = dict(least)
    for part_id, value in rows:
        least[part_id] = min(value, least[part_id])
        largest[part_id] = max(value, largest[part_id])
    return Slice(ambient_c, least, largest)
