"""Margins of the part in normal use: hold, drop, ratings, package, endurance.

Comes in: a `Case`. Goes out: a `Margin`, or None where the requirement does not ask.
Does not model trips.
"""

from __future__ import annotations

from compare.corners import Case, rating_for_supply, transient_current
from compare.judging import JUST_MET, MODEL_NOT_ALLOWED, Question, doubted, judged, undetermined
from compare.packages import part_has_package
from compare.records import Basis, Margin, Number, Sense, Verdict, weakest
from compare.thermal import warm_resistance_factor
from extract.schema import Kind, Quantity

HOLD_CURRENT = Question("hold_current", "A", Sense.AT_LEAST)
VOLTAGE_DROP = Question("voltage_drop", "V", Sense.AT_MOST)
MAX_VOLTAGE = Question("max_voltage", "V", Sense.AT_LEAST)
INTERRUPT_VOLTAGE = Question("interrupt_voltage", "V", Sense.AT_LEAST)
MAX_CURRENT = Question("max_current", "A", Sense.AT_LEAST)
PACKAGE = Question("package", "", Sense.AT_LEAST)
ENDURANCE = Question("endurance", "1", Sense.AT_LEAST)
BARE_DROP_MARGIN, BARE_DROP_SHARE = 1.5, 0.5
"""Resistance is tabulated at room temperature and rises in a warm part: a drop fits without a model only from
this margin on, and up to this share of the hold current. Common practice, no source."""
WARM_MODEL_SHARE = 0.8
"""Up to this share of the hold current the model of the warm part holds; nearer to it the resistance climbs
towards the switch. Common practice, no source."""
COLD_RESISTANCE = "resistance as tabulated at the reference ambient: it rises in a warm part"
WARM_MODEL = "resistance of the warm part by a heat balance, rising 0.6 % for each kelvin"
TRANSIENT_UNKNOWN = ("a rating for a transient holds up to a current of its own: state "
                     "transient_source_resistance_ohm, or load_inductance_h and load_current_a")


def hold_current(case: Case) -> Margin:
    """Hold current at the hottest ambient against the normal current with its design margin."""
    requirement = case.requirement
    hottest_c = requirement.hottest_c
    limit_a = requirement.normal_current_a * requirement.hold_factor
    hold = case.derating.hold(hottest_c)
    if hold.value is not None:
        return judged(HOLD_CURRENT, hold, limit_a, hottest_c)
    at_most, at_least = case.derating.hold_at_most(hottest_c), case.derating.hold_at_least(hottest_c)
    if at_most.value is not None and at_most.value < limit_a * JUST_MET:
        return judged(HOLD_CURRENT, at_most, limit_a, hottest_c)
    if at_least.value is not None and at_least.value >= limit_a * JUST_MET:
        return judged(HOLD_CURRENT, at_least, limit_a, hottest_c)
    return undetermined(HOLD_CURRENT, hold, limit_a, hottest_c)


def voltage_drop(case: Case) -> Margin | None:
    """Normal current through the largest post-trip resistance against the drop the load allows."""
    requirement = case.requirement
    limit_v = requirement.voltage_drop_max_v
    if limit_v is None:
        return None
    after_trip = case.numbers.number(Quantity.RESISTANCE, Kind.POST_TRIP_MAX)
    if after_trip is not None:
        return _warm_drop(case, _times(after_trip, requirement.normal_current_a), limit_v)
    missing = Number(None, note="the sheet gives no post-trip resistance")
    delivered = case.numbers.number(Quantity.RESISTANCE, Kind.MAX) or case.numbers.number(
        Quantity.RESISTANCE, Kind.MIN)
    if delivered is not None and delivered.value is not None:
        margin = judged(VOLTAGE_DROP, _times(delivered, requirement.normal_current_a), limit_v)
        if margin.verdict is Verdict.FAILS:
            return margin
    return undetermined(VOLTAGE_DROP, missing, limit_v)


def _warm_drop(case: Case, drop: Number, limit_v: float) -> Margin:
    """A drop by the tabulated resistance: it fits where there is room for the part's warmth, or where the
    model of the warm part is allowed and says so."""
    requirement = case.requirement
    hottest_c, load_a = requirement.hottest_c, requirement.normal_current_a
    assumed = drop._replace(basis=weakest(drop.basis, Basis.ASSUMED), assumed=(COLD_RESISTANCE,))
    margin = judged(VOLTAGE_DROP, drop if drop.value is None else assumed, limit_v)
    if margin.verdict is not Verdict.FITS or drop.value is None:
        return margin
    hold, reference_c = case.derating.hold(hottest_c), case.derating.rated_hold()[0]
    if hold.value is None or reference_c is None:
        return doubted(margin, "how warm the part runs cannot be told without its hold current at the "
                               "hottest")
    if drop.value * BARE_DROP_MARGIN <= limit_v and load_a <= BARE_DROP_SHARE * hold.value:
        return margin._replace(readings=margin.readings + hold.readings)
    if load_a > WARM_MODEL_SHARE * hold.value:
        return doubted(margin, f"above {WARM_MODEL_SHARE:g} of the hold current of {hold.value:.4g} A no "
                               f"model "
                               "says how far the resistance has risen")._replace(
            readings=margin.readings + hold.readings)
    factor = warm_resistance_factor(load_a / hold.value, hottest_c, reference_c,
                                    requirement.switching_temperature_c)
    warm = Number(drop.value * factor, Basis.MODEL, drop.readings + hold.readings,
                  assumed=(*hold.assumed, WARM_MODEL))
    by_model = judged(VOLTAGE_DROP, warm, limit_v)._replace(band=(drop.value, drop.value * factor))
    if by_model.verdict is Verdict.FAILS:
        return doubted(by_model, "cold it would do; how far the warm part exceeds it is a model's word")
    return by_model if requirement.allows("drop") else doubted(by_model, MODEL_NOT_ALLOWED)


