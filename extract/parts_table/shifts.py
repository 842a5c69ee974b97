"""Whole hypotheses: do the cells of a column fit one row lower or higher, those of a row one column on?

Comes in: the parts of one series and what the rules said of them. Goes out: slips. A slip is claimed
only if the rules fall nearly silent once the cells are moved.
"""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from extract.checks.limits import Limits
from extract.checks.numbers import Number, PartNumbers, numbers_to_part
from extract.checks.rules import PART_RULES, series_to_suspicions
from extract.checks.suspicions import Suspicion
from extract.checks.writing import number_to_name
from extract.schema import Kind, Quantity, Severity

WEIGHT = {Severity.ERROR: 3, Severity.DOUBT: 1, Severity.NOTE: 0}
"""How much a suspicion counts for a hypothesis (common practice, no source)."""

_FEWEST_ROWS = 4
_SILENCED_TO = 0.4

Key = tuple[Quantity, Kind, float | None]


@dataclass(frozen=True, slots=True)
class Slip:
    """A column or row found shifted: its numbers, first the one to mark; the part it starts at."""

    part: PartNumbers
    numbers: tuple[Number, ...]
    is_row: bool
    expected: str
    message: str
    is_test_current: bool = False


def series_to_slips(
    members: Sequence[PartNumbers], found: Sequence[Suspicion], limits: Limits
) -> tuple[Slip, ...]:
    """Columns and rows of a series whose cells fit better one place on."""
    slips = [*_columns_to_slips(members, found, limits), *_test_currents_to_slips(members)]
    if not slips:
        slips += _rows_to_slips(members, found, limits)
    return tuple(slips)


def _columns_to_slips(
    members: Sequence[PartNumbers], found: Sequence[Suspicion], limits: Limits
) -> Iterator[Slip]:
    if len(members) < _FEWEST_ROWS:
        return
    best: tuple[float, Key, int, int] | None = None
    columns = members_to_columns(members)
    for key in _suspect_columns(members, found, columns):
        start = _first_row(members, found, key)
        for step in (1, -1):
            for first in dict.fromkeys((0, start)):
                moved = _move_column(members, columns[key], key, step, first)
                gain = _moved_to_gain(members, moved, found, key, limits)
                if gain is not None and (best is None or gain > best[0]):
                    best = (gain, key, step, first)
    if best is not None:
        yield _column_to_slip(members, *best[1:])


def _moved_to_gain(
    members: Sequence[PartNumbers],
    moved: Sequence[PartNumbers],
    found: Sequence[Suspicion],
    key: Key,
    limits: Limits,
) -> float | None:
    """How much better a moved column fits, or None if it does not fit far better: fewer than half of the
    rows that doubted it may still do so, and its relations to other columns may not suffer."""
    agreed = _agreeing([_value(part, key) for part in members], members)
    agrees = _agreeing([_value(part, key) for part in moved], moved)
    if agrees < agreed:
        return None
    after = series_to_suspicions(moved, limits)
    rows_before, rows_after = len(_doubted_rows(found, key)), len(_doubted_rows(after, key))
    if rows_after > _SILENCED_TO * rows_before and not (
        rows_after <= rows_before and agrees >= 2 * max(agreed, 2)
    ):
        return None
    gain = _weight(found) - _weight(after) + 0.25 * (agrees - agreed)
    return gain if gain >= max(2.0, (1 - _SILENCED_TO) * _weight_of(found, key)) else None


def _doubted_rows(found: Sequence[Suspicion], key: Key) -> set[int]:
    """Rows of which an error or doubt touches a column."""
    return {
        id(s.part)
        for s in found
        if s.severity is not Severity.NOTE and any(_key(n) == key for n in s.numbers)
    }


def _test_currents_to_slips(members: Sequence[PartNumbers]) -> Iterator[Slip]:
    """The column of test currents, if they are one multiple of the hold current of the row beside."""
    rows = [
        (part, part.times[0], part.times[0].test_current_a, part.hold.value)
        for part in members
        if len(part.times) == 1 and part.times[0].test_current_a and part.hold and part.hold.value > 0
    ]
    if len(rows) < 2 * _FEWEST_ROWS:
        return
    currents, holds = [current or 0.0 for _, _, current, _ in rows], [hold for *_, hold in rows]
    own = _same_ratio(currents, holds)
    for step, beside in (
        (1, _same_ratio(currents[1:], holds[:-1])),
        (-1, _same_ratio(currents[:-1], holds[1:])),
    ):
        if beside >= 0.8 * (len(rows) - 1) and own < 0.5 * beside:
            where = "one row higher" if step == 1 else "one row lower"
            yield Slip(
                rows[0][0],
                tuple(time for _, time, _, _ in rows),
                False,
                f"these cells {where}",
                f"test current of the time to trip: the cells fit {where} ({len(rows)} rows)",
                True,
            )


