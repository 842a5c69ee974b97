"""Rows that slid against their part numbers, seen from the table alone: the codes in the part numbers tell.

Comes in: a view of a sheet. Goes out: trials: blocks of rows whose numbers agree with the part numbers one or
two rows away and not with their own. A code is learnt wherever the block stands, so that a table most of
which slid is seen too. Without codes in the part numbers nothing is claimed.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from extract.checks import codes
from extract.checks.numbers import part_number_to_series
from extract.checks.part_codes import part_number_to_decimals, part_number_to_runs
from extract.parts_table.grid import Repair, View
from extract.parts_table.records import ColumnRole
from extract.parts_table.repairs import best_run, moved_entries, with_empty_ends
from extract.parts_table.trials import Trial
from extract.schema import Quantity

_STEPS = (1, -1, 2, -2)
_PROVEN = 0.6
"""Share of a series' rows in which a code must hold, at home or moved, to be one."""
_FEWEST_ROWS = 4
_FEWEST_VALUES = 3
_LONGEST_RUN = 6
_SPOKEN = (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT, Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT)


@dataclass(slots=True)
class _Tally:
    """For each row, how many codes agree with its own cells, and with those some steps on."""

    own: list[int]
    moved: list[int]


def view_to_slides(view: View) -> Iterator[Trial]:
    """The block of rows that slid whose numbers agree most with the part numbers beside."""
    rows = list(view.rows())
    if len(rows) < _FEWEST_ROWS:
        return
    groups = _series_to_places(view, rows)
    found: list[tuple[int, Trial]] = []
    for step in _STEPS:
        tally = _tally(view, rows, groups, step)
        gains = [moved - own for moved, own in zip(tally.moved, tally.own, strict=True)]
        first, last, worth = best_run(gains)
        if last > first and _is_proven(gains[first : last + 1]):
            own, moved = sum(tally.own[first : last + 1]), sum(tally.moved[first : last + 1])
            found.append((worth, _to_trial(view, rows, (first, last), step, (moved, own))))
    found.sort(key=lambda one: -one[0])
    yield from (trial for _, trial in found[:1])


def _is_proven(gains: Sequence[int]) -> bool:
    """Whether rows speak for the block: three that agree better moved, or two in which more than one number
    does, and hardly any that agree better where they are. Rows alike in both places say nothing."""
    better, worse = [gain for gain in gains if gain > 0], -sum(gain for gain in gains if gain < 0)
    return sum(better) >= 3 * max(1, worse) and (len(better) >= 3 or min(better, default=0) >= 2 > worse + 1)


def view_to_exchanges(view: View) -> Iterator[Trial]:
    """Two rows near each other whose part numbers both agree with the other's numbers, hold and trip or more,
    and with none of their own."""
    rows = list(view.rows())
    groups = _series_to_places(view, rows) if len(rows) >= _FEWEST_ROWS else []
    for far in _APART if groups else ():
        ahead, back = _tally(view, rows, groups, far), _tally(view, rows, groups, -far)
        for n in range(len(rows) - far):
            agreed = ahead.moved[n] + back.moved[n + far]
            proven = agreed >= 4 and min(ahead.moved[n], back.moved[n + far]) >= 2
            proven |= (
                agreed >= 2
                and min(ahead.moved[n], back.moved[n + far]) >= 1
                and all(_is_whole(view, rows, rows[m]) for m in (n, n + far))
            )
            if proven and ahead.own[n] == ahead.own[n + far] == 0:
                yield _to_exchange(view, rows[n], rows[n + far], agreed)


_APART = (1, 2, 3)
_SAME_RATIO = 0.02


def _is_whole(view: View, rows: Sequence[int], row: int) -> bool:
    """Whether hold and trip of a row have the ratio that most rows have: they were not exchanged alone."""
    ratios = {one: ratio for one in rows if (ratio := _trip_over_hold(view, one)) is not None}
    if row not in ratios or len(ratios) < _FEWEST_ROWS:
        return False
    usual = median(ratios.values())
    like = [abs(ratio / usual - 1) <= _SAME_RATIO for ratio in ratios.values()]
    return abs(ratios[row] / usual - 1) <= _SAME_RATIO and sum(like) >= _PROVEN * len(like)


def _trip_over_hold(view: View, row: int) -> float | None:
    values: dict[Quantity | None, float | None] = {}
    for index in _columns(view):
        values.setdefault(view.column(index).quantity, view.value((row, index)))
    hold, trip = values.get(Quantity.HOLD_CURRENT), values.get(Quantity.TRIP_CURRENT)
    return trip / hold if hold and trip and min(hold, trip) > 0 else None


