"""Ratings that a text gives to parts: the caption or group line over them, a line of limits, the sheet's
text.

Comes in: Named tables, the sheet's text, what tables gave. Goes out: Drafts. A caption reaches as far as the
table, half or group it stands over; a sentence rates the whole sheet only where no table does.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from extract.cells.tables import Cell
from extract.joined.conditions import Said, lines_to_limits, text_to_said
from extract.joined.drafts import Draft, Named, SheetText
from extract.joined.named import is_rating
from extract.meanings.tables import Table
from extract.schema import Quantity


def captions_to_drafts(
    named: Sequence[Named], parts: Sequence[str], sheet: SheetText, drafts: Sequence[Draft]
) -> Iterator[Draft]:
    """Ratings that a caption or a group line gives to the parts below it; those of the whole sheet only where
    its text says so and no table does."""
    have = {(draft.part, draft.quantity) for draft in drafts}
    for entry in named:
        if is_rating(entry.table):
            found = [draft for draft in table_said(entry, sheet) if (draft.part, draft.quantity) not in have]
            have |= {(draft.part, draft.quantity) for draft in found}
            yield from found
    yield from _sheet_said_to_drafts(named, parts, sheet, have)


def table_said(entry: Named, sheet: SheetText) -> Iterator[Draft]:
    """Ratings of the captions of a table, and of the group lines over some of its items."""
    for item, groups in enumerate(entry.table.item_groups):
        for text in (*groups, *entry.table.grid.captions[:3]):
            for said in text_to_said(text):
                for part in entry.items[item]:
                    yield _said_to_draft(said, part, entry.table, sheet)


def _sheet_said_to_drafts(
    named: Sequence[Named], parts: Sequence[str], sheet: SheetText, have: set[tuple[str, Quantity]]
) -> Iterator[Draft]:
    said = [s for text in sheet.lines for s in text_to_said(text)]
    limits = lines_to_limits(sheet.lines)
    if limits and len(parts) == 1 and named:
        for limit in limits:
            if (parts[0], limit.quantity) not in have:
                yield _said_to_draft(limit, parts[0], named[0].table, sheet)
        said = []
    for quantity in {s.quantity for s in said}:
        values = {s.value for s in said if s.quantity is quantity}
        missing = [part for part in parts if (part, quantity) not in have]
        if len(values) == 1 and len(missing) == len(parts) and named:
            first = next(s for s in said if s.quantity is quantity)
            for part in missing:
                yield _said_to_draft(first, part, named[0].table, sheet, ("said_in_text",))


def _said_to_draft(
    said: Said, part: str, table: Table, sheet: SheetText, doubts: tuple[str, ...] = ()
) -> Draft:
    return Draft(
        table,
        part,
        said.quantity,
        said.kind,
        said.value,
        Cell(said.text, ()),
        said.unit,
        doubts=doubts,
        notes=("said in a caption",),
        at=sheet.where(said.text, table.grid.page),
    )
