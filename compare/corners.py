"""One part held against one requirement: the corners at which it is asked.

Comes in: the numbers of a part and a requirement. Goes out: a `Case`: hold at the hottest, trip at the
coldest, lowest and highest fault current with the part's own resistance, ratings for the kind of supply.
Does not judge.
"""

from __future__ import annotations

from typing import NamedTuple

from compare.derating import Derating
from compare.part_numbers import PartNumbers
from compare.pulses import fault_current_a
from compare.records import Basis, Number
from compare.requirement import Requirement
from compare.trip_time import TripTimes
from extract.schema import Kind, Quantity

KIND_OF_SUPPLY = {"dc": Kind.DC, "ac": Kind.AC}
TYPICAL_POWER = ("typical tripped power: single parts may differ",)
OTHER_SUPPLY = {"dc": "ac", "ac": "dc"}


class Case(NamedTuple):
    """A part's numbers, derating and times to trip, the requirement, and the fault currents of both, A.

    A named tuple for speed, as `records.Number`.
    """

    numbers: PartNumbers
    derating: Derating
    requirement: Requirement
    lowest_fault: Number
    highest_fault: Number
    trip_times: TripTimes


def numbers_to_case(numbers: PartNumbers, requirement: Requirement) -> Case:
    """Set a part against a requirement."""
    derating = Derating(numbers, requirement.assume_reference_ambient_c)
    return Case(numbers, derating, requirement, lowest_fault(numbers, requirement),
                highest_fault(numbers, requirement),
                TripTimes(numbers, derating, requirement.switching_temperature_c))


def lowest_fault(numbers: PartNumbers, requirement: Requirement) -> Number:
    """Lowest fault current, A: as stated, or the lowest voltage over source and post-trip resistance.

    A supply that limits or folds back cannot deliver more than its limit. With a source resistance it may not
    even reach that, so that a part without a resistance then leaves the fault current unknown.
    """
    found = _lowest_unlimited(numbers, requirement)
    limit_a = requirement.supply_current_limit_a
    if limit_a is None or (found.value is not None and found.value <= limit_a):
        return found
    if found.value is None and requirement.source_resistance_max_ohm is not None:
        return found
    return Number(limit_a, assumed=(f"the supply limits the fault to {limit_a:g} A",))


def _lowest_unlimited(numbers: PartNumbers, requirement: Requirement) -> Number:
    if requirement.fault_current_min_a is not None:
        return Number(requirement.fault_current_min_a)
    source_ohm = requirement.source_resistance_max_ohm
    if source_ohm is None:
        return Number(None, note="the requirement gives no lowest fault current or largest source resistance")
    part = numbers.number(Quantity.RESISTANCE, Kind.POST_TRIP_MAX)
    if part is None or part.value is None:
        return part or Number(None, note="no post-trip resistance: the lowest fault current is unknown")
    lowest_a = fault_current_a(requirement.lowest_voltage_v, source_ohm, part.value)
    return Number(lowest_a, part.basis, part.readings)


def highest_fault(numbers: PartNumbers, requirement: Requirement) -> Number:
    """Highest fault current, A: as stated, or highest voltage over source and smallest part resistance."""
    if requirement.fault_current_max_a is not None:
        return Number(requirement.fault_current_max_a)
    source_ohm = requirement.source_resistance_min_ohm
    if source_ohm is None:
        return Number(None, note="the requirement gives no highest fault current or least source resistance")
    part = numbers.number(Quantity.RESISTANCE, Kind.MIN)
    if part is not None and part.value is None:
        return part
    if part is None or part.value is None:
        if source_ohm <= 0.0:
            return Number(None, note="neither source nor part gives a smallest resistance")
        return Number(requirement.supply_voltage_v / source_ohm, Basis.ASSUMED,
                      assumed=("no smallest resistance: the part is taken as a short",))
    if source_ohm + part.value <= 0.0:
        return Number(None, readings=part.readings, note="neither source nor part has any resistance")
    highest_a = fault_current_a(requirement.supply_voltage_v, source_ohm, part.value)
    return Number(highest_a, part.basis, part.readings)


def rating_for_supply(numbers: PartNumbers, quantity: Quantity, supply: str) -> Number:
    """A rating that applies to the kind of supply. A rating for DC says nothing about AC, nor the other way.

    A sheet that does not separate AC and DC is read as DC, as the trade does.
    """
    named = numbers.number(quantity, KIND_OF_SUPPLY[supply])
    if named is not None:
        return named
    plain = numbers.number(quantity, Kind.NONE)
    if plain is not None and (supply == "dc" or plain.value is None):
        return plain
    words = quantity.value.replace("_", " ")
    if plain is not None:
        return Number(None, readings=plain.readings,
                      note=f"{words} {plain.value:g} is not stated for AC; a DC rating says nothing about AC")
    other = numbers.number(quantity, KIND_OF_SUPPLY[OTHER_SUPPLY[supply]])
    if other is not None:
        return Number(None, readings=other.readings,
                      note=f"{words} is given for {OTHER_SUPPLY[supply].upper()} only")
    return Number(None, note=f"the sheet gives no {words}")


def tripped_power(numbers: PartNumbers) -> Number:
    """Tripped power, W: the largest, else the unlabelled, else the typical one, which is then noted."""
    for kind in (Kind.MAX, Kind.NONE):
        found = numbers.number(Quantity.TRIPPED_POWER, kind)
        if found is not None:
            return found
    typical = numbers.number(Quantity.TRIPPED_POWER, Kind.TYP)
    if typical is None:
        return Number(None, note="the sheet gives no tripped power")
    return Number(typical.value, typical.basis, typical.readings, typical.note, TYPICAL_POWER)
