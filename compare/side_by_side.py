"""Two to six parts as columns, their traits as rows, the better marked, the limits of a requirement beside.

Comes in: parts, perhaps a requirement. Goes out: `SideRow`s. Does not judge the parts: `compare` does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from compare.corners import numbers_to_case
from compare.margins import case_to_margins, margins_to_verdict
from compare.part_numbers import part_to_numbers
from compare.records import Verdict
from compare.replacement import SAME
from compare.requirement import Requirement
from compare.traits import Better, Trait, join_conditions, part_to_conditions, part_to_traits
from extract.errors import InputError
from extract.schema import Part

FEWEST, MOST = 2, 6


@dataclass(frozen=True, slots=True)
class SideRow:
    """One trait of all parts. best: columns (from 0) that hold the best value, empty where all are the same
    or fewer than two are known; limit: what the requirement asks, empty where it does not."""

    title: str
    unit: str
    better: Better
    traits: tuple[Trait, ...]
    best: frozenset[int]
    limit: str = ""


@dataclass(frozen=True, slots=True)
class SideBySide:
    """The parts, their rows, and their verdicts where there is a requirement."""

    parts: tuple[Part, ...]
    rows: tuple[SideRow, ...]
    verdicts: tuple[Verdict, ...] = ()


def parts_to_side_by_side(parts: Sequence[Part], requirement: Requirement | None = None) -> SideBySide:
    """Put parts side by side. Raises InputError for fewer than two or more than six."""
    if not FEWEST <= len(parts) <= MOST:
        raise InputError("--table", f"{len(parts)} parts", f"{FEWEST} to {MOST} of them")
    conditions = join_conditions([part_to_conditions(part, requirement) for part in parts])
    columns = [part_to_traits(part, conditions) for part in parts]
    limits = _limits(requirement) if requirement is not None else {}
    rows = tuple(
        SideRow(line[0].title, line[0].unit, line[0].better, line, _best(line), limits.get(line[0].title, ""))
        for line in zip(*columns, strict=True)
        if any(trait.number.value is not None for trait in line)
    )
    verdicts = tuple(_verdict(part, requirement) for part in parts) if requirement is not None else ()
    return SideBySide(tuple(parts), rows, verdicts)


def _best(line: Sequence[Trait]) -> frozenset[int]:
    values = {
        column: trait.number.value for column, trait in enumerate(line) if trait.number.value is not None
    }
    if len(values) < 2:
        return frozenset()
    best = (max if line[0].better is Better.HIGHER else min)(values.values())
    found = frozenset(
        column for column, value in values.items() if abs(value - best) <= SAME * max(abs(value), abs(best))
    )
    return frozenset() if len(found) == len(line) else found


def _limits(asked: Requirement) -> dict[str, str]:
    """What a requirement asks of a row, in words."""
    hold_a = asked.normal_current_a * asked.hold_factor
    limits = {
        f"Hold current at {asked.hottest_c:g} °C": f"at least {hold_a:.4g} A",
        f"Rated voltage, {asked.supply.upper()}": f"at least {asked.supply_voltage_v:g} V",
    }
    if asked.fault_current_min_a is not None:
        limits[f"Trip current at {asked.coldest_c:g} °C"] = f"at most {asked.fault_current_min_a:g} A"
    if asked.fault_current_max_a is not None:
        limits[f"Rated fault current, {asked.supply.upper()}"] = f"at least {asked.fault_current_max_a:g} A"
    if asked.voltage_drop_max_v is not None:
        most_ohm = asked.voltage_drop_max_v / asked.normal_current_a
        limits["Largest resistance after a trip"] = f"at most {most_ohm:.4g} ohm"
    for side in ("length", "width", "height"):
        most_mm = getattr(asked, f"{side}_max_mm")
        if most_mm is not None:
            limits[f"Body {side}, largest"] = f"at most {most_mm:g} mm"
    return limits


def _verdict(part: Part, requirement: Requirement) -> Verdict:
    return margins_to_verdict(case_to_margins(numbers_to_case(part_to_numbers(part), requirement)))
