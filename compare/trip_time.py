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
from dataclasses import dataclass

from compare.derating import SAME_AMBIENT_K, Derating
from compare.part_numbers import PartNumbers, TripPoint
from compare.thermal import (
    tau_from_point_s,
    threshold_scaled_a,
    time_adiabatic_s,
    time_cold_s,
    time_preloaded_s,
)
from extract.schema import Kind, Reading

MODEL_NOTE = ("model through the tabulated time: real curves flatten at high current, "
              "and copper, leads, airflow and potting shift it")


@dataclass(frozen=True, slots=True)
class TripTime:
    """Time to trip at one current and ambient, s.

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


@dataclass(frozen=True, slots=True)
class TripQuestion:
    """A current (A) at an ambient (°C), flowing after a long load of `preload_a` (0: a cold start)."""

    current_a: float
    ambient_c: float
    preload_a: float = 0.0


def trip_time(
    numbers: PartNumbers, derating: Derating, question: TripQuestion, switching_c: float
) -> TripTime:
    """Time to trip of a part; see `TripTime`. switching_c: switching temperature of the polymer, °C."""
    points = numbers.trip_points
    if not points:
        return _nothing("the sheet gives no time to trip")
    doubtful = next((point for point in points if point.time_s is None), None)
    if doubtful is not None:
        return _nothing(doubtful.number.note, doubtful.number.readings)
    reference_c = derating.rated_hold()[0]
    placed, assumed = _placed(points, reference_c)
    if not placed:
        return _nothing("the ambient of the time to trip is not stated")
    guaranteed = [p for p in placed if p.kind is Kind.MAX and p.current_a <= question.current_a
                  and _ambient(p) <= question.ambient_c + SAME_AMBIENT_K]
    at_least = [p for p in placed if p.kind is Kind.MAX and p.current_a >= question.current_a
                and _ambient(p) >= question.ambient_c - SAME_AMBIENT_K]
    used = _bracketing(placed, question.current_a)
    band = [time for point in used for time in _models(point, derating, question, switching_c)]
    return TripTime(
        min((p.time_s for p in guaranteed if p.time_s is not None), default=None),
        max((p.time_s for p in at_least if p.time_s is not None), default=None),
        min(band, default=None), max(band, default=None),
        all(p.kind is Kind.TYP for p in used),
        tuple(reading for point in used for reading in point.number.readings), assumed=assumed)


def _nothing(note: str, readings: tuple[Reading, ...] = ()) -> TripTime:
    return TripTime(None, None, None, None, False, readings, note)


def _placed(points: tuple[TripPoint, ...], reference_c: float | None) -> tuple[list[TripPoint], tuple[str, ...]]:
    """Points with an ambient; where the sheet leaves it out, the reference ambient, and that is noted."""
    if all(point.ambient_c is not None for point in points):
        return list(points), ()
    if reference_c is None:
        return [point for point in points if point.ambient_c is not None], ()
    placed = [point if point.ambient_c is not None else point._replace(ambient_c=reference_c)
              for point in points]
    return placed, (f"time to trip taken as at {reference_c:g} °C, the reference: the sheet is silent",)


def _ambient(point: TripPoint) -> float:
    assert point.ambient_c is not None  # _placed left none without
    return point.ambient_c


def _bracketing(points: list[TripPoint], current_a: float) -> list[TripPoint]:
    """The nearest point at a current not larger and the nearest at a larger one; maxima before typicals."""
    longest = [point for point in points if point.kind is Kind.MAX] or points
    below = [point for point in longest if point.current_a <= current_a]
    above = [point for point in longest if point.current_a > current_a]
    exact = below[-1:] if below and below[-1].current_a == current_a else []
    return exact or below[-1:] + above[:1]


def _models(point: TripPoint, derating: Derating, question: TripQuestion, switching_c: float) -> list[float]:
    """Times by each model that one point can calibrate, s."""
    assert point.time_s is not None  # trip_time has turned doubtful points away
    known_c = _ambient(point)
    known = (point.current_a, point.time_s, known_c)
    times = [time_adiabatic_s(known, question.current_a, question.ambient_c, switching_c)]
    for at in (derating.hold, derating.trip):
        threshold = at(known_c).value
        if threshold is None:
            continue
        tau_s = tau_from_point_s(point.time_s, point.current_a, threshold)
        if tau_s is None:
            continue
        here = at(question.ambient_c).value
        if here is None:
            here = threshold_scaled_a(threshold, question.ambient_c, known_c, switching_c)
        times.append(time_preloaded_s(question.current_a, here, tau_s, question.preload_a)
                     if question.preload_a > 0 else time_cold_s(question.current_a, here, tau_s))
    return times if len(times) > 1 else [*times, *_without_thresholds(question, known)]


def _without_thresholds(question: TripQuestion, known: tuple[float, float, float]) -> list[float]:
    """Without hold and trip current the adiabatic estimate has no upper end below the tabulated current."""
    return [math.inf] if question.current_a < known[0] else []
