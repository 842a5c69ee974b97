"""The cells of a table become entries: a label, a quantity, a number and the reasons to doubt it.

Comes in: one Table. Goes out: Entries, not yet joined to parts or to a reference ambient, and
findings for cells that could not be read. records.py joins them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, lru_cache

from extract.column_roles import Column, plain_text
from extract.columns import Table, column_pairs, kind_of, texts_name_both, texts_to_quantity
from extract.grid import Cell
from extract.headings import HeadingMeaning, Role, text_to_multiple
from extract.quantities import (
    FULL_WIDTH,
    CellNumber,
    CellSort,
    NumberStyle,
    ParsedCell,
    cell_to_numbers,
    texts_to_style,
)
from extract.rating_lines import text_to_ratings
from extract.schema import Kind, Quantity
from extract.vocabulary import Unit, fold, scan, spelling_to_unit, unit_of_quantity, vocabulary

LIMITS = frozenset({Kind.MIN, Kind.TYP, Kind.MAX})
SECTION_LIMITS = (Quantity.MAX_VOLTAGE, Quantity.MAX_INTERRUPT_VOLTAGE, Quantity.MAX_CURRENT)
"""What a line over a group of rows may say of them all."""
UNNAMED_DERATING = "neither heading nor title says hold or trip"


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


def table_to_entries(table: Table, single_part: str = "") -> tuple[tuple[Entry, ...], tuple[Unread, ...]]:
    """Every number of a table's known columns, and every cell there that cannot be read.

    `single_part` labels the rows of a table without a part column; a row without a label beside labelled
    ones stays without.
    """
    style = texts_to_style([cell.text for cell in table.grid.cells if cell.row >= table.heading_rows])
    found = list(_derating_entries(table, style) if table.is_derating else _rating_entries(table, style))
    beside = table.beside_headless()
    found = [_doubt_heading(item, beside) if isinstance(item, Entry) else item for item in found]
    single_part = "" if table.part_column is not None else single_part
    labelled = [replace(item, label=item.label or single_part) for item in found]
    return (
        tuple(item for item in labelled if isinstance(item, Entry)),
        tuple(item for item in labelled if isinstance(item, Unread)),
    )


@lru_cache(maxsize=4096)
def names_quantity(label: str) -> bool:
    """Whether a row's label says which current the row holds ("Hold current (A)"), not of which part."""
    named = {hit.name for hit in scan(fold(label)) if hit.sense == "quantity" and hit.end - hit.start > 3}
    return bool(named & {Quantity.HOLD_CURRENT.value, Quantity.TRIP_CURRENT.value})


def tables_to_sole_label(tables: Sequence[Table]) -> str:
    """The part number that is the only label of a sheet whose ratings have none; else empty."""
    labels = {_label(table, row) for table in tables for row in table.body}
    named = {label for label in labels if label and not names_quantity(label)}
    unlabelled = any(table.part_column is None and not table.is_derating for table in tables)
    sole = named.pop() if len(named) == 1 and unlabelled else ""
    return sole if re.fullmatch(r"(?=.*\d)(?=.*[A-Za-z])\S{4,25}", sole) else ""


def label_with_single_part(entries: list[Entry], single_part: str) -> list[Entry]:
    """On a sheet for one part, rows without a label and rows labelled by the current they hold are rows of
    that part; rows of shares stay those of the whole series."""
    named = {e.label for e in entries if e.label and not names_quantity(e.label)}
    if not single_part or named - {single_part}:
        return entries
    return [entry if entry.is_factor else replace(entry, label=single_part) for entry in entries]


def _doubt_heading(entry: Entry, beside_headless: frozenset[int]) -> Entry:
    if entry.cell.column not in beside_headless:
        return entry
    return replace(entry, doubts=(*entry.doubts, "a column without heading stands beside this one"))


_HYPHEN_BREAK = re.compile(r"(?<=[^\W_])-\s*\n\s*(?=[^\W_])|(?<=[^\W_])\s*\n\s*-(?=[^\W_])")
"""A part number broken over two lines at its hyphen is one word."""


def _label(table: Table, row: int) -> str:
    if table.part_column is None:
        return ""
    cell = table.grid.cell_at(row, table.part_column)
    return " ".join(_HYPHEN_BREAK.sub("-", cell.text).split()) if cell is not None else ""


