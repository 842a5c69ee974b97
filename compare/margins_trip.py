"""Margins of the trip: certainty, time, inrush, limits on the current that may flow.

Comes in: a `Case`. Goes out: a `Margin`, or None where the requirement does not ask.
Does not look at what must survive until the trip (see `margins_survival`).
"""

from __future__ import annotations

import math

from compare.corners import Case
from compare.drawn_times import CURVE_NOTE
from compare.judging import (
    MODEL_NOT_ALLOWED,
    Question,
    doubted,
    judged,
    judged_time,
    requirement_to_time_rules,
    undetermined,
)
from compare.pulses import SquarePulse, hot_plug_pulse
from compare.records import Basis, Margin, Number, Sense, Verdict, weakest
from compare.trip_time import MODEL_NOTE, TripTime
from extract.schema import Kind, Quantity

TRIP_CERTAINTY = Question("trip_certainty", "A", Sense.AT_MOST)
TRIP_CURRENT_LIMIT = Question("trip_current_limit", "A", Sense.AT_MOST)
TIME_TO_TRIP = Question("time_to_trip", "s", Sense.AT_MOST)
HOLDS_PULSE = {name: Question(name, "A", Sense.AT_LEAST) for name in ("inrush", "hot_plug")}
OUTLASTS_PULSE = {name: Question(name, "s", Sense.AT_LEAST) for name in ("inrush", "hot_plug")}
SHORTEST_NOTE = "shortest time: the model's low end times R_min / R_1max"
NO_SHORTEST = "a typical time is no shortest one: state typical_to_min_factor"
LIMITED_POWER = Question("limited_power", "A", Sense.AT_MOST)
LOAD_ALONE = "the normal load alone, with what repeated peaks add to it, may trip the part"
BETWEEN = "the lowest fault current lies between hold and trip: the part may or may not trip"


def trip_certainty(case: Case) -> Margin:
    """Lowest fault current against the trip current at the coldest ambient.

    At or below the hold current there the part never trips: it fails. Between the two nothing is defined.
    """
    coldest_c = case.requirement.coldest_c
    fault = case.lowest_fault
    hold = case.derating.hold(coldest_c)
    if hold.value is None:
        hold = case.derating.hold_at_least(coldest_c)
    if fault.value is None:
        never = "" if case.fault_at_most_a is None else _never_note(case.fault_at_most_a, hold)
        if never:
            return Margin("trip_certainty", None, case.fault_at_most_a, None, Verdict.FAILS, hold.basis, "A",
                          Sense.AT_MOST, never, hold.readings, None, coldest_c, hold.assumed)
        return undetermined(TRIP_CERTAINTY, fault, None, coldest_c)
    trip = case.derating.trip(coldest_c)
    never = _never_note(fault.value, hold)
    if trip.value is None:
        if never:
            return Margin("trip_certainty", None, fault.value, None, Verdict.FAILS, hold.basis, "A",
                          Sense.AT_MOST, never, hold.readings + fault.readings, None, coldest_c,
                          hold.assumed + fault.assumed)
        return _surely_below(case, fault) or undetermined(TRIP_CERTAINTY, trip, fault.value, coldest_c)
    margin = judged(TRIP_CERTAINTY, _joined(trip, fault), fault.value, coldest_c)
    if margin.verdict is Verdict.FITS:
        return margin
    if never:
        return margin._replace(note=never, readings=margin.readings + hold.readings)
    return doubted(margin, BETWEEN)


def _surely_below(case: Case, fault: Number) -> Margin | None:
    """That the part trips though its trip current at the coldest is not known: it is at most that of the next
    colder column."""
    at_most = case.derating.trip_at_most(case.requirement.coldest_c)
    if at_most.value is None or fault.value is None:
        return None
    margin = judged(TRIP_CERTAINTY, _joined(at_most, fault), fault.value, case.requirement.coldest_c)
    return margin if margin.verdict is Verdict.FITS else None


