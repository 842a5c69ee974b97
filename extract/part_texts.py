"""Texts that tables give for a part: package, marking, series, approval.

Comes in: Tables and the sheet's parts. Goes out: PartTexts with their places. Reads no numbers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from extract.columns import Table
from extract.headings import Role
from extract.joins import label_to_parts
from extract.page import PageContent, box_to_place
from extract.quantities import CellSort, cell_to_numbers
from extract.schema import WHOLE_SERIES, PartText


def tables_to_texts(
    tables: Sequence[Table], parts: Sequence[str], contents: dict[int, PageContent], sheet: tuple[str, str]
) -> tuple[PartText, ...]:
    """Every text of a named text column, once for each part its row names. `sheet` is (document, sha256)."""
    found = (text for table in tables for text in _table_to_texts(table, parts, contents, sheet))
    first: dict[tuple[str, str], PartText] = {}
    for text in found:
        first.setdefault((text.part_number, text.name), text)
    return tuple(first.values())


def _table_to_texts(
    table: Table, parts: Sequence[str], contents: dict[int, PageContent], sheet: tuple[str, str]
) -> Iterator[PartText]:
    if table.part_column is None:
        return
    columns = [column for column in table.columns if column.meaning.role is Role.TEXT]
    for row in table.body:
        label = table.grid.cell_at(row, table.part_column)
        joined = label_to_parts(label.text if label is not None else "", parts, len(table.body))
        for column in columns:
            cell = table.grid.cell_at(row, column.index)
            if cell is None or cell_to_numbers(cell.text).sort is CellSort.ABSENT:
                continue
            place = box_to_place(contents[table.grid.page], cell.box)
            for part in joined.parts:
                if part != WHOLE_SERIES:
                    yield PartText(*sheet, part, column.meaning.text_name, " ".join(cell.text.split()), place)