def _rating_entries(table: Table, style: NumberStyle) -> Iterator[Entry | Unread]:
    for row in table.body:
        for column in table.value_columns():
            yield from _rating_cell(table, row, column, style)
        yield from _section_entries(table, row)


def _section_entries(table: Table, row: int) -> Iterator[Entry]:
    """The ratings that the line over a group of rows gives them all ("Maximum voltage 16 V")."""
    section = table.sections.get(row)
    if section is None or table.part_column is None:
        return
    headed = {column.meaning.quantity for column in table.value_columns()}
    for rating in text_to_ratings(plain_text(section.text), section.box):
        if rating.quantity in SECTION_LIMITS and rating.quantity not in headed:
            yield Entry(
                table,
                _label(table, row),
                section,
                rating.quantity,
                rating.kind,
                rating.value,
                rating.unit,
                rating.printed_unit,
                None,
                notes=("printed once for the rows below it",),
            )


def _rating_cell(table: Table, row: int, column: Column, style: NumberStyle) -> Iterator[Entry | Unread]:
    """The entries of one rating cell, trip times with their test current."""
    cell = table.grid.cell_at(row, column.index)
    if cell is None or column.meaning.is_test_current:
        return
    for item in _cell_to_entries(table, row, column, cell, style):
        is_time = isinstance(item, Entry) and item.quantity is Quantity.TIME_TO_TRIP
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
    return replace(entry, doubts=(*entry.doubts, "no test current was read for this time"))


def _cell_to_entries(
    table: Table, row: int, column: Column, cell: Cell, style: NumberStyle
) -> Iterator[Entry | Unread]:
    meaning, quantity = column.meaning, column.meaning.quantity
    if quantity is None:
        return
    if row in table.row_kinds and meaning.kind is Kind.NONE:
        meaning = replace(meaning, kind=table.row_kinds[row])
    label = _label(table, row)
    parsed = cell_to_numbers(_limits_apart(cell.text) if _is_range(meaning) else cell.text, style)
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


_FROM_TO = re.compile(
    r"(?<=[\dA-Za-zΩ\u2126])\s*(?:~|〜|～|…|\.\.\.|–|—|\bto\b|\bbis\b|(?<=\s)-(?=\s))\s*(?=\d)"
)


def _limits_apart(text: str) -> str:
    """The text "25 ~ 61" as two numbers; only for cells under a heading that says so."""
    return _FROM_TO.sub(" / ", text)


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


def _derating_entries(table: Table, style: NumberStyle) -> Iterator[Entry | Unread]:
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
                    yield from _rating_cell(table, row, column, style)
                continue
            unit = column.meaning.unit or context.unit or _unit_in((_label(table, row),))
            shared = replace(column.meaning, quantity=quantity, unit=unit)
            at_ambient = tuple(
                replace(shared, quantity=m.quantity, unit=m.unit or shared.unit, pair=()) for m in pair
            )
            meaning = replace(shared, pair=at_ambient)
            for item in _cell_to_entries(table, row, replace(column, meaning=meaning), cell, style):
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
    pair = next((c.meaning.pair for c in ambient if c.meaning.pair), ())
    quantity = named.pop() if len(named) == 1 else None
    if quantity is None:
        quantity, _ = texts_to_quantity((*table.grid.titles, *levels))
    units = {c.meaning.unit for c in ambient if c.meaning.unit is not None}
    unit = units.pop() if len(units) == 1 else _unit_in(table.grid.titles)
    share = (
        None
        if unit is not None and unit.base != "1"
        else _share_of(table, (*table.grid.titles[-1:], *levels, *(_label(table, row) for row in table.body)))
    )
    doubts = () if quantity is not None else (UNNAMED_DERATING,)
    amps = unit if unit is not None and unit.base == "A" else None
    unnamed = not pair and all(c.meaning.quantity is None for c in ambient)
    both = unnamed and texts_name_both(table.grid.titles[-1:])
    return _Context(quantity or Quantity.HOLD_CURRENT, pair, amps, share, doubts, both)


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
    for text in (*words, _label(table, row), plain_text(section.text) if section is not None else ""):
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
