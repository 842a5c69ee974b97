"""A part on the bench held against its datasheet: is it what it claims to be, and is it still sound?

Comes in: a part and what was measured on it. Goes out: one `BenchCheck` for each question that the
measurements raise: fits, outside, or not comparable, with the reason. So one tells an unmarked, aged or
counterfeit part. Does not pronounce a part safe: a part may pass every check and still be worn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from compare.corners import rating_for_supply, tripped_power
from compare.derating import Derating
from compare.measurements import HeldCurrent, MeasuredTripped, Measurements
from compare.part_numbers import PartNumbers, part_to_numbers
from compare.records import Number, readings_to_source
from compare.thermal import way_to_switching
from compare.trip_time import MODEL_NOTE, TripTime, TripTimes
from compare.tripped import tripped_power_at_w
from extract.schema import Kind, Part, Quantity, Reading

NEAR_REFERENCE_K = 5.0
"""Farther from the sheet's ambient, resistances are not compared. Common practice, no source."""
SELF_HEATING_SHARE = 0.25
"""Steps above this share of the hold current warm the part. Common practice, no source."""
TYPICAL_SPREAD = 0.3
"""How far a single part may lie from a typical value. Common practice, no source."""
RECOVERED_AFTER_S = 3600.0
"""Datasheets state the post-trip resistance one hour after the trip."""
LAGS_TO_SETTLE = 5.0
"""Time constants after which a thermometer shows the temperature within one percent (1 - e^-5)."""
USUAL_SURFACE_C = (85.0, 160.0)
"""Surfaces of tripped parts in published vendor data, from battery straps to high-temperature types."""
COOLEST_SKIN_C = 60.0
"""A sound strap settled at 64 °C at its skin, tripped at 10 V: warmer than this is no fault. Common practice,
no source."""


STEPS_AGREE = 0.05
"""Share by which the resistance of two small steps may differ. Common practice, no source."""
HOLD_TEST_MIN = 30.0
"""How long published vendor data hold a part at its hold current without a trip."""


class BenchVerdict(StrEnum):
    """What a measurement says of the part."""

    FITS = "fits"
    OUTSIDE = "outside"
    NOT_COMPARABLE = "not comparable"


@dataclass(frozen=True, slots=True)
class BenchCheck:
    """One measured value against what the sheet allows (low to high, None where it is open), with the reason.

    source: the cells it was compared with, empty where there are none.
    """

    name: str
    measured: float | None
    low: float | None
    high: float | None
    unit: str
    verdict: BenchVerdict
    reason: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class _Bench:
    """A part and its measurements, ready to be asked."""

    numbers: PartNumbers
    derating: Derating
    measured: Measurements
    switching_c: float

    def resistance(self, kind: Kind) -> Number:
        found = self.numbers.number(Quantity.RESISTANCE, kind)
        return found or Number(None, note=f"the sheet gives no {kind.value.replace('_', ' ')} resistance")

    def away_from_reference(self) -> str:
        """Why a resistance cannot be compared here, or empty."""
        reference_c, ambient_c = self.derating.rated_hold()[0], self.measured.ambient_c
        if ambient_c is None:
            return "the ambient is unknown"
        if reference_c is None:
            return "the sheet's reference ambient is unknown"
        if abs(ambient_c - reference_c) > NEAR_REFERENCE_K:
            return f"measured at {ambient_c:g} °C, stated at {reference_c:g} °C"
        return ""


def part_to_bench_checks(
    part: Part, measured: Measurements, switching_c: float = 125.0
) -> tuple[BenchCheck, ...]:
    """Every check the measurements allow. switching_c: switching temperature for models, °C."""
    numbers = part_to_numbers(part)
    bench = _Bench(numbers, Derating(numbers), measured, switching_c)
    return tuple(_checks(bench))


