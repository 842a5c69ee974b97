"""Which rows are headings, and what stands over each column.

Comes in: the texts of a sheet. Goes out: heading rows and the levels over each column, top to bottom.
Understands no quantity: understanding.py does.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.headings import Role, heading_to_meaning
from extract.parts_table.records import RawSheet
from extract.quantities import CellSort, cell_to_numbers
from extract.temperatures import is_temperature_row, text_to_ambient
from extract.vocabulary import spelling_to_unit

DEEPEST = 4
"""Heading rows at most."""

_SEARCHED = 60


@dataclass(frozen=True, slots=True)
class Heading:
    """Heading rows (counted from 1), the row after them, and each column's levels."""

    rows: tuple[int, ...]
    first_data_row: int
    levels: tuple[tuple[str, ...], ...]


def sheet_to_heading(sheet: RawSheet) -> Heading | None:
    """The headings of a sheet, or None if no row of its first sixty speaks of two known things."""
    rows = sheet.rows[:_SEARCHED]
    known = [sum(_is_known(text) for text in row) for row in rows]
    if not known or max(known) < 2:
        return None
    top, end = _heading_to_range(sheet, known.index(max(known)), len(rows))
    width = max(len(row) for row in sheet.rows)
    grid = [_row_to_level(sheet, n, width, is_last=n == end - 1) for n in range(top, end)]
    levels = tuple(
        tuple(dict.fromkeys(level[column] for level in grid if level[column])) for column in range(width)
    )
    return Heading(tuple(range(top + 1, end + 1)), end + 1, levels)


def _heading_to_range(sheet: RawSheet, main: int, searched: int) -> tuple[int, int]:
    """The first row of the heading around its main row, and the row after its last; from 0."""
    top = main
    while top > 0 and main - top < DEEPEST - 1 and _is_heading_row(sheet, top - 1):
        top -= 1
    end = main + 1
    while end < searched and end - top < DEEPEST and _is_sub_heading(sheet.rows[end], sheet.rows[main]):
        end += 1
    return top, end


def sheet_to_known(sheet: RawSheet) -> int:
    """How many known things the row that speaks of most of them names."""
    return max((sum(_is_known(text) for text in row) for row in sheet.rows[:_SEARCHED]), default=0)


def _is_known(text: str) -> bool:
    if not text or len(text) > 80:
        return False
    meaning = heading_to_meaning((text,))
    if meaning.role is Role.PART_NUMBER:
        return True
    return meaning.role is Role.VALUE and (
        meaning.quantity is not None or (meaning.ambient_c is not None and bool(re.search("[°℃cC]", text)))
    )


def _is_heading_row(sheet: RawSheet, index: int) -> bool:
    """A row above the main heading belongs to it if it has two texts or a cell merged over several
    columns but not over all."""
    row = sheet.rows[index]
    filled = [text for text in row if text]
    if not filled or any(cell_to_numbers(text).sort is CellSort.NUMBERS for text in filled):
        return bool(filled) and _are_temperatures(row)
    spans = [last - first for top, first, bottom, last in sheet.merged if top <= index + 1 <= bottom]
    width = max(len(r) for r in sheet.rows)
    if any(0 < span < width - 1 for span in spans):
        return True
    return len(filled) > 1 and sum(heading_to_meaning((t,)).role is not Role.UNKNOWN for t in filled) > 1


def _is_sub_heading(row: Sequence[str], main: Sequence[str]) -> bool:
    """A row below it does if it holds only units, kinds, temperatures or words, no part number."""
    filled = [text for text in row if text]
    if not filled:
        return False
    if _are_temperatures(row):
        return True
    if any(cell_to_numbers(text).sort is CellSort.NUMBERS for text in filled):
        return False
    told = sum(
        spelling_to_unit(text) is not None or heading_to_meaning((text,)).role is Role.VALUE
        for text in filled
    )
    return told >= max(1, 0.6 * len(filled)) and len(filled) <= sum(bool(text) for text in main) + 3


def _are_temperatures(row: Sequence[str]) -> bool:
    return is_temperature_row(
        [_to_temperature(text) for text in row if text and _to_temperature(text) is not None]
    ) and not any(
        cell_to_numbers(text).sort is CellSort.NUMBERS and _to_temperature(text) is None
        for text in row
        if text
    )


def _to_temperature(text: str) -> float | None:
    if re.fullmatch(r"\s*[-−–+]?\s*\d{1,3}\s*(?:°\s*)?[cC℃]?\s*", text) is None:
        return None
    return text_to_ambient(text)


def _row_to_level(sheet: RawSheet, index: int, width: int, *, is_last: bool) -> list[str]:
    """A heading row's text over each column: merged cells reach over all their columns, and in a row
    above others a text reaches over the blanks to its right."""
    row = [*sheet.rows[index], *[""] * (width - len(sheet.rows[index]))]
    merged = [m for m in sheet.merged if m[0] <= index + 1 <= m[2]]
    for top, first, _, last in merged:
        text = sheet.rows[top - 1][first - 1] if first <= len(sheet.rows[top - 1]) else ""
        for column in range(first, min(last, width) + 1):
            row[column - 1] = text
    if is_last or merged:
        return row
    below = sheet.rows[index + 1]
    for column in range(1, width):
        if (
            not row[column]
            and row[column - 1]
            and column < len(below)
            and below[column]
            and heading_to_meaning((row[column - 1],)).role is Role.VALUE
        ):
            row[column] = row[column - 1]
    return row
