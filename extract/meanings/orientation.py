"""Grids as tables of the trade: what each row or column holds, what names the parts, at which ambients.

Comes in: a Grid. Goes out: a Table: items (parts, still as labels) and fields (meanings or ambients), with
one entry where they cross. The same code reads a turned table with its axes exchanged: the orientation is
the one whose fields are known by more words and units.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.cells.tables import Cell, Grid
from extract.meanings.ambients import fields_to_ambients, is_in_fahrenheit, rows_to_ambients
from extract.meanings.fields import assign_meanings
from extract.meanings.series import (
    Series,
    cell_to_entry,
    grid_to_columns,
    grid_to_style,
    label_columns,
)
from extract.meanings.tables import Axis, Table
from extract.meanings.turned import is_turned, turned_table
from extract.quantities import NumberStyle

WORD_EM, BLANK_EM = 0.8, 0.4


def grid_to_table(grid: Grid) -> Table | None:
    """The table in its likelier orientation; None if the grid has no series of values."""
    style = grid_to_style(grid)
    columns = grid_to_columns(grid, style)
    texts = set(label_columns(columns))
    for series in columns[1:]:
        heads, before = grid.heads_over(series.index), grid.texts(series.index - 1)
        repeated = all(before) and len(set(before)) < len(before)
        one_heading = heads == grid.heads_over(series.index - 1) if heads else series.index == 1
        if repeated and series.index - 1 in texts and one_heading:
            texts.add(series.index)  # "AB 150": the number of a name of two words, under one heading
    fields = [series for series in columns if series.index not in texts]
    labels = [series for series in columns if series.index in texts]
    labels = _joined_labels(grid, labels)
    labels, fields = _ambient_labels(grid, labels, fields)
    if not fields:
        return None
    upright = _upright_table(grid, fields, labels)
    if sum(ambient is not None for ambient in upright.ambients) > 0.5 * len(fields):
        return assign_meanings(_with_leading_labels(upright, grid))
    turned = turned_table(grid, fields, labels)
    return assign_meanings(turned if is_turned(upright, turned) else upright)


def _joined_labels(grid: Grid, labels: Sequence[Series]) -> list[Series]:
    """Neighbouring columns of texts under one heading of their own are one: "0020 | thru | 0110"."""
    joined: list[Series] = []
    last = -2
    for series in labels:
        before = joined[-1] if joined else None
        spans = {(head.first, head.last) for head in grid.heads_over(series.index)}
        low = min(spans, key=lambda span: span[1] - span[0], default=(series.index, series.index))
        headed = low[0] <= last and low[1] - low[0] < 4
        bare = before is not None and _is_close(
            grid, series.index, WORD_EM if not spans and not before.head else BLANK_EM
        )
        prefixed = before is not None and not spans and _is_prefix(before) and _are_numbers(series)
        if before is not None and last == series.index - 1 and (headed or bare or prefixed):
            joined[-1] = _join_series(before, series)
        else:
            joined.append(series)
        last = series.index
    return joined


def _is_prefix(series: Series) -> bool:
    """Whether every row of a column has the same letters: they begin the names in the column beside it, which
    has no heading of its own: "PW | 100", "PW | 170"."""
    texts = set(series.filled)
    return len(texts) == 1 < len(series.filled) == len(series.entries) and texts.pop().isalpha()


def _are_numbers(series: Series) -> bool:
    """Whether a column holds codes of three signs and more, or with a letter, each another: two digits may be
    volts."""
    texts = series.filled
    codes = all(re.fullmatch(r"\d{3,}|(?=.*[^\W\d_])[\w/-]+", text) for text in texts)
    return len(set(texts)) == len(texts) and codes


def _is_close(grid: Grid, index: int, most_em: float) -> bool:
    """Whether a column stands as close to the one before as the words of one text, and not each has a heading
    of its own."""
    before, column = grid.columns[index - 1], grid.columns[index]
    if all(any(h.first == h.last for h in grid.heads_over(n)) for n in (index - 1, index)):
        return False
    return column.x0 - before.x1 < most_em * (grid.rows[0].bottom - grid.rows[0].top)


def _join_series(one: Series, other: Series) -> Series:
    entries = []
    for a, b in zip(one.entries, other.entries, strict=True):
        cells = [entry.cell for entry in (a, b) if entry.cell is not None]
        text = " ".join(cell.text for cell in cells)
        atoms = tuple(atom for cell in cells for atom in cell.atoms)
        cell = Cell(text, atoms, cells[0].source) if cells else None
        entries.append(cell_to_entry(cell, NumberStyle()))
    return replace(one, entries=tuple(entries), head=one.head or other.head)


def _ambient_labels(
    grid: Grid, labels: Sequence[Series], fields: Sequence[Series]
) -> tuple[list[Series], list[Series]]:
    """A first column of temperatures labels its rows, even if it has no degree signs."""
    kept = list(fields)
    found = list(labels)
    for series in fields[:2]:
        if series.index <= 1 and len(fields) > 1 and rows_to_ambients(grid, [series]) is not None:
            kept.remove(series)
            found.append(series)
    return sorted(found, key=lambda s: s.index), kept


def _upright_table(grid: Grid, fields: Sequence[Series], labels: Sequence[Series]) -> Table:
    return Table(
        grid,
        Axis.ROWS,
        tuple(fields),
        tuple(labels),
        (None,) * len(fields) if is_in_fahrenheit([*fields, *labels]) else fields_to_ambients(fields),
        tuple(row.groups for row in grid.rows),
    )


def _with_leading_labels(table: Table, grid: Grid) -> Table:
    """A table of ambients whose columns left of them hold values that tell the rows: "60 V", "0.1 A to 0.5
    A"."""
    first = next(n for n, ambient in enumerate(table.ambients) if ambient is not None)
    leading = table.fields[:first]
    if not 1 <= first <= 2 or any(not series.head and series.numbers for series in leading):
        return table
    labels = sorted((*table.labels, *leading), key=lambda series: series.index)
    joined = tuple(_joined_labels(grid, labels))
    return replace(table, fields=table.fields[first:], ambients=table.ambients[first:], labels=joined)
