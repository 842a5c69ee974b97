"""Numbers on their way to readings: what each is of, and every doubt met on the way.

Comes in: nothing. Goes out: the records that the stages of this folder hand on.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from extract.cells.tables import Cell
from extract.meanings.tables import Table
from extract.schema import Kind, Quantity

SAME = 0.003
"""Values that differ by less are the same number in another unit or rounding."""


@dataclass(frozen=True, slots=True)
class SheetText:
    """What the readings of a sheet have in common: its file, and its lines of text, page by page."""

    document: str
    sha256: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Draft:
    """A number on its way to a reading: what it is of, and every doubt met on the way."""

    table: Table | None
    part: str
    quantity: Quantity
    kind: Kind
    value: float
    cell: Cell
    unit: str
    ambient_c: float | None = None
    test_current_a: float | None = None
    doubts: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Named:
    """A table with the parts of its items: for each item the part numbers it stands for, and doubts of
    naming."""

    table: Table
    items: tuple[tuple[str, ...], ...]
    doubts: tuple[str, ...] = ()
    further: bool = False
    holds: dict[str, float] = field(default_factory=dict)
