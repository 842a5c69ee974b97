"""How long each of many parts takes to trip: the bounds of the table and the band of the models, as columns.

Comes in: a `ColumnCase`. Goes out: `TimeColumn`s and what they answer; each line says what
`trip_time.TripTimes` and `judging.time_to_answer` say of one part, by the formulas of `thermal`. Does not
decide which time is asked.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from compare.columns.corners import ASSUMED, DATA, MODEL, known_at, trip_at
from compare.columns.judging import FAILS, FITS, OPEN
from compare.columns.part_columns import PartColumns
from compare.columns.rows import NAN, Bools, Codes, Floats
from compare.derating import SAME_AMBIENT_K
from compare.judging import JUST_MET
from compare.thermal import ENSEMBLE, STRAIGHT, Heating, heat_to_switch, slope_and_gain, way_and_rise
from compare.trip_time import LEAST_BAND


class TimeColumn(NamedTuple):
    """Times to trip, s, as in `trip_time.TripTime`; not a number where there is none."""

    sure_s: Floats
    least_s: Floats
    low_s: Floats
    high_s: Floats


class AnswerColumn(NamedTuple):
    """What can be said of times to trip against times allowed, as `judging.TimeAnswer`."""

    verdict: Codes
    value_s: Floats
    margin: Floats
    basis: Codes


class _Member(NamedTuple):
    """One heat balance that a point calibrates, of all parts, at one ambient, as
    `trip_time.ThermalMember`."""

    point: int
    tau_s: Floats
    threshold_a: Floats
    rise: Floats
    spread: int
    fits: Bools


class _WithoutLoss(NamedTuple):
    """One member that loses no heat: time times current to twice its power."""

    point: int
    heat: Floats
    spread: int
    fits: Bools


class ColumnTimes:
    """Times to trip of many parts at one ambient, °C; the models are calibrated once."""

    def __init__(self, parts: PartColumns, ambient_c: float, switching_c: float) -> None:
        self._points, self._ambient_c, self._switching_c = parts.points, ambient_c, switching_c
        self._served = np.asarray(~np.isnan(self._points.current_a), bool)
        stated = np.where(self._served, self._points.ambient_c, -np.inf)
        self._any = self._served.any(axis=1) & ~(np.isnan(stated) | (stated >= switching_c)).any(axis=1)
        self._hold_a = parts.hold_at(ambient_c).value
        self._modelled = self._any & ~np.isnan(self._hold_a)
        self._members: list[_Member] = []
        self._without: list[_WithoutLoss] = []
        self._surely_trips = []
        here = self._hold_a, trip_at(parts, ambient_c).value
        for point in range(self._points.current_a.shape[1]):
            known = known_at(parts, point)
            self._modelled &= ~self._served[:, point] | ~np.isnan(known[0])
            self._surely_trips.append(~np.isnan(known[1]))
            self._calibrate(point, known, here)

    def _calibrate(self, point: int, known: tuple[Floats, Floats], here: tuple[Floats, Floats]) -> None:
        """As `trip_time.TripTimes._point_models`."""
        current_a, time_s, known_c = (column[:, point] for column in self._points)
        ambient_c = np.asarray(self._ambient_c)
        for heating in ENSEMBLE:
            fits = self._served[:, point] & (
                np.maximum(known_c, self._ambient_c) < self._switching_c - heating.steep_k)
            here_heat, known_heat = (heat_to_switch(heating, at_c, self._switching_c, np.log1p)
                                     for at_c in (ambient_c, known_c))
            heat = time_s * (current_a**2 * here_heat / known_heat) ** heating.spread
            self._without.append(_WithoutLoss(point, heat, heating.spread, fits))
            for known_a, here_a in zip(known, here, strict=True):
                self._members.append(self._member(point, heating, known_a, here_a, fits))

    def _member(self, point: int, heating: Heating, known_a: Floats, here_a: Floats, fits: Bools) -> _Member:
        current_a, time_s, known_c = (column[:, point] for column in self._points)
        fits = fits & (known_a > 0.0) & (known_a < current_a) & (here_a > 0.0)
        rise = way_and_rise(heating, known_c, self._switching_c)[1]
        over = (current_a / known_a) ** 2
        tau_s = time_s / constants_rising(over, rise, np.zeros_like(over)) ** heating.spread
        here_rise = way_and_rise(heating, np.asarray(self._ambient_c), self._switching_c)[1]
        return _Member(point, tau_s, here_a, np.asarray(here_rise), heating.spread, fits)

    def at(self, current_a: Floats, preload_a: float = 0.0, where: Bools | None = None) -> TimeColumn:
        """Time to trip at a current of each part, A, after a long load, A; bands only for some parts."""
        sure_s, least_s = self._bounds(current_a)
        some = self._modelled & ~np.isnan(current_a) & (True if where is None else where)
        low_s, high_s = np.full(len(current_a), NAN), np.full(len(current_a), NAN)
        if some.any():
            low_s[some], high_s[some] = self._band(current_a[some], preload_a, some)
        return TimeColumn(sure_s, least_s, low_s, high_s)

    def _bounds(self, current_a: Floats) -> tuple[Floats, Floats]:
        """As `trip_time.TripTimes._bounds`."""
        sure_s, least_s = np.full(len(current_a), NAN), np.full(len(current_a), NAN)
        for tested_a, time_s, at_c in zip(*(column.T for column in self._points), strict=True):
            above = (tested_a <= current_a) & (at_c <= self._ambient_c + SAME_AMBIENT_K) & self._any
            below = (tested_a >= current_a) & (at_c >= self._ambient_c - SAME_AMBIENT_K) & self._any
            sure_s = np.where(above, np.fmin(sure_s, time_s), sure_s)
            least_s = np.where(below, np.fmax(least_s, time_s), least_s)
        return sure_s, least_s

    def _band(self, current_a: Floats, preload_a: float, some: Bools) -> tuple[Floats, Floats]:
        """As `trip_time.TripTimes._answer`: what the bands of all points have in common."""
        low_s, high_s = np.full(len(current_a), -np.inf), np.full(len(current_a), np.inf)
        for point in range(self._points.current_a.shape[1]):
            served = self._served[some, point]
            shortest, longest = self._point_band(point, current_a, preload_a, some)
            low_s = np.where(served, np.maximum(low_s, shortest), low_s)
            high_s = np.where(served, np.minimum(high_s, longest), high_s)
        low_s = np.minimum(low_s, high_s)
        middle_s, wide = np.sqrt(low_s * high_s), np.sqrt(LEAST_BAND)
        narrow = (low_s > 0.0) & (high_s < low_s * LEAST_BAND)
        low_s, high_s = np.where(narrow, middle_s / wide, low_s), np.where(narrow, middle_s * wide, high_s)
        held = current_a <= self._hold_a[some]
        return np.where(held, np.inf, low_s), np.where(held, np.inf, high_s)

    def _point_band(
        self, point: int, current_a: Floats, preload_a: float, some: Bools
    ) -> tuple[Floats, Floats]:
        shortest, longest = np.full(len(current_a), np.inf), np.full(len(current_a), -np.inf)
        times = [(without.heat[some] / current_a ** (2 * without.spread), without.fits[some])
                 for without in self._without if without.point == point]
        times += [(self._member_time_s(member, current_a, preload_a, some), member.fits[some])
                  for member in self._members if member.point == point]
        for time_s, fits in times:
            shortest = np.where(fits, np.minimum(shortest, time_s), shortest)
            longest = np.where(fits, np.maximum(longest, time_s), longest)
        may_never = (current_a < self._points.current_a[some, point]) & ~self._surely_trips[point][some]
        return shortest, np.where(may_never, np.inf, longest)

    @staticmethod
    def _member_time_s(member: _Member, current_a: Floats, preload_a: float, some: Bools) -> Floats:
        square = member.threshold_a[some] ** 2
        over, loaded = current_a**2 / square, preload_a**2 / square
        return np.asarray(member.tau_s[some] * constants_rising(over, member.rise, loaded) ** member.spread)


def constants_rising(over: Floats, rise: Floats, loaded: Floats) -> Floats:
    """As `thermal.constants_rising`, of columns."""
    slope, gain = slope_and_gain(over, rise, loaded)
    product = slope * gain
    constants = np.where(np.abs(product) < STRAIGHT, gain, np.log1p(product) / slope)
    return np.where(loaded >= 1.0, 0.0, np.where(over <= 1.0, np.inf, constants))


def answered(time: TimeColumn, limit_s: Floats, by_table: Codes, allow_model: bool) -> AnswerColumn:
    """As `judging.time_to_answer`: first by what the table guarantees, then by the models."""
    count = len(limit_s)
    sure = time.sure_s * JUST_MET <= limit_s
    least = ~sure & (time.least_s * JUST_MET > limit_s)
    banded = ~sure & ~least & ~np.isnan(time.low_s) & ~np.isnan(time.high_s)
    endless = banded & (time.high_s == np.inf)
    low_fails, high_fits = time.low_s > limit_s, time.high_s <= limit_s
    by_band = np.where(low_fails, FAILS, np.where(high_fits, FITS if allow_model else OPEN, OPEN))
    verdict = np.select([sure, least, endless, banded],
                        [np.full(count, FITS), np.full(count, FAILS), np.where(low_fails, FAILS, OPEN),
                         by_band], OPEN)
    value_s = np.select([sure, least, endless, banded],
                        [time.sure_s, time.least_s, np.full(count, NAN), time.high_s], NAN)
    margin = np.where(endless, 0.0, np.where(value_s > 0.0, limit_s / value_s, NAN))
    basis = np.where(sure | least, by_table, np.where(banded, MODEL, DATA))
    return AnswerColumn(verdict, value_s, margin, basis)


def basis_by_table(parts: PartColumns) -> Codes:
    """What a tabulated time is worth: assumed where a sheet does not state its ambient."""
    return np.where(parts.points_assumed, ASSUMED, DATA)
