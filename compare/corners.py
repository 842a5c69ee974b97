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
NO_LOWEST_VOLTAGE = ("the requirement gives no lowest supply voltage (supply_voltage_min_v), which decides "
                     "here; state the same as the highest if it never falls")
OTHER_SUPPLY = {"dc": "ac", "ac": "dc"}


class Case(NamedTuple):
    """A part's numbers, derating and times to trip, the requirement, and the fault currents of both, A.

    fault_at_most_a: what the lowest fault current surely does not exceed, also where it is unknown.

    A named tuple for speed, as `records.Number`.
    """

    numbers: PartNumbers
    derating: Derating
    requirement: Requirement
    lowest_fault: Number
    highest_fault: Number
    trip_times: TripTimes
    fault_at_most_a: float | None = None


def numbers_to_case(numbers: PartNumbers, requirement: Requirement) -> Case:
    """Set a part against a requirement."""
    derating = Derating(numbers, requirement.assume_reference_ambient_c)
    return Case(numbers, derating, requirement, lowest_fault(numbers, requirement),
                highest_fault(numbers, requirement),
                TripTimes(numbers, derating, requirement.switching_temperature_c),
                fault_at_most_a(numbers, requirement))


def lowest_fault(numbers: PartNumbers, requirement: Requirement) -> Number:
    """Lowest fault current, A: as stated, or the lowest voltage over source and post-trip resistance.

    A supply that limits gives no more into a short than its short current, which is less than its limit where
    it folds back. Where a resistance lies before it, it may not even reach that.
    """
    found = _lowest_unlimited(numbers, requirement)
    if requirement.supply_current_limit_a is None and requirement.supply_short_current_a is None:
        return found
    cap_a = supply_at_most_a(requirement)
    if requirement.fault_current_min_a is not None and cap_a is not None and found.value is not None and (
            found.value <= cap_a):
        return found
    short = _supply_into_short(requirement)
    if short.value is None or (found.value is not None and found.value <= short.value):
        return short if short.value is None else found
    if found.value is None and requirement.source_resistance_max_ohm is not None:
        return found
    return short


def fault_at_most_a(numbers: PartNumbers, requirement: Requirement) -> float | None:
    """What the lowest fault current surely does not exceed, A; None where nothing bounds it."""
    found = _lowest_unlimited(numbers, requirement).value
    bounds = [bound for bound in (found, supply_at_most_a(requirement)) if bound is not None]
    return min(bounds) if bounds else None


def supply_at_most_a(requirement: Requirement) -> float | None:
    """The most that a limiting supply surely gives, A: the smaller of limit and short current, less its
    tolerance."""
    stated = [one for one in (requirement.supply_current_limit_a, requirement.supply_short_current_a)
              if one is not None]
    return min(stated) * (1.0 - (requirement.supply_limit_tolerance or 0.0)) if stated else None


def _supply_into_short(requirement: Requirement) -> Number:
    """What a limiting supply drives into a short, A."""
    if requirement.supply_short_current_a is None:
        return Number(None, note=f"the supply limits at {requirement.supply_current_limit_a:g} A, and what "
                                 f"it "
                      "drives into a short is not stated (supply_short_current_a): one that folds back gives "
                      "less")
    short_a = supply_at_most_a(requirement)
    if requirement.supply_limit_tolerance is None:
        return Number(short_a, Basis.ASSUMED, assumed=(
            f"the supply drives {short_a:g} A into a short, taken as exact: its tolerance is not stated",))
    return Number(short_a)


def _lowest_unlimited(numbers: PartNumbers, requirement: Requirement) -> Number:
    if requirement.fault_current_min_a is not None:
        return Number(requirement.fault_current_min_a)
    source_ohm = requirement.source_resistance_max_ohm
    if source_ohm is None:
        return Number(None, note="the requirement gives no lowest fault current or largest source resistance")
    if requirement.supply_voltage_min_v is None:
        return Number(None, note=NO_LOWEST_VOLTAGE)
    part = numbers.number(Quantity.RESISTANCE, Kind.POST_TRIP_MAX)
    if part is None or part.value is None:
        return part or Number(None, note="no post-trip resistance: the lowest fault current is unknown")
    lowest_a = fault_current_a(requirement.supply_voltage_min_v, source_ohm, part.value)
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


def transient_current(numbers: PartNumbers, requirement: Requirement) -> Number | None:
    """Current that the transient drives through the part, A; None where the requirement does not tell.

    Of an inductive kick: what flowed when it was switched off. Else the transient voltage over its source and
    the part's smallest resistance, the part a short where its sheet gives none.
    """
    if requirement.load_current_a is not None and requirement.load_inductance_h is not None:
        energy_j = 0.5 * requirement.load_inductance_h * requirement.load_current_a**2
        return Number(requirement.load_current_a, Basis.ASSUMED,
                      assumed=(f"the kick brings {energy_j:.3g} J, which no rating of a sheet covers",))
    source_ohm, volt = requirement.transient_source_resistance_ohm, requirement.transient_voltage_v
    if source_ohm is None or volt is None:
        return None
    part = numbers.number(Quantity.RESISTANCE, Kind.MIN)
    if part is None:
        return Number(volt / source_ohm, Basis.ASSUMED,
                      assumed=("no smallest resistance: the part is taken as a short",))
    if part.value is None:
        return part
    return Number(fault_current_a(volt, source_ohm, part.value), part.basis, part.readings)


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


LARGEST_POWER = (Kind.MAX, Kind.NONE, Kind.TYP, Kind.MIN)
SMALLEST_POWER = (Kind.MIN, Kind.TYP, Kind.NONE, Kind.MAX)


def tripped_power(numbers: PartNumbers) -> Number:
    """Tripped power, W: the largest, else the unlabelled, else the typical one, which is then noted."""
    return power_of_kinds(numbers, LARGEST_POWER)[0]


def power_of_kinds(numbers: PartNumbers, kinds: tuple[Kind, ...]) -> tuple[Number, Kind]:
    """The first tripped power there is of some kinds, W, and its kind; typical ones are noted."""
    for kind in kinds:
        found = numbers.number(Quantity.TRIPPED_POWER, kind)
        if found is not None:
            return (found._replace(assumed=TYPICAL_POWER) if kind is Kind.TYP else found), kind
    return Number(None, note="the sheet gives no tripped power"), Kind.NONE