def _same_ratio(currents: Sequence[float], holds: Sequence[float]) -> int:
    ratios = Counter(
        round(math.log(current / hold), 2)
        for current, hold in zip(currents, holds, strict=True)
        if current > 0
    )
    return ratios.most_common(1)[0][1] if ratios else 0


def _weight(found: Sequence[Suspicion]) -> float:
    return sum(WEIGHT[s.severity] for s in found)


def _weight_of(found: Sequence[Suspicion], key: Key) -> float:
    return sum(WEIGHT[s.severity] for s in found if any(_key(n) == key for n in s.numbers))


def _key(number: Number) -> Key:
    return number.quantity, number.kind, number.ambient_c


def members_to_columns(members: Sequence[PartNumbers]) -> dict[Key, list[Number | None]]:
    """Each column's numbers, one for each part or None, in the order the columns stand."""
    columns: dict[Key, list[Number | None]] = {}
    for place, part in enumerate(members):
        for number in part.numbers:
            column = columns.setdefault(_key(number), [None] * len(members))
            if column[place] is None:
                column[place] = number
    return columns


def _suspect_columns(
    members: Sequence[PartNumbers], found: Sequence[Suspicion], columns: Mapping[Key, Sequence[Number | None]]
) -> list[Key]:
    """Columns doubted in a third of the rows, empty at one end, or that agree with the rows beside."""
    enough = max(3, 0.3 * len(members))
    return [
        key
        for key, column in columns.items()
        if len(_doubted_rows(found, key)) >= enough or _empty_end(column) or _agrees_later(column, members)
    ]


def _value(part: PartNumbers, key: Key) -> Number | None:
    return next((n for n in part.numbers if _key(n) == key), None)


def _empty_end(column: Sequence[Number | None]) -> bool:
    return column.count(None) == 1 and (column[0] is None or column[-1] is None)


def _agreeing(column: Sequence[Number | None], members: Sequence[PartNumbers]) -> int:
    """In how many rows the column's most frequent relation to the hold current, or to digits of the part
    number, holds."""
    if len({n.value for n in column if n is not None}) < 3:
        return 0
    ratios: Counter[float] = Counter()
    runs: Counter[tuple[int, float]] = Counter()
    for number, part in zip(column, members, strict=True):
        if number is None or number.value <= 0:
            continue
        if part.hold is not None and part.hold.value > 0 and part.hold is not number:
            ratios[round(math.log(number.value / part.hold.value), 2)] += 1
        for run, digits in enumerate(_runs(part.part_number)):
            if digits:
                runs[run, round(math.log(number.value / digits), 2)] += 1
    return max((max(counts.values()) for counts in (ratios, runs) if counts), default=0)


@lru_cache(maxsize=50_000)
def _runs(part_number: str) -> tuple[int, ...]:
    return tuple(int(digits) for digits in re.findall(r"\d+", part_number)[:6])


def _agrees_later(column: Sequence[Number | None], members: Sequence[PartNumbers]) -> bool:
    """Whether the column agrees with the rows before or after far better than with its own."""
    own = _agreeing(column, members)
    if own >= 0.67 * len(members):
        return False
    moved = max(_agreeing(column[1:], members[:-1]), _agreeing(column[:-1], members[1:]))
    return moved >= 0.5 * len(members) and moved > 1.5 * own


def _first_row(members: Sequence[PartNumbers], found: Sequence[Suspicion], key: Key) -> int:
    doubted = {id(s.part) for s in found if any(_key(n) == key for n in s.numbers)}
    return next((n for n, part in enumerate(members) if id(part) in doubted), 0)


def _move_column(
    members: Sequence[PartNumbers], column: Sequence[Number | None], key: Key, step: int, first: int
) -> list[PartNumbers]:
    """The series with a column's cells moved: row n gets the cell of row n + step, from row `first` on.
    The row that would get none keeps none."""
    moved = list(members[:first])
    for place in range(first, len(members)):
        part = members[place]
        cell = column[place + step] if 0 <= place + step < len(members) else None
        rest = [n for n in part.numbers if _key(n) != key]
        numbers = rest if cell is None else [*rest, cell]
        moved.append(
            numbers_to_part(
                part.part_number, part.series, _keep_test_currents(numbers, part), part.reference_c
            )
        )
    return moved


def _keep_test_currents(numbers: list[Number], part: PartNumbers) -> list[Number]:
    """A time moved alone leaves the test current of its row behind."""
    own = {(_key(n)): n.test_current_a for n in part.numbers}
    return [
        replace(n, test_current_a=own[_key(n)])
        if n.quantity is Quantity.TIME_TO_TRIP and own.get(_key(n)) not in (None, n.test_current_a)
        else n
        for n in numbers
    ]


