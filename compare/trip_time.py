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
from typing import NamedTuple

from compare.derating import SAME_AMBIENT_K, Derating
from compare.part_numbers import PartNumbers, TripPoint
from compare.records import Number
from compare.thermal import (
    adiabatic_i2t_a2s,
    current_tripping_in_a,
    tau_from_point_s,
    threshold_scaled_a,
    time_preloaded_s,
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


class PlacedPoint(NamedTuple):
    """A trip point with a sure time and ambient."""

    current_a: float
    time_s: float
    ambient_c: float
    kind: Kind
    readings: tuple[Reading, ...]


class PointModels(NamedTuple):
    """The models that one point calibrates, at one ambient.

    i2t_a2s: of the adiabatic estimate; thermal: time constant, s, and threshold at that ambient, A, once
    with the hold and once with the trip current; surely_trips: whether the sheet says at which current the
    part trips.
    """

    point: PlacedPoint
    i2t_a2s: float
    thermal: tuple[tuple[float, float], ...]
    surely_trips: bool


class AmbientModels(NamedTuple):
    """All models at one ambient; hold there, A; doubt: a doubtful hold or trip current they would rest on."""

    points: tuple[PointModels, ...]
    hold_a: float | None
    doubt: Number | None


class TripTimes:
    """Time to trip of one part at any current and ambient; answers are kept, since several margins ask the
    same.

    numbers, derating: the part's; switching_c: switching temperature of the polymer, °C.
    """

    __slots__ = ("_answers", "_assumed", "_derating", "_models", "_placed", "_switching_c", "_why_none")

    def __init__(self, numbers: PartNumbers, derating: Derating, switching_c: float) -> None:
        self._derating = derating
        self._switching_c = switching_c
        self._models: dict[float, AmbientModels] = {}
        self._answers: dict[tuple[float, float, float], TripTime] = {}
        self._placed, self._assumed, self._why_none = _place(numbers.trip_points, derating, switching_c)

    @property
    def points(self) -> tuple[PlacedPoint, ...]:
        """The points it rests on, in order of current; empty where `at` can only say why there are none.

        The workbook's formulas start from them.
        """
        return tuple(self._placed)

    def at(self, current_a: float, ambient_c: float, preload_a: float = 0.0) -> TripTime:
        """Time to trip at a current (A) and ambient (°C), after a long load of `preload_a` (A)."""
        question = (current_a, ambient_c, preload_a)
        found = self._answers.get(question)
        if found is None:
            found = self._answers[question] = self._why_none or self._answer(current_a, ambient_c, preload_a)
        return found

    def currents_in(self, time_s: float, ambient_c: float) -> tuple[float, float] | None:
        """Band of currents, A, that trip a cold part in just that time; None without a sure tabulated time.
        """
        models = self._models_at(ambient_c)
        longest = [model for model in models.points if model.point.kind is Kind.MAX]
        if models.doubt is not None or not longest:
            return None
        found = [math.sqrt(model.i2t_a2s / time_s) for model in longest]
        found.extend(current_tripping_in_a(time_s, threshold_a, tau_s)
                     for model in longest for tau_s, threshold_a in model.thermal)
        return min(found), max(found)

    def _answer(self, current_a: float, ambient_c: float, preload_a: float) -> TripTime:
        guaranteed_s = at_least_s = None
        for point in self._placed:
            if point.kind is not Kind.MAX:
                continue
            if point.current_a <= current_a and point.ambient_c <= ambient_c + SAME_AMBIENT_K:
                guaranteed_s = point.time_s if guaranteed_s is None else min(guaranteed_s, point.time_s)
            if point.current_a >= current_a and point.ambient_c >= ambient_c - SAME_AMBIENT_K:
                at_least_s = point.time_s if at_least_s is None else max(at_least_s, point.time_s)
        models = self._models_at(ambient_c)
        used = _bracketing(models.points, current_a)
        typical, doubt = used[0].point.kind is Kind.TYP, models.doubt
        if doubt is not None:
            return TripTime(guaranteed_s, at_least_s, None, None, typical, doubt.readings, doubt.note)
        if models.hold_a is not None and current_a <= models.hold_a:
            low_s = high_s = math.inf  # held for ever; the adiabatic estimate knows no such current
        else:
            times = [time_s for model in used for time_s in _model_times(model, current_a, preload_a)]
            low_s, high_s = min(times), max(times)
        readings = used[0].point.readings
        if len(used) > 1:
            readings += used[1].point.readings
        return TripTime(guaranteed_s, at_least_s, low_s, high_s, typical, readings, "", self._assumed)

    def _models_at(self, ambient_c: float) -> AmbientModels:
        found = self._models.get(ambient_c)
        if found is None:
            hold = self._derating.hold(ambient_c)
            ambients = [ambient_c, *[point.ambient_c for point in self._placed]]
            found = self._models[ambient_c] = AmbientModels(
                tuple([self._point_models(point, ambient_c) for point in self._placed]), hold.value,
                self._doubt(ambients))
        return found

    def _doubt(self, ambients: list[float]) -> Number | None:
        for at_c in ambients:
            for number in (self._derating.hold(at_c), self._derating.trip(at_c)):
                if number.value is None and number.readings:
                    return number
        return None

    def _point_models(self, point: PlacedPoint, ambient_c: float) -> PointModels:
        thermal, known_c, switching_c = [], point.ambient_c, self._switching_c
        for at in (self._derating.hold, self._derating.trip):
            known_a, here_a = at(known_c).value, at(ambient_c).value
            tau_s = None if known_a is None else tau_from_point_s(point.time_s, point.current_a, known_a)
            if known_a is None or tau_s is None:
                continue
            if here_a is None:
                here_a = threshold_scaled_a(known_a, ambient_c, known_c, switching_c)
            thermal.append((tau_s, here_a))
        i2t_a2s = adiabatic_i2t_a2s((point.current_a, point.time_s, known_c), ambient_c, switching_c)
        return PointModels(point, i2t_a2s, tuple(thermal), self._derating.trip(known_c).value is not None)


def _model_times(model: PointModels, current_a: float, preload_a: float) -> list[float]:
    """Time by each model of one point, s."""
    times = [model.i2t_a2s / current_a**2]
    for tau_s, threshold_a in model.thermal:
        times.append(time_preloaded_s(current_a, threshold_a, tau_s, preload_a))
    if current_a < model.point.current_a and not model.surely_trips:
        times.append(math.inf)  # without a trip current nothing says that it trips at all
    return times


Placed = tuple[list[PlacedPoint], tuple[str, ...], TripTime | None]
"""Points with their ambient, what was assumed for it, and the answer to every question if there are none."""


def _place(points: tuple[TripPoint, ...], derating: Derating, switching_c: float) -> Placed:
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
        if ambient_c >= switching_c:
            return [], (), _nothing(f"a time to trip stated at {ambient_c:g} °C, above the switching "
                                    f"temperature of {switching_c:g} °C", number.readings)
        if stated_c is None:
            assumed = (f"time to trip taken as at {ambient_c:g} °C, the reference: the sheet is silent",)
        placed.append(PlacedPoint(current_a, time_s, ambient_c, kind, number.readings))
    return placed, assumed, None


def _nothing(note: str, readings: tuple[Reading, ...] = ()) -> TripTime:
    return TripTime(None, None, None, None, False, readings, note)


def _bracketing(models: tuple[PointModels, ...], current_a: float) -> tuple[PointModels, ...]:
    """The nearest point at a current not larger and the nearest at a larger one; maxima before typicals."""
    if len(models) == 1:
        return models
    longest = tuple(m for m in models if m.point.kind is Kind.MAX) or models
    below = tuple(m for m in longest if m.point.current_a <= current_a)
    if below and below[-1].point.current_a == current_a:
        return below[-1:]
    return below[-1:] + tuple(m for m in longest if m.point.current_a > current_a)[:1]
