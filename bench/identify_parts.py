"""Simulated parts and the people who measure them, for bench/identify.py.

Comes in: truth files, a random source. Goes out: parts with a body and a marking, and what a person sees on
one of them. The physics here is written apart from compare/identify: a heat balance integrated in time, not
the shares of tabulated times that the ranking uses.
"""

from __future__ import annotations

import csv
import math
import random
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from compare.identify.seen import Held, Seen, Tripped, TrippedState
from extract.schema import (
    Kind,
    Part,
    Particular,
    ParticularName,
    Place,
    Quantity,
    Reading,
    Status,
    readings_to_parts,
)

PLACE = Place(1, 0.0, 0.0, 1.0, 1.0)
NEEDED = (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT, Quantity.RESISTANCE, Quantity.TRIPPED_POWER,
          Quantity.TIME_TO_TRIP)
SWITCHING_C, BENCH_C = 125.0, 23.0
MIXED_UP = {"0": "O", "O": "0", "1": "I", "I": "1", "5": "S", "S": "5", "8": "B", "B": "8", "2": "Z"}
SIZES = (ParticularName.BODY_LENGTH, ParticularName.BODY_WIDTH, ParticularName.BODY_HEIGHT)


@dataclass(frozen=True, slots=True)
class Body:
    """A part with what a sheet prints of its body, and the nominal sizes, mm."""

    part: Part
    sizes_mm: tuple[float, float, float]
    marking: str


@dataclass(frozen=True, slots=True)
class Person:
    """What a person can measure, and how well."""

    name: str
    marking: bool
    calliper: bool
    supply: bool


PEOPLE = (
    Person("marking, calliper, meter, supply", True, True, True),
    Person("calliper, meter, supply", False, True, True),
    Person("meter and supply", False, False, True),
    Person("meter only", False, False, False),
)


def folder_to_bodies(folder: Path, seed: int) -> list[Body]:
    """Every part of the truth files that a bench can tell something of, each with an invented body."""
    readings = [reading for path in sorted(folder.glob("*.csv")) for reading in _truth_to_readings(path)]
    parts = [part for part in readings_to_parts(readings)
             if {reading.quantity for reading in part.readings} >= set(NEEDED)
             and {Kind.MIN, Kind.POST_TRIP_MAX} <= {reading.kind for reading in part.readings}]
    draw = random.Random(seed)
    return [_part_to_body(part, draw) for part in parts]


def _truth_to_readings(path: Path) -> Iterable[Reading]:
    with path.open(encoding="utf-8", newline="") as source:
        for row in csv.DictReader(source):
            ambient_c, test_a = (float(row[name]) if row[name] else None
                                 for name in ("ambient_c", "test_current_a"))
            yield Reading(row["document"], "0" * 64, row["part_number"], Quantity(row["quantity"]),
                          Kind(row["kind"]), ambient_c, test_a, float(row["value"]), Status.AGREED, PLACE,
                          row["value"])


def _part_to_body(part: Part, draw: random.Random) -> Body:
    """A body that grows with the hold current, and a marking of the number's last letters, as is usual."""
    hold_a = _value(part, Quantity.HOLD_CURRENT)
    side_mm = round(draw.choice((3.2, 4.5, 7.3)) * (1.0 + 0.4 * hold_a) / 1.4, 1)
    sizes_mm = (side_mm, round(side_mm * draw.uniform(0.5, 0.8), 1), round(draw.uniform(0.5, 1.2), 2))
    letters = "".join(filter(str.isalnum, part.part_number))
    marking = letters[:1] + letters[-3:]
    printed = [_particular(part, name, kind, round(size_mm * factor, 2))
               for name, size_mm in zip(SIZES, sizes_mm, strict=True)
               for kind, factor in ((Kind.MIN, 0.94), (Kind.MAX, 1.06))]
    mark = _particular(part, ParticularName.MARKING, Kind.NONE, 0.0)
    printed.append(replace(mark, value=None, text=marking))
    return Body(replace(part, particulars=tuple(printed)), sizes_mm, marking)


def _particular(part: Part, name: ParticularName, kind: Kind, value: float) -> Particular:
    return Particular(part.document, part.sha256, part.part_number, name, kind, value, "", Status.AGREED,
                      PLACE, f"{value:g}")


def _value(part: Part, quantity: Quantity, kind: Kind | None = None) -> float:
    """The first number of a part; for currents the one at the usual reference ambients."""
    found = [one for one in part.readings if one.quantity is quantity and kind in (None, one.kind)]
    return min(found, key=lambda one: abs((one.ambient_c or BENCH_C) - BENCH_C)).value