def _column_to_slip(members: Sequence[PartNumbers], key: Key, step: int, first: int) -> Slip:
    numbers = tuple(n for part in members[first:] if (n := _value(part, key)) is not None)
    start = next(part for part in members[first:] if _value(part, key) is not None)
    where = "one row higher" if step == 1 else "one row lower"
    return Slip(
        start,
        numbers,
        False,
        f"these cells {where}",
        f"{number_to_name(numbers[0])}: from '{start.part_number}' on the cells fit {where}"
        f" ({len(numbers)} rows)",
    )


def _rows_to_slips(
    members: Sequence[PartNumbers], found: Sequence[Suspicion], limits: Limits
) -> Iterator[Slip]:
    """Rows whose cells fit one column on, from some column to the end or to a gap."""
    by_part: dict[int, float] = defaultdict(float)
    for s in found:
        by_part[id(s.part)] += WEIGHT[s.severity]
    slots = list(_members_to_slots(members))
    for part in members:
        before = _part_weight(part, limits)
        if before < 4 or by_part[id(part)] < 4 or len(part.numbers) < 4:
            continue
        best = min(
            (
                (_part_weight(moved, limits), step, start, moved)
                for step in (1, -1)
                for start in range(len(slots) - 2)
                if (moved := _move_row(part, slots, start, step)) is not None
            ),
            key=lambda trial: trial[0],
            default=None,
        )
        if best is not None and best[0] <= 0.2 * before:
            _, step, start, _ = best
            numbers = tuple(n for n in part.numbers if slots.index(_key(n)) >= start) or part.numbers
            where = "right" if step == 1 else "left"
            yield Slip(
                part,
                numbers,
                True,
                f"these cells one column to the {where}",
                f"'{part.part_number}': from {number_to_name(numbers[0])} on the cells fit one column"
                f" to the {where}",
            )


Slot = Key | None
"""A column of the row; None is the test current, which stands behind its time."""


def _members_to_slots(members: Sequence[PartNumbers]) -> Iterator[Slot]:
    """Columns in the order of the row that has most of them."""
    factors = {_key(n): n for part in members for n in part.numbers}
    fullest = max(members, key=lambda part: len(part.numbers))
    order = sorted(fullest.numbers, key=lambda n: n.origin)
    for key in dict.fromkeys([*(_key(n) for n in order), *factors]):
        yield key
        if key[0] is Quantity.TIME_TO_TRIP and any(t.test_current_a for part in members for t in part.times):
            yield None


def _part_weight(part: PartNumbers, limits: Limits) -> float:
    return _weight([s for rule in PART_RULES for s in rule(part, limits)])


def _move_row(part: PartNumbers, slots: Sequence[Slot], start: int, step: int) -> PartNumbers | None:
    """A part whose cells from slot `start` on are taken for those of the next slot: to the right up to
    the gap that they left, to the left from a gap on. None if there is no such gap."""
    typed = {_key(n): (n.value / n.factor, n) for n in part.numbers}
    values: list[float | None] = [
        _test_current(part) if slot is None else typed[slot][0] if slot in typed else None for slot in slots
    ]
    if values[start] is None:
        return None
    gaps = [n for n, value in enumerate(values) if value is None]
    if step == 1:
        gap = next((n for n in gaps if n > start), None)
        if gap is None or gap - start < 3:
            return None
        moved = [*values[:start], None, *values[start:gap], *values[gap + 1 :]]
    else:
        if start - 1 not in gaps:
            return None
        moved = [*values[: start - 1], *values[start:], None]
    return _values_to_part(part, slots, moved)


def _test_current(part: PartNumbers) -> float | None:
    return next((time.test_current_a for time in part.times), None)


def _values_to_part(part: PartNumbers, slots: Sequence[Slot], values: Sequence[float | None]) -> PartNumbers:
    """The part with other numbers in its columns; units are those of the columns."""
    factors = {n.quantity: n.factor for n in part.numbers}
    current = next((value for slot, value in zip(slots, values, strict=True) if slot is None), None)
    numbers = []
    for slot, value in zip(slots, values, strict=True):
        if slot is None or value is None:
            continue
        quantity, kind, ambient_c = slot
        is_time = quantity is Quantity.TIME_TO_TRIP
        factor = factors.get(quantity, 1.0)
        numbers.append(
            Number(
                quantity,
                kind,
                ambient_c,
                current if is_time else None,
                value * factor,
                0.01 * factor,
                0,
                factor,
            )
        )
    return numbers_to_part(part.part_number, part.series, numbers, part.reference_c)
