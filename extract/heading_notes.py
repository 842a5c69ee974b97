"""Footnotes of headings that say what a column means: "Max.\u00b9" and below "\u00b9 one hour after trip".

Comes in: a Table and the runs of its page. Goes out: the same table; a largest resistance whose note, or
whose symbol's definition, speaks of a trip or of reflow is the one after it. Reads no numbers.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.column_roles import Column
from extract.columns import Table
from extract.lines import Run
from extract.schema import Kind, Quantity
from extract.vocabulary import fold, scan

RAISED = str.maketrans("\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079", "123456789")
_SIGN = re.compile(r"\*+|[†‡§]|[¹²³⁴-⁹]+")
_DEFINES_R_MAX = re.compile(r"\W*r\s*_?\s*max\b(?!.*\br\s*_?\s*1)")


def with_noted_limits(table: Table, runs: Sequence[Run]) -> Table:
    """The table with such columns of resistance read as their notes say."""
    kinds = {c.meaning.kind for c in table.columns if c.meaning.quantity is Quantity.RESISTANCE}
    if Kind.MAX not in kinds or Kind.POST_TRIP_MAX in kinds:
        return table
    columns = tuple(_with_note(table, column, runs) for column in table.columns)
    return table if columns == table.columns else replace(table, columns=columns)


def _with_note(table: Table, column: Column, runs: Sequence[Run]) -> Column:
    meaning = column.meaning
    if meaning.quantity is not Quantity.RESISTANCE or meaning.kind is not Kind.MAX or meaning.pair:
        return column
    notes = [run.text for run in runs if _is_note_of(run, _column_to_marks(table, column))]
    notes += [run.text for run in runs if _DEFINES_R_MAX.match(fold(run.text))]
    noted = next((text for text in notes if _speaks_of_trip(text)), None)
    if noted is None:
        return column
    reasons = (*meaning.reasons, f"by its note: {noted[:60]}")
    return replace(column, meaning=replace(meaning, kind=Kind.POST_TRIP_MAX, reasons=reasons))


def _column_to_marks(table: Table, column: Column) -> set[str]:
    """The footnote marks in a column's heading: raised digits, and signs."""
    cells = [table.grid.cell_at(row, column.index) for row in range(table.heading_rows)]
    marks = {mark for cell in cells if cell is not None for mark in cell.marks}
    marks |= {sign for cell in cells if cell is not None for sign in _SIGN.findall(cell.text)}
    return {mark.translate(RAISED).strip("()") for mark in marks}


def _is_note_of(run: Run, marks: set[str]) -> bool:
    start = re.match(r"\(?(\*+|[\u2020\u2021\u00a7]|\d)[).:]?\s*(?=[^\W\d])", run.text.translate(RAISED))
    return start is not None and start[1] in marks


def _speaks_of_trip(text: str) -> bool:
    return any(hit.kind is Kind.POST_TRIP_MAX for hit in scan(fold(text)))
