"""Margins of what must survive until the part trips: wire, board track, a given damage curve.

Comes in: a `Case`. Goes out: a `Margin`, or None where the requirement does not ask. The part is asked at the
coldest ambient, where it is slowest; the conductor starts at the hottest, since it may lie in a warmer place.
Currents up to the trip current may flow for ever: that is asked apart (ampacity).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

from compare.conductors import (
    ADIABATIC_UNTIL_S,
    awg_to_area_mm2,
    onderdonk_i2t_a2s,
    track_area_mm2,
    track_current_a,
)
from compare.corners import Case
from compare.judging import Question, doubted, judged, judged_by_model, judged_time, undetermined
from compare.records import VERDICT_RANK, Basis, Margin, Number, Sense, Verdict, weakest
from compare.requirement import DamagePoint, Wire

Withstand = Callable[[float], float | None]
"""Time, s, that something stands a current, A; None where that is not known."""


def wire(case: Case) -> Margin | None:
    """Time to trip against the time the wire's insulation stands, over all fault currents."""
    asked = case.requirement.wire
    if asked is None:
        return None
    i2t = onderdonk_i2t_a2s(wire_area_mm2(asked), case.requirement.hottest_c, asked.insulation_max_c)
    return _survival(case, "wire", lambda current_a: i2t / current_a**2, (), adiabatic=True)


def wire_area_mm2(asked: Wire) -> float:
    """Cross-section of the wire asked for, mm²."""
    if asked.area_mm2 is not None:
        return asked.area_mm2
    assert asked.awg is not None  # the requirement file demands one of the two
    return awg_to_area_mm2(asked.awg)


def wire_ampacity(case: Case) -> Margin | None:
    """Trip current at the coldest ambient against what the wire carries for ever."""
    asked = case.requirement.wire
    if asked is None or asked.ampacity_a is None:
        return None
    coldest_c = case.requirement.coldest_c
    question = Question("wire_ampacity", "A", Sense.AT_MOST, coldest_c)
    return judged(question, case.derating.trip(coldest_c), asked.ampacity_a)


def track(case: Case) -> Margin | None:
    """Time to trip against the time the track stands, over all fault currents."""
    asked = case.requirement.track
    if asked is None:
        return None
    area_mm2 = track_area_mm2(asked.width_mm, asked.copper_um)
    i2t = onderdonk_i2t_a2s(area_mm2, case.requirement.hottest_c, asked.temperature_max_c)
    return _survival(case, "track", lambda current_a: i2t / current_a**2, (), adiabatic=True)


def track_ampacity(case: Case) -> Margin | None:
    """Trip current at the coldest ambient against the current that warms the track to its allowed rise."""
    asked = case.requirement.track
    if asked is None or asked.temperature_rise_max_k is None:
        return None
    coldest_c = case.requirement.coldest_c
    limit_a = track_current_a(asked.width_mm, asked.copper_um, asked.layer, asked.temperature_rise_max_k)
    trip = case.derating.trip(coldest_c)
    question = Question("track_ampacity", "A", Sense.AT_MOST, coldest_c)
    if trip.value is None:
        return undetermined(question, trip, limit_a)
    assumed = (*trip.assumed, "track current by a fit of the IPC-2221 chart, from memory")
    number = replace(trip, basis=weakest(trip.basis, Basis.MODEL), assumed=assumed)
    return judged_by_model(question, number, limit_a, case.requirement.allow_model)


def damage_curve(case: Case) -> Margin | None:
    """Time to trip against a given damage curve: straight in log-log between its points, never beyond."""
    points = case.requirement.damage_curve
    if not points:
        return None
    return _survival(case, "damage_curve", lambda current_a: curve_time_s(points, current_a),
                     tuple(point.current_a for point in points), adiabatic=False)


def curve_time_s(points: tuple[DamagePoint, ...], current_a: float) -> float | None:
    """Time, s, on a damage curve at a current, straight in log-log between its points; None beyond them."""
    for point in points:
        if point.current_a == current_a:
            return point.time_s
    for low, high in pairwise(points):
        if low.current_a < current_a < high.current_a:
            share = math.log(current_a / low.current_a) / math.log(high.current_a / low.current_a)
            return float(low.time_s * (high.time_s / low.time_s) ** share)
    return None


def _survival(case: Case, name: str, withstand: Withstand, corners: tuple[float, ...], *,
              adiabatic: bool) -> Margin:
    """The worst margin over the lowest and highest fault current and every corner between them."""
    question = Question(name, "s", Sense.AT_MOST, case.requirement.coldest_c)
    low, high = case.lowest_fault, case.highest_fault
    if low.value is None or high.value is None:
        return undetermined(question, low if low.value is None else high, None)
    tested = [point.current_a for point in case.numbers.trip_points]
    between = {current for current in (*corners, *tested) if low.value < current < high.value}
    currents = sorted({low.value, high.value} | between)
    margins = [_survival_at(case, question, withstand, current, adiabatic) for current in currents]
    worst = max(range(len(margins)), key=lambda index: _badness(margins[index]))
    return replace(margins[worst],
                   assumed=(*margins[worst].assumed, f"{name}: worst at {currents[worst]:.4g} A"))


def _badness(margin: Margin) -> tuple[int, float]:
    return VERDICT_RANK[margin.verdict], -math.inf if margin.margin is None else -margin.margin


def _survival_at(case: Case, question: Question, withstand: Withstand, current_a: float,
                 adiabatic: bool) -> Margin:
    limit_s = withstand(current_a)
    if limit_s is None:
        return undetermined(question, Number(None, note=f"the curve does not reach {current_a:.4g} A"), None)
    time = case.trip_times.at(current_a, case.requirement.coldest_c)
    margin = judged_time(question, time, limit_s, case.requirement.allow_model)
    if adiabatic and margin.verdict is Verdict.FAILS and limit_s > ADIABATIC_UNTIL_S:
        return doubted(margin, "beyond ten seconds the conductor loses heat, which the formula leaves out")
    return margin
