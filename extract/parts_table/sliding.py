"""Rows that slid against their part numbers, seen from the table alone: the codes in the part numbers tell.

Comes in: a view of a sheet. Goes out: trials: blocks of rows whose numbers agree with the part numbers one or
two rows away and not with their own. A code is learnt wherever the block stands, so that a table most of
which slid is seen too. Without codes in the part numbers nothing is claimed.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from extract.checks import codes
from extract.checks.numbers import part_number_to_series
from extract.parts_table.grid import Repair, View
from extract.parts_table.records import ColumnRole
from extract.parts_table.repairs import Trial, best_run, moved_entries, with_empty_ends
from extract.schema import Quantity

_STEPS = (1, -1, 2, -2)
_PROVEN = 0.6
"""Share of a series' rows in which a code must hold, at home or moved, to be one."""
_FEWEST_ROWS = 4
_FEWEST_VALUES = 3
_LONGEST_RUN = 6
_SPOKEN = (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT, Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT)


@dataclass(frozen=True, slots=True)
class _Code:
    """A run of digits of a series' part numbers that says a column's value when times a scale: for each row
    whether it does so with the row's own cell, and with the cell some steps on."""

    own: tuple[bool, ...]
    moved: tuple[bool, ...]


def view_to_slides(view: View) -> Iterator[Trial]:
    """Blocks of rows that slid, the one with most agreement first for each step."""
    rows = list(view.rows())
    if len(rows) < _FEWEST_ROWS:
        return
    found: list[tuple[int, Trial]] = []
    for step in _STEPS:
        known = [code for index in _columns(view) for code in _column_to_codes(view, rows, index, step)]
        gains = [sum(int(code.moved[n]) - int(code.own[n]) for code in known) for n in range(len(rows))]
        first, last, worth = best_run(gains)
        block = range(first, last + 1)
        own = sum(code.own[n] for code in known for n in block)
        moved = sum(code.moved[n] for code in known for n in block)
        if worth >= 3 and last - first >= 2 and moved >= 3 * own:
            found.append((worth, _to_trial(view, rows, (first, last), step, (moved, own))))
    found.sort(key=lambda one: -one[0])
    yield from (trial for _, trial in found[:1])


def _columns(view: View) -> list[int]:
    """Columns that a part number may speak of: ratings, not rows over the ambient."""
    return [index for index in view.grid.columns
            if view.column(index).role is ColumnRole.VALUE and view.column(index).quantity in _SPOKEN
            and view.column(index).ambient_c is None]


def _column_to_codes(view: View, rows: Sequence[int], index: int, step: int) -> Iterator[_Code]:
    """The codes of all series for one column; rows of other series agree with nothing."""
    series = [part_number_to_series(view.part(row)) for row in rows]
    digits = [tuple(int(d) for d in re.findall(r"\d+", view.part(row))[:_LONGEST_RUN]) for row in rows]
    values = [view.value((row, index)) for row in rows]
    beside = [values[n + step] if 0 <= n + step < len(rows) else None for n in range(len(rows))]
    for name in dict.fromkeys(series):
        mine = [n for n in range(len(rows)) if series[n] == name]
        if len(mine) < _FEWEST_ROWS:
            continue
        for run in range(max(len(digits[n]) for n in mine)):
            said = [digits[n][run] if series[n] == name and len(digits[n]) > run else 0
                    for n in range(len(rows))]
            code = _learn(said, values, beside, len(mine))
            if code is not None:
                yield code


def _learn(
    said: Sequence[int], values: Sequence[float | None], beside: Sequence[float | None], count: int
) -> _Code | None:
    """The scale at which most rows agree, with their own cell or the one beside, if enough do."""
    scales: Counter[float] = Counter()
    for digits, *both in zip(said, values, beside, strict=True):
        for value in {v for v in both if v is not None and v > 0 and digits > 0}:
            scales[round(math.log10(value / digits), 3)] += 1
    for scale, _ in scales.most_common(2):
        own = tuple(_agrees(d, v, scale) for d, v in zip(said, values, strict=True))
        moved = tuple(_agrees(d, v, scale) for d, v in zip(said, beside, strict=True))
        either = [n for n in range(len(said)) if own[n] or moved[n]]
        if len(either) >= _PROVEN * count and len({said[n] for n in either}) >= _FEWEST_VALUES:
            return _Code(own, moved)
    return None


def _agrees(digits: int, value: float | None, scale: float) -> bool:
    return (digits > 0 and value is not None and value > 0
            and abs(math.log10(value / digits) - scale) < 0.002)


def _to_trial(
    view: View, rows: Sequence[int], run: tuple[int, int], step: int, agreed: tuple[int, int]
) -> Trial:
    columns = sorted(view.grid.columns)
    first, last = with_empty_ends(view, rows, run, columns, step)
    entries = moved_entries(view, rows, (first, last), columns, step)
    far = "one row" if abs(step) == 1 else f"{abs(step)} rows"
    stand = f"{far} {'lower' if step > 0 else 'higher'}"
    message = (f"all cells of rows {rows[first]} to {rows[last]} stand {stand} than their parts: moved back,"
               f" {agreed[0]} numbers agree with their part numbers, now {agreed[1]} do")
    return Trial(codes.ROWS_SLID, Repair(entries), (rows[first], min(view.grid.columns)), message,
                 f"the cells {stand} belong here")
