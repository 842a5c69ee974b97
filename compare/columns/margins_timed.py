"""Margins that rest on a time to trip, as columns: pulses, time to trip, what must survive.

Comes in: a `ColumnCase` and a `Clock`. Goes out: a `MarginColumn`, or None where the requirement does not
ask. Each function bears the name of the one that asks one part (`compare.margins_trip`, `margins_survival`)
and says the same.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

import numpy as np

from compare.columns.corners import DATA, MODEL, Column, ColumnCase, basis_of
from compare.columns.judging import (
    FAILS,
    FITS,
    OPEN,
    MarginColumn,
    chosen,
    judged,
    undetermined,
    without_dust,
)
from compare.columns.part_columns import PartColumns
from compare.columns.rows import NAN, Bools, Floats
from compare.columns.times import AnswerColumn, ColumnTimes, answered, basis_by_table
from compare.conductors import (
    ADIABATIC_UNTIL_S,
    insulation_i2t_a2s,
    onderdonk_i2t_a2s,
    track_area_mm2,
)
from compare.margins_survival import wire_area_mm2
from compare.pulses import SquarePulse, hot_plug_pulse
from compare.records import Sense
from compare.requirement import DamagePoint, Requirement
from extract.schema import Kind, Quantity

Withstand = Callable[[Floats], Floats]
"""Time, s, that something stands a current; not a number where that is not known."""


class Clock:
    """Times to trip at the hottest and the coldest ambient, made when first asked for."""

    def __init__(self, parts: PartColumns, requirement: Requirement) -> None:
        self._parts, self._requirement = parts, requirement
        self._at: dict[float, ColumnTimes] = {}

    def at(self, ambient_c: float) -> ColumnTimes:
        """The times at an ambient, °C."""
        found = self._at.get(ambient_c)
        if found is None:
            found = self._at[ambient_c] = ColumnTimes(
                self._parts, ambient_c, self._requirement.switching_temperature_c)
        return found


def time_to_trip(case: ColumnCase, clock: Clock) -> MarginColumn | None:
    """As `margins_trip.time_to_trip`."""
    asked = case.requirement
    if asked.trip_time_max_s is None:
        return None
    answer = _answer(case, clock, case.lowest_fault.value, case.known(asked.trip_time_max_s))
    known = ~np.isnan(answer.value_s)
    basis = np.where(known, np.maximum(answer.basis, case.lowest_fault.basis), answer.basis)
    return MarginColumn(answer.value_s, case.known(asked.trip_time_max_s), answer.margin, answer.verdict,
                        basis)


def _answer(case: ColumnCase, clock: Clock, current_a: Floats, limit_s: Floats) -> AnswerColumn:
    """Times to trip at the coldest ambient against times allowed; bands only where the table does not
    decide."""
    times, allow = clock.at(case.requirement.coldest_c), case.requirement.allows("time")
    table = times.at(current_a, where=np.zeros(case.size, bool))
    by_table = answered(table, limit_s, basis_by_table(case.parts), allow)
    time = times.at(current_a, where=(by_table.verdict == OPEN) & ~np.isnan(limit_s))
    return answered(time, limit_s, basis_by_table(case.parts), allow)


def inrush(case: ColumnCase, clock: Clock) -> MarginColumn | None:
    """As `margins_trip.inrush`."""
    asked = case.requirement
    if asked.peak_current_a is None or asked.peak_duration_s is None:
        return None
    pulse = SquarePulse(asked.peak_current_a, asked.peak_duration_s)
    return _holds_pulse(case, clock, pulse, asked.load_before_peak_a)


def hot_plug(case: ColumnCase, clock: Clock) -> MarginColumn | None:
    """As `margins_trip.hot_plug`."""
    asked = case.requirement
    if asked.hot_plug is None:
        return None
    plug = asked.hot_plug
    pulse = hot_plug_pulse(asked.supply_voltage_v, plug.capacitance_f, plug.resistance_ohm)
    return _holds_pulse(case, clock, pulse, asked.normal_current_a)


def _holds_pulse(case: ColumnCase, clock: Clock, pulse: SquarePulse, preload_a: float) -> MarginColumn:
    """As `margins_trip._holds_pulse`."""
    hold = case.hold_hot
    number = Column(hold.value, basis_of(hold))
    holds = pulse.current_a <= hold.value
    held = judged(number, case.known(pulse.current_a), Sense.AT_LEAST)
    loaded = preload_a >= hold.value
    load_alone = judged(number, case.known(preload_a), Sense.AT_LEAST)
    load_alone = chosen(load_alone.verdict == FAILS, load_alone, undetermined(case.size))
    asked = ~holds & ~loaded & ~np.isnan(hold.value)
    timed = _outlasts(case, clock, pulse, preload_a, asked)
    found = chosen(asked, timed, undetermined(case.size))
    return chosen(holds, held, chosen(loaded, load_alone, found))


def _outlasts(
    case: ColumnCase, clock: Clock, pulse: SquarePulse, preload_a: float, asked: Bools
) -> MarginColumn:
    """The shortest time to trip against the length of a pulse."""
    duration = case.known(pulse.duration_s)
    time = clock.at(case.requirement.hottest_c).at(case.known(pulse.current_a), preload_a, asked)
    trips = time.sure_s <= pulse.duration_s
    guaranteed = judged(Column(time.sure_s, basis_by_table(case.parts)), duration, Sense.AT_LEAST)._replace(
        verdict=np.full(case.size, FAILS))
    shortest_s = time.low_s * _resistance_spread(case)
    enough = shortest_s >= pulse.duration_s
    allow = case.requirement.allows("time")
    too_soon = np.where(time.high_s >= pulse.duration_s, OPEN, FAILS)
    verdict = np.where(enough, FITS if allow else OPEN, too_soon)
    known = ~np.isnan(shortest_s)
    model = MarginColumn(shortest_s, duration, shortest_s / pulse.duration_s, np.where(known, verdict, OPEN),
                         np.where(known, MODEL, DATA))
    return chosen(trips, guaranteed, model)


def _resistance_spread(case: ColumnCase) -> Floats:
    """As `margins_trip._resistance_spread`."""
    low, high = (case.parts.single(Quantity.RESISTANCE, kind) for kind in (Kind.MIN, Kind.POST_TRIP_MAX))
    return np.asarray(np.minimum(1.0, low.value / high.value))


def wire(case: ColumnCase, clock: Clock) -> MarginColumn | None:
    """As `margins_survival.wire`."""
    asked = case.requirement.wire
    if asked is None:
        return None
    i2t = insulation_i2t_a2s(wire_area_mm2(asked), case.requirement.hottest_c, asked.insulation_max_c)
    return _survival(case, clock, lambda current_a: i2t / current_a**2, (), adiabatic=True)


def track(case: ColumnCase, clock: Clock) -> MarginColumn | None:
    """As `margins_survival.track`."""
    asked = case.requirement.track
    if asked is None:
        return None
    area_mm2 = track_area_mm2(asked.width_mm, asked.copper_um)
    i2t = onderdonk_i2t_a2s(area_mm2, case.requirement.hottest_c, asked.temperature_max_c)
    return _survival(case, clock, lambda current_a: i2t / current_a**2, (), adiabatic=True)


def damage_curve(case: ColumnCase, clock: Clock) -> MarginColumn | None:
    """As `margins_survival.damage_curve`."""
    points = case.requirement.damage_curve
    if not points:
        return None
    return _survival(case, clock, lambda current_a: curve_time_s(points, current_a),
                     tuple(point.current_a for point in points), adiabatic=False)


def curve_time_s(points: tuple[DamagePoint, ...], current_a: Floats) -> Floats:
    """As `margins_survival.curve_time_s`: straight in log-log between the points, nothing beyond them."""
    found = np.full(len(current_a), NAN)
    for low, high in pairwise(points):
        share = np.log(current_a / low.current_a) / math.log(high.current_a / low.current_a)
        inside = (low.current_a < current_a) & (current_a < high.current_a)
        found = np.where(inside, low.time_s * (high.time_s / low.time_s) ** share, found)
    for point in points:
        found = np.where(current_a == point.current_a, point.time_s, found)
    return found


def _survival(case: ColumnCase, clock: Clock, withstand: Withstand, corners: tuple[float, ...], *,
              adiabatic: bool) -> MarginColumn:
    """As `margins_survival._survival`: the worst over the lowest and highest fault current and every corner
    between them."""
    low_a, high_a = case.lowest_fault, case.highest_fault
    open_now = np.isnan(low_a.value) | np.isnan(high_a.value)
    worst = MarginColumn(case.known(None), case.known(None), case.known(None), np.full(case.size, -1),
                         np.zeros(case.size, np.int64))
    worst_a = case.known(None)
    for current_a in _currents(case, corners):
        asked = ~np.isnan(current_a) & ~open_now
        limit_s = np.where(asked, withstand(current_a), NAN)
        open_now = open_now | (asked & np.isnan(limit_s))
        answer = _answer(case, clock, np.where(asked, current_a, NAN), limit_s)
        verdict = answer.verdict
        if adiabatic:
            verdict = np.where((limit_s > ADIABATIC_UNTIL_S) & (verdict == FAILS), OPEN, verdict)
        here = MarginColumn(answer.value_s, limit_s, answer.margin, verdict, answer.basis)
        less, alike = _badness(here) > _badness(worst), _badness(here) == _badness(worst)
        less |= alike & (current_a < worst_a)  # of equals the smallest current
        worse = asked & ((verdict > worst.verdict) | ((verdict == worst.verdict) & less))
        worst, worst_a = chosen(worse, here, worst), np.where(worse, current_a, worst_a)
    inputs = np.maximum(low_a.basis, high_a.basis)
    basis = np.where(np.isnan(worst.value), worst.basis, np.maximum(worst.basis, inputs))
    return chosen(open_now, undetermined(case.size), worst._replace(basis=basis))


def _badness(margins: MarginColumn) -> Floats:
    return np.where(np.isnan(margins.margin), -np.inf, -without_dust(margins.margin))


def _currents(case: ColumnCase, corners: tuple[float, ...]) -> Iterator[Floats]:
    """The currents at which survival is asked, of each part; not a number where a part has fewer."""
    low_a, high_a = case.lowest_fault.value, case.highest_fault.value
    yield low_a
    yield high_a
    tested = case.parts.points.current_a.T
    for current_a in (*(case.known(corner) for corner in corners), *tested):
        yield np.where((low_a < current_a) & (current_a < high_a), current_a, NAN)