def _checks(bench: _Bench) -> Iterator[BenchCheck]:
    measured = bench.measured
    yield from _above_ratings(bench)
    if measured.drops:
        yield _initial_resistance(bench)
    for held in measured.held:
        yield _held(bench, held)
    if measured.trip is not None:
        yield _trip_current(bench, measured.trip.current_a)
        yield _trip_time(bench, measured.trip.current_a, measured.trip.time_s)
    if measured.tripped is not None:
        yield _tripped_power(bench, measured.tripped)
        if measured.tripped.surface_c is not None:
            yield _surface(measured.tripped, measured.tripped.surface_c)
    if measured.recovery is not None:
        yield _recovery(bench, measured.recovery.resistance_after_ohm, measured.recovery.after_s)
        if measured.recovery.resistance_before_ohm is not None:
            yield _growth(bench, measured.recovery.resistance_before_ohm,
                          measured.recovery.resistance_after_ohm)


def _above_ratings(bench: _Bench) -> Iterator[BenchCheck]:
    """A warning for each measurement made above what the part is rated for: it may be damaged since."""
    trip, tripped = bench.measured.trip, bench.measured.tripped
    asked = ((Quantity.MAX_CURRENT, "A", None if trip is None else trip.current_a),
             (Quantity.MAX_VOLTAGE, "V", None if tripped is None else tripped.voltage_v))
    for quantity, unit, value in asked:
        rating = rating_for_supply(bench.numbers, quantity, "dc")
        if value is not None and rating.value is not None and value > rating.value:
            yield BenchCheck(f"measured above {quantity.value}", value, None, rating.value, unit,
                             BenchVerdict.OUTSIDE,
                             "the measurement itself exceeded the rating: the part may arc, "
                             "burn or be damaged; do not repeat it, and do not use this sample",
                             readings_to_source(rating.readings))


def _held(bench: _Bench, held: HeldCurrent) -> BenchCheck:
    """A current carried for minutes: below hold it must be, above trip it may not be."""
    name, ambient_c = f"held {held.current_a:g} A for {held.minutes:g} min", bench.measured.ambient_c
    if ambient_c is None:
        return _not_comparable(name, held.current_a, "A", "the ambient is unknown")
    hold, trip = bench.derating.hold(ambient_c), bench.derating.trip(ambient_c)
    if held.minutes < HOLD_TEST_MIN:
        return _not_comparable(name, held.current_a, "A", f"makers hold for {HOLD_TEST_MIN:g} minutes: a "
                                                          f"shorter "
                               "test shows nothing", hold.readings)
    least_a = held.current_a * (1.0 - bench.measured.meter_accuracy)
    if trip.value is not None and least_a > trip.value:
        return BenchCheck(name, held.current_a, None, trip.value, "A", BenchVerdict.OUTSIDE,
                          "above the current that surely trips it here: a larger part, or a cooler place",
                          readings_to_source(trip.readings))
    if hold.value is None:
        return _not_comparable(name, held.current_a, "A", hold.note, hold.readings)
    shown = least_a >= hold.value * (1.0 - 2.0 * bench.measured.meter_accuracy)
    words = "it holds what it must" if shown else (
        f"less than the {hold.value:.4g} A it must hold here: that much is shown, no more")
    return BenchCheck(name, held.current_a, None, trip.value, "A", BenchVerdict.FITS, words,
                      readings_to_source(hold.readings + trip.readings))


def _initial_resistance(bench: _Bench) -> BenchCheck:
    """Resistance by the small steps, leads taken off, against smallest and post-trip resistance."""
    name = "initial_resistance"
    raw_ohm = _cold_resistance_ohm(bench)
    if isinstance(raw_ohm, str):
        return _not_comparable(name, None, "ohm", raw_ohm)
    lead_ohm = bench.measured.lead_ohm
    if lead_ohm is None:
        return _not_comparable(name, raw_ohm, "ohm", "the resistance of the meter leads is unknown: touch "
                               "the tips together and state it, or measure with four wires")
    ohm = raw_ohm - lead_ohm
    low, high = bench.resistance(Kind.MIN), bench.resistance(Kind.POST_TRIP_MAX)
    why = bench.away_from_reference() or _why_none(low, high)
    if why:
        return _not_comparable(name, ohm, "ohm", why, low.readings + high.readings)
    reason = _resistance_to_reason(ohm, low.value, bench.resistance(Kind.MAX).value, high.value)
    return _ranged(name, ohm, (low, high), "ohm", reason, 2.0 * bench.measured.meter_accuracy)


