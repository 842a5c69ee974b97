"""What a note gives to the parts that bear its mark, and to the cells that lead to it.

Comes in: Named tables, Drafts, the sheet's sentences. Goes out: Drafts. Where a cell has a number of its own
beside the note's, both stay and are doubted elsewhere (ratings.py).

    TQ-900* | 24 V | -           * Imax = 10 A.
    TQ-005  | 30 V | see (1)     (1) For the whole series Imax = 100 A.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from extract.cells.tables import Cell
from extract.joined.conditions import footnote_to_exception, text_to_said
from extract.joined.drafts import Draft, Named, SheetText
from extract.joined.plainly_said import said_plainly
from extract.meanings.series import Series
from extract.meanings.words import text_to_hits
from extract.schema import Quantity
from extract.vocabulary import unit_of_quantity

LIMITS = (Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT, Quantity.MAX_INTERRUPT_VOLTAGE)
BASES = "AV"
Key = tuple[str, Quantity]


def named_to_noted(named: Sequence[Named], drafts: Sequence[Draft], sheet: SheetText) -> list[Draft]:
    """What notes give to marked parts and cells, where no cell gives a number of the same quantity."""
    noted: dict[Key, list[Draft]] = {}
    for entry in named:
        for draft in _table_to_noted(entry, sheet):
            noted.setdefault((draft.part, draft.quantity), []).append(draft)
    printed = {(draft.part, draft.quantity) for draft in drafts}
    return [
        found[0]
        for key, found in noted.items()
        if key not in printed and len({draft.value for draft in found}) == 1
    ]


def _table_to_noted(named: Named, sheet: SheetText) -> Iterator[Draft]:
    """The limits that notes below a table give to its items."""
    table = named.table
    for series in (*table.labels, *table.fields):
        only = _series_to_limits(series)
        for item, entry in enumerate(series.entries[: len(named.items)]):
            if entry.cell is None or (only and not _is_reference(entry.cell)):
                continue
            if not only and series not in table.labels:
                continue
            for part in named.items[item]:
                yield from _cell_to_noted(entry.cell, part, only or LIMITS, named, sheet)


def _series_to_limits(series: Series) -> tuple[Quantity, ...]:
    """The limits that the heading of a series names."""
    named = {hit.name for hit in text_to_hits(series.head) if hit.sense == "quantity"}
    return tuple(quantity for quantity in LIMITS if quantity.value in named)


_REFERENCE = re.compile(r"[^\d]{0,12}(?:[(\[]?\d[)\]]|[①-⑳]|[⁰-⁹¹²³]|\*+|[†‡§])[)\]]?")


def _is_reference(cell: Cell) -> bool:
    """Whether a cell holds no number, only words that lead to a note: "see (1)"."""
    return _REFERENCE.fullmatch(cell.text.strip()) is not None


def _cell_to_noted(
    cell: Cell, part: str, limits: Sequence[Quantity], named: Named, sheet: SheetText
) -> Iterator[Draft]:
    """What the note of a cell's mark says of some limits."""
    table = named.table
    for base in BASES:
        wanted = [quantity for quantity in limits if unit_of_quantity(quantity) == base]
        note = footnote_to_exception(cell.text, part, table.grid.notes, base) if wanted else ""
        for said in text_to_said(_without_lead(note)) if note else ():
            if said.quantity not in wanted:
                continue
            at, plain = sheet.where(note, table.grid.page), said_plainly(_without_lead(note), [part])
            yield Draft(
                table, part, said.quantity, said.kind, said.value, Cell(note, ()), said.unit,
                doubts=named.doubts if plain and at is not None else (*named.doubts, "said_in_text"),
                notes=("said in a note",), at=at,
            )  # fmt: skip


def _without_lead(note: str) -> str:
    """A note without the mark it begins with."""
    return re.sub(r"^\W{0,3}(?:\d|[①-⑳]|[*†‡§]+)[).:]?\s*", "", note)
