"""Every measurement on an unknown part, held against one known part: how likely it is there.

Comes in: `Seen` and `Known`. Goes out: `Clue`s, independent of each other: each with the logarithm of its
likelihood, what the sheet lets one expect, and why it speaks against the part. Does not rank parts.

A number the sheet does not give, or that is disputed, makes its clue neutral: the measurement then is as
likely as anywhere in the trade's range. What no sound or aged part can show excludes the part.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain

from compare.identify.known import BODY, NEAR_REFERENCE_K, Known
from compare.identify.markings import (
    LEAST,
    is_same_but_for_look_alikes,
    marking_to_log_likelihood,
    text_to_letters,
)
from compare.identify.seen import Drop, Held, Seen, Tripped, TrippedState
from compare.identify.spans import Span
from compare.records import readings_to_source
from extract.schema import ParticularName, Reading

RESISTANCE_RANGE = Span(math.log(0.001), math.log(50.0), 0.5, 0.5)
TIME_RANGE = Span(math.log(0.008), math.log(40.0), 0.5, 0.5)
POWER_RANGE = Span(math.log(0.05), math.log(15.0), 0.5, 0.5)
SURFACE_RANGE = Span(85.0, 160.0, 15.0, 15.0)
SIZE_RANGE = Span(0.5, 30.0, 1.0, 5.0)
"""Ranges seen over published tables: what a sheet that is silent leaves open."""
UNKNOWN_LEADS_OHM = 0.5
"""What two meter leads may add where nobody measured them. Common practice, no source."""
SELF_HEATING_SHARE = 0.25
"""Currents above this share of the hold current warm the part. Common practice, no source."""
LONG_S = 3600.0
"""Tests of hold and trip last at most this long in published vendor data."""
WEAKEST_SHARE = 0.5
"""A part whose resistance has grown to four times its limit holds half as much: I² R is constant by the heat
balance. Below this it is no such part, or destroyed."""
SLOWED = 1.3
"""Heavy leads and copper lengthen a time to trip; not more than this. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Clue:
    """One measurement against one part. log_likelihood: natural logarithm; expected: what the sheet says;
    against: why it speaks against the part, empty where it does not; excludes: whether no such part can
    show it; aged: whether only an aged part shows it; neutral: whether the sheet says nothing of it."""

    name: str
    seen: str
    expected: str
    log_likelihood: float
    against: str = ""
    excludes: bool = False
    aged: bool = False
    neutral: bool = False
    readings: tuple[Reading, ...] = ()

    @property
    def source(self) -> str:
        """Document, page and printed text of every cell it was compared with."""
        return readings_to_source(self.readings)


def seen_to_clues(seen: Seen, known: Known) -> tuple[Clue, ...]:
    """One clue for each thing seen or measured, in the order of the file."""
    groups: Iterable[Iterable[Clue]] = (
        _marking(seen, known), _sizes(seen, known), _resistance(seen, known),
        (_held(held, seen, known) for held in seen.held),
        (_trip(trip, seen, known) for trip in seen.trips),
        _tripped(seen.tripped, seen, known) if seen.tripped is not None else ())
    return tuple(chain.from_iterable(groups))


def _marking(seen: Seen, known: Known) -> Iterator[Clue]:
    """The marking against those of the sheet, else against the part number, of which it often is a piece."""
    if not seen.marking:
        return
    if known.markings:
        best = max(known.markings, key=lambda text: marking_to_log_likelihood(seen.marking, text))
        likely = marking_to_log_likelihood(seen.marking, best)
        same = text_to_letters(seen.marking) == text_to_letters(best)
        if same or is_same_but_for_look_alikes(seen.marking, best):
            against = "" if same else "the same but for characters that look alike"
        else:
            against = f"the sheet marks it {best}"
        yield Clue("marking", seen.marking, best, likely, against)
        return
    letters, number = text_to_letters(seen.marking), text_to_letters(known.part.part_number)
    inside = len(letters) >= 2 and letters in number
    likely = math.log(0.2 if inside else 0.02)
    yield Clue("marking", seen.marking, f"not in the sheet; the part number is {known.part.part_number}",
               max(likely, LEAST), neutral=not inside)


def _sizes(seen: Seen, known: Known) -> Iterator[Clue]:
    for name, value_mm in ((BODY[0], seen.length_mm), (BODY[1], seen.width_mm), (BODY[2], seen.height_mm),
                           (ParticularName.LEAD_SPACING, seen.lead_spacing_mm)):
        if value_mm is not None:
            yield _size(name, value_mm, seen.calliper_accuracy_mm, known)


