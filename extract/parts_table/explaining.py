"""What one slip of the hand would explain all that the rules say of a part: each is tried, and counted.

Comes in: the parts of a series and the suspicions about them. Goes out: explanations: the cells, the cause,
the value that would silence the rules, and how many fall silent. Where two different slips would do as well
the cause is left open. Changes no number.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from extract.checks import codes
from extract.checks.limits import Limits
from extract.checks.numbers import Number, PartNumbers, numbers_to_part
from extract.checks.rules import PART_RULES, series_to_suspicions
from extract.checks.suspicions import Suspicion
from extract.checks.writing import number_to_name, value_to_text
from extract.parts_table.shifts import WEIGHT
from extract.schema import Quantity, Severity

_MOST_PARTS = 30
"""Parts of a series that are tried; where more are doubted the column or the table is at fault."""
_AROUND = 12
"""Rows each side that speak for a part in a long series."""
_FULLY_TRIED = 12


@dataclass(frozen=True, slots=True)
class Explanation:
    """`numbers` are the cells at fault, the first to be marked; `cause` and `expected` in words, empty where
    open; `silenced` of `of` suspicions fall silent; `echoes` are they."""

    part: PartNumbers
    numbers: tuple[Number, ...]
    cause: str
    expected: str
    silenced: int
    of: int
    echoes: tuple[Suspicion, ...]
    code: codes.Code | None = None

    @property
    def evidence(self) -> str:
        """What speaks for it."""
        names = sorted({s.code.name for s in self.echoes})
        return f"silences {self.silenced} of {self.of} rules: {', '.join(names)}"


@dataclass(frozen=True, slots=True)
class _Change:
    """New values of numbers (by origin), new test currents, and the slip they would undo."""

    values: dict[int, float]
    currents: dict[int, float]
    numbers: tuple[Number, ...]
    cause: str
    rank: int
    code: codes.Code | None = None
    expected: str = ""


def series_to_explanations(
    members: Sequence[PartNumbers], found: Sequence[Suspicion], limits: Limits
) -> list[Explanation]:
    """One explanation for each part where one slip silences nearly all that is said of it."""
    by_part: dict[int, list[Suspicion]] = defaultdict(list)
    for suspicion in found:
        if suspicion.severity is not Severity.NOTE:
            by_part[id(suspicion.part)].append(suspicion)
    if not 0 < len(by_part) <= _MOST_PARTS:
        return []
    explained = []
    for place, part in enumerate(members):
        mine = by_part.get(id(part), [])
        if len(mine) > 1 or any(s.severity is Severity.ERROR for s in mine):
            near = members[max(0, place - _AROUND) : place + _AROUND + 1] if len(members) > 60 else members
            made = _part_to_explanation(part, mine, near, limits)
            explained += [made] if made is not None else []
    return explained


def _part_to_explanation(
    part: PartNumbers, mine: Sequence[Suspicion], near: Sequence[PartNumbers], limits: Limits
) -> Explanation | None:
    quick: list[tuple[float, int, int, _Change]] = []
    for change in _part_to_changes(part, mine):
        weight = _part_weight(_changed(part, change), limits)
        if weight == 0.0:
            quick.append((weight, change.rank, len(quick), change))
    quick.sort(key=lambda one: one[:3])
    survivors: list[tuple[float, _Change]] = []
    for _, _, _, change in quick[: _FULLY_TRIED * 3]:
        after = _weight_after(part, _changed(part, change), near, limits)
        if after == 0.0:
            survivors.append((after, change))
        if len(survivors) >= _FULLY_TRIED:
            break
    if not survivors:
        return None
    return _survivors_to_explanation(part, mine, [change for _, change in survivors])


def _survivors_to_explanation(
    part: PartNumbers, mine: Sequence[Suspicion], survivors: Sequence[_Change]
) -> Explanation | None:
    """The slip of lowest rank; its cause is open if another slip of the same rank would do as well."""
    lowest = min(change.rank for change in survivors)
    best = [change for change in survivors if change.rank == lowest]
    cells = {tuple(n.origin for n in change.numbers) for change in best}
    causes = {change.cause for change in best}
    if len(cells) > 1:
        shared = set.intersection(*(set(one) for one in cells))
        if not shared:
            return None
        first = next(n for n in best[0].numbers if n.origin in shared)
        return Explanation(part, (first,), "", "", len(mine), len(mine), tuple(mine))
    change = best[0]
    cause = change.cause if len(causes) == 1 else ""
    expected = change.expected if len(best) == 1 else ""
    return Explanation(
        part,
        change.numbers,
        cause,
        expected,
        len(mine),
        len(mine),
        tuple(mine),
        change.code if cause else None,
    )


def _part_weight(part: PartNumbers, limits: Limits) -> float:
    return sum(WEIGHT[s.severity] for rule in PART_RULES for s in rule(part, limits))


def _weight_after(
    part: PartNumbers, changed: PartNumbers, near: Sequence[PartNumbers], limits: Limits
) -> float:
    """Weight of what is said of the part, and of what is newly said of others."""
    members = [changed if one is part else one for one in near]
    return sum(WEIGHT[s.severity] for s in series_to_suspicions(members, limits) if s.part is changed)


def _changed(part: PartNumbers, change: _Change) -> PartNumbers:
    numbers = [
        replace(
            n,
            value=change.values.get(n.origin, n.value),
            test_current_a=change.currents.get(n.origin, n.test_current_a),
        )
        if n.origin in change.values or n.origin in change.currents
        else n
        for n in part.numbers
    ]
    return numbers_to_part(part.part_number, part.series, numbers, part.reference_c)


# Slips of the hand, undone


def _part_to_changes(part: PartNumbers, mine: Sequence[Suspicion]) -> Iterator[_Change]:
    """Every slip worth undoing, by how often it happens: exchanges, points and units, digits."""
    suspects = list({n.origin: n for s in mine for n in s.numbers}.values())
    for one, other in combinations(part.numbers, 2):
        if one.origin != other.origin and (one in suspects or other in suspects):
            yield from _exchange(one, other)
    for number in suspects:
        yield from _single(number)
        if number.quantity is Quantity.TIME_TO_TRIP and number.test_current_a:
            yield from _current(number)


def _exchange(one: Number, other: Number) -> Iterator[_Change]:
    values = {
        one.origin: other.value / other.factor * one.factor,
        other.origin: one.value / one.factor * other.factor,
    }
    if one.value == other.value:
        return
    names = f"{number_to_name(one)} and {number_to_name(other)}"
    yield _Change(
        values,
        {},
        (one, other),
        f"{names} exchanged",
        0 if _are_beside(one, other) else 2,
        codes.CELLS_SWAPPED,
        f"{names} the other way round",
    )


def _are_beside(one: Number, other: Number) -> bool:
    """Numbers that a hand exchanges: of one quantity, or of the pairs that stand side by side in tables."""
    pair = {one.quantity, other.quantity}
    return len(pair) == 1 or pair in (
        {Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT},
        {Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT},
    )


def _single(number: Number) -> Iterator[_Change]:
    """One number with its point, unit, sign or digits mended."""

    def change(value: float, cause: str, rank: int) -> _Change:
        expected = f"perhaps {value_to_text(value, number.quantity)}"
        return _Change({number.origin: value}, {}, (number,), cause, rank, expected=expected)

    if number.value < 0:
        yield change(-number.value, "a sign too many, such as a dash typed as a minus", 0)
        return
    for power in (1, -1, 2, -2):
        yield change(number.value * 10.0**-power, f"decimal point: a factor of {10.0**power:g}", 1)
    for power in (3, -3):
        yield change(number.value * 10.0**-power, f"unit slip: a factor of {10.0**power:g}", 1)
    typed = f"{number.value / number.factor:.10g}"
    if "e" in typed:
        return
    if typed[-1] in "123456789" and len(typed.replace(".", "")) > 1:
        yield change(float(typed[:-1].rstrip(".")) * number.factor, "a digit too many at the end", 3)
    for n in range(len(typed) - 1):
        if typed[n].isdigit() and typed[n + 1].isdigit() and typed[n] != typed[n + 1]:
            swapped = typed[:n] + typed[n + 1] + typed[n] + typed[n + 2 :]
            yield change(float(swapped) * number.factor, "two digits swapped", 3)


def _current(number: Number) -> Iterator[_Change]:
    current = number.test_current_a or 0.0
    for power in (1, -1, 2, -2, 3, -3):
        name = "decimal point" if power % 3 else "unit slip"
        yield _Change(
            {},
            {number.origin: current * 10.0**-power},
            (number,),
            f"{name} of the test current: a factor of {10.0**power:g}",
            1,
        )
    yield _Change(
        {number.origin: current * number.factor},
        {number.origin: number.value / number.factor},
        (number,),
        "time to trip and its test current exchanged",
        0,
        codes.CELLS_SWAPPED,
    )


# Whole columns

Key = tuple[Quantity, str, float | None]


@dataclass(frozen=True, slots=True)
class ColumnExplanation:
    """A heading at fault: the numbers of its column, the code and the words."""

    numbers: tuple[Number, ...]
    code: codes.Code
    message: str
    expected: str
    settled: int
    of: int
    members: tuple[PartNumbers, ...]


def series_to_column_explanation(
    members: Sequence[PartNumbers], found: Sequence[Suspicion], limits: Limits
) -> ColumnExplanation | None:
    """The heading whose unit, or whose exchange with another, silences most of what the rules say, if most of
    its rows are doubted now, errors among them, and nearly none after."""
    keys = _doubted_keys(members, found)
    before = _doubted(found)
    wrong = {id(s.part) for s in found if s.severity is Severity.ERROR}
    if len(wrong) < max(3, 0.5 * before):
        return None
    best: ColumnExplanation | None = None
    for words, code, change in _column_changes(keys, members):
        changed = [change(part) for part in members]
        if all(a is b for a, b in zip(changed, members, strict=True)):
            continue
        after = _doubted(series_to_suspicions(changed, limits))
        settled = before - after
        if settled >= max(3, 0.8 * before) and (best is None or settled > best.settled):
            numbers = tuple(n for part in members for n in part.numbers if _key(n) in words[0])
            best = ColumnExplanation(numbers, code, words[1], words[2], settled, before, tuple(changed))
    return best


def _doubted(found: Sequence[Suspicion]) -> int:
    """Parts that an error or doubt names."""
    return len({id(s.part) for s in found if s.severity is not Severity.NOTE})


def _key(number: Number) -> Key:
    return number.quantity, number.kind.value, number.ambient_c


def _doubted_keys(members: Sequence[PartNumbers], found: Sequence[Suspicion]) -> list[Key]:
    """Columns that errors or doubts touch in at least half of the rows."""
    rows: dict[Key, set[int]] = defaultdict(set)
    for suspicion in found:
        if suspicion.severity is not Severity.NOTE:
            for number in suspicion.numbers:
                rows[_key(number)].add(id(suspicion.part))
    return [key for key, parts in rows.items() if len(parts) >= max(3, 0.5 * len(members))]


Words = tuple[tuple[Key, ...], str, str]
ChangePart = Callable[[PartNumbers], PartNumbers]


def _column_changes(
    keys: Sequence[Key], members: Sequence[PartNumbers]
) -> Iterator[tuple[Words, codes.Code, ChangePart]]:
    for group in _groups(keys, members):
        for power in (3, -3, 2, -2):
            factor = 10.0**power
            several = f" of {len(group)} columns" if len(group) > 1 else ""
            words = (
                group,
                f"all numbers{several} times {factor:g} fit the rest of the table: another unit was meant",
                f"a unit {factor:g} times as large",
            )
            yield words, codes.HEADING_UNIT, _times(group, factor)
    for one, other in combinations(keys, 2):
        name = f"{other[0].value} {other[1]}".strip()
        words = (
            (one,),
            f"exchanged with {name} the column fits the rest of the table: the headings, or the"
            " cells below, are exchanged",
            "the two headings exchanged",
        )
        yield words, codes.HEADINGS_SWAPPED, _swapped(one, other)


def _groups(keys: Sequence[Key], members: Sequence[PartNumbers]) -> Iterator[tuple[Key, ...]]:
    """Each doubted column, and all columns of its quantity: typed in one unit, they are wrong together."""
    there = list(dict.fromkeys(_key(n) for part in members for n in part.numbers))
    yield from ((key,) for key in keys)
    for quantity in dict.fromkeys(key[0] for key in keys):
        group = tuple(key for key in there if key[0] is quantity)
        if len(group) > 1:
            yield group


def _times(group: Sequence[Key], factor: float) -> ChangePart:
    def change(part: PartNumbers) -> PartNumbers:
        if not any(_key(n) in group for n in part.numbers):
            return part
        numbers = [
            replace(n, value=n.value * factor, step=n.step * factor) if _key(n) in group else n
            for n in part.numbers
        ]
        return numbers_to_part(part.part_number, part.series, numbers, part.reference_c)

    return change


def _swapped(one: Key, other: Key) -> ChangePart:
    def change(part: PartNumbers) -> PartNumbers:
        a = next((n for n in part.numbers if _key(n) == one), None)
        b = next((n for n in part.numbers if _key(n) == other), None)
        if a is None or b is None:
            return part
        values = {a.origin: b.value / b.factor * a.factor, b.origin: a.value / a.factor * b.factor}
        return _changed(part, _Change(values, {}, (a, b), "", 0))

    return change