def _cold_resistance_ohm(bench: _Bench) -> float | str:
    """Resistance by the steps that do not warm the part, leads still in it, or why it cannot be told."""
    hold_a = bench.derating.rated_hold()[1].value
    cool = [s for s in bench.measured.drops if hold_a is None or s.current_a <= SELF_HEATING_SHARE * hold_a]
    if not cool:
        return (f"every step exceeds {SELF_HEATING_SHARE:.0%} of the hold current and warms the part: "
                "measure with less")
    each = [step.voltage_v / step.current_a for step in cool]
    if max(each) > min(each) * (1.0 + STEPS_AGREE + 2.0 * bench.measured.meter_accuracy):
        told = ", ".join(f"{ohm:.4g} ohm at {s.current_a:g} A" for ohm, s in zip(each, cool, strict=True))
        return (f"the steps disagree: {told}. A loose contact, a wrong range, or a part that warms: measure "
                "anew, nothing is averaged")
    return sum(s.voltage_v * s.current_a for s in cool) / sum(s.current_a**2 for s in cool)


def _resistance_to_reason(
    ohm: float, least_ohm: float | None, delivered_ohm: float | None, tripped_ohm: float | None
) -> str:
    """What a resistance tells of a part, by the three limits of its sheet."""
    if least_ohm is not None and ohm < least_ohm:
        return "below the smallest as delivered: another part, or too much taken off for the leads"
    if tripped_ohm is not None and ohm > tripped_ohm:
        return "above the largest after a trip: aged, damaged, another part, or a bad contact"
    if delivered_ohm is not None and ohm > delivered_ohm:
        return "above the largest as delivered, within that after a trip or soldering: heated before"
    return "within the sheet's limits"


def _trip_current(bench: _Bench, current_a: float) -> BenchCheck:
    """A part may not trip at a current it must hold."""
    if bench.measured.ambient_c is None:
        return _not_comparable("trip_current", current_a, "A", "the ambient is unknown")
    hold = bench.derating.hold(bench.measured.ambient_c)
    if hold.value is None:
        return _not_comparable("trip_current", current_a, "A", hold.note, hold.readings)
    outside = current_a <= hold.value
    reason = ("it tripped at a current it must hold here: weakened, a smaller part, or a warmer place"
              if outside else "above the hold current, where it may or must trip")
    return BenchCheck("trip_current", current_a, hold.value, None, "A",
                      BenchVerdict.OUTSIDE if outside else BenchVerdict.FITS, reason,
                      readings_to_source(hold.readings))


def _trip_time(bench: _Bench, current_a: float, time_s: float) -> BenchCheck:
    """Time to trip against the longest the sheet guarantees at that current and ambient."""
    ambient_c = bench.measured.ambient_c
    if ambient_c is None:
        return _not_comparable("trip_time", time_s, "s", "the ambient is unknown")
    times = TripTimes(bench.numbers, bench.derating, bench.switching_c)
    expected = times.at(current_a, ambient_c)
    shortest_s = _shortest_s(bench, expected)
    if shortest_s is not None and time_s < shortest_s:
        return BenchCheck("trip_time", time_s, shortest_s, expected.guaranteed_s, "s", BenchVerdict.OUTSIDE,
                          "faster than the part with the most resistance could be, by the models: a smaller "
                          "part, as counterfeits are, or one that was warm",
                          readings_to_source(expected.readings))
    longest_s, allowance = expected.guaranteed_s, ""
    if longest_s is None:
        longest_s, allowance = _longest_nearby(bench, times, current_a, ambient_c)
    if longest_s is not None:
        outside = time_s > longest_s
        reason = "longer than the sheet allows" if outside else "within the longest time of the sheet"
        reason += allowance
        return BenchCheck("trip_time", time_s, None, longest_s, "s",
                          BenchVerdict.OUTSIDE if outside else BenchVerdict.FITS, reason,
                          readings_to_source(expected.readings))
    why = expected.note or "the sheet guarantees no time at so small a current or so cold an ambient"
    if expected.low_s is not None and expected.high_s is not None:
        why += (f"; the longest time would be {expected.low_s:.3g} to {expected.high_s:.3g} s by "
                f"{MODEL_NOTE}: measure at the sheet's test current and ambient")
    return _not_comparable("trip_time", time_s, "s", why, expected.readings)