def _size(name: ParticularName, value_mm: float, accuracy_mm: float, known: Known) -> Clue:
    title, shown, span = name.value.replace("_", " "), f"{value_mm:g} mm", known.size_span(name)
    if span is None and (letters := known.letter_spans()):
        return _lettered(title, value_mm, accuracy_mm, letters)
    if span is None:
        return Clue(title, shown, "not in the sheet", SIZE_RANGE.log_density(value_mm), neutral=True)
    expected = f"{span.low:.3g} to {span.high:.3g} mm"
    slack_mm = 3.0 * accuracy_mm + max(0.5, 0.15 * value_mm)
    outside = not span.low - slack_mm <= value_mm <= span.high + slack_mm
    # sheets name length, width and height in other orders too: another side that fits excludes nothing
    others = [known.size_span(side) for side in BODY if side is not name]
    other_side = name in BODY and any(
        side.low - slack_mm <= value_mm <= side.high + slack_mm for side in others if side is not None)
    return Clue(title, shown, expected, span.widened(accuracy_mm / 2).log_density(value_mm),
                f"{shown}, where the sheet says {expected}" if outside else "", outside and not other_side)


def _lettered(title: str, value_mm: float, accuracy_mm: float, letters: tuple[Span, ...]) -> Clue:
    """A side against letters of a drawing: each may be it, as likely as any other; it excludes nothing."""
    logs = [span.widened(accuracy_mm / 2).log_density(value_mm) for span in letters]
    best = max(logs)
    likely = best + math.log(math.fsum(math.exp(one - best) for one in logs) / len(logs))
    expected = " or ".join(f"{span.low:.3g} to {span.high:.3g}" for span in letters[:4])
    return Clue(title, f"{value_mm:g} mm", f"one of the drawing's letters: {expected} mm", likely)


def _resistance(seen: Seen, known: Known) -> Iterator[Clue]:
    """Resistance by the meter, else by the smallest drop; further drops are the same resistance again."""
    lead_ohm, shown_ohm = seen.lead_ohm, seen.resistance_ohm
    if shown_ohm is None:
        drop = next(iter(seen.drops), None)
        if drop is not None:
            yield _by_drop(drop, seen, known)
        return
    accuracy_ohm = seen.resistance_accuracy_ohm or math.hypot(0.02 * shown_ohm, 0.01)
    value_ohm = shown_ohm - (lead_ohm or 0.0)
    yield _ohms("resistance", value_ohm, accuracy_ohm, seen, known, None if lead_ohm is not None
                else UNKNOWN_LEADS_OHM)


def _by_drop(drop: Drop, seen: Seen, known: Known) -> Clue:
    value_ohm = drop.voltage_v / drop.current_a
    hold_a = known.derating.rated_hold()[1].value
    warm = hold_a is not None and drop.current_a > SELF_HEATING_SHARE * hold_a
    accuracy_ohm = value_ohm * (2.0 * seen.current_accuracy + (0.25 if warm else 0.0))
    return _ohms("resistance by its voltage drop", value_ohm, accuracy_ohm, seen, known, None)


def _ohms(name: str, value_ohm: float, accuracy_ohm: float, seen: Seen, known: Known,
          leads_ohm: float | None) -> Clue:
    """A resistance, with leads taken off, or with unknown leads still in it."""
    shown = f"{value_ohm:.4g} ohm" + ("" if leads_ohm is None else " with leads")
    found = known.resistance_span()
    if found is None:
        return Clue(name, shown, "not in the sheet", RESISTANCE_RANGE.log_density(math.log(value_ohm)),
                    neutral=True)
    span, readings = found
    if leads_ohm is not None:
        span = Span(span.low, math.log(math.exp(span.high) + leads_ohm), span.below, span.above)
    away_k = _away_k(seen, known)
    spread = math.hypot(accuracy_ohm / value_ohm, 0.01 * min(away_k, 50.0))
    low_ohm, high_ohm = math.exp(span.low), math.exp(span.high)
    expected = f"{low_ohm:.4g} to {high_ohm:.4g} ohm"
    too_small = value_ohm + 3.0 * accuracy_ohm < 0.95 * low_ohm and away_k <= NEAR_REFERENCE_K
    above = value_ohm > high_ohm + accuracy_ohm
    against = ""
    if too_small:
        against = f"{shown} is below the smallest as delivered, {low_ohm:.4g} ohm; ageing only adds"
    elif above:
        against = f"{value_ohm / high_ohm:.2g} times the largest of the sheet: only if aged or just heated"
    return Clue(name, shown, expected, span.widened(spread).log_density(math.log(value_ohm)), against,
                too_small, above, readings=readings)


def _away_k(seen: Seen, known: Known) -> float:
    """How far the bench is from the sheet's ambient, K; far where one of them is unknown."""
    if seen.ambient_c is None or known.reference_c is None:
        return 10.0
    return abs(seen.ambient_c - known.reference_c)


