"""What the sheet of one part lets one expect on the bench: resistance, trips, power, sizes.

Comes in: a part. Goes out: `Known`, which answers with spans and chances, each with the cells it rests on.
Does not see measurements. Spreads without a source beside them are common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from compare.derating import Derating
from compare.identify.spans import Span
from compare.packages import text_to_bodies
from compare.part_numbers import PartNumbers, part_to_numbers
from compare.records import Number
from compare.thermal import way_to_switching
from compare.trip_time import TripTimes
from compare.tripped import tripped_power_at_w
from extract.schema import Kind, Part, Particular, ParticularName, Quantity, Reading, Status

SWITCHING_C = 125.0
"""Switching temperature of general types; usual in published vendor handbooks."""
NEAR_REFERENCE_K = 5.0
"""Farther from the sheet's ambient a bench is not comparable as it is. Common practice, no source."""
AGED = 0.35
"""Scale of the tail above the post-trip resistance, natural logarithm: an aged part shows more."""
OF_LONGEST_TIME = (0.12, 0.85)
"""Where measured times lie as shares of the tabulated longest. On published sheets typical curves lie at 0.02
to 0.97 of it, in the middle at 0.36."""
LARGEST_TRIP_RATIO = 3.25
"""Trip over hold current where the sheet prints no trip current: the largest of published tables."""
CHIP_TOLERANCE_MM = 0.3
OF_POWER = {Kind.TYP: (0.75, 1.15), Kind.MAX: (0.5, 1.0), Kind.NONE: (0.55, 1.1)}
BODY = (ParticularName.BODY_LENGTH, ParticularName.BODY_WIDTH, ParticularName.BODY_HEIGHT)


