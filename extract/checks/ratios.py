"""Dimensionless ratios of one part: what slips of a decimal point or a unit cannot hide from.

Comes in: one part's numbers and the limits. Goes out: suspicions. Compares no two parts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import median

from extract.checks import codes
from extract.checks.limits import Limits
from extract.checks.numbers import Number, PartNumbers
from extract.checks.suspicions import Suspicion
from extract.checks.writing import number_to_name, number_to_text, rounded
from extract.schema import Kind, Quantity, Severity


@dataclass(frozen=True, slots=True)
class Ratio:
    """A ratio of one part: its name in limits.toml, its value, the numbers it is made of."""

    name: str
    value: float
    numbers: tuple[Number, ...]


_CODES = {
    "trip_over_hold": codes.TRIP_HOLD_RATIO,
    "post_trip_over_min_resistance": codes.RESISTANCE_RATIO,
    "max_current_over_trip": codes.MAXIMUM_CURRENT_LOW,
    "max_over_typical_power": codes.POWER_RATIO,
    "test_over_hold": codes.TEST_CURRENT_RATIO,
    "heat_post_trip": codes.HEAT_RATIO,
    "heat_min": codes.HEAT_RATIO,
    "heat_alone_post_trip": codes.HEAT_AT_HOLD,
    "heat_alone_max": codes.HEAT_AT_HOLD,
    "heat_alone_min": codes.HEAT_AT_HOLD,
    "leakage_over_hold": codes.LEAKAGE_RATIO,
}


def part_to_ratios(part: PartNumbers) -> Iterator[Ratio]:
    """Every ratio that a part's numbers give."""
    hold, trip = part.hold, part.trip
    pairs = (
        ("trip_over_hold", trip, hold),
        (
            "post_trip_over_min_resistance",
            part.get(Quantity.RESISTANCE, Kind.POST_TRIP_MAX),
            part.get(Quantity.RESISTANCE, Kind.MIN),
        ),
        ("max_current_over_trip", part.get(Quantity.MAX_CURRENT, Kind.NONE, Kind.DC, Kind.AC), trip),
        (
            "max_over_typical_power",
            part.get(Quantity.TRIPPED_POWER, Kind.MAX),
            part.get(Quantity.TRIPPED_POWER, Kind.TYP),
        ),
    )
    for name, above, below in pairs:
        if above and below and below.value > 0:
            yield Ratio(name, above.value / below.value, (above, below))
    for time in part.times:
        if hold and time.test_current_a is not None and hold.value > 0:
            yield Ratio("test_over_hold", time.test_current_a / hold.value, (time, hold))
    yield from _part_to_heat(part)
    yield from _part_to_leakage(part)


def _part_to_heat(part: PartNumbers) -> Iterator[Ratio]:
    """The heat made at hold current, I²R, against the power that keeps the part tripped.

    Energy balance of a self-heated thermistor (IEC 60738-1 dissipation factor); bands from published rows.
    """
    power = part.get(Quantity.TRIPPED_POWER, Kind.TYP, Kind.NONE, Kind.MAX)
    hold = part.hold
    if not hold:
        return
    if not power:
        yield from _part_to_heat_alone(part, hold)
        return
    if power.value <= 0:
        return
    for kind, name in ((Kind.POST_TRIP_MAX, "heat_post_trip"), (Kind.MIN, "heat_min")):
        resistance = part.get(Quantity.RESISTANCE, kind)
        if resistance:
            yield Ratio(name, hold.value**2 * resistance.value / power.value, (resistance, power, hold))


def _part_to_heat_alone(part: PartNumbers, hold: Number) -> Iterator[Ratio]:
    """The heat made at hold current, in W, where no power is given: parts of all sizes need alike much of it,
    and a slip of a unit in the current changes it a million times."""
    for kind, name in ((Kind.POST_TRIP_MAX, "heat_alone_post_trip"), (Kind.MAX, "heat_alone_max"),
                       (Kind.MIN, "heat_alone_min")):
        resistance = part.get(Quantity.RESISTANCE, kind)
        if resistance:
            yield Ratio(name, hold.value**2 * resistance.value, (hold, resistance))


