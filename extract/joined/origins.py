"""Which printed texts a number was read under: for another eye to look for the same.

Comes in: a Draft. Goes out: its Origin. Judges nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from extract.boxes import Box
from extract.cells.tables import Source, atoms_to_box
from extract.joined.drafts import Draft
from extract.joined.part_names import name_to_key
from extract.meanings.tables import Axis, Table
from extract.page import box_to_place


@dataclass(frozen=True, slots=True)
class Origin:
    """`heading`: the texts that say what the number is; `labels`: those that say whose. Headings stand above
    and labels to the left, or the other way if `is_across`. `is_text`: the number stands in a sentence.
    `reaches`: its cell reaches over the rows of other parts; `sign`: where "as above" stands for it."""

    heading: str
    labels: tuple[str, ...]
    is_across: bool = False
    is_text: bool = False
    reaches: bool = False
    sign: Box | None = None


def draft_to_origin(draft: Draft) -> Origin:
    """The heading and labels that a draft's table gives its cell."""
    table, across = draft.table, draft.table.axis is Axis.COLUMNS
    if draft.at is not None or not draft.cell.atoms:
        return Origin("", (), across, True)
    found = [
        (field, item)
        for field in table.fields
        for item, entry in enumerate(field.entries)
        if entry.cell is not None and entry.cell.atoms == draft.cell.atoms
    ]
    told = [(field.head, _labels(table, item)) for field, item in found]
    key = name_to_key(draft.part)
    own = [entry for entry in told if any(name_to_key(label) == key for label in entry[1])]
    head, labels = next(iter((*own, *told)), ("", ()))
    ambient = f"{draft.ambient_c:g}" if draft.ambient_c is not None and table.has_ambients else ""
    sign = _place_of_sign(draft)
    heading = head if ambient in head else f"{head} {ambient}".strip()
    return Origin(heading, labels, across, False, draft.cell.source is not Source.OWN, sign)


def _place_of_sign(draft: Draft) -> Box | None:
    """Where a sign "as above" stands, on the page of the number it stands for."""
    if not draft.cell.signs:
        return None
    content = draft.cell.content or draft.table.grid.content
    return box_to_place(content, atoms_to_box(draft.cell.signs)).box


def _labels(table: Table, item: int) -> tuple[str, ...]:
    cells = [series.entries[item].cell for series in table.labels]
    return tuple(cell.text for cell in cells if cell is not None)
