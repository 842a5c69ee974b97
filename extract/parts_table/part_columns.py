"""Part numbers that stand in two columns: series and type.

Comes in: a sheet and its columns. Goes out: the sheet with whole part numbers in the column of parts. Joins
only where the column alone does not tell parts apart and the two together do.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.parts_table.records import Column, ColumnRole, RawSheet


def with_whole_part_numbers(sheet: RawSheet, first_row: int, columns: Sequence[Column]) -> RawSheet:
    """The sheet as it is, or with the series put before each type."""
    part = next((c for c in columns if c.role is ColumnRole.PART_NUMBER), None)
    if part is None:
        return sheet
    below = sheet.rows[first_row - 1:]
    own = [_text(row, part.index) for row in below]
    named = [text for text in own if text]
    if len(named) < 2 or (len(set(named)) == len(named) and all(re.search(r"[^\W\d_]", t) for t in named)):
        return sheet
    series = next((c for c in columns if _is_series(c, part, below, own)), None)
    if series is None:
        return sheet
    rows = list(sheet.rows)
    last = ""
    for n in range(first_row - 1, len(rows)):
        last = _text(rows[n], series.index) or last
        if _text(rows[n], part.index) and last:
            row = list(rows[n])
            row[part.index - 1] = f"{last} {row[part.index - 1]}"
            rows[n] = tuple(row)
    return replace(sheet, rows=tuple(rows))


_OTHER = re.compile(r"maker|vendor|manufacturer|hersteller|package|size|note|remark", re.IGNORECASE)
"""Columns of words that are no part of a part number."""


def _is_series(
    column: Column, part: Column, below: Sequence[Sequence[str]], own: Sequence[str]
) -> bool:
    """Whether a column of words beside the parts tells apart what the part column alone does not."""
    if column is part or column.role not in (ColumnRole.TEXT, ColumnRole.UNKNOWN, ColumnRole.IGNORED):
        return False
    texts = [_text(row, column.index) for row in below]
    filled = [text for text in texts if text]
    if not filled or not all(re.search(r"[^\W\d_]", text) and len(text) <= 20 for text in filled):
        return False
    if _OTHER.search(column.heading):
        return False
    last, joined = "", []
    for text, number in zip(texts, own, strict=True):
        last = text or last
        if number:
            joined.append((last, number))
    return len(set(joined)) == len(joined) and all(name for name, _ in joined)


def _text(row: Sequence[str], index: int) -> str:
    return row[index - 1] if index <= len(row) else ""