def _shortest_s(bench: _Bench, expected: TripTime) -> float | None:
    """The shortest time any part of this type may take, s: the models' low end times R_min / R_1max; None
    without them."""
    low, high = bench.resistance(Kind.MIN), bench.resistance(Kind.POST_TRIP_MAX)
    if expected.low_s is None or low.value is None or not high.value or math.isinf(expected.low_s):
        return None
    return expected.low_s * min(1.0, low.value / high.value)


def _longest_nearby(
    bench: _Bench, times: TripTimes, current_a: float, ambient_c: float
) -> tuple[float | None, str]:
    """On a bench only a little colder than the sheet: the sheet's longest time, stretched by the adiabatic
    law.
    """
    reference_c = bench.derating.rated_hold()[0]
    if reference_c is None or reference_c >= bench.switching_c:
        return None, ""
    if not 0.0 < reference_c - ambient_c <= NEAR_REFERENCE_K:
        return None, ""
    there_s = times.at(current_a, reference_c).guaranteed_s
    if there_s is None:
        return None, ""
    longer = way_to_switching(ambient_c, reference_c, bench.switching_c)
    return there_s * longer, f", with {longer - 1:.1%} more for the colder bench by the adiabatic model"


def _tripped_power(bench: _Bench, tripped: MeasuredTripped) -> BenchCheck:
    """Power of the tripped part against the sheet's, brought to the same ambient by the model."""
    power_w = tripped.current_a * tripped.voltage_v
    stated = tripped_power(bench.numbers)
    ambient_c = bench.measured.ambient_c
    if stated.value is None or ambient_c is None:
        why = stated.note if stated.value is None else "the ambient is unknown"
        return _not_comparable("tripped_power", power_w, "W", why, stated.readings)
    reading = stated.readings[0]
    known_c = reading.ambient_c if reading.ambient_c is not None else bench.derating.rated_hold()[0]
    if known_c is None or max(ambient_c, known_c) >= bench.switching_c:
        return _not_comparable("tripped_power", power_w, "W", "the ambient of the sheet's power is unknown"
                               if known_c is None else "an ambient lies above the switching temperature",
                               stated.readings)
    here_w = tripped_power_at_w(stated.value, ambient_c, known_c, bench.switching_c)
    if reading.kind is Kind.MAX:
        low_w, high_w, words = None, here_w, "largest"
    else:
        low_w, high_w = here_w * (1 - TYPICAL_SPREAD), here_w * (1 + TYPICAL_SPREAD)
        words = f"typical, taken as ± {TYPICAL_SPREAD:.0%}"
    fits = (low_w is None or power_w >= low_w) and power_w <= high_w
    reason = (f"{words} power of {here_w:.3g} W at {ambient_c:g} °C by the model"
              + ("" if fits else ": another part, a draught, or not yet steady"))
    return BenchCheck("tripped_power", power_w, low_w, high_w, "W",
                      BenchVerdict.FITS if fits else BenchVerdict.OUTSIDE, reason,
                      readings_to_source(stated.readings))


