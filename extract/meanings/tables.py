"""A table of the trade: items (parts, still as labels) and fields (meanings or ambients).

Comes in: nothing. Goes out: the record that the other files of this folder fill and joined/ reads.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from extract.cells.tables import Grid
from extract.meanings.assign import Assigned
from extract.meanings.series import (
    Series,
)
from extract.meanings.words import Meaning
from extract.schema import Kind


class Axis(StrEnum):
    """Along which axis the parts of a table stand."""

    ROWS = "rows"
    COLUMNS = "columns"


@dataclass(frozen=True, eq=False)
class Table:
    """A grid whose series are told: `fields` are the series of values, `labels` the series of texts beside
    them (each as long as the items), `ambients` the temperature of each field or None; `item_groups` the
    group lines over each item, `field_groups` those over each field; `assigned` the meanings of the fields
    without ambient; `item_kinds` where items are "min", "typ", "max" of one part."""

    grid: Grid
    axis: Axis
    fields: tuple[Series, ...]
    labels: tuple[Series, ...]
    ambients: tuple[float | None, ...]
    item_groups: tuple[tuple[str, ...], ...]
    assigned: tuple[Assigned, ...] = ()
    item_kinds: tuple[Kind | None, ...] = ()

    @property
    def size(self) -> int:
        """Number of items."""
        return len(self.item_groups)

    @property
    def has_ambients(self) -> bool:
        """Whether some fields are ambients."""
        return any(ambient is not None for ambient in self.ambients)

    def meanings(self) -> set[Meaning]:
        """All meanings found."""
        return {a.meaning for a in self.assigned if a.meaning is not Meaning.OTHER}