def trip_against(question: Question, case: Case, limit_a: float) -> Margin:
    """Trip current at the coldest ambient against a limit; where it is not known, by what it is at least and
    at most."""
    coldest_c = case.requirement.coldest_c
    trip = case.derating.trip(coldest_c)
    if trip.value is None:
        least = judged(question, case.derating.trip_at_least(coldest_c), limit_a, coldest_c)
        most = judged(question, case.derating.trip_at_most(coldest_c), limit_a, coldest_c)
        if least.verdict is Verdict.FAILS:
            return least
        if most.verdict is Verdict.FITS:
            return most
    return judged(question, trip, limit_a, coldest_c)


def _never_note(fault_a: float, hold: Number) -> str:
    """Why the part never trips, or empty where it may."""
    if hold.value is None or fault_a > hold.value:
        return ""
    return f"{fault_a:.4g} A does not exceed the hold current of {hold.value:.4g} A: the part never trips"


def with_inputs(margin: Margin, *inputs: Number) -> Margin:
    """The margin with the readings, assumptions and the weaker basis of what it was asked at."""
    basis, readings, assumed = margin.basis, margin.readings, margin.assumed
    for one in inputs:
        basis = weakest(basis, one.basis)
        readings += one.readings
        assumed += one.assumed
    # each cell once, told apart by identity: comparing whole readings took a tenth of a large comparison
    return margin._replace(basis=margin.basis if margin.value is None else basis,
                           readings=tuple({id(one): one for one in readings}.values()),
                           assumed=tuple(dict.fromkeys(assumed)) if assumed else ())


def _joined(value: Number, other: Number) -> Number:
    """The first number, with the readings, assumptions and the weaker basis of the second added."""
    return Number(value.value, weakest(value.basis, other.basis), value.readings + other.readings,
                  value.note, value.assumed + other.assumed)


def trip_current_limit(case: Case) -> Margin | None:
    """Trip current at the coldest ambient against the largest a standard allows."""
    limit_a = case.requirement.trip_current_max_a
    if limit_a is None:
        return None
    return trip_against(TRIP_CURRENT_LIMIT, case, limit_a)


def time_to_trip(case: Case) -> Margin | None:
    """Longest time to trip at the lowest fault current and the coldest ambient against the time allowed."""
    requirement = case.requirement
    limit_s = requirement.trip_time_max_s
    if limit_s is None:
        return None
    fault, coldest_c = case.lowest_fault, requirement.coldest_c
    if fault.value is None:
        return undetermined(TIME_TO_TRIP, fault, limit_s, coldest_c)
    time = case.trip_times.within(fault.value, coldest_c, limit_s)
    margin = judged_time(TIME_TO_TRIP, time, limit_s, requirement_to_time_rules(requirement), coldest_c)
    return with_inputs(margin, fault)


def inrush(case: Case) -> Margin | None:
    """The peak current must not trip the part at the hottest ambient, after a long normal load."""
    requirement = case.requirement
    if requirement.peak_current_a is None or requirement.peak_duration_s is None:
        return None
    pulse = SquarePulse(requirement.peak_current_a, requirement.peak_duration_s)
    return _holds_pulse(case, pulse, "inrush", requirement.load_before_peak_a)


def hot_plug(case: Case) -> Margin | None:
    """Charging the load's capacitor must not trip the part at the hottest ambient."""
    plug = case.requirement.hot_plug
    if plug is None:
        return None
    pulse = hot_plug_pulse(case.requirement.supply_voltage_v, plug.capacitance_f, plug.resistance_ohm)
    return _holds_pulse(case, pulse, "hot_plug", case.requirement.normal_current_a)


