"""Margins of the tripped state: leakage and reset.

Comes in: a `Case`. Goes out: a `Margin`, or None where the requirement does not ask. All rest on the
tripped power being nearly constant, and say model. Does not time the reset: sheets do not state it.
"""

from __future__ import annotations

from compare.corners import Case, tripped_power
from compare.judging import Question, judged_by_model, undetermined
from compare.records import Basis, Margin, Number, Sense
from compare.tripped import largest_power_into_part_w, leakage_a, tripped_power_at_w

LEAKAGE = Question("leakage", "A", Sense.AT_MOST)
RESETS_ITSELF = Question("reset", "W", Sense.AT_MOST)
STAYS_TRIPPED = Question("reset", "W", Sense.AT_LEAST)
POWER_MODEL = "tripped power taken as constant over voltage and scaled with ambient"


def leakage(case: Case) -> Margin | None:
    """Current through the tripped part, lowest voltage and coldest ambient, against what the load bears."""
    requirement = case.requirement
    limit_a = requirement.leakage_max_a
    if limit_a is None:
        return None
    coldest_c = requirement.coldest_c
    power = power_at(case, coldest_c)
    if power.value is None:
        return undetermined(LEAKAGE, power, limit_a, coldest_c)
    current_a = leakage_a(power.value, requirement.lowest_voltage_v)
    current = Number(current_a, power.basis, power.readings, "", power.assumed)
    return judged_by_model(LEAKAGE, current, limit_a, requirement.allow_model, coldest_c)


def reset(case: Case) -> Margin | None:
    """Largest power the source can put into the part through the healthy load, against the tripped power.

    self: it must stay below, at the highest voltage and hottest ambient. latched: it must stay above, at
    the lowest voltage and coldest ambient.
    """
    requirement = case.requirement
    if not requirement.reset:
        return None
    itself = requirement.reset == "self"
    at_c = requirement.hottest_c if itself else requirement.coldest_c
    voltage_v = requirement.supply_voltage_v if itself else requirement.lowest_voltage_v
    question = RESETS_ITSELF if itself else STAYS_TRIPPED
    power = power_at(case, at_c)
    if requirement.load_resistance_ohm is None:
        missing = Number(None, note="the requirement gives no load_resistance_ohm")
        return undetermined(question, missing, power.value, at_c)
    if power.value is None:
        return undetermined(question, power, None, at_c)
    into_part_w = largest_power_into_part_w(voltage_v, requirement.load_resistance_ohm)
    into_part = Number(into_part_w, power.basis, power.readings, "", power.assumed)
    return judged_by_model(question, into_part, power.value, requirement.allow_model, at_c)


def power_at(case: Case, ambient_c: float) -> Number:
    """Tripped power at an ambient, W, by the model."""
    power = tripped_power(case.numbers)
    if power.value is None:
        return power
    stated_c = power.readings[0].ambient_c if power.readings else None
    known_c = stated_c if stated_c is not None else case.derating.rated_hold()[0]
    if known_c is None:
        return Number(None, readings=power.readings, note="the ambient of the tripped power is not stated")
    switching_c = case.requirement.switching_temperature_c
    if known_c >= switching_c:
        return Number(None, readings=power.readings, note=f"tripped power stated at {known_c:g} °C, above "
                      f"the switching temperature of {switching_c:g} °C")
    value_w = tripped_power_at_w(power.value, ambient_c, known_c, switching_c)
    return Number(value_w, Basis.MODEL, power.readings, assumed=(*power.assumed, POWER_MODEL))
