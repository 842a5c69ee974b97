"""One cell of a table becomes entries: a label, a quantity, a number and the reasons to doubt it.

Comes in: a Table, a row, a column. Goes out: Entries, and Unreads for cells that could not be read. What an
ambient column holds is said by derating_entries.py; joins nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from extract.column_roles import Column
from extract.columns import Table, column_pairs, kind_of
from extract.grid import Cell
from extract.headings import HeadingMeaning, text_to_multiple
from extract.quantities import CellNumber, CellSort, NumberStyle, ParsedCell, cell_to_numbers, range_to_pair
from extract.schema import Kind, Quantity
from extract.vocabulary import Unit, fold, scan, unit_of_quantity

NO_TEST_CURRENT = "no test current was read for this time"
TYPICAL_TIME = "a typical time, not the longest"
LIMITS = frozenset({Kind.MIN, Kind.TYP, Kind.MAX})


@dataclass(frozen=True, slots=True)
class Entry:
    """One number of a table.

    `label` is the row's part text; `value` is in the unit's SI base if `unit` is known, else as
    printed; `ambient_c` None means the sheet's reference ambient; `is_factor` marks a share of the
    rating; `is_rating` is false for a number of an ambient column; `doubts` are reasons why a person
    must look; `notes` are plain remarks.
    """

    table: Table
    label: str
    cell: Cell
    quantity: Quantity
    kind: Kind
    value: Decimal
    unit: Unit | None
    printed_unit: str
    ambient_c: float | None
    test_current_a: float | None = None
    test_multiple: float | None = None
    is_factor: bool = False
    is_rating: bool = True
    doubts: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Unread:
    """A cell in a known column that gave no number: where, its text and why."""

    table: Table
    label: str
    cell: Cell
    quantity: Quantity
    reason: str


_BRACKETED = re.compile(r"[(\[][^()\[\]]*[)\]]")


@lru_cache(maxsize=4096)
def names_quantity(label: str) -> bool:
    """Whether a row's label says which current the row holds ("Hold current (A)"), not of which part."""
    folded = fold(label)
    symbol = _BRACKETED.sub("", folded).strip()  # "IH (% of rating)" is a symbol and its unit
    found = [hit for hit in scan(folded) if hit.sense == "quantity" and hit.end - hit.start > 3]
    found += [hit for hit in scan(symbol) if hit.sense == "quantity" and hit.end - hit.start == len(symbol)]
    return bool({hit.name for hit in found} & {Quantity.HOLD_CURRENT.value, Quantity.TRIP_CURRENT.value})


_HYPHEN_BREAK = re.compile(r"(?<=[^\W_])-\s*\n\s*(?=[^\W_])|(?<=[^\W_])\s*\n\s*-(?=[^\W_])")
"""A part number broken over two lines at its hyphen is one word."""
_HALF = re.compile(r"\w[-‐‑]$")
"""A part number that ends in a hyphen goes on elsewhere: its row is of nobody known."""


def row_label(table: Table, row: int) -> str:
    """The text that names a row's part, as printed; empty without one, or where only half of it is known."""
    if table.part_column is None:
        return ""
    cell = table.grid.cell_at(row, table.part_column)
    label = " ".join(_HYPHEN_BREAK.sub("-", cell.text).split()) if cell is not None else ""
    return "" if _HALF.search(label) else label


def rating_cell_to_entries(
    table: Table, row: int, column: Column, style: NumberStyle
) -> Iterator[Entry | Unread]:
    """The entries of one rating cell, trip times with their test current."""
    cell = table.grid.cell_at(row, column.index)
    if cell is None or column.meaning.is_test_current:
        return
    for item in cell_to_entries(table, row, column, cell, style):
        is_time = isinstance(item, Entry) and item.quantity is Quantity.TIME_TO_TRIP
        if isinstance(item, Entry) and is_time and column.meaning.kind is Kind.TYP:
            item = replace(item, doubts=(*item.doubts, TYPICAL_TIME))
        if isinstance(item, Entry) and is_time and not column.meaning.pair:
            yield _with_test_current(item, row, column, style)
        else:
            yield item


def _with_test_current(entry: Entry, row: int, column: Column, style: NumberStyle) -> Entry:
    """A trip time with its test current: from the heading, from its own column, or a doubt."""
    table, meaning = entry.table, column.meaning
    if meaning.test_current_a is not None:
        return replace(entry, test_current_a=meaning.test_current_a)
    if meaning.test_multiple is not None:
        return replace(entry, test_multiple=meaning.test_multiple)
    partner = column_pairs(table).get(column.index)
    cell = table.grid.cell_at(row, partner) if partner is not None else None
    if cell is not None and (multiple := text_to_multiple(cell.text)) is not None:
        return replace(entry, test_multiple=multiple)
    if cell is not None and partner is not None:
        parsed = cell_to_numbers(cell.text, style)
        unit = parsed.numbers[0].unit if parsed.numbers else None
        unit = unit or table.columns[partner].meaning.unit
        if len(parsed.numbers) == 1 and unit is not None and unit.base == "A":
            return replace(entry, test_current_a=float(parsed.numbers[0].value * unit.factor))
        if len(parsed.numbers) == 1 and unit is None:
            return replace(
                entry,
                test_current_a=float(parsed.numbers[0].value),
                doubts=(*entry.doubts, "the unit of the test current is not printed"),
            )
    return replace(entry, doubts=(*entry.doubts, NO_TEST_CURRENT))