def _holds_pulse(case: Case, pulse: SquarePulse, name: str, preload_a: float) -> Margin:
    """Shortest time to trip against the length of a pulse.

    Tables give the longest time, that of the part with the least resistance. With no heat lost the time
    goes with 1/R, so the quickest part trips R_min / R_1max times sooner: the model's low end is shortened
    by that.
    """
    hottest_c = case.requirement.hottest_c
    hold = case.derating.hold(hottest_c)
    if hold.value is not None and pulse.current_a <= hold.value:
        return judged(HOLDS_PULSE[name], hold, pulse.current_a, hottest_c)
    question = OUTLASTS_PULSE[name]
    if hold.value is None:
        return undetermined(question, hold, pulse.duration_s, hottest_c)
    if preload_a >= hold.value:
        loaded = judged(HOLDS_PULSE[name], hold, preload_a, hottest_c)
        if loaded.verdict is Verdict.FAILS:
            return loaded._replace(note=LOAD_ALONE)
        just = Number(None, readings=hold.readings, note=LOAD_ALONE)
        return undetermined(question, just, pulse.duration_s, hottest_c)
    time = case.trip_times.at(pulse.current_a, hottest_c, preload_a)
    if time.guaranteed_s is not None and time.guaranteed_s <= pulse.duration_s:
        longest = Number(time.guaranteed_s, Basis.ASSUMED if time.assumed else Basis.DATA, time.readings,
                         assumed=time.assumed)
        return judged(question, longest, pulse.duration_s, hottest_c)._replace(
            note="the sheet guarantees a trip within the pulse", verdict=Verdict.FAILS)
    by_model = _outlasts_by_model(case, time, question, pulse.duration_s)
    return _outlasts_by_curve(case, time, by_model) or by_model


def _outlasts_by_model(case: Case, time: TripTime, question: Question, duration_s: float) -> Margin:
    """The shortest time by the models, through the tabulated longest one."""
    hottest_c = case.requirement.hottest_c
    if time.low_s is None or time.high_s is None:
        no_time = Number(None, readings=time.readings, note=time.note)
        return undetermined(question, no_time, duration_s, hottest_c)
    spread = _resistance_spread(case)
    if spread.value is None:
        return undetermined(question, spread, duration_s, hottest_c)
    shortest_s = time.low_s * spread.value
    verdict, note = _pulse_verdict(shortest_s, time.high_s, duration_s, case.requirement.allows("time"))
    margin = Margin(
        question.name, shortest_s, duration_s, shortest_s / duration_s, verdict, Basis.MODEL, "s",
        Sense.AT_LEAST, note, time.readings + spread.readings,
        None if time.high_s == math.inf else (shortest_s, time.high_s),
        hottest_c, (*time.assumed, SHORTEST_NOTE, MODEL_NOTE))
    return with_inputs(margin, *time.rests_on)


def _outlasts_by_curve(case: Case, time: TripTime, by_model: Margin) -> Margin | None:
    """By the drawn curve, None where there is none: a typical part that trips within the pulse proves a
    failure; that none does needs a factor of the requirement, and the spread of the resistance."""
    drawn, factor = time.drawn, case.requirement.typical_to_min_factor
    duration_s = by_model.limit
    if drawn is None or duration_s is None:
        return None
    if drawn.low_s is None or drawn.high_s is None:
        return by_model._replace(note="; ".join(filter(None, (by_model.note, drawn.note))))
    spread = _resistance_spread(case)
    share = 1.0 if factor is None or spread.value is None else spread.value / factor
    shortest_s = drawn.low_s * share
    words = drawn.words()
    margin = by_model._replace(
        value=shortest_s, margin=shortest_s / duration_s, verdict=Verdict.UNDETERMINED, basis=drawn.basis,
        note=words, readings=drawn.readings, assumed=(*drawn.assumed, CURVE_NOTE), curves=drawn.curves,
        band=None if drawn.high_s == math.inf else (shortest_s, drawn.high_s))
    if drawn.high_s < duration_s:
        return margin._replace(verdict=Verdict.FAILS, note=f"{words}: a typical part trips within the pulse")
    if factor is None:
        if drawn.low_s < duration_s:
            return margin._replace(note=f"{words}: a typical part may trip within the pulse")
        return by_model._replace(note="; ".join(filter(None, (by_model.note, words, NO_SHORTEST))))
    if spread.value is None:
        return undetermined(OUTLASTS_PULSE[margin.name], spread, duration_s, margin.at_c)
    margin = margin._replace(readings=drawn.readings + spread.readings,
                             assumed=(*drawn.assumed, f"shortest: typical / {factor:g} x R_min / R_1max",
                                      CURVE_NOTE))
    if shortest_s < duration_s:
        return margin._replace(note=f"{words}: some parts may trip, others not")
    if drawn.basis is Basis.MODEL and not case.requirement.allows("time"):
        return margin._replace(note=f"{words}; {MODEL_NOT_ALLOWED}")
    return margin._replace(verdict=Verdict.FITS)