def _surface(tripped: MeasuredTripped, surface_c: float) -> BenchCheck:
    """Surface of the tripped part against the usual range, if the thermometer had time."""
    lag_s, settled_s = tripped.thermometer_lag_s, tripped.settled_s
    if lag_s is None or settled_s is None:
        return _not_comparable("surface_temperature", surface_c, "°C",
                               "thermometer_lag_s and settled_s are unknown: it may have shown too little")
    if settled_s < LAGS_TO_SETTLE * lag_s:
        return _not_comparable("surface_temperature", surface_c, "°C",
                               f"read after {settled_s:g} s; the thermometer needs "
                               f"{LAGS_TO_SETTLE * lag_s:g} s")
    low_c, high_c = USUAL_SURFACE_C
    if COOLEST_SKIN_C <= surface_c < low_c:
        return _not_comparable("surface_temperature", surface_c, "°C",
                               f"cooler than the {low_c:g} to {high_c:g} °C usual in published datasheets; "
                               "yet a sound battery strap was measured at 64 °C")
    fits = low_c <= surface_c <= high_c
    return BenchCheck("surface_temperature", surface_c, low_c, high_c, "°C",
                      BenchVerdict.FITS if fits else BenchVerdict.OUTSIDE,
                      "usual for tripped parts in published datasheets; this sheet's own figure is not read")


def _recovery(bench: _Bench, after_ohm: float, after_s: float) -> BenchCheck:
    """Resistance an hour after the trip, leads taken off, against the post-trip resistance."""
    high = bench.resistance(Kind.POST_TRIP_MAX)
    lead_ohm = bench.measured.lead_ohm
    why = bench.away_from_reference() or _why_none(high)
    if lead_ohm is None:
        why = "the resistance of the meter leads is unknown"
    elif after_s < RECOVERED_AFTER_S:
        why = f"measured {after_s:g} s after the trip; sheets state it after {RECOVERED_AFTER_S:g} s"
    if why or lead_ohm is None:
        return _not_comparable("recovery", after_ohm, "ohm", why, high.readings)
    ohm = after_ohm - lead_ohm
    over = high.value is not None and ohm > high.value
    reason = "above the largest after a trip: damaged, aged, another part" if over else "recovered as stated"
    return _ranged("recovery", ohm, (Number(None), high), "ohm", reason, bench.measured.meter_accuracy)


def _growth(bench: _Bench, before_ohm: float, after_ohm: float) -> BenchCheck:
    """How many times its resistance before the trip a part has afterwards: no more than R_1max / R_min."""
    lead_ohm = bench.measured.lead_ohm
    low, high = bench.resistance(Kind.MIN), bench.resistance(Kind.POST_TRIP_MAX)
    why = "the resistance of the meter leads is unknown" if lead_ohm is None else _why_none(low, high)
    if why or lead_ohm is None or not low.value or high.value is None:
        return _not_comparable("growth by the trip", None, "1", why, low.readings + high.readings)
    grown = (after_ohm - lead_ohm) / (before_ohm - lead_ohm)
    most = Number(high.value / low.value, readings=low.readings + high.readings)
    reason = ("more than from the smallest as delivered to the largest after a trip: damaged, or another "
              "part was "
              "measured" if grown > high.value / low.value else "no more than the sheet leaves room for")
    return _ranged("growth by the trip", grown, (Number(None), most), "1", reason,
                   2.0 * bench.measured.meter_accuracy)


def _ranged(name: str, value: float, ends: tuple[Number, Number], unit: str, reason: str,
            accuracy: float) -> BenchCheck:
    """A value against its limits, which the accuracy of the meter widens: nearer than that nothing is
    said."""
    low, high = ends
    outside = (low.value is not None and value < low.value) or (high.value is not None and value > high.value)
    nearer = any(end.value is not None and abs(value - end.value) <= accuracy * value for end in ends)
    verdict = BenchVerdict.OUTSIDE if outside else BenchVerdict.FITS
    if nearer and accuracy > 0.0:
        verdict, reason = BenchVerdict.NOT_COMPARABLE, f"nearer to the limit than the meter is sure: {reason}"
    return BenchCheck(name, value, low.value, high.value, unit, verdict, reason,
                      readings_to_source(low.readings + high.readings))


def _why_none(*numbers: Number) -> str:
    return next((number.note for number in numbers if number.value is None), "")


def _not_comparable(
    name: str, measured: float | None, unit: str, why: str, readings: tuple[Reading, ...] = ()
) -> BenchCheck:
    return BenchCheck(name, measured, None, None, unit, BenchVerdict.NOT_COMPARABLE, why,
                      readings_to_source(readings))
