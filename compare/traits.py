"""What two parts are compared by, one line each: ratings, currents at ambients, times, sizes, range.

Comes in: a part, the conditions to ask it at. Goes out: `Trait`s: a number, or why there is none, and which
way is better. Does not compare: see `side_by_side` and `replacement`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from compare.corners import rating_for_supply, tripped_power
from compare.derating import Derating
from compare.packages import text_to_bodies
from compare.part_numbers import PartNumbers, part_to_numbers
from compare.records import Number, readings_to_source
from compare.requirement import Requirement
from compare.trip_time import TripTimes
from extract.schema import Kind, Part, Particular, ParticularName, Quantity, Status

SWITCHING_C = 125.0
"""Switching temperature of general types; usual in published vendor handbooks. Used by models only."""
SIZES = (ParticularName.BODY_LENGTH, ParticularName.BODY_WIDTH, ParticularName.BODY_HEIGHT)


class Better(StrEnum):
    """Which way a trait is better for a part that stands in for another."""

    HIGHER = "higher"
    LOWER = "lower"


@dataclass(frozen=True, slots=True)
class Conditions:
    """Where parts are asked: ambients, °C, of hold and of trip; test currents, A, and ambients of times; of
    the sizes, as of all, the largest the sheet allows."""

    hold_c: tuple[float, ...]
    trip_c: tuple[float, ...]
    times: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Trait:
    """One line of a comparison. particulars: what it rests on where that is no rating."""

    title: str
    unit: str
    better: Better
    number: Number
    particulars: tuple[Particular, ...] = ()


def part_to_conditions(part: Part, requirement: Requirement | None = None) -> Conditions:
    """The conditions of a requirement, else those a part's own sheet prints: reference and hottest column for
    hold, reference for trip, its test points."""
    numbers = part_to_numbers(part)
    derating = Derating(numbers)
    reference_c = derating.rated_hold()[0]
    columns = [
        ambient_c
        for quantity in (Quantity.HOLD_CURRENT, Quantity.HOLD_RATIO)
        for ambient_c, _ in numbers.rows.get(quantity, ())
    ]
    hold_c = {c for c in (reference_c, max(columns, default=None)) if c is not None}
    trip_c = {c for c in (derating.rated_trip()[0],) if c is not None}
    if requirement is not None:
        hold_c, trip_c = hold_c | {requirement.hottest_c}, trip_c | {requirement.coldest_c}
    points = TripTimes(numbers, derating, SWITCHING_C).points
    times = dict.fromkeys((point.current_a, point.ambient_c) for point in points if point.kind is Kind.MAX)
    return Conditions(tuple(sorted(hold_c)), tuple(sorted(trip_c)), tuple(times))


def join_conditions(all_of: Sequence[Conditions]) -> Conditions:
    """Every condition that any of several asks for."""
    return Conditions(
        tuple(sorted({c for one in all_of for c in one.hold_c})),
        tuple(sorted({c for one in all_of for c in one.trip_c})),
        tuple(sorted({time for one in all_of for time in one.times})),
    )


def part_to_traits(part: Part, conditions: Conditions) -> tuple[Trait, ...]:
    """The lines of one part; the same titles in the same order for every part."""
    numbers = part_to_numbers(part)
    return (*_currents(numbers, conditions), *_ratings(numbers), *_body(part))


def _currents(numbers: PartNumbers, conditions: Conditions) -> Iterator[Trait]:
    derating = Derating(numbers)
    times = TripTimes(numbers, derating, SWITCHING_C)
    for ambient_c in conditions.hold_c:
        yield Trait(f"Hold current at {ambient_c:g} °C", "A", Better.HIGHER, derating.hold(ambient_c))
    for ambient_c in conditions.trip_c:
        yield Trait(f"Trip current at {ambient_c:g} °C", "A", Better.LOWER, derating.trip(ambient_c))
    for current_a, ambient_c in conditions.times:
        found = times.at(current_a, ambient_c)
        note = found.note or f"the sheet guarantees no time at {current_a:g} A and {ambient_c:g} °C"
        number = Number(
            found.guaranteed_s,
            readings=found.readings,
            note="" if found.guaranteed_s is not None else note,
            assumed=found.assumed,
        )
        yield Trait(f"Longest time to trip at {current_a:g} A, {ambient_c:g} °C", "s", Better.LOWER, number)


def _ratings(numbers: PartNumbers) -> Iterator[Trait]:
    for supply in ("dc", "ac"):
        for quantity, words, unit in (
            (Quantity.MAX_VOLTAGE, "Rated voltage", "V"),
            (Quantity.MAX_CURRENT, "Rated fault current", "A"),
        ):
            yield Trait(
                f"{words}, {supply.upper()}",
                unit,
                Better.HIGHER,
                rating_for_supply(numbers, quantity, supply),
            )
    after = numbers.number(Quantity.RESISTANCE, Kind.POST_TRIP_MAX)
    yield Trait(
        "Largest resistance after a trip",
        "ohm",
        Better.LOWER,
        after or Number(None, note="the sheet gives no post-trip resistance"),
    )
    yield Trait("Tripped power", "W", Better.LOWER, tripped_power(numbers))


def _body(part: Part) -> Iterator[Trait]:
    for place, name in enumerate(SIZES):
        found = [one for one in _said(part, name) if one.kind is not Kind.MIN]
        number = _largest(found)
        if number.value is None and place < 2:
            number = _by_code(part, place) or number
        yield Trait(
            f"{name.value.replace('_', ' ').capitalize()}, largest", "mm", Better.LOWER, number, tuple(found)
        )
    for kind, words, better in (
        (Kind.MAX, "Operating up to", Better.HIGHER),
        (Kind.MIN, "Operating down to", Better.LOWER),
    ):
        found = [one for one in _said(part, ParticularName.OPERATING_TEMPERATURE) if one.kind is kind]
        yield Trait(words, "°C", better, _largest(found), tuple(found))


def _largest(found: Sequence[Particular]) -> Number:
    values = [one.value for one in found if one.value is not None]
    return Number(max(values)) if values else Number(None, note="the sheet does not say")


def _by_code(part: Part, place: int) -> Number | None:
    """Length or width by the one package code of the part."""
    texts = [text.text for text in part.texts if text.name == "package"]
    bodies = {body for text in texts for body in text_to_bodies(text)}
    return (
        Number(next(iter(bodies))[place], assumed=("nominal, by the package code",))
        if len(bodies) == 1
        else (None)
    )


def _said(part: Part, name: ParticularName) -> list[Particular]:
    """Undisputed particulars of a part of that name; its own go before those of its sheet."""
    found = [one for one in part.particulars if one.name is name and one.status is not Status.DISPUTED]
    return [one for one in found if one.part_number == part.part_number] or found


def trait_to_source(trait: Trait) -> str:
    """Document, page and printed text of every cell a trait rests on."""
    return readings_to_source((*trait.number.readings, *trait.particulars))