def _held(held: Held, seen: Seen, known: Known) -> Clue:
    """A current carried without tripping: unlikely above the trip current, impossible if it lasted."""
    name, shown = "carried", f"{held.current_a:g} A for {held.time_s:g} s"
    ambient_c = seen.ambient_c
    found = None if ambient_c is None else known.thresholds(ambient_c)
    if ambient_c is None or found is None:
        return Clue(name, shown, _why_not(ambient_c), math.log(0.5), neutral=True)
    hold_a, trip_a, readings = found
    least_a = held.current_a * (1.0 - seen.current_accuracy)
    longest_s = known.longest_s(held.current_a, ambient_c, seen.current_accuracy)
    enough_s = min(LONG_S, longest_s * SLOWED) if longest_s is not None else LONG_S
    chance = known.trip_chance(held.current_a, ambient_c) or 0.0
    excludes = least_a > trip_a and held.time_s >= enough_s
    against = f"it must trip above {trip_a:.3g} A here" if held.current_a > trip_a else ""
    likely = 1.0 - chance * min(1.0, held.time_s / enough_s)
    return Clue(name, shown, f"holds {hold_a:.3g} A, must trip at {trip_a:.3g} A", math.log(likely),
                against, excludes, readings=readings)


def _why_not(ambient_c: float | None) -> str:
    return "the ambient is unknown" if ambient_c is None else "the sheet does not tell at this ambient"


def _trip(trip: Tripped, seen: Seen, known: Known) -> Clue:
    """A current that tripped it, and the time, together: the time means something only with the current."""
    shown = f"{trip.current_a:g} A" + ("" if trip.time_s is None else f" in {trip.time_s:g} s")
    ambient_c = seen.ambient_c
    found = None if ambient_c is None else known.thresholds(ambient_c)
    silent = 0.0 if trip.time_s is None else TIME_RANGE.log_density(math.log(trip.time_s))
    if ambient_c is None or found is None:
        return Clue("tripped", shown, _why_not(ambient_c), math.log(0.5) + silent, neutral=True)
    hold_a, trip_a, readings = found
    most_a = trip.current_a * (1.0 + seen.current_accuracy)
    likely = math.log(known.trip_chance(trip.current_a, ambient_c) or 0.5)
    expected = f"holds {hold_a:.3g} A, must trip at {trip_a:.3g} A"
    excludes, aged, against = False, False, ""
    if most_a < hold_a:
        excludes, aged = most_a < WEAKEST_SHARE * hold_a, True
        against = f"it tripped at {trip.current_a:g} A and this part holds {hold_a:.3g} A here" + (
            "" if excludes else ": only if weakened")
    if trip.time_s is None:
        return Clue("tripped", shown, expected, likely, against, excludes, aged, readings=readings)
    timed = known.time_span(trip.current_a, ambient_c)
    if timed is None:
        return Clue("tripped", shown, expected, likely + silent, against, excludes, aged, readings=readings)
    span, cells = timed
    longest_s = known.longest_s(trip.current_a, ambient_c, seen.current_accuracy)
    if longest_s is not None and trip.time_s > longest_s * SLOWED:
        excludes, against = True, f"it took {trip.time_s:g} s; this part takes at most {longest_s:.3g} s"
    expected += f", in {math.exp(span.low):.2g} to {math.exp(span.high):.2g} s"
    likely += span.widened(2.0 * seen.current_accuracy).log_density(math.log(trip.time_s))
    return Clue("tripped", shown, expected, likely, against, excludes, aged, readings=readings + cells)


def _tripped(state: TrippedState, seen: Seen, known: Known) -> Iterator[Clue]:
    """Power of the tripped part, and its surface."""
    power_w = state.current_a * state.voltage_v
    found = None if seen.ambient_c is None else known.power_span(seen.ambient_c)
    if found is None:
        yield Clue("tripped power", f"{power_w:.3g} W", "not known",
                   POWER_RANGE.log_density(math.log(power_w)), neutral=True)
    else:
        span, readings = found
        yield Clue("tripped power", f"{power_w:.3g} W",
                   f"{math.exp(span.low):.2g} to {math.exp(span.high):.2g} W",
                   span.widened(2.0 * seen.current_accuracy).log_density(math.log(power_w)),
                   readings=readings)
    if state.surface_c is not None:
        surface = known.surface_span()
        yield Clue("surface when tripped", f"{state.surface_c:g} °C",
                   "not in the sheet" if surface is None else f"{surface.low:.0f} to {surface.high:.0f} °C",
                   (surface or SURFACE_RANGE).log_density(state.surface_c), neutral=surface is None)
