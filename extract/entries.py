"""The cells of a table become entries: a label, a quantity, a number and the reasons to doubt it.

Comes in: one Table. Goes out: Entries, not yet joined to parts or to a reference ambient, and
findings for cells that could not be read. records.py joins them.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from extract.cell_entries import Entry, Unread, names_quantity, rating_cell_to_entries, row_label
from extract.columns import Table
from extract.derating_entries import derating_to_entries
from extract.heading_doubts import column_to_stranger
from extract.quantities import CellSort, NumberStyle, cell_to_numbers, texts_to_style
from extract.rating_lines import cell_to_limits
from extract.schema import Quantity


def table_to_entries(table: Table, single_part: str = "") -> tuple[tuple[Entry, ...], tuple[Unread, ...]]:
    """Every number of a table's known columns, and every cell there that cannot be read.

    `single_part` labels the rows of a table without a part column; a row without a label beside labelled
    ones stays without.
    """
    style = texts_to_style([cell.text for cell in table.grid.cells if cell.row >= table.heading_rows])
    found = list(derating_to_entries(table, style) if table.is_derating else _rating_entries(table, style))
    beside = table.beside_headless()
    strangers = {column.index: column_to_stranger(column) for column in table.value_columns()}
    found = [_doubt_heading(i, beside, strangers) if isinstance(i, Entry) else i for i in found]
    single_part = "" if table.part_column is not None or _holds_several_parts(found) else single_part
    labelled = [replace(item, label=item.label or single_part) for item in found]
    return (
        tuple(item for item in labelled if isinstance(item, Entry)),
        tuple(item for item in labelled if isinstance(item, Unread)),
    )


def _holds_several_parts(found: Sequence[Entry | Unread]) -> bool:
    """Whether rows without a label differ in one quantity: they are of several parts, not of the only one."""
    values: dict[object, set[Decimal]] = defaultdict(set)
    for item in found:
        if isinstance(item, Entry) and not item.label and item.test_current_a is None:
            values[item.quantity, item.kind, item.ambient_c, item.is_factor].add(item.value)
    return any(len(different) > 1 for different in values.values())


def tables_to_labels(tables: Sequence[Table]) -> set[str]:
    """The labels of all rows but those that only say what the row holds."""
    labels = {row_label(table, row) for table in tables for row in table.body}
    return {label for label in labels if label and not names_quantity(label)}


def tables_to_sole_label(tables: Sequence[Table]) -> str:
    """The part number that is the only label of a sheet whose ratings have none; else empty."""
    named = tables_to_labels(tables)
    unlabelled = any(table.part_column is None and not table.is_derating for table in tables)
    sole = named.pop() if len(named) == 1 and unlabelled else ""
    return sole if re.fullmatch(r"(?=.*\d)(?=.*[A-Za-z])\S{4,25}", sole) else ""


def label_with_single_part(entries: list[Entry], single_part: str) -> list[Entry]:
    """On a sheet for one part, rows without a label and rows labelled by the current they hold are rows of
    that part; rows of shares stay those of the whole series."""
    named = {e.label for e in entries if e.label and not names_quantity(e.label)}
    if not single_part or named - {single_part}:
        return entries
    nobodys = {id(e) for e in entries if not e.label and _is_nobodys(e, entries)}
    return [e if e.is_factor or id(e) in nobodys else replace(e, label=single_part) for e in entries]


def _is_nobodys(entry: Entry, entries: Sequence[Entry]) -> bool:
    """Whether a row without a label stands beside labelled rows, or among rows of several parts."""
    own = [other for other in entries if other.table is entry.table]
    return entry.table.part_column is not None or _holds_several_parts(own)


def _doubt_heading(
    entry: Entry, beside_headless: frozenset[int], strangers: Mapping[int, Quantity | None]
) -> Entry:
    doubts = entry.doubts
    if entry.cell.column in beside_headless:
        doubts = (*doubts, "a column without heading stands beside this one")
    if stranger := strangers.get(entry.cell.column):
        doubts = (*doubts, f"its heading names {stranger.value.replace('_', ' ')} too")
    return replace(entry, doubts=doubts) if doubts != entry.doubts else entry


def _rating_entries(table: Table, style: NumberStyle) -> Iterator[Entry | Unread]:
    for row in table.body:
        for column in table.value_columns():
            yield from rating_cell_to_entries(table, row, column, style)
        yield from _section_entries(table, row)
    yield from _cells_between_rows(table, style)


def _cells_between_rows(table: Table, style: NumberStyle) -> Iterator[Unread]:
    """The numbers that stand alone between rows of data: whose they are is not known."""
    quantities = {column.index: column.meaning.quantity for column in table.value_columns()}
    for row in range(table.body[0], table.body[-1]):
        printed = [cell for cell in table.grid.row_cells(row) if cell.text and cell.row == row]
        quantity = quantities.get(printed[0].column) if len(printed) == 1 else None
        if row in table.body or quantity is None:
            continue
        if cell_to_numbers(printed[0].text, style).sort is CellSort.NUMBERS:
            yield Unread(table, "", printed[0], quantity, "it stands alone between two rows")


def _section_entries(table: Table, row: int) -> Iterator[Entry]:
    """The limits that the line over a group of rows gives them all ("Maximum voltage 16 V"), or a text just
    above the table."""
    section = table.sections.get(row)
    if table.part_column is None:
        return
    headed = {column.meaning.quantity for column in table.value_columns()}
    said = [(cell, r) for cell in (section, *table.captions) if cell for r in cell_to_limits(cell)]
    nearest = {rating.quantity: (cell, rating) for cell, rating in reversed(said)}
    for cell, rating in nearest.values():
        if rating.quantity not in headed:
            yield Entry(
                table,
                row_label(table, row),
                cell,
                rating.quantity,
                rating.kind,
                rating.value,
                rating.unit,
                rating.printed_unit,
                None,
                notes=("printed once for the rows below it",),
            )