def _to_exchange(view: View, one: int, other: int, agreed: int) -> Trial:
    entries = {
        place: view.entry((other if place[0] == one else one, place[1]))
        for place in [(row, index) for row in (one, other) for index in view.grid.columns]
    }
    part = next(c for c in view.grid.sheet.columns if c.role is ColumnRole.PART_NUMBER)
    message = (
        f"the part numbers of rows {one} and {other}, or all their cells, are exchanged: moved back,"
        f" {agreed} numbers agree with their part numbers, now 0 do"
    )
    return Trial(
        codes.ROWS_SWAPPED,
        Repair(entries),
        (one, part.index),
        message,
        f"'{view.part(other)}' here, '{view.part(one)}' in row {other}",
    )


def _series_to_places(view: View, rows: Sequence[int]) -> list[list[int]]:
    """The places of each series with enough rows to teach a code."""
    groups: dict[str, list[int]] = defaultdict(list)
    for n, row in enumerate(rows):
        groups[part_number_to_series(view.part(row))].append(n)
    return [places for places in groups.values() if len(places) >= _FEWEST_ROWS]


def _columns(view: View) -> list[int]:
    """Columns that a part number may speak of: ratings, not rows over the ambient."""
    return [
        index
        for index in view.grid.columns
        if view.column(index).role is ColumnRole.VALUE
        and view.column(index).quantity in _SPOKEN
        and view.column(index).ambient_c is None
    ]


def _tally(view: View, rows: Sequence[int], groups: Sequence[Sequence[int]], step: int) -> _Tally:
    """Learn the codes of each series and column, and count with what they agree."""
    tally = _Tally([0] * len(rows), [0] * len(rows))
    digits = [_to_said(view.part(row)) for row in rows]
    for index in _columns(view):
        values = [view.value((row, index)) for row in rows]
        for places in groups:
            own = [values[n] for n in places]
            beside = [values[n + step] if 0 <= n + step < len(rows) else None for n in places]
            for run in range(max(len(digits[n]) for n in places)):
                said = [digits[n][run] if len(digits[n]) > run else 0.0 for n in places]
                _add(tally, places, said, (own, beside))
    return tally


def _to_said(part_number: str) -> tuple[float, ...]:
    """What a part number may say: its runs of digits, then its numbers with a decimal sign at places of
    their own."""
    runs = part_number_to_runs(part_number)[:_LONGEST_RUN]
    return (*runs, *[0.0] * (_LONGEST_RUN - len(runs)), *part_number_to_decimals(part_number)[:2])


def _add(
    tally: _Tally,
    places: Sequence[int],
    said: Sequence[float],
    values: tuple[Sequence[float | None], Sequence[float | None]],
) -> None:
    """Count the agreements at the scale at which most rows agree, with their own cell or the one beside, if
    enough do."""
    for scale, _ in _to_scales(said, values).most_common(2):
        own, moved = ([_agrees(d, v, scale) for d, v in zip(said, some, strict=True)] for some in values)
        either = [n for n in range(len(said)) if own[n] or moved[n]]
        if len(either) >= _PROVEN * len(places) and len({said[n] for n in either}) >= _FEWEST_VALUES:
            for n, place in enumerate(places):
                tally.own[place] += own[n]
                tally.moved[place] += moved[n]
            return


def _to_scales(
    said: Sequence[float], values: tuple[Sequence[float | None], Sequence[float | None]]
) -> Counter[float]:
    """How often each scale leads from the digits to the row's cell, or to the one beside."""
    pairs = (
        (digits, value)
        for digits, *both in zip(said, *values, strict=True)
        if digits > 0
        for value in set(both)
        if value is not None and value > 0
    )
    return Counter(round(math.log10(value / digits), 3) for digits, value in pairs)


def _agrees(digits: float, value: float | None, scale: float) -> bool:
    return digits > 0 and value is not None and value > 0 and abs(math.log10(value / digits) - scale) < 0.002


def _to_trial(
    view: View, rows: Sequence[int], run: tuple[int, int], step: int, agreed: tuple[int, int]
) -> Trial:
    columns = sorted(view.grid.columns)
    first, last = with_empty_ends(view, rows, run, columns, step)
    entries = moved_entries(view, rows, (first, last), columns, step)
    far = "one row" if abs(step) == 1 else f"{abs(step)} rows"
    stand = f"{far} {'lower' if step > 0 else 'higher'}"
    message = (
        f"all cells of the parts in rows {rows[first]} to {rows[last]} stand {stand}: moved back,"
        f" {agreed[0]} numbers agree with their part numbers, now {agreed[1]} do"
    )
    return Trial(
        codes.ROWS_SLID,
        Repair(entries),
        (rows[first], min(view.grid.columns)),
        message,
        f"the cells {stand} belong here",
    )
