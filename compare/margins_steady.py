"""Margins of the part in normal use: hold, drop, ratings, package, endurance.

Comes in: a `Case`. Goes out: a `Margin`, or None where the requirement does not ask.
Does not model trips.
"""

from __future__ import annotations

from compare.corners import Case, rating_for_supply
from compare.judging import Question, judged, undetermined
from compare.packages import part_has_package
from compare.records import Basis, Margin, Number, Sense, Verdict, weakest
from extract.schema import Kind, Quantity

HOLD_CURRENT = Question("hold_current", "A", Sense.AT_LEAST)
VOLTAGE_DROP = Question("voltage_drop", "V", Sense.AT_MOST)
MAX_VOLTAGE = Question("max_voltage", "V", Sense.AT_LEAST)
INTERRUPT_VOLTAGE = Question("interrupt_voltage", "V", Sense.AT_LEAST)
MAX_CURRENT = Question("max_current", "A", Sense.AT_LEAST)
PACKAGE = Question("package", "", Sense.AT_LEAST)
ENDURANCE = Question("endurance", "1", Sense.AT_LEAST)


def hold_current(case: Case) -> Margin:
    """Hold current at the hottest ambient against the normal current with its design margin."""
    requirement = case.requirement
    hottest_c = requirement.hottest_c
    limit_a = requirement.normal_current_a * requirement.hold_factor
    hold = case.derating.hold(hottest_c)
    if hold.value is not None or hold.readings:
        return judged(HOLD_CURRENT, hold, limit_a, hottest_c)
    at_most = case.derating.hold_at_most(hottest_c)
    if at_most.value is not None and at_most.value < limit_a:
        return judged(HOLD_CURRENT, at_most, limit_a, hottest_c)
    return undetermined(HOLD_CURRENT, hold, limit_a, hottest_c)


def voltage_drop(case: Case) -> Margin | None:
    """Normal current through the largest post-trip resistance against the drop the load allows."""
    requirement = case.requirement
    limit_v = requirement.voltage_drop_max_v
    if limit_v is None:
        return None
    after_trip = case.numbers.number(Quantity.RESISTANCE, Kind.POST_TRIP_MAX)
    if after_trip is not None:
        return judged(VOLTAGE_DROP, _times(after_trip, requirement.normal_current_a), limit_v)
    missing = Number(None, note="the sheet gives no post-trip resistance")
    delivered = case.numbers.number(Quantity.RESISTANCE, Kind.MAX) or case.numbers.number(
        Quantity.RESISTANCE, Kind.MIN)
    if delivered is not None and delivered.value is not None:
        margin = judged(VOLTAGE_DROP, _times(delivered, requirement.normal_current_a), limit_v)
        if margin.verdict is Verdict.FAILS:
            return margin
    return undetermined(VOLTAGE_DROP, missing, limit_v)


def _times(number: Number, factor: float) -> Number:
    return number if number.value is None else number._replace(value=number.value * factor)


def max_voltage(case: Case) -> Margin:
    """Rated voltage against the highest voltage across the tripped part."""
    requirement = case.requirement
    rating = rating_for_supply(case.numbers, Quantity.MAX_VOLTAGE, requirement.supply)
    return judged(MAX_VOLTAGE, rating, requirement.supply_voltage_v)


def interrupt_voltage(case: Case) -> Margin | None:
    """Interrupt voltage, else the rated voltage, against the highest transient."""
    requirement = case.requirement
    if requirement.transient_voltage_v is None:
        return None
    rating = rating_for_supply(case.numbers, Quantity.MAX_INTERRUPT_VOLTAGE, requirement.supply)
    if rating.value is None and not rating.readings:
        rating = rating_for_supply(case.numbers, Quantity.MAX_VOLTAGE, requirement.supply)
    return judged(INTERRUPT_VOLTAGE, rating, requirement.transient_voltage_v)


def max_current(case: Case) -> Margin:
    """Rated fault current against the highest fault current."""
    fault = case.highest_fault
    if fault.value is None:
        return undetermined(MAX_CURRENT, fault, None)
    rating = rating_for_supply(case.numbers, Quantity.MAX_CURRENT, case.requirement.supply)
    if rating.value is None:
        return judged(MAX_CURRENT, rating, fault.value)
    number = Number(rating.value, weakest(rating.basis, fault.basis),
                    rating.readings + fault.readings, assumed=rating.assumed + fault.assumed)
    return judged(MAX_CURRENT, number, fault.value)


def package(case: Case) -> Margin | None:
    """Whether the part comes in a package the footprint takes."""
    wishes = case.requirement.packages
    if not wishes:
        return None
    printed = [text for text in case.numbers.part.texts if text.name == "package"]
    if not printed:
        return undetermined(PACKAGE, Number(None, note="the sheet names no package"), None)
    fits = any(part_has_package(text.text, wishes) for text in printed)
    found = ", ".join(f'"{text.text}" ({text.document} p. {text.place.page})' for text in printed)
    note = f"found {found}, wanted {', '.join(wishes)}"
    return Margin("package", None, None, None, Verdict.FITS if fits else Verdict.FAILS, Basis.DATA, "",
                  Sense.AT_LEAST, note)


def endurance(case: Case) -> Margin | None:
    """Trips the vendor tests for against the trips expected in the service life."""
    asked = case.requirement.endurance
    if asked is None:
        return None
    expected = asked.trips_per_month * 12.0 * asked.service_years
    rated = Number(asked.rated_trips, Basis.ASSUMED,
                   assumed=(f"the part stands {asked.rated_trips:g} trips (100 cycles are the usual test)",))
    return judged(ENDURANCE, rated, expected)