def parts_to_twins(parts: list[Part], person: Person) -> dict[int, frozenset[int]]:
    """By id of a part the ids of all whose sheets say the same of what the person can measure."""
    def says(part: Part) -> frozenset[object]:
        numbers = ((r.quantity, r.kind, r.test_current_a, r.value) for r in part.readings
                   if r.quantity is Quantity.RESISTANCE or (person.supply and r.quantity in NEEDED))
        body = ((p.name, p.kind, p.value, p.text) for p in part.particulars
                if (person.marking if p.name is ParticularName.MARKING else person.calliper))
        return frozenset([*numbers, *body])

    groups: dict[frozenset[object], set[int]] = {}
    for part in parts:
        groups.setdefault(says(part), set()).add(id(part))
    return {one: frozenset(group) for group in groups.values() for one in group}


def person_to_seen(person: Person, body: Body, draw: random.Random) -> Seen:
    """What the person writes down after an hour with one such part."""
    part = body.part
    low_ohm = _value(part, Quantity.RESISTANCE, Kind.MIN)
    high_ohm = _value(part, Quantity.RESISTANCE, Kind.POST_TRIP_MAX)
    ohm = low_ohm * (high_ohm / low_ohm) ** draw.betavariate(2.0, 2.0)
    aged = draw.random() < 0.1
    if aged:
        ohm = high_ohm * draw.uniform(1.0, 1.8)
    leads_ohm = draw.uniform(0.05, 0.3)
    shown_ohm = (ohm + leads_ohm) * (1.0 + draw.gauss(0.0, 0.008)) + draw.gauss(0.0, 0.004)
    seen = Seen(ambient_c=BENCH_C + round(draw.gauss(0.0, 1.0), 1), resistance_ohm=round(shown_ohm, 3),
                meter_lead_resistance_ohm=round(leads_ohm, 3))
    if seen.resistance_ohm is None or shown_ohm - leads_ohm <= 0.003:
        seen = replace(seen, resistance_ohm=round(ohm, 4), meter_lead_resistance_ohm=None, four_wire=True)
    if person.marking and draw.random() < 0.9:
        seen = replace(seen, marking=_misread(body.marking, draw))
    if person.calliper:
        length, width, height = (round(size * draw.uniform(0.96, 1.04) + draw.gauss(0.0, 0.04), 2)
                                 for size in body.sizes_mm)
        seen = replace(seen, length_mm=length, width_mm=width, height_mm=height)
    return _supplied(seen, part, ohm / high_ohm if aged else 1.0, draw) if person.supply else seen


def _misread(marking: str, draw: random.Random) -> str:
    """One character in twelve is taken for its like, one in thirty is worn off."""
    letters = []
    for letter in marking:
        chance = draw.random()
        if chance < 1 / 12:
            letters.append(MIXED_UP.get(letter, letter))
        elif chance > 1 / 30:
            letters.append(letter)
    return "".join(letters)


def _supplied(seen: Seen, part: Part, aged: float, draw: random.Random) -> Seen:
    """What a bench supply tells: currents carried, a trip with its time, the tripped state."""
    hold_a, trip_a = _value(part, Quantity.HOLD_CURRENT), _value(part, Quantity.TRIP_CURRENT)
    threshold_a = hold_a * (trip_a / hold_a) ** draw.betavariate(2.0, 2.0) / math.sqrt(aged)
    held_a = threshold_a * draw.uniform(0.75, 0.97)
    test = next(r for r in part.readings if r.quantity is Quantity.TIME_TO_TRIP and r.test_current_a)
    test_a = test.test_current_a or 1.0
    tau_s = test.value * draw.uniform(0.15, 0.9) / _steps(test_a, threshold_a)
    current_a = max(1.3 * trip_a, test_a * draw.uniform(0.6, 1.5))
    time_s = tau_s * _steps(current_a, threshold_a)
    power_w = _value(part, Quantity.TRIPPED_POWER) * draw.uniform(0.7, 1.05)
    volts = 0.7 * _value(part, Quantity.MAX_VOLTAGE)
    error = draw.gauss(1.0, 0.01)
    return replace(
        seen, held=(Held(round(held_a * error, 3), 1800.0),),
        trips=(Tripped(round(current_a * error, 3), round(max(time_s * draw.gauss(1.0, 0.03), 0.001), 4)),),
        tripped=TrippedState(round(power_w / volts * error, 5), round(volts, 2)))


def _steps(current_a: float, threshold_a: float) -> float:
    """Time to switch in time constants: heated by I² R, cooled in proportion, in small steps."""
    warm, step, time = 0.0, 1e-3, 0.0
    drive = (current_a / threshold_a) ** 2
    while warm < 1.0:
        warm += step / max(drive, 1.0) * (drive - warm)
        time += step / max(drive, 1.0)
    return time