def _times(number: Number, factor: float) -> Number:
    return number if number.value is None else number._replace(value=number.value * factor)


def max_voltage(case: Case) -> Margin:
    """Rated voltage against the highest voltage across the tripped part."""
    requirement = case.requirement
    rating = rating_for_supply(case.numbers, Quantity.MAX_VOLTAGE, requirement.supply)
    return judged(MAX_VOLTAGE, rating, requirement.supply_voltage_v)


def interrupt_voltage(case: Case) -> Margin | None:
    """Rated or interrupt voltage against the highest transient, at the current the transient drives.

    The rated voltage holds up to the rated fault current, an interrupt voltage up to the current printed with
    it.
    """
    requirement = case.requirement
    volt = requirement.transient_voltage_v
    if volt is None:
        return None
    rated = rating_for_supply(case.numbers, Quantity.MAX_VOLTAGE, requirement.supply)
    interrupt = rating_for_supply(case.numbers, Quantity.MAX_INTERRUPT_VOLTAGE, requirement.supply)
    by_rated = rated.value is not None and rated.value >= volt * JUST_MET
    silent = interrupt.value is None and not interrupt.readings
    rating = rated if by_rated or silent else interrupt
    margin = judged(INTERRUPT_VOLTAGE, rating, volt)
    if margin.verdict is not Verdict.FITS:
        return margin
    current = transient_current(case.numbers, requirement)
    if current is None or current.value is None:
        return doubted(margin, TRANSIENT_UNKNOWN if current is None else current.note)
    return _at_its_current(case, margin, current, by_rated)


def _at_its_current(case: Case, margin: Margin, current: Number, by_rated: bool) -> Margin:
    """A voltage rating that is high enough, held against the current it is given for."""
    if by_rated:
        holds = rating_for_supply(case.numbers, Quantity.MAX_CURRENT, case.requirement.supply)
    else:
        printed_a = margin.readings[0].test_current_a
        note = "" if printed_a is not None else "the sheet's interrupt voltage names no current it holds for"
        holds = Number(printed_a, readings=margin.readings, note=note)
    assert current.value is not None  # asked for before
    whole = margin._replace(readings=margin.readings + holds.readings + current.readings,
                            basis=weakest(margin.basis, current.basis), assumed=current.assumed)
    if holds.value is None:
        return doubted(whole, holds.note)
    if holds.value >= current.value * JUST_MET:
        return whole
    return whole._replace(
        verdict=Verdict.FAILS, margin=holds.value / current.value,
        note=f"the voltage holds up to {holds.value:.4g} A, and the transient drives {current.value:.4g} A")


def surge_at_rating(case: Case) -> Number | None:
    """The current of a transient that the rated fault current must stand; None without one, and where an
    interrupt voltage of the part covers it, with a current printed beside it."""
    requirement = case.requirement
    volt = requirement.transient_voltage_v
    if volt is None:
        return None
    rated, interrupt = (rating_for_supply(case.numbers, quantity, requirement.supply)
                        for quantity in (Quantity.MAX_VOLTAGE, Quantity.MAX_INTERRUPT_VOLTAGE))
    by_rated = rated.value is not None and rated.value >= volt * JUST_MET
    high_enough = interrupt.value is not None and interrupt.value >= volt * JUST_MET
    if not by_rated and high_enough and interrupt.readings[0].test_current_a is not None:
        return None
    return transient_current(case.numbers, requirement)


def max_current(case: Case) -> Margin:
    """Rated fault current against the highest fault current, or that of a transient where it is larger and no
    interrupt rating of its own covers it."""
    fault, surge = case.highest_fault, surge_at_rating(case)
    if surge is not None and fault.value is not None:
        # both ends rest on the part: the weaker of the two counts
        larger = surge if surge.value is None or surge.value > fault.value else fault
        fault = larger._replace(basis=weakest(surge.basis, fault.basis),
                                readings=surge.readings + fault.readings)
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
