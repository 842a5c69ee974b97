"""How long a part takes to trip at a current and an ambient.

Comes in: the numbers of a part. Goes out: a `TripTime`: what the sheet guarantees, and the band of an
ensemble of models through the tabulated point: the heat balance with the hold and with the trip current as
threshold, and without loss, each with a constant resistance (then the thermal relay model of IEC 60255-149)
and with one that rises (`thermal.ENSEMBLE`). The band is never narrower than `LEAST_BAND`, and there is none
at an ambient where the hold current is not tabulated. Drawn curves speak for themselves (`drawn_times`). Does
not decide what fits: see `margins`.

Why the band may be off: real curves flatten at high currents; the time of a table is the longest of all
parts of that type; leads, copper, airflow and potting change the heat lost.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from compare.derating import SAME_AMBIENT_K, Derating
from compare.drawn_times import DrawnTime, DrawnTimes, Scale, Scaling
from compare.part_numbers import PartNumbers, TripPoint
from compare.records import Number
from compare.thermal import ENSEMBLE, Heating, constants_rising, heat_to_switch, way_and_rise
from extract.schema import Kind, Reading

LEAST_BAND = 1.1
"""The high end of a band is at least so many times its low end: no model of a part is better than 10 %."""
HALVINGS = 60
MODEL_NOTE = ("model through the tabulated time: real curves flatten at high current, "
              "and copper, leads, airflow and potting shift it")


class TripTime(NamedTuple):
    """Time to trip at one current and ambient, s. A named tuple for speed, as `records.Number`.

    guaranteed_s: longest time the sheet allows at a current not larger and an ambient not hotter, hence an
    upper bound here; at_least_s: longest time it allows even at a current not smaller and an ambient not
    colder, so no shorter time can be claimed; both None where no point serves. low_s, high_s: band of the
    models for the longest time, `math.inf` where the part may never trip, None where no model can be set
    up. typical: the band rests on a typical time. readings: the cells; note: why there is nothing;
    assumed: what was assumed; rests_on: the hold and trip currents of the band; drawn: what the drawn curves
    say, None where the sheet draws none.
    """

    guaranteed_s: float | None
    at_least_s: float | None
    low_s: float | None
    high_s: float | None
    typical: bool
    readings: tuple[Reading, ...]
    note: str = ""
    assumed: tuple[str, ...] = ()
    rests_on: tuple[Number, ...] = ()
    drawn: DrawnTime | None = None


class PlacedPoint(NamedTuple):
    """A trip point with a sure time and ambient."""

    current_a: float
    time_s: float
    ambient_c: float
    kind: Kind
    readings: tuple[Reading, ...]


class SureCurrent(NamedTuple):
    """A current, A, that surely trips a part in time, the cells that say so, and what was assumed."""

    current_a: float
    readings: tuple[Reading, ...]
    assumed: tuple[str, ...]


class ThermalMember(NamedTuple):
    """One heat balance that a point calibrates: time constant, s, threshold at the ambient, A, by which share
    the resistance rises on the way to switching there, and the power of the time (see `thermal.Heating`)."""

    tau_s: float
    threshold_a: float
    rise: float
    spread: int

    def time_s(self, current_a: float, preload_a: float) -> float:
        """Time to trip after a long load, s."""
        square = self.threshold_a**2
        constants = constants_rising(current_a**2 / square, self.rise, preload_a**2 / square)
        return float(self.tau_s * constants**self.spread)


class PointModels(NamedTuple):
    """The models that one point calibrates, at one ambient.

    without_loss: of each member without loss, time times current to twice its power, and
    that power; thermal: those with loss, once with the hold and once with the trip
    current as threshold; surely_trips: whether the sheet says at which current the part trips.
    """

    point: PlacedPoint
    without_loss: tuple[tuple[float, int], ...]
    thermal: tuple[ThermalMember, ...]
    surely_trips: bool


class AmbientModels(NamedTuple):
    """All models at one ambient; hold there, A; doubt: why there are none; rests_on: hold and trip current of
    every ambient they use."""

    points: tuple[PointModels, ...]
    hold_a: float | None
    doubt: Number | None
    rests_on: tuple[Number, ...]


class TripTimes:
    """Time to trip of one part at any current and ambient; answers are kept, since several margins ask the
    same.

    numbers, derating: the part's; switching_c: switching temperature of the polymer, °C.
    """

    __slots__ = ("_answers", "_assumed", "_derating", "_drawn", "_models", "_placed", "_switching_c",
                 "_taus_s", "_why_none")

    def __init__(self, numbers: PartNumbers, derating: Derating, switching_c: float) -> None:
        self._derating = derating
        self._switching_c = switching_c
        self._models: dict[float, AmbientModels] = {}
        self._taus_s: dict[tuple[float, ...], float] = {}
        self._answers: dict[tuple[float, float, float], TripTime] = {}
        self._placed, self._assumed, self._why_none = _place(part_to_points(numbers), derating, switching_c)
        self._drawn = part_to_drawn(numbers, derating, self._scaling)

    @property
    def drawn(self) -> DrawnTimes | None:
        """The drawn curves of the part; None where its sheet draws none for it."""
        return self._drawn

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
            found = self._why_none or self._answer(current_a, ambient_c, preload_a)
            if self._drawn is not None:
                found = found._replace(drawn=self._drawn.at(current_a, ambient_c, preload_a))
            self._answers[question] = found
        return found

    def currents_in(self, time_s: float, ambient_c: float) -> tuple[float, float] | None:
        """Band of currents, A, that trip a cold part in just that time; None without a sure tabulated time.
        """
        models = self._models_at(ambient_c)
        longest = [model for model in models.points if model.point.kind is Kind.MAX]
        if models.doubt is not None or not longest:
            return None
        low_a, high_a = _common([
            [*((heat / time_s) ** (0.5 / spread) for heat, spread in model.without_loss),
             *(_current_tripping_in_a(member, time_s) for member in model.thermal)] for model in longest])
        wide = math.sqrt(math.sqrt(LEAST_BAND))  # time goes with the square of the current
        return low_a / wide, high_a * wide

    def surely_trips_in(self, time_s: float, ambient_c: float) -> SureCurrent | None:
        """The smallest current that trips the part within a time by its table alone: at a current not smaller
        and an ambient not colder it takes no longer. None where the table says nothing."""
        serving = [point for point in self._placed if point.kind is Kind.MAX and point.time_s <= time_s
                   and point.ambient_c <= ambient_c + SAME_AMBIENT_K]
        if self._why_none is not None or not serving:
            return None
        first = min(serving, key=lambda point: point.current_a)
        return SureCurrent(first.current_a, first.readings, self._assumed)

    def inputs(self, ambient_c: float) -> tuple[Number, ...]:
        """The hold and trip currents that the models at an ambient rest on."""
        return self._models_at(ambient_c).rests_on

    def within(self, current_a: float, ambient_c: float, limit_s: float) -> TripTime:
        """As `at` for a cold part, without a band where the table alone decides against a limit, s: most
        parts need no model."""
        if self._why_none is not None:
            return self.at(current_a, ambient_c)
        sure, least = self._bounds(current_a, ambient_c)
        decides = sure if sure is not None and sure.time_s <= limit_s else (
            least if least is not None and least.time_s > limit_s else None)
        if decides is None:
            return self.at(current_a, ambient_c)
        return TripTime(None if sure is None else sure.time_s, None if least is None else least.time_s, None,
                        None, False, decides.readings, "", self._assumed)

    def _bounds(self, current_a: float, ambient_c: float) -> tuple[PlacedPoint | None, PlacedPoint | None]:
        """The points of the shortest time that is an upper bound here, and of the longest that is a lower
        one."""
        sure: PlacedPoint | None = None
        least: PlacedPoint | None = None
        for point in self._placed:
            if point.kind is not Kind.MAX:
                continue
            if (point.current_a <= current_a and point.ambient_c <= ambient_c + SAME_AMBIENT_K
                    and (sure is None or point.time_s < sure.time_s)):
                sure = point
            if (point.current_a >= current_a and point.ambient_c >= ambient_c - SAME_AMBIENT_K
                    and (least is None or point.time_s > least.time_s)):
                least = point
        return sure, least

    def _answer(self, current_a: float, ambient_c: float, preload_a: float) -> TripTime:
        sure, least = self._bounds(current_a, ambient_c)
        guaranteed_s = None if sure is None else sure.time_s
        at_least_s = None if least is None else least.time_s
        models = self._models_at(ambient_c)
        used = _serving(models.points)
        typical, doubt = used[0].point.kind is Kind.TYP, models.doubt
        if doubt is not None:
            return TripTime(guaranteed_s, at_least_s, None, None, typical,
                            used[0].point.readings + doubt.readings, doubt.note, self._assumed)
        if models.hold_a is not None and current_a <= models.hold_a:
            low_s = high_s = math.inf  # held without end; the adiabatic estimate knows no such current
        else:
            low_s, high_s = _widened(*_common([_model_times(model, current_a, preload_a) for model in used]))
        readings = used[0].point.readings
        for model in used[1:]:
            readings += model.point.readings
        return TripTime(guaranteed_s, at_least_s, low_s, high_s, typical, readings, "", self._assumed,
                        models.rests_on)

    def _scaling(self, current_a: float, known_c: float, ambient_c: float, preload_a: float) -> Scaling:
        """Band of the models for a time at an ambient over that at a known one."""
        numbers = [at(at_c) for at_c in (known_c, ambient_c)
                   for at in (self._derating.hold, self._derating.trip)]
        readings = tuple(reading for number in numbers for reading in number.readings)
        doubt = self._doubt([known_c, ambient_c], numbers)
        if doubt is not None or max(known_c, ambient_c) >= self._switching_c:
            note = "it lies above the switching temperature" if doubt is None else doubt.note
            return Scaling(None, None, readings, note)
        if current_a <= (numbers[2].value or 0.0):
            return Scaling(math.inf, math.inf, readings)  # held without end
        unit = PlacedPoint(current_a, 1.0, known_c, Kind.TYP, ())
        times = _model_times(self._point_models(unit, ambient_c), current_a, preload_a)
        return Scaling(min(times), max(times), readings)

    def _models_at(self, ambient_c: float) -> AmbientModels:
        found = self._models.get(ambient_c)
        if found is None:
            ambients = dict.fromkeys((ambient_c, *(point.ambient_c for point in self._placed)))
            numbers = [at(at_c) for at_c in ambients for at in (self._derating.hold, self._derating.trip)]
            found = self._models[ambient_c] = AmbientModels(
                tuple([self._point_models(point, ambient_c) for point in self._placed]),
                self._derating.hold(ambient_c).value, self._doubt(list(ambients), numbers),
                tuple(number for number in numbers if number.value is not None))
        return found

    def _doubt(self, ambients: list[float], numbers: list[Number]) -> Number | None:
        """Why no model holds: a doubtful hold or trip current, or an ambient without a hold current."""
        doubtful = next((one for one in numbers if one.value is None and one.readings), None)
        if doubtful is not None:
            return doubtful
        unknown = next((at_c for at_c in ambients if self._derating.hold(at_c).value is None), None)
        return None if unknown is None else Number(
            None, note=f"no hold current is tabulated at {unknown:g} °C, so that no model tells a time there")

    def _tau_s(self, point: PlacedPoint, threshold_a: float, heating: Heating) -> float:
        """The time constant of a member, kept: it is the same at every ambient asked."""
        key = (point.current_a, point.time_s, threshold_a, heating.rise_per_k, heating.spread)
        found = self._taus_s.get(key)
        if found is None:
            found = self._taus_s[key] = member_tau_s(point, threshold_a, heating, self._switching_c)
        return found

    def _point_models(self, point: PlacedPoint, ambient_c: float) -> PointModels:
        known_c, thermal = point.ambient_c, []
        members = fitting_members((known_c, ambient_c), self._switching_c)
        for at in (self._derating.hold, self._derating.trip):
            known_a, here_a = at(known_c).value, at(ambient_c).value
            if known_a is None or here_a is None or not 0.0 < known_a < point.current_a or here_a <= 0.0:
                continue
            for heating in members:
                tau_s = self._tau_s(point, known_a, heating)
                rise = way_and_rise(heating, ambient_c, self._switching_c)[1]
                thermal.append(ThermalMember(tau_s, here_a, rise, heating.spread))
        without_loss = tuple(
            (point.time_s * (point.current_a**2 * heat_to_switch(heating, ambient_c, self._switching_c)
                             / heat_to_switch(heating, known_c, self._switching_c)) ** heating.spread,
             heating.spread) for heating in members)
        return PointModels(point, without_loss, tuple(thermal),
                           self._derating.trip(known_c).value is not None)


def _model_times(model: PointModels, current_a: float, preload_a: float) -> list[float]:
    """Time by each model of one point, s."""
    times = [heat / current_a ** (2 * spread) for heat, spread in model.without_loss]
    times.extend([member.time_s(current_a, preload_a) for member in model.thermal])
    if current_a < model.point.current_a and not model.surely_trips:
        times.append(math.inf)  # without a trip current nothing says that it trips at all
    return times


def fitting_members(ambients_c: tuple[float, float], switching_c: float) -> tuple[Heating, ...]:
    """The members whose steep part begins above both ambients; the first always does."""
    return tuple(one for one in ENSEMBLE if max(ambients_c) < switching_c - one.steep_k)


def member_tau_s(point: PlacedPoint, threshold_a: float, heating: Heating, switching_c: float) -> float:
    """Time constant by which a member passes through a point above its threshold, s."""
    rise = way_and_rise(heating, point.ambient_c, switching_c)[1]
    constants = constants_rising((point.current_a / threshold_a) ** 2, rise)
    return float(point.time_s / constants**heating.spread)


def _widened(low_s: float, high_s: float) -> tuple[float, float]:
    """A band that is at least `LEAST_BAND` wide, about its middle."""
    if low_s <= 0.0 or high_s >= low_s * LEAST_BAND:
        return low_s, high_s
    middle_s, wide = math.sqrt(low_s * high_s), math.sqrt(LEAST_BAND)
    return middle_s / wide, middle_s * wide


def _current_tripping_in_a(member: ThermalMember, time_s: float) -> float:
    """Current that trips a cold part by a member in just that time, A, by halving: time falls with
    current."""
    low_a, high_a = member.threshold_a, member.threshold_a * 2.0
    while member.time_s(high_a, 0.0) > time_s:
        low_a, high_a = high_a, high_a * 2.0
    for _ in range(HALVINGS):
        middle_a = (low_a + high_a) / 2.0
        if member.time_s(middle_a, 0.0) > time_s:
            low_a = middle_a
        else:
            high_a = middle_a
    return high_a


def part_to_points(numbers: PartNumbers) -> tuple[TripPoint, ...]:
    """Everywhere that a table tells a part's time to trip, in order of current."""
    return numbers.trip_points


def part_to_drawn(numbers: PartNumbers, derating: Derating, scale: Scale) -> DrawnTimes | None:
    """The drawn curves of a part: with `part_to_points` the one place where a part is asked for its times."""
    if not numbers.part.curves:
        return None
    found = DrawnTimes(numbers.part, derating.rated_hold()[0], scale)
    return found if found.exist else None


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


def _serving(models: tuple[PointModels, ...]) -> tuple[PointModels, ...]:
    """The points that are used: the longest times, or typical ones where there are none."""
    if len(models) == 1:
        return models
    return tuple(model for model in models if model.point.kind is Kind.MAX) or models


def _common(times: list[list[float]]) -> tuple[float, float]:
    """What the bands of several points have in common, s. Each holds by itself, so that the near one, which
    is narrow, decides; and each falls with current, so that what they have in common does too."""
    high_s = min(max(of_point) for of_point in times)
    return min(max(min(of_point) for of_point in times), high_s), high_s