def _part_to_leakage(part: PartNumbers) -> Iterator[Ratio]:
    """The current that keeps a tripped part hot at its maximum voltage, P/V, is below its hold current."""
    power = part.get(Quantity.TRIPPED_POWER, Kind.TYP, Kind.NONE, Kind.MAX)
    voltage = part.get(Quantity.MAX_VOLTAGE, Kind.NONE, Kind.DC, Kind.AC)
    if part.hold and power and voltage and voltage.value > 0 and part.hold.value > 0:
        yield Ratio(
            "leakage_over_hold", power.value / voltage.value / part.hold.value, (power, voltage, part.hold)
        )


def part_to_odd_ratios(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:
    """Doubt a ratio outside its usual band, call it an error where it cannot be."""
    for ratio in part_to_ratios(part):
        band = limits.ratios[ratio.name]
        slack = 1e-9
        if band.usual[0] - slack <= ratio.value <= band.usual[1] + slack:
            continue
        possible = band.possible[0] - slack <= ratio.value <= band.possible[1] + slack
        told = ", ".join(f"{number_to_name(n)} {number_to_text(n)}" for n in ratio.numbers)
        words = _FORMULAS[ratio.name]
        yield Suspicion(
            _CODES[ratio.name],
            Severity.DOUBT if possible else Severity.ERROR,
            part,
            ratio.numbers,
            f"{words} between {band.usual[0]:g} and {band.usual[1]:g}",
            f"{words} is {rounded(ratio.value, 3)} ({told})",
            ratio=ratio.name,
        )


def soften_ratios_of_series(found: Sequence[Suspicion], members: Sequence[PartNumbers]) -> list[Suspicion]:
    """A doubtful ratio that the parts of nearest hold current have too is how the series is made: a note.
    A slip of one cell stands out from its neighbours."""
    doubted = {s.ratio for s in found if s.ratio and s.severity is Severity.DOUBT}
    if not doubted:
        return list(found)
    rows: dict[str, list[tuple[float, float, int]]] = {name: [] for name in doubted}
    for part in members:
        for ratio in part_to_ratios(part):
            if ratio.name in doubted and ratio.value > 0 and part.hold:
                rows[ratio.name].append((part.hold.value, math.log(ratio.value), id(part)))
    return [replace(s, severity=Severity.NOTE) if _is_of_series(s, rows) else s for s in found]


def _is_of_series(suspicion: Suspicion, rows: Mapping[str, Sequence[tuple[float, float, int]]]) -> bool:
    if suspicion.severity is not Severity.DOUBT or suspicion.ratio not in rows:
        return False
    listed = rows[suspicion.ratio]
    own = next((row for row in listed if row[2] == id(suspicion.part)), None)
    if own is None:
        return False
    others = sorted((row for row in listed if row is not own), key=lambda row: abs(row[0] - own[0]))
    if len(others) < _FEWEST_NEIGHBOURS:
        return False
    near = median(row[1] for row in others[:_NEAREST])
    return abs(own[1] - near) <= math.log(_LIKE_ITS_NEIGHBOURS)


_FEWEST_NEIGHBOURS, _NEAREST = 3, 6
_LIKE_ITS_NEIGHBOURS = 2.2
"""A ratio within this factor of the middle of its neighbours' is theirs (derived: half of a slip of five, in
logarithms, and more than published series spread)."""


_FORMULAS = {
    "trip_over_hold": "trip over hold current",
    "post_trip_over_min_resistance": "post-trip over smallest resistance",
    "max_current_over_trip": "maximum fault current over trip current",
    "max_over_typical_power": "largest over typical tripped power",
    "test_over_hold": "test current over hold current",
    "heat_post_trip": "hold current squared × post-trip resistance over tripped power",
    "heat_min": "hold current squared × smallest resistance over tripped power",
    "heat_alone_post_trip": "hold current squared × post-trip resistance, W,",
    "heat_alone_max": "hold current squared × largest resistance, W,",
    "heat_alone_min": "hold current squared × smallest resistance, W,",
    "leakage_over_hold": "tripped power over maximum voltage over hold current",
}
