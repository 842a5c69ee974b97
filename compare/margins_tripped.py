"""Margins of the tripped state: leakage and reset.

Comes in: a `Case`. Goes out: a `Margin`, or None where the requirement does not ask. All rest on the
tripped power being nearly constant, and say model. Does not time the reset: sheets do not state it.
"""

from __future__ import annotations

from compare.corners import (
    LARGEST_POWER,
    NO_LOWEST_VOLTAGE,
    SMALLEST_POWER,
    Case,
    power_of_kinds,
)
from compare.judging import Question, judged_by_model, undetermined
from compare.records import Basis, Margin, Number, Sense
from compare.tripped import largest_power_into_part_w, leakage_a, tripped_power_at_w
from extract.schema import Kind

LEAKAGE = Question("leakage", "A", Sense.AT_MOST)
RESETS_ITSELF = Question("reset", "W", Sense.AT_MOST)
STAYS_TRIPPED = Question("reset", "W", Sense.AT_LEAST)
POWER_MODEL = "tripped power taken as constant over voltage and scaled with ambient"
NO_BOUND = {
    Kind.TYP: "the sheet gives a typical tripped power, which bounds no single part",
    Kind.NONE: "the sheet does not say whether its tripped power is the largest, so that it bounds no part",
    Kind.MAX: "the sheet gives the largest tripped power, and the smallest counts here",
    Kind.MIN: "the sheet gives the smallest tripped power, and the largest counts here",
}
"""Why a tripped power of a kind may not show that a part fits."""


def leakage(case: Case) -> Margin | None:
    """Current through the tripped part, lowest voltage and coldest ambient, against what the load bears."""
    requirement = case.requirement
    limit_a = requirement.leakage_max_a
    if limit_a is None:
        return None
    coldest_c, lowest_v = requirement.coldest_c, requirement.supply_voltage_min_v
    power, kind = power_of_kinds(case.numbers, LARGEST_POWER)
    power = power_at(case, power, coldest_c)
    if power.value is None or lowest_v is None:
        unknown = power if power.value is None else Number(None, note=NO_LOWEST_VOLTAGE)
        return undetermined(LEAKAGE, unknown, limit_a, coldest_c)
    current = power._replace(value=leakage_a(power.value, lowest_v), note="")
    return judged_by_model(LEAKAGE, current, limit_a, requirement.allows("leakage"), coldest_c,
                           unproven_by(kind, Kind.MAX))


def reset(case: Case) -> Margin | None:
    """Largest power the source can put into the part through the healthy load, against the tripped power.

    self: it must stay below the smallest, at the highest voltage and hottest ambient. latched: it must stay
    above the largest, at the lowest voltage and coldest ambient.
    """
    requirement = case.requirement
    if not requirement.reset:
        return None
    itself = requirement.reset == "self"
    at_c = requirement.hottest_c if itself else requirement.coldest_c
    voltage_v = requirement.supply_voltage_v if itself else requirement.supply_voltage_min_v
    question = RESETS_ITSELF if itself else STAYS_TRIPPED
    power, kind = power_of_kinds(case.numbers, SMALLEST_POWER if itself else LARGEST_POWER)
    power = power_at(case, power, at_c)
    if voltage_v is None:
        return undetermined(question, Number(None, note=NO_LOWEST_VOLTAGE), power.value, at_c)
    if requirement.load_resistance_ohm is None:
        missing = Number(None, note="the requirement gives no load_resistance_ohm")
        return undetermined(question, missing, power.value, at_c)
    if power.value is None:
        return undetermined(question, power, None, at_c)
    into_part_w = largest_power_into_part_w(voltage_v, requirement.load_resistance_ohm)
    into_part = power._replace(value=into_part_w, note="")
    return judged_by_model(question, into_part, power.value, requirement.allows("reset"), at_c,
                           unproven_by(kind, Kind.MIN if itself else Kind.MAX))


def unproven_by(kind: Kind, bound: Kind) -> str:
    """Why a tripped power of a kind shows nothing, or empty where it is the bound that counts."""
    return "" if kind is bound else NO_BOUND[kind]


def power_at(case: Case, power: Number, ambient_c: float) -> Number:
    """A tripped power of the sheet at an ambient, W, by the model."""
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
    silent = () if stated_c is not None else (
        f"tripped power taken as at {known_c:g} °C, the reference: the sheet is silent",)
    return Number(value_w, Basis.MODEL, power.readings, assumed=(*power.assumed, *silent, POWER_MODEL))
