"""Which measurement separates best what cannot yet be told apart.

Comes in: parts, how likely each is, what was seen already. Goes out: measurements with what each would tell
on average (mutual information, bits), best first. Suggests nothing beyond a part's ratings, and nothing that
was measured already.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from compare.identify.clues import (
    POWER_RANGE,
    RESISTANCE_RANGE,
    SIZE_RANGE,
    TIME_RANGE,
)
from compare.identify.known import BODY, Known
from compare.identify.markings import text_to_letters
from compare.identify.seen import Seen
from compare.identify.spans import Span, chances_to_information, spans_to_information
from extract.schema import ParticularName, Quantity, Status

LEAST_BITS = 0.1
"""Less than this is not worth the solder. Common practice, no source."""
ROOM_C = 23.0
SIZES = (*BODY, ParticularName.LEAD_SPACING)


@dataclass(frozen=True, slots=True)
class NextMeasurement:
    """What to measure, how, and how many bits it tells on average (1 bit halves the choice)."""

    name: str
    how: str
    bits: float


def known_to_next(
    known: Sequence[Known], shares: Sequence[float], seen: Seen
) -> tuple[NextMeasurement, ...]:
    """Measurements worth making, the most telling first."""
    if len(known) < 2:
        return ()
    offers = [*_resistance(known, shares, seen), *_marking(known, shares, seen), *_sizes(known, shares, seen),
              *_hold_test(known, shares, seen), *_trip_time(known, shares, seen),
              *_power(known, shares, seen)]
    offers.sort(key=lambda offer: -offer.bits)
    return tuple(offer for offer in offers if offer.bits >= LEAST_BITS)


def _resistance(known: Sequence[Known], shares: Sequence[float], seen: Seen) -> Iterator[NextMeasurement]:
    if seen.four_wire and seen.resistance_ohm is not None:
        return
    spans = [found[0] if (found := one.resistance_span()) is not None else RESISTANCE_RANGE for one in known]
    if seen.resistance_ohm is None or seen.lead_ohm is None:
        yield NextMeasurement("resistance", "with four wires (or the leads taken off), cold, an hour after"
                              " any heating", spans_to_information(spans, shares))


def _marking(known: Sequence[Known], shares: Sequence[float], seen: Seen) -> Iterator[NextMeasurement]:
    """A marking tells as much as there are different ones, a tenth being lost to wear."""
    if seen.marking or not any(one.markings for one in known):
        return
    by_text: dict[str, float] = {}
    for one, share in zip(known, shares, strict=True):
        text = text_to_letters(next(iter(one.markings), ""))
        by_text[text] = by_text.get(text, 0.0) + share
    total = sum(by_text.values())
    bits = -sum(share / total * math.log2(share / total) for share in by_text.values() if share > 0.0)
    yield NextMeasurement("marking", "under a lens, with light from the side", 0.9 * bits)


def _sizes(known: Sequence[Known], shares: Sequence[float], seen: Seen) -> Iterator[NextMeasurement]:
    done = (seen.length_mm, seen.width_mm, seen.height_mm, seen.lead_spacing_mm)
    for name, value_mm in zip(SIZES, done, strict=True):
        spans = [one.size_span(name) for one in known]
        if value_mm is None and any(span is not None for span in spans):
            widened = [(span or SIZE_RANGE).widened(seen.calliper_accuracy_mm / 2) for span in spans]
            yield NextMeasurement(name.value.replace("_", " "), "by calliper",
                                  spans_to_information(widened, shares))


def _hold_test(known: Sequence[Known], shares: Sequence[float], seen: Seen) -> Iterator[NextMeasurement]:
    """The current that most evenly parts those that trip from those that hold."""
    ambient_c = seen.ambient_c if seen.ambient_c is not None else ROOM_C
    found = [limits for one in known if (limits := one.thresholds(ambient_c)) is not None]
    edges = sorted({edge for hold_a, trip_a, _ in found for edge in (hold_a, trip_a)})
    limit_a = _rated_current_a(known)
    best: tuple[float, float] | None = None
    for low_a, high_a in pairwise(edges):
        current_a = math.sqrt(low_a * high_a)
        if current_a <= limit_a:
            chances = [0.5 if (chance := one.trip_chance(current_a, ambient_c)) is None else chance
                       for one in known]
            bits = chances_to_information(chances, shares)
            best = max(best or (0.0, 0.0), (bits, current_a))
    if best is not None:
        yield NextMeasurement("whether it trips", f"at {best[1]:.3g} A and {ambient_c:g} °C, for half an"
                              " hour, from a supply that limits, below every rated voltage", best[0])


def _rated_current_a(known: Sequence[Known]) -> float:
    """The smallest rated fault current among the parts, A: no test goes beyond it."""
    rated = [reading.value for one in known for reading in one.part.readings
             if reading.quantity is Quantity.MAX_CURRENT and reading.status is not Status.DISPUTED]
    return min(rated, default=math.inf)


def _trip_time(known: Sequence[Known], shares: Sequence[float], seen: Seen) -> Iterator[NextMeasurement]:
    """Time to trip at one of the sheets' own test currents, above every trip current."""
    if any(trip.time_s is not None for trip in seen.trips):
        return
    ambient_c = seen.ambient_c if seen.ambient_c is not None else ROOM_C
    must = [limits[1] for one in known if (limits := one.thresholds(ambient_c)) is not None]
    limit_a = _rated_current_a(known)
    currents = {point.current_a for one in known for point in one.times.points}
    offers = []
    for current_a in sorted(currents):
        if must and max(must) < current_a <= limit_a:
            spans = [found[0] if (found := one.time_span(current_a, ambient_c)) is not None else TIME_RANGE
                     for one in known]
            offers.append((spans_to_information(spans, shares), current_a))
    if offers:
        bits, current_a = max(offers)
        yield NextMeasurement("time to trip", f"at {current_a:g} A from cold, below every rated voltage",
                              bits)


def _power(known: Sequence[Known], shares: Sequence[float], seen: Seen) -> Iterator[NextMeasurement]:
    if seen.tripped is not None:
        return
    ambient_c = seen.ambient_c if seen.ambient_c is not None else ROOM_C
    spans: list[Span] = [found[0] if (found := one.power_span(ambient_c)) is not None else POWER_RANGE
                         for one in known]
    yield NextMeasurement("tripped power", "current times voltage once steady, below every rated voltage",
                          spans_to_information(spans, shares))