@dataclass(frozen=True)
class Known:
    """A part, ready to be asked what it would show."""

    part: Part

    @cached_property
    def numbers(self) -> PartNumbers:
        """Its numbers, sorted."""
        return part_to_numbers(self.part)

    @cached_property
    def derating(self) -> Derating:
        """Its currents against ambient."""
        return Derating(self.numbers)

    @cached_property
    def times(self) -> TripTimes:
        """Its times to trip."""
        return TripTimes(self.numbers, self.derating, SWITCHING_C)

    @cached_property
    def reference_c(self) -> float | None:
        """Reference ambient of the sheet, °C."""
        return self.derating.rated_hold()[0]

    def resistance(self, kind: Kind) -> Number:
        """A limit of the resistance, ohm, or why there is none."""
        return self.numbers.number(Quantity.RESISTANCE, kind) or Number(None)

    def resistance_span(self) -> tuple[Span, tuple[Reading, ...]] | None:
        """Logarithm of the resistance of the cold part, ohm: from the smallest as delivered to the largest
        after a trip, above it an aged part."""
        low, high = self.resistance(Kind.MIN), self.resistance(Kind.POST_TRIP_MAX)
        if high.value is None:
            high = self.resistance(Kind.MAX)
        if low.value is None or high.value is None or high.value < low.value:
            return None
        return Span(math.log(low.value), math.log(high.value), 0.02, AGED), low.readings + high.readings

    def thresholds(self, ambient_c: float) -> tuple[float, float, tuple[Reading, ...]] | None:
        """Hold and trip current at an ambient, A; None where the sheet does not tell."""
        hold, trip = self.derating.hold(ambient_c), self.derating.trip(ambient_c)
        if hold.value is None or hold.value <= 0.0 or (trip.value is None and trip.readings):
            return None
        trip_a = trip.value if trip.value is not None else LARGEST_TRIP_RATIO * hold.value
        return (hold.value, trip_a, hold.readings + trip.readings) if trip_a > hold.value else None

    def trip_chance(self, current_a: float, ambient_c: float) -> float | None:
        """Chance that one such part trips at a current, given long: none below hold, sure above trip, between
        them in proportion to the logarithm; a little is left for weakened parts on both sides."""
        found = self.thresholds(ambient_c)
        if found is None:
            return None
        hold_a, trip_a, _ = found
        if current_a < hold_a:
            return max(1e-4, 0.03 * (current_a / hold_a) ** 6)
        if current_a > trip_a:
            return 1.0 - max(1e-3, 0.03 * (trip_a / current_a) ** 6)
        return 0.03 + 0.94 * math.log(current_a / hold_a) / math.log(trip_a / hold_a)

    def longest_s(self, current_a: float, ambient_c: float, accuracy: float) -> float | None:
        """Longest time to trip at a current as shown by an instrument, s, or None where the sheet guarantees
        none near it. Current error and a bench a little colder than the sheet lengthen it: I²t is constant
        and in proportion to the way to the switching temperature (adiabatic model)."""
        reference_c, longer = self.reference_c, 1.0
        if reference_c is not None and 0.0 < reference_c - ambient_c <= NEAR_REFERENCE_K:
            longer, ambient_c = way_to_switching(ambient_c, reference_c, SWITCHING_C), reference_c
        longest_s = self.times.at(current_a * (1.0 + accuracy), ambient_c).guaranteed_s
        return None if longest_s is None else longest_s * longer * ((1.0 + accuracy) / (1.0 - accuracy)) ** 2

    def time_span(self, current_a: float, ambient_c: float) -> tuple[Span, tuple[Reading, ...]] | None:
        """Logarithm of the time to trip, s."""
        time = self.times.at(current_a, ambient_c)
        low_s, high_s = time.low_s, time.high_s
        if low_s is None or high_s is None or low_s == math.inf:
            return None
        if high_s == math.inf:
            high_s = 10.0 * low_s
        if time.guaranteed_s is not None:
            high_s = min(high_s, time.guaranteed_s)
        least, most = (0.6, 1.4) if time.typical else OF_LONGEST_TIME
        low, high = math.log(least * min(low_s, high_s)), math.log(most * high_s)
        return Span(low, high, 0.6, 0.15), time.readings

    def power_span(self, ambient_c: float) -> tuple[Span, tuple[Reading, ...]] | None:
        """Logarithm of the power of the tripped part, W, brought to the ambient by the model."""
        for kind, (least, most) in OF_POWER.items():
            number = self.numbers.number(Quantity.TRIPPED_POWER, kind)
            if number is not None and number.value is not None:
                stated_c = number.readings[0].ambient_c if number.readings[0].ambient_c else self.reference_c
                if stated_c is None or max(stated_c, ambient_c) >= SWITCHING_C:
                    return None
                power_w = tripped_power_at_w(number.value, ambient_c, stated_c, SWITCHING_C)
                return Span(math.log(least * power_w), math.log(most * power_w), 0.25, 0.2), number.readings
        return None

    def particulars(self, *names: ParticularName) -> list[Particular]:
        """Undisputed particulars of these names."""
        return [one for one in self.part.particulars
                if one.name in names and one.status is not Status.DISPUTED]

    def surface_span(self) -> Span | None:
        """Surface of the tripped part, °C."""
        for one in self.particulars(ParticularName.SURFACE_TEMPERATURE):
            if one.value is not None:
                low_c, high_c = ((one.value - 10.0, one.value + 10.0) if one.kind is Kind.TYP
                                 else (one.value - 45.0, one.value))
                return Span(low_c, high_c, 12.0, 8.0)
        return None

    def size_span(self, name: ParticularName) -> Span | None:
        """A size, mm: by the sheet's own limits, else by its package code."""
        limits = {one.kind: one.value for one in self.particulars(name) if one.value is not None}
        span = limits_to_span(limits)
        if span is None and name in BODY[:2]:
            sides = self.package_mm
            if sides is not None:
                side_mm = sides[BODY.index(name)]
                span = Span(side_mm - CHIP_TOLERANCE_MM, side_mm + CHIP_TOLERANCE_MM, 0.05, 0.05)
        return span

    def letter_spans(self) -> tuple[Span, ...]:
        """Every letter of the sheet's drawing, mm: which side it is only the drawing tells."""
        by_letter: dict[str, dict[Kind, float]] = {}
        for one in self.particulars(ParticularName.DIMENSION):
            if one.value is not None:
                by_letter.setdefault(one.label, {})[one.kind] = one.value
        spans = (limits_to_span(limits) for limits in by_letter.values())
        return tuple(span for span in spans if span is not None)

    @property
    def package_mm(self) -> tuple[float, float] | None:
        """Length and width of the one package code the sheet names for the part, mm."""
        texts = [text.text for text in self.part.texts if text.name == "package"]
        texts += [one.text for one in self.particulars(ParticularName.PACKAGE)]
        bodies = {body for text in texts for body in text_to_bodies(text)}
        return next(iter(bodies)) if len(bodies) == 1 else None

    @property
    def markings(self) -> tuple[str, ...]:
        """Texts that may stand on the body, as the sheet prints them; empty where it names none."""
        texts = [text.text for text in self.part.texts if text.name == "marking"]
        texts += [one.text for one in self.particulars(ParticularName.MARKING)]
        return tuple(dict.fromkeys(text for text in texts if any(map(str.isalnum, text))))


def limits_to_span(limits: dict[Kind, float]) -> Span | None:
    """The span of a size of which the sheet gives smallest, largest or nominal, mm."""
    low, high, nominal = (limits.get(kind) for kind in (Kind.MIN, Kind.MAX, Kind.TYP))
    nominal = nominal if nominal is not None else limits.get(Kind.NONE)
    if nominal is not None:
        low = 0.93 * nominal if low is None else low
        high = 1.07 * nominal if high is None else high
    if low is None and high is None:
        return None
    if low is None and high is not None:
        low = 0.75 * high  # a largest size alone: bodies seldom stay farther below it
    if high is None and low is not None:
        high = 1.25 * low
    assert low is not None
    assert high is not None
    return Span(low, high, 0.05, 0.05) if low <= high else None