def cell_to_entries(
    table: Table, row: int, column: Column, cell: Cell, style: NumberStyle
) -> Iterator[Entry | Unread]:
    """The entries of one cell, one for each of its numbers, or why it gives none; a dash gives nothing."""
    meaning, quantity = column.meaning, column.meaning.quantity
    if quantity is None:
        return
    if row in table.row_kinds and meaning.kind is Kind.NONE:
        meaning = replace(meaning, kind=table.row_kinds[row])
    label = row_label(table, row)
    parsed = cell_to_numbers(range_to_pair(cell.text) if _is_range(meaning) else cell.text, style)
    if parsed.sort is CellSort.ABSENT:
        return
    reason = _why_not(parsed, cell, meaning)
    if reason:
        yield Unread(table, label, cell, quantity, reason)
        return
    meanings = meaning.pair or (meaning,) * len(parsed.numbers)
    test = next(
        (_to_amps(n, m) for n, m in zip(parsed.numbers, meanings, strict=True) if m.is_test_current), None
    )
    for number, own in zip(parsed.numbers, meanings, strict=True):
        if own.quantity is None or own.is_test_current:
            continue
        entry = _number_to_entry(table, label, cell, number, own, parsed)
        yield (
            replace(entry, test_current_a=test)
            if test is not None and own.quantity is Quantity.TIME_TO_TRIP
            else entry
        )


def _is_range(meaning: HeadingMeaning) -> bool:
    """Whether a heading is over a least and a largest value of one quantity."""
    return len(meaning.pair) == 2 and meaning.pair[0].quantity is meaning.pair[1].quantity


def _to_amps(number: CellNumber, meaning: HeadingMeaning) -> float:
    unit = number.unit or meaning.unit
    return float(number.value * (unit.factor if unit is not None else 1))


def _why_not(parsed: ParsedCell, cell: Cell, meaning: HeadingMeaning) -> str:
    """Why a cell gives no entry; empty if it does."""
    if parsed.sort is CellSort.UNREADABLE:
        return parsed.reason
    if parsed.sort is CellSort.TEXT:
        return f"'{cell.text}' is no number"
    if "(cid:" in cell.text:
        return "the font does not say which characters these are"
    if cell.column_span > 1:
        return f"'{cell.text}' reaches over {cell.column_span} columns"
    expected = len(meaning.pair) or 1
    same = len({n.value for n in parsed.numbers}) == 1
    if len(parsed.numbers) != expected and not (same and expected == 1 and len(parsed.numbers) == 1):
        return f"'{cell.text}' has {len(parsed.numbers)} numbers where {expected} was expected"
    if any(n.value < 0 for n in parsed.numbers):
        return f"'{cell.text}' is negative: a dash may have been glued to the number"
    return ""


def _number_to_entry(
    table: Table, label: str, cell: Cell, number: CellNumber, meaning: HeadingMeaning, parsed: ParsedCell
) -> Entry:
    assert meaning.quantity is not None
    quantity = meaning.quantity
    unit = number.unit or meaning.unit
    doubts: tuple[str, ...] = ()
    if unit is not None and unit.base != unit_of_quantity(quantity):
        doubts = (f"printed in {unit.name}, which does not measure {quantity.value}",)
    if number.unit is not None and meaning.unit is not None and number.unit.base != meaning.unit.base:
        doubts = (f"the cell says {number.printed_unit}, its heading {meaning.printed_unit}",)
    lacks_kind = kind_of(meaning) is Kind.NONE and _kind_beside(number, quantity) is Kind.NONE
    if quantity is Quantity.RESISTANCE and lacks_kind:
        doubts = (*doubts, "the heading does not say which resistance: least, largest, after a trip")
    value = number.value * (unit.factor if unit is not None else 1)
    notes = tuple(f"footnote {mark}" for mark in (*cell.marks, *parsed.marks))
    if quantity is Quantity.TIME_TO_TRIP and meaning.kind is Kind.TYP:
        notes = (*notes, "typical, not a maximum, by its heading")
    return Entry(
        table,
        label,
        cell,
        quantity,
        kind_of(meaning) if kind_of(meaning) is not Kind.NONE else _kind_beside(number, quantity),
        value,
        unit,
        number.printed_unit or meaning.printed_unit,
        meaning.ambient_c,
        doubts=doubts,
        notes=notes,
    )


def _kind_beside(number: CellNumber, quantity: Quantity) -> Kind:
    """The limit a cell prints beside its number ("1.0 W (typ.)")."""
    named = {hit.kind for hit in scan(fold(number.words)) if hit.sense == "kind"}
    limits = {Quantity.RESISTANCE: LIMITS, Quantity.TRIPPED_POWER: LIMITS - {Kind.MIN}}
    return named.pop() if len(named) == 1 and named <= limits.get(quantity, frozenset()) else Kind.NONE
