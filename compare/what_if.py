"""What if one quantity of the requirement were different: where the winner changes.

Comes in: parts, a requirement, the name of one field and the values it shall take. Goes out: a `Sweep` with
the winner at each value and the values between which the winner changes. Does not search between the values
given.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from compare.columns.best import ColumnRanking, columns_to_best
from compare.columns.part_columns import parts_to_columns
from compare.records import Verdict
from compare.requirement import Requirement
from compare.requirement_file import field_rules
from compare.requirement_sense import check_sense
from extract.errors import InputError
from extract.schema import Part

MAX_STEPS = 1001


@dataclass(frozen=True, slots=True)
class SweepStep:
    """The outcome at one value: how many parts fit, and the best one, or empty if none fits.

    margin: the smallest margin of the best part; limiting_margin: the margin that limits it.
    """

    value: float
    fitting: int
    winner: str
    margin: float | None
    limiting_margin: str


@dataclass(frozen=True, slots=True)
class WinnerChange:
    """Between two neighbouring values the winner changes; an empty name means that no part fits."""

    below: float
    above: float
    winner_below: str
    winner_above: str


@dataclass(frozen=True, slots=True)
class Sweep:
    """One quantity swept: its field, unit, every step and every change of the winner."""

    field: str
    unit: str
    steps: tuple[SweepStep, ...]
    changes: tuple[WinnerChange, ...]


def sweepable_fields() -> tuple[str, ...]:
    """Names of the fields that may be swept: every plain number of a requirement."""
    return tuple(name for name, rule in field_rules().items() if rule.kind == "number" and "." not in name)


def evenly(first: float, last: float, count: int) -> tuple[float, ...]:
    """Values from first to last, both included. Raises InputError where they make no sense."""
    if not 2 <= count <= MAX_STEPS or first >= last:
        raise InputError("what-if", f"{first:g} to {last:g} in {count} steps",
                         f"a smaller and a larger value and 2 to {MAX_STEPS} steps")
    return tuple(first + (last - first) * step / (count - 1) for step in range(count))


def sweep(parts: Iterable[Part], requirement: Requirement, field: str, values: Sequence[float]) -> Sweep:
    """Rank the parts anew at each value of one field. Raises InputError for what makes no sense."""
    if field not in sweepable_fields():
        raise InputError("what-if", f'no quantity "{field}"', "one of " + ", ".join(sweepable_fields()))
    columns = parts_to_columns(tuple(parts))
    asked = [_with_value(requirement, field, value) for value in sorted(values)]
    steps = tuple(_step(value, columns_to_best(columns, at_value, 1))
                  for value, at_value in zip(sorted(values), asked, strict=True))
    changes = tuple(WinnerChange(one.value, other.value, one.winner, other.winner)
                    for one, other in pairwise(steps) if one.winner != other.winner)
    return Sweep(field, field_rules()[field].unit, steps, changes)


@dataclass(frozen=True, slots=True)
class Grid:
    """Two quantities swept together: the outcome at every pair, in the order of the first and of the
    second."""

    fields: tuple[str, str]
    units: tuple[str, str]
    values: tuple[tuple[float, ...], tuple[float, ...]]
    steps: tuple[tuple[SweepStep, ...], ...]


def sweep_two(parts: Iterable[Part], requirement: Requirement, first: tuple[str, Sequence[float]],
              second: tuple[str, Sequence[float]]) -> Grid:
    """Rank the parts anew at each pair of values of two fields. Raises InputError for what makes no sense."""
    fields = (first[0], second[0])
    unknown = next((field for field in fields if field not in sweepable_fields()), None)
    if unknown is not None or fields[0] == fields[1]:
        raise InputError("what-if", f'no quantity "{unknown}"' if unknown else f'"{fields[0]}" twice',
                         "two of " + ", ".join(sweepable_fields()))
    if len(first[1]) * len(second[1]) > MAX_STEPS:
        raise InputError("what-if", f"{len(first[1])} × {len(second[1])} values", f"at most {MAX_STEPS} "
                                                                                  f"pairs")
    columns = parts_to_columns(tuple(parts))
    rows = []
    for value in sorted(first[1]):
        at_first = _with_value(requirement, fields[0], value)
        rows.append(tuple(_step(other, columns_to_best(columns, _with_value(at_first, fields[1], other), 1))
                          for other in sorted(second[1])))
    units = (field_rules()[fields[0]].unit, field_rules()[fields[1]].unit)
    return Grid(fields, units, (tuple(sorted(first[1])), tuple(sorted(second[1]))), tuple(rows))


def _with_value(requirement: Requirement, field: str, value: float) -> Requirement:
    rule = field_rules()[field]
    low = (rule.above is not None and value <= rule.above) or (
        rule.at_least is not None and value < rule.at_least)
    if low or (rule.at_most is not None and value > rule.at_most):
        raise InputError(f"what-if, {field}", f"{value:g} {rule.unit}", "a value the requirement may take")
    new: dict[str, Any] = {field: value}
    changed = replace(requirement, **new)
    check_sense(_plain_values(changed), {}, lambda name: f"what-if, {field} = {value:g}, {name}")
    return changed


def _plain_values(requirement: Requirement) -> dict[str, Any]:
    """The requirement's plain numbers that are given, by field name, as the checks of sense want them."""
    values = {name: getattr(requirement, name) for name in sweepable_fields()}
    return {name: value for name, value in values.items() if value is not None}


def _step(value: float, best: ColumnRanking) -> SweepStep:
    winner, fitting = best.ranking.winner, best.counts[Verdict.FITS]
    if winner is None:
        return SweepStep(value, fitting, "", None, "")
    return SweepStep(value, fitting, winner.part_number, winner.smallest_margin, winner.limiting_margin)
