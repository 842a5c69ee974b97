"""How long a part takes to trip at a current and an ambient.

Comes in: the numbers of a part. Goes out: a `TripTime`: what the sheet guarantees, and the band of three
models through the tabulated point: the thermal relay model (IEC 60255-149) with the hold and with the trip
current as threshold, and the adiabatic estimate. Typical curves give a band but guarantee nothing. Does not
decide what fits: see `margins`.

Why the band may be off: real curves flatten at high currents; the time of a table is the longest of all
parts of that type; leads, copper, airflow and potting change the heat lost.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from compare.derating import SAME_AMBIENT_K, Derating
from compare.part_numbers import PartNumbers, TripPoint
from compare.records import Number
from compare.thermal import (
    current_tripping_in_a,
    tau_from_point_s,
    threshold_scaled_a,
    time_adiabatic_s,
    time_preloaded_s,
    way_to_switching,
)
from extract.schema import Kind, Reading

MODEL_NOTE = ("model through the tabulated time: real curves flatten at high current, "
              "and copper, leads, airflow and potting shift it")


class TripTime(NamedTuple):
    """Time to trip at one current and ambient, s. A named tuple for speed, as `records.Number`.

    guaranteed_s: longest time the sheet allows at a current not larger and an ambient not hotter, hence an
    upper bound here; at_least_s: longest time it allows even at a current not smaller and an ambient not
    colder, so no shorter time can be claimed; both None where no point serves. low_s, high_s: band of the
    models for the longest time, `math.inf` where the part may never trip, None where no model can be set
    up. typical: the band rests on a typical curve. readings: the cells; note: why there is nothing;
    assumed: what was assumed.
    """

    guaranteed_s: float | None
    at_least_s: float | None
    low_s: float | None
    high_s: float | None
    typical: bool
    readings: tuple[Reading, ...]
    note: str = ""
    assumed: tuple[str, ...] = ()


Calibration = tuple[Callable[[float], Number], float, float]
"""Threshold current against ambient, that current at the point's ambient, A, and the time constant, s."""


