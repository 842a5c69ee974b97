"""Part numbers that stand in two columns: series and type.

Comes in: a sheet and its columns. Goes out: the sheet with whole part numbers in the column of parts. Joins
only where the column alone does not tell parts apart and the two together do.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate

from extract.parts_table.records import Column, ColumnRole, RawSheet


def with_whole_part_numbers(sheet: RawSheet, first_row: int, columns: Sequence[Column]) -> RawSheet:
    """The sheet as it is, or with the series put before each type."""
    part = next((c for c in columns if c.role is ColumnRole.PART_NUMBER), None)
    if part is None:
        return sheet
    below = sheet.rows[first_row - 1 :]
    own = [_text(row, part.index) for row in below]
    if _tell_apart(list(filter(None, own))):
        return sheet
    series = next((texts for c in columns if c is not part and (texts := _to_series(c, below, own))), None)
    if series is None:
        return sheet
    rows = [_joined(row, part.index, name) for row, name in zip(below, series, strict=True)]
    return replace(sheet, rows=(*sheet.rows[: first_row - 1], *rows))


def row_to_names(texts: Sequence[str], part: int, columns: Sequence[Column]) -> tuple[str, ...]:
    """The part number of a row with each text before it that may be its series; columns from 1."""
    own = _text(texts, part)
    return tuple(
        f"{text} {own}"
        for column in columns
        if column.index != part
        and _may_name(column)
        and 0 < len(text := _text(texts, column.index)) <= _LONGEST_SERIES
        and _has_letter(text)
    )


_LONGEST_SERIES = 20


def _may_name(column: Column) -> bool:
    return column.role in _WORDS and not _OTHER.search(column.heading)


def _tell_apart(named: Sequence[str]) -> bool:
    """Whether texts are part numbers by themselves: all different, each with a letter."""
    return len(named) < 2 or (len(set(named)) == len(named) and all(map(_has_letter, named)))


def _joined(row: tuple[str, ...], index: int, series: str) -> tuple[str, ...]:
    own = _text(row, index)
    return (*row[: index - 1], f"{series} {own}", *row[index:]) if own and series else row


_OTHER = re.compile(r"maker|vendor|manufacturer|hersteller|package|size|note|remark", re.IGNORECASE)
"""Columns of words that are no part of a part number."""
_WORDS = (ColumnRole.TEXT, ColumnRole.UNKNOWN, ColumnRole.IGNORED)


def _to_series(column: Column, below: Sequence[Sequence[str]], own: Sequence[str]) -> list[str] | None:
    """The series of each row, the last named one reaching down; None if the column, together with the parts,
    does not tell all parts apart."""
    if not _may_name(column):
        return None
    texts = [_text(row, column.index) for row in below]
    filled = list(filter(None, texts))
    if not filled or not all(_has_letter(text) and len(text) <= _LONGEST_SERIES for text in filled):
        return None
    names = list(accumulate(texts, _or_last))
    pairs = [(name, number) for name, number in zip(names, own, strict=True) if number]
    return names if len(set(pairs)) == len(pairs) and all(name for name, _ in pairs) else None


def _or_last(last: str, text: str) -> str:
    return text or last


def _has_letter(text: str) -> bool:
    return re.search(r"[^\W\d_]", text) is not None


def _text(row: Sequence[str], index: int) -> str:
    return row[index - 1] if index <= len(row) else ""