def _pulse_verdict(
    shortest_s: float, longest_s: float, duration_s: float, allow: bool
) -> tuple[Verdict, str]:
    """It fails only where even the slowest part trips within the pulse."""
    if shortest_s >= duration_s:
        return (Verdict.FITS, "") if allow else (Verdict.UNDETERMINED, MODEL_NOT_ALLOWED)
    if longest_s >= duration_s:
        return Verdict.UNDETERMINED, "some parts may trip, others not"
    return Verdict.FAILS, ""


def _resistance_spread(case: Case) -> Number:
    """R_min / R_1max of the part."""
    low = case.numbers.number(Quantity.RESISTANCE, Kind.MIN)
    high = case.numbers.number(Quantity.RESISTANCE, Kind.POST_TRIP_MAX)
    if low is None or high is None:
        return Number(None, note="without smallest and post-trip resistance the shortest time is unknown")
    if low.value is None or high.value is None:
        return low if low.value is None else high
    if low.value <= 0.0 or high.value <= 0.0:
        return Number(None, readings=low.readings + high.readings, note="a resistance of zero")
    return Number(min(1.0, low.value / high.value), readings=low.readings + high.readings)


def _flows_at_most(case: Case, trip: Number, after_s: float) -> Number | None:
    """What may still flow after a time at the coldest ambient by the table alone, A: less than the smallest
    current that surely trips the part by then, and not less than the trip current."""
    found = case.trip_times.surely_trips_in(after_s, case.requirement.coldest_c)
    if found is None or trip.value is None:
        return None
    by_table = Number(found.current_a, Basis.ASSUMED if found.assumed else Basis.DATA, found.readings,
                      assumed=found.assumed)
    return trip if trip.value >= found.current_a else _joined(by_table, trip)


def limited_power(case: Case) -> Margin | None:
    """Largest current that may still flow when a limited power source is measured, against the standard."""
    limits = case.requirement.limited_power
    if limits is None:
        return None
    coldest_c = case.requirement.coldest_c
    limit_a = min(limits.current_max_a, limits.power_max_va / case.requirement.supply_voltage_v)
    fault = case.highest_fault
    if fault.value is not None and fault.value <= limit_a:
        margin = judged(LIMITED_POWER, fault, limit_a, coldest_c)
        return margin._replace(note="the source itself cannot deliver more")
    trip = case.derating.trip(coldest_c)
    if trip.value is None or trip.value > limit_a:
        return judged(LIMITED_POWER, trip, limit_a, coldest_c)
    by_table = _flows_at_most(case, trip, limits.measured_after_s)
    if by_table is not None and by_table.value is not None and by_table.value <= limit_a:
        return judged(LIMITED_POWER, by_table, limit_a, coldest_c)
    return _limited_power_by_model(case, trip, trip.value, limit_a, limits.measured_after_s)


def _limited_power_by_model(
    case: Case, trip: Number, trip_a: float, limit_a: float, after_s: float
) -> Margin:
    """What may still flow then by the band of the models, never less than the trip current, A."""
    coldest_c = case.requirement.coldest_c
    at_limit = case.trip_times.at(limit_a, coldest_c)
    band = case.trip_times.currents_in(after_s, coldest_c)
    if band is None:
        no_time = Number(None, readings=at_limit.readings,
                         note=at_limit.note or "a typical curve guarantees nothing")
        return undetermined(LIMITED_POWER, no_time, limit_a, coldest_c)
    low_a, high_a = max(trip_a, band[0]), max(trip_a, band[1])
    readings = trip.readings + tuple(r for p in case.numbers.trip_points for r in p.number.readings)
    assumed = (*trip.assumed, *at_limit.assumed, MODEL_NOTE)
    margin = judged(LIMITED_POWER, Number(high_a, Basis.MODEL, readings, assumed=assumed), limit_a, coldest_c)
    margin = with_inputs(margin._replace(band=(low_a, high_a)), *case.trip_times.inputs(coldest_c))
    if margin.verdict is Verdict.FAILS:
        return margin if low_a > limit_a else doubted(margin, "the band of the models spans the limit")
    return margin if case.requirement.allows("limited_power") else doubted(margin, MODEL_NOT_ALLOWED)

