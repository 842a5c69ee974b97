"""The codes in part numbers, learnt from a series: which digits say the hold current or the voltage.

Comes in: the parts of one series. Goes out: suspicions where a number differs from its code.
Assumes no vendor's scheme: a code counts only where most rows of the series prove it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from extract.checks import codes
from extract.checks.limits import Limits, SeriesLimits
from extract.checks.numbers import Number, PartNumbers
from extract.checks.suspicions import Suspicion
from extract.checks.writing import number_to_text, value_to_text
from extract.schema import Kind, Quantity, Severity

_DIGITS = re.compile(r"\d+")
_DECIMAL = re.compile(r"(?<![\d.,])(\d{1,2})[.,RrAaVv](\d{1,3})(?!\d)")
_MOST_RUNS = 8


@dataclass(frozen=True, slots=True)
class LearntCode:
    """The run of digits (counted from 0) that says a value when times `scale`, and in how many rows."""

    run: int
    scale: float
    rows: int


def series_to_code_current(parts: Sequence[PartNumbers], limits: Limits) -> Iterator[Suspicion]:
    """Hold current against the code of the part number."""
    yield from _series_to_suspicions(
        parts, limits, codes.CODE_CURRENT_DIFFERS, lambda part: part.hold, (0.001, 0.01, 0.1, 1.0)
    )


def series_to_code_voltage(parts: Sequence[PartNumbers], limits: Limits) -> Iterator[Suspicion]:
    """Maximum voltage against the code of the part number."""
    yield from _series_to_suspicions(
        parts,
        limits,
        codes.CODE_VOLTAGE_DIFFERS,
        lambda part: part.get(Quantity.MAX_VOLTAGE, Kind.NONE, Kind.DC, Kind.AC),
        (1.0,),
    )


def _series_to_suspicions(
    parts: Sequence[PartNumbers],
    limits: Limits,
    code: codes.Code,
    pick: Callable[[PartNumbers], Number | None],
    scales: Sequence[float],
) -> Iterator[Suspicion]:
    picked = [(part, number) for part in parts if (number := pick(part)) is not None]
    for to_runs in (part_number_to_runs, part_number_to_decimals):
        rows = [(part, number, to_runs(part.part_number)) for part, number in picked]
        learnt = rows_to_code([(number.value, runs) for _, number, runs in rows], scales, limits.series)
        if learnt is not None:
            break
    else:
        return
    for part, number, runs in rows:
        if len(runs) <= learnt.run:
            continue
        said = runs[learnt.run] * learnt.scale
        if not _same(said, number.value) and said != _without_tenths(number):
            supported = code is codes.CODE_CURRENT_DIFFERS and _row_supports(part, said)
            yield Suspicion(
                code,
                Severity.NOTE if supported else Severity.DOUBT,
                part,
                (number,),
                value_to_text(said, number.quantity),
                f"'{part.part_number}' says {value_to_text(said, number.quantity)} as"
                f" {learnt.rows} rows of its series do; found {number_to_text(number)}"
                + ("; its derating row supports what was found" if supported else ""),
            )


def part_number_to_runs(part_number: str) -> list[float]:
    """The runs of digits of a part number."""
    return [float(run) for run in _DIGITS.findall(part_number)[:_MOST_RUNS]]


def part_number_to_decimals(part_number: str) -> list[float]:
    """The numbers of a part number that are written with a decimal sign, or a letter in its place: 0R20."""
    return [float(f"{whole}.{rest}") for whole, rest in _DECIMAL.findall(part_number)[:_MOST_RUNS]]


def rows_to_code(
    rows: Sequence[tuple[float, Sequence[float]]], scales: Sequence[float], limits: SeriesLimits
) -> LearntCode | None:
    """The run of digits and scale that give the value in most rows, if different values prove it."""
    best: LearntCode | None = None
    longest = max((len(runs) for _, runs in rows), default=0)
    for run in range(longest):
        having = [(value, runs[run]) for value, runs in rows if len(runs) > run]
        if len(having) < limits.rows:
            continue
        for scale in scales:
            met = [value for value, digits in having if _same(digits * scale, value)]
            proven = len(met) >= limits.share * len(having) and len(met) >= limits.rows - 1
            if (
                proven
                and len(set(met)) >= (3 if len(scales) > 1 else 2)
                and (best is None or len(met) > best.rows)
            ):
                best = LearntCode(run, scale, len(met))
    return best


def _same(said: float, value: float) -> bool:
    return abs(said - value) <= 0.004 * max(abs(said), abs(value))


def _without_tenths(number: Number) -> float | None:
    """A voltage as codes say it, which have no room for tenths: 13 for 13.2 V."""
    return float(int(number.value)) if number.quantity is Quantity.MAX_VOLTAGE else None


def _row_supports(part: PartNumbers, said: float) -> bool:
    """Whether the derating row, without the rating, lies nearer to the rating found than to the code."""
    if part.hold is None or part.reference_c is None:
        return False
    beside = [
        p for p in part.hold_row if p.number.quantity is Quantity.HOLD_CURRENT and p.number is not part.hold
    ]
    cooler = [p for p in beside if p.ambient_c < part.reference_c]
    warmer = [p for p in beside if p.ambient_c > part.reference_c]
    if not cooler or not warmer:
        return False
    a, b = cooler[-1], warmer[0]
    weight = (part.reference_c - a.ambient_c) / (b.ambient_c - a.ambient_c)
    expected = a.number.value + weight * (b.number.value - a.number.value)
    return abs(expected - part.hold.value) < 0.5 * abs(expected - said)