class TripTimes:
    """Time to trip of one part at any current and ambient; answers are kept, since several margins ask the
    same.

    numbers, derating: the part's; switching_c: switching temperature of the polymer, °C.
    """

    __slots__ = ("_answers", "_assumed", "_derating", "_placed", "_switching_c", "_taus", "_why_none")

    def __init__(self, numbers: PartNumbers, derating: Derating, switching_c: float) -> None:
        self._derating = derating
        self._switching_c = switching_c
        self._taus: dict[int, list[Calibration]] = {}
        self._answers: dict[tuple[float, float, float], TripTime] = {}
        self._placed, self._assumed, self._why_none = _place(numbers.trip_points, derating)

    @property
    def points(self) -> tuple[PlacedPoint, ...]:
        """The points it rests on, in order of current; empty where `at` can only say why there are none."""
        return tuple(self._placed)

    def at(self, current_a: float, ambient_c: float, preload_a: float = 0.0) -> TripTime:
        """Time to trip at a current (A) and ambient (°C), after a long load of `preload_a` (A)."""
        question = (current_a, ambient_c, preload_a)
        found = self._answers.get(question)
        if found is None:
            found = self._answers[question] = self._why_none or self._answer(current_a, ambient_c, preload_a)
        return found

    def currents_in(self, time_s: float, ambient_c: float) -> tuple[float, float] | None:
        """Band of currents, A, that trip a cold part in just that time; None without a tabulated time."""
        found = [current_a for point in self._placed if point.kind is Kind.MAX
                 for current_a in self._models_of_current(point, time_s, ambient_c)]
        return (min(found), max(found)) if found else None

    def _answer(self, current_a: float, ambient_c: float, preload_a: float) -> TripTime:
        guaranteed_s = at_least_s = None
        for point in self._placed:
            if point.kind is not Kind.MAX:
                continue
            if point.current_a <= current_a and point.ambient_c <= ambient_c + SAME_AMBIENT_K:
                guaranteed_s = point.time_s if guaranteed_s is None else min(guaranteed_s, point.time_s)
            if point.current_a >= current_a and point.ambient_c >= ambient_c - SAME_AMBIENT_K:
                at_least_s = point.time_s if at_least_s is None else max(at_least_s, point.time_s)
        used = _bracketing(self._placed, current_a)
        typical = used[0].kind is Kind.TYP
        doubt = self._doubt(ambient_c, used)
        if doubt is not None:
            return TripTime(guaranteed_s, at_least_s, None, None, typical, doubt.readings, doubt.note)
        hold_a = self._derating.hold(ambient_c).value
        if hold_a is not None and current_a <= hold_a:
            low_s = high_s = math.inf  # held for ever; the adiabatic estimate knows no such current
        else:
            times = [time_s for point in used
                     for time_s in self._models(point, current_a, ambient_c, preload_a)]
            low_s, high_s = min(times), max(times)
        readings = used[0].readings if len(used) == 1 else used[0].readings + used[1].readings
        return TripTime(guaranteed_s, at_least_s, low_s, high_s, typical, readings, "", self._assumed)

    def _doubt(self, ambient_c: float, used: list[PlacedPoint]) -> Number | None:
        """A doubtful hold or trip current that the models would rest on, or None."""
        for at_c in (ambient_c, *[point.ambient_c for point in used]):
            for number in (self._derating.hold(at_c), self._derating.trip(at_c)):
                if number.value is None and number.readings:
                    return number
        return None

    def _models(
        self, point: PlacedPoint, current_a: float, ambient_c: float, preload_a: float
    ) -> list[float]:
        """Times by each model that one point can calibrate, s."""
        known = (point.current_a, point.time_s, point.ambient_c)
        times = [time_adiabatic_s(known, current_a, ambient_c, self._switching_c)]
        for tau_s, threshold_a in self._calibrated(point, ambient_c):
            times.append(time_preloaded_s(current_a, threshold_a, tau_s, preload_a))
        if current_a < point.current_a and self._derating.trip(point.ambient_c).value is None:
            times.append(math.inf)  # without a trip current nothing says that it trips at all
        return times

    def _models_of_current(self, point: PlacedPoint, time_s: float, ambient_c: float) -> list[float]:
        """Currents that trip in a time, A, by each model that one point can calibrate."""
        way = way_to_switching(ambient_c, point.ambient_c, self._switching_c)
        return [point.current_a * math.sqrt(way * point.time_s / time_s),
                *(current_tripping_in_a(time_s, threshold_a, tau_s)
                  for tau_s, threshold_a in self._calibrated(point, ambient_c))]

    def _calibrated(self, point: PlacedPoint, ambient_c: float) -> list[tuple[float, float]]:
        """Time constant, s, and threshold at an ambient, A: with the hold, then with the trip current."""
        taus = self._taus.get(id(point))  # not by value: hashing a point hashes its readings
        if taus is None:
            taus = self._taus[id(point)] = self._point_to_taus(point)
        found = []
        for at, known_a, tau_s in taus:
            here_a = at(ambient_c).value
            if here_a is None:
                here_a = threshold_scaled_a(known_a, ambient_c, point.ambient_c, self._switching_c)
            found.append((tau_s, here_a))
        return found

    def _point_to_taus(self, point: PlacedPoint) -> list[Calibration]:
        taus: list[Calibration] = []
        for at in (self._derating.hold, self._derating.trip):
            known_a = at(point.ambient_c).value
            tau_s = None if known_a is None else tau_from_point_s(point.time_s, point.current_a, known_a)
            if known_a is not None and tau_s is not None:
                taus.append((at, known_a, tau_s))
        return taus


class PlacedPoint(NamedTuple):
    """A trip point with a sure time and ambient."""

    current_a: float
    time_s: float
    ambient_c: float
    kind: Kind
    readings: tuple[Reading, ...]


Placed = tuple[list[PlacedPoint], tuple[str, ...], TripTime | None]
"""Points with their ambient, what was assumed for it, and the answer to every question if there are none."""


def _place(points: tuple[TripPoint, ...], derating: Derating) -> Placed:
    """Points with an ambient; the reference, and a note of it, where the sheet leaves it out."""
    if not points:
        return [], (), _nothing("the sheet gives no time to trip")
    placed: list[PlacedPoint] = []
    assumed: tuple[str, ...] = ()
    for current_a, time_s, stated_c, kind, number in points:
        if time_s is None:
            return [], (), _nothing(number.note, number.readings)
        ambient_c = stated_c if stated_c is not None else derating.rated_hold()[0]
        if ambient_c is None:
            return [], (), _nothing("the ambient of the time to trip is not stated", number.readings)
        if stated_c is None:
            assumed = (f"time to trip taken as at {ambient_c:g} °C, the reference: the sheet is silent",)
        placed.append(PlacedPoint(current_a, time_s, ambient_c, kind, number.readings))
    return placed, assumed, None


def _nothing(note: str, readings: tuple[Reading, ...] = ()) -> TripTime:
    return TripTime(None, None, None, None, False, readings, note)


def _bracketing(points: list[PlacedPoint], current_a: float) -> list[PlacedPoint]:
    """The nearest point at a current not larger and the nearest at a larger one; maxima before typicals."""
    if len(points) == 1:
        return points
    longest = [point for point in points if point.kind is Kind.MAX] or points
    below = [point for point in longest if point.current_a <= current_a]
    if below and below[-1].current_a == current_a:
        return below[-1:]
    return below[-1:] + [point for point in longest if point.current_a > current_a][:1]
