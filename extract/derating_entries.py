"""The cells of a derating table become entries: hold or trip at each ambient, in amps or as shares.

Comes in: a Table whose columns are ambients. Goes out: Entries and Unreads. What is proven by other tables,
by the ratings above all, is for settling.py.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache

from extract.cell_entries import (
    Entry,
    Unread,
    cell_to_entries,
    names_quantity,
    rating_cell_to_entries,
    row_label,
)
from extract.column_roles import plain_text
from extract.columns import Table, texts_name_both, texts_to_quantity
from extract.headings import HeadingMeaning, Role, heading_to_meaning
from extract.quantities import FULL_WIDTH, NumberStyle, cell_to_numbers
from extract.schema import Quantity
from extract.vocabulary import Unit, fold, scan, spelling_to_unit, vocabulary

UNNAMED_DERATING = "neither heading nor title says hold or trip"


def derating_to_entries(table: Table, style: NumberStyle) -> Iterator[Entry | Unread]:
    """Ambient columns give hold or trip, in amps or as a share; other columns read as ratings."""
    context = _derating_context(table)
    for row in table.body:
        quantity, pair, doubts = _row_quantity(table, row, context)
        for column in table.columns:
            cell = table.grid.cell_at(row, column.index)
            if cell is None or not cell.text:
                continue
            if not column.meaning.is_ambient_column:
                if column.meaning.role is Role.VALUE:
                    yield from rating_cell_to_entries(table, row, column, style)
                continue
            unit = column.meaning.unit or context.unit or _unit_in((row_label(table, row),))
            shared = replace(column.meaning, quantity=quantity, unit=unit)
            at_ambient = tuple(
                replace(shared, quantity=m.quantity, unit=m.unit or shared.unit, pair=()) for m in pair
            )
            meaning = replace(shared, pair=at_ambient)
            for item in cell_to_entries(table, row, replace(column, meaning=meaning), cell, style):
                shared_item = _as_share(item, context.share, doubts)
                if not isinstance(shared_item, Entry):
                    yield shared_item
                    continue
                yield replace(shared_item, is_rating=False)
                is_shared = context.both and shared_item.is_factor and not names_quantity(shared_item.label)
                if is_shared and quantity is Quantity.HOLD_CURRENT:
                    yield replace(shared_item, quantity=Quantity.TRIP_CURRENT, is_rating=False)


@dataclass(frozen=True, slots=True)
class _Context:
    """What heading and titles of a derating table say for all its cells; `both`: that its shares are of
    the hold and of the trip current alike."""

    quantity: Quantity
    pair: tuple[HeadingMeaning, ...]
    unit: Unit | None
    share: Decimal | None
    doubts: tuple[str, ...]
    both: bool = False


def _derating_context(table: Table) -> _Context:
    ambient = [c for c in table.columns if c.meaning.is_ambient_column]
    levels = [level for c in table.columns for level in c.levels]
    named = {c.meaning.quantity for c in ambient if c.meaning.quantity is not None}
    pair = next((c.meaning.pair for c in ambient if c.meaning.pair), ()) or _title_to_pair(table)
    quantity = named.pop() if len(named) == 1 else None
    if quantity is None:
        quantity, _ = texts_to_quantity((*table.grid.titles, *levels))
    units = {c.meaning.unit for c in ambient if c.meaning.unit is not None}
    unit = units.pop() if len(units) == 1 else _unit_in(table.grid.titles)
    labels = [row_label(table, row) for row in table.body]
    in_amps = unit is not None and unit.base != "1"
    share = None if in_amps else _share_of(table, (*table.grid.titles[-1:], *levels, *labels))
    doubts = () if quantity is not None else (UNNAMED_DERATING,)
    amps = unit if unit is not None and unit.base == "A" else None
    unnamed = not pair and all(c.meaning.quantity is None for c in ambient)
    both = unnamed and texts_name_both(table.grid.titles[-1:])
    return _Context(quantity or Quantity.HOLD_CURRENT, pair, amps, share, doubts, both)


def _title_to_pair(table: Table) -> tuple[HeadingMeaning, ...]:
    """Hold and trip of a title that says so of each cell ("Thermal derating - Ihold / Itrip (A)")."""
    for piece in re.split(r"\s[–—-]\s|[:：]", table.grid.titles[-1] if table.grid.titles else ""):
        pair = heading_to_meaning((piece.strip(),)).pair if "/" in piece else ()
        if [half.quantity for half in pair] == [Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT]:
            return pair
    return ()


def _share_of(table: Table, texts: tuple[str, ...]) -> Decimal | None:
    """What a bare number of a table of shares is worth: 0.01 for percent, 1 for factors, None if the
    table does not speak of shares."""
    if not _share_words().search(fold(" ".join(texts))):
        return None
    numbers = [
        n.value
        for cell in table.grid.cells
        if cell.row >= table.heading_rows and cell.column != table.part_column
        for n in cell_to_numbers(cell.text).numbers
    ]
    return Decimal("0.01") if numbers and max(numbers) > 5 else Decimal(1)


@cache
def _share_words() -> re.Pattern[str]:
    """The words of shares, whole ones where the script parts words: "operation" is no ratio."""
    words = vocabulary()["derating"]["share_words"]
    return re.compile("|".join(rf"(?<![a-zäöüß]){re.escape(word)}(?![a-zäöüß])" for word in words))


def _unit_in(titles: tuple[str, ...]) -> Unit | None:
    """A unit in brackets in the nearest title ("Hold current [A]", "(IH / IT, mA)"), or after "in"."""
    for title in reversed(titles):
        plain = title.translate(FULL_WIDTH).replace("[", "(").replace("]", ")")
        bracketed = [piece.split(")")[0] for piece in plain.split("(")[1:]]
        spelt = re.findall(r"\bin\s+(\w+)\b", plain)
        for piece in (*bracketed, *(end for text in bracketed for end in text.split(",")[1:]), *spelt):
            unit = spelling_to_unit(piece)
            if unit is not None:
                return unit
    return None


def _row_quantity(
    table: Table, row: int, context: _Context
) -> tuple[Quantity, tuple[HeadingMeaning, ...], tuple[str, ...]]:
    """Hold or trip for one row: its own words first, then its section, then the table's."""
    words = [
        cell.text
        for cell in table.grid.row_cells(row)
        if cell.column != table.part_column and not table.columns[cell.column].meaning.is_ambient_column
    ]
    section = table.sections.get(row)
    for text in (*words, row_label(table, row), plain_text(section.text) if section is not None else ""):
        named = {hit.name for hit in scan(fold(text)) if hit.sense == "quantity"}
        wanted = named & {Quantity.HOLD_CURRENT.value, Quantity.TRIP_CURRENT.value}
        if len(wanted) == 1:
            return Quantity(wanted.pop()), (), ()
    return context.quantity, context.pair, context.doubts


def _as_share(item: Entry | Unread, share: Decimal | None, doubts: tuple[str, ...]) -> Entry | Unread:
    """Mark an entry as a share of the rating where its unit or its table says so."""
    if isinstance(item, Unread):
        return item
    if item.unit is not None and item.unit.base == "1":
        kept = tuple(doubt for doubt in item.doubts if "does not measure" not in doubt)
        return replace(item, is_factor=True, doubts=(*kept, *doubts))
    if share is not None and item.unit is None:
        return replace(item, value=item.value * share, is_factor=True, doubts=(*item.doubts, *doubts))
    return replace(item, doubts=(*item.doubts, *doubts))
