"""Rules of order: which of two numbers of one part must be the larger.

Comes in: one part's numbers. Goes out: suspicions. Knows no ratios: ratios.py does.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from extract.checks import codes
from extract.checks.limits import Limits
from extract.checks.numbers import Number, PartNumbers
from extract.checks.suspicions import Suspicion
from extract.checks.writing import number_to_name, number_to_text
from extract.schema import Kind, Quantity, Severity

LIMITS_RISING = (Kind.MIN, Kind.TYP, Kind.MAX, Kind.POST_TRIP_MAX)


def part_to_hold_and_trip(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:  # noqa: ARG001
    """Trip current is above hold current at every ambient (ITU-T K.82 defines both so)."""
    pairs = [(part.hold, part.trip)] if part.hold and part.trip else []
    holds = {p.ambient_c: p.number for p in part.hold_row if p.number is not part.hold}
    pairs += [
        (holds[p.ambient_c], p.number)
        for p in part.trip_row
        if p.ambient_c in holds and p.number is not part.trip
    ]
    for hold, trip in pairs:
        assert hold is not None
        assert trip is not None
        if (
            trip.quantity is Quantity.TRIP_CURRENT
            and hold.quantity is Quantity.HOLD_CURRENT
            and trip.value <= hold.value
        ):
            yield Suspicion(
                codes.TRIP_NOT_ABOVE_HOLD,
                Severity.ERROR,
                part,
                (trip, hold),
                "a trip current above the hold current",
                f"{number_to_name(trip)} {number_to_text(trip)} is not above"
                f" {number_to_name(hold)} {number_to_text(hold)}",
            )


def part_to_resistance_order(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:  # noqa: ARG001
    """Smallest, typical, largest and post-trip resistance rise in this order."""
    present = [n for kind in LIMITS_RISING if (n := part.get(Quantity.RESISTANCE, kind)) is not None]
    for low, high in pairwise(present):
        if low.value > high.value:
            yield Suspicion(
                codes.RESISTANCE_ORDER,
                Severity.ERROR,
                part,
                (low, high),
                f"{number_to_name(low)} at most {number_to_name(high)}",
                f"{number_to_name(low)} {number_to_text(low)} is above"
                f" {number_to_name(high)} {number_to_text(high)}",
            )


def part_to_kinds(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:  # noqa: ARG001
    """A typical power is at most the largest; an AC rating is seldom above the DC rating; a part
    interrupts at least its rated voltage."""
    typical, largest = part.get(Quantity.TRIPPED_POWER, Kind.TYP), part.get(Quantity.TRIPPED_POWER, Kind.MAX)
    if typical and largest and typical.value > largest.value:
        yield _above(codes.TYPICAL_ABOVE_MAXIMUM, Severity.ERROR, part, typical, largest)
    for quantity in (Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT):
        ac, dc = part.get(quantity, Kind.AC), part.get(quantity, Kind.DC)
        if ac and dc and ac.value > dc.value:
            yield _above(codes.AC_ABOVE_DC, Severity.DOUBT, part, ac, dc)
    rated = part.get(Quantity.MAX_VOLTAGE, Kind.NONE, Kind.DC, Kind.AC)
    interrupt = part.get(Quantity.MAX_INTERRUPT_VOLTAGE, Kind.NONE, Kind.DC, Kind.AC)
    if rated and interrupt and interrupt.value < rated.value:
        yield _above(codes.INTERRUPT_BELOW_RATED, Severity.DOUBT, part, rated, interrupt)


def part_to_test_current(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:  # noqa: ARG001
    """A time to trip is stated at a current that trips, and that the part survives."""
    largest = part.get(Quantity.MAX_CURRENT, Kind.NONE, Kind.DC, Kind.AC)
    for time in part.times:
        current = time.test_current_a
        if current is None:
            continue
        if part.hold and current <= part.hold.value:
            yield _test(codes.TEST_CURRENT_BELOW_HOLD, Severity.ERROR, part, (time, part.hold), "above")
        elif part.trip and current < part.trip.value:
            yield _test(codes.TEST_CURRENT_BELOW_TRIP, Severity.DOUBT, part, (time, part.trip), "at least")
        if largest and current > largest.value:
            yield _test(codes.TEST_CURRENT_ABOVE_MAXIMUM, Severity.DOUBT, part, (time, largest), "at most")


def part_to_times(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:  # noqa: ARG001
    """A larger current trips sooner."""
    times = sorted(
        (t for t in part.times if t.test_current_a is not None), key=lambda t: t.test_current_a or 0
    )
    for slow, fast in pairwise(times):
        if slow.test_current_a != fast.test_current_a and fast.value > slow.value:
            yield Suspicion(
                codes.TIME_RISES_WITH_CURRENT,
                Severity.ERROR,
                part,
                (fast, slow),
                f"at most {number_to_text(slow)}",
                f"trips in {number_to_text(fast)} at {fast.test_current_a:g} A but in"
                f" {number_to_text(slow)} at {slow.test_current_a:g} A",
            )


def _above(code: codes.Code, severity: Severity, part: PartNumbers, high: Number, low: Number) -> Suspicion:
    return Suspicion(
        code,
        severity,
        part,
        (high, low),
        f"{number_to_name(high)} at most {number_to_name(low)}",
        f"{number_to_name(high)} {number_to_text(high)} is above {number_to_name(low)} {number_to_text(low)}",
    )


def _test(
    code: codes.Code, severity: Severity, part: PartNumbers, pair: tuple[Number, Number], word: str
) -> Suspicion:
    time, other = pair
    return Suspicion(
        code,
        severity,
        part,
        pair,
        f"a test current {word} {number_to_text(other)}",
        f"time to trip is stated at {time.test_current_a:g} A; {number_to_name(other)} is"
        f" {number_to_text(other)}",
    )
