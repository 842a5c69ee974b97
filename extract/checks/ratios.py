"""Dimensionless ratios of one part: what slips of a decimal point or a unit cannot hide from.

Comes in: one part's numbers and the limits. Goes out: suspicions. Compares no two parts.
"""

from __future__ import annotations

from collections.abc import Iterator

from extract.checks import codes
from extract.checks.limits import Limits
from extract.checks.numbers import Number, PartNumbers
from extract.checks.suspicions import Suspicion
from extract.checks.writing import number_to_name, number_to_text
from extract.schema import Kind, Quantity, Severity


def part_to_ratios(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:
    """Trip over hold, post-trip over smallest resistance, test current over hold, fault current over trip."""
    r_min = part.get(Quantity.RESISTANCE, Kind.MIN)
    r_post = part.get(Quantity.RESISTANCE, Kind.POST_TRIP_MAX)
    i_max = part.get(Quantity.MAX_CURRENT, Kind.NONE, Kind.DC, Kind.AC)
    hold, trip = part.hold, part.trip
    if hold and trip:
        yield from _judge(codes.TRIP_HOLD_RATIO, "trip_over_hold", part, limits, (trip, hold))
    if r_min and r_post:
        yield from _judge(
            codes.RESISTANCE_RATIO, "post_trip_over_min_resistance", part, limits, (r_post, r_min)
        )
    if i_max and trip:
        yield from _judge(codes.MAXIMUM_CURRENT_LOW, "max_current_over_trip", part, limits, (i_max, trip))
    typical, largest = part.get(Quantity.TRIPPED_POWER, Kind.TYP), part.get(Quantity.TRIPPED_POWER, Kind.MAX)
    if typical and largest:
        yield from _judge(codes.POWER_RATIO, "max_over_typical_power", part, limits, (largest, typical))
    for time in part.times:
        if hold and time.test_current_a is not None and hold.value > 0:
            yield from _judge(
                codes.TEST_CURRENT_RATIO,
                "test_over_hold",
                part,
                limits,
                (time, hold),
                time.test_current_a / hold.value,
            )


def part_to_heat(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:
    """The heat made at hold current, I²R, against the power that keeps the part tripped.

    Energy balance of a self-heated thermistor (IEC 60738-1 dissipation factor); bands from published rows.
    """
    power = part.get(Quantity.TRIPPED_POWER, Kind.TYP, Kind.NONE, Kind.MAX)
    hold = part.hold
    if not hold or not power or power.value <= 0:
        return
    for kind, name in ((Kind.POST_TRIP_MAX, "heat_post_trip"), (Kind.MIN, "heat_min")):
        resistance = part.get(Quantity.RESISTANCE, kind)
        if resistance:
            share = hold.value**2 * resistance.value / power.value
            yield from _judge(codes.HEAT_RATIO, name, part, limits, (resistance, power, hold), share)


def part_to_leakage(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:
    """The current that keeps a tripped part hot at its maximum voltage, P/V, is below its hold current."""
    power = part.get(Quantity.TRIPPED_POWER, Kind.TYP, Kind.NONE, Kind.MAX)
    voltage = part.get(Quantity.MAX_VOLTAGE, Kind.NONE, Kind.DC, Kind.AC)
    if part.hold and power and voltage and voltage.value > 0 and part.hold.value > 0:
        yield from _judge(
            codes.LEAKAGE_RATIO,
            "leakage_over_hold",
            part,
            limits,
            (power, voltage, part.hold),
            power.value / voltage.value / part.hold.value,
        )


_FORMULAS = {
    "trip_over_hold": "trip over hold current",
    "post_trip_over_min_resistance": "post-trip over smallest resistance",
    "max_current_over_trip": "maximum fault current over trip current",
    "max_over_typical_power": "largest over typical tripped power",
    "test_over_hold": "test current over hold current",
    "heat_post_trip": "hold current squared × post-trip resistance over tripped power",
    "heat_min": "hold current squared × smallest resistance over tripped power",
    "leakage_over_hold": "tripped power over maximum voltage over hold current",
}


def _judge(
    code: codes.Code,
    name: str,
    part: PartNumbers,
    limits: Limits,
    numbers: tuple[Number, ...],
    ratio: float | None = None,
) -> Iterator[Suspicion]:
    """Doubt a ratio outside its usual band, call it an error where it cannot be."""
    if ratio is None:
        if numbers[1].value <= 0:
            return
        ratio = numbers[0].value / numbers[1].value
    band = limits.ratios[name]
    slack = 1e-9
    if band.usual[0] - slack <= ratio <= band.usual[1] + slack:
        return
    possible = band.possible[0] - slack <= ratio <= band.possible[1] + slack
    told = ", ".join(f"{number_to_name(n)} {number_to_text(n)}" for n in numbers)
    yield Suspicion(
        code,
        Severity.DOUBT if possible else Severity.ERROR,
        part,
        numbers,
        f"{_FORMULAS[name]} between {band.usual[0]:g} and {band.usual[1]:g}",
        f"{_FORMULAS[name]} is {ratio:.3g} ({told})",
    )
