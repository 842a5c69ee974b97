"""Margins of what must survive until the part trips: wire, board track, a given damage curve.

Comes in: a `Case`. Goes out: a `Margin`, or None where the requirement does not ask. The part is asked at the
coldest ambient, where it is slowest; the conductor starts at the hottest, since it may lie in a warmer place.
Currents up to the trip current may flow continuously: that is asked apart (ampacity).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from typing import NamedTuple

from compare.conductors import (
    ADIABATIC_UNTIL_S,
    awg_to_area_mm2,
    insulation_i2t_a2s,
    onderdonk_i2t_a2s,
    track_area_mm2,
    track_current_a,
    track_width_mm,
)
from compare.corners import Case
from compare.judging import (
    Question,
    TimeAnswer,
    answer_to_margin,
    judged_by_model,
    requirement_to_time_rules,
    time_to_answer,
    undetermined,
    without_dust,
)
from compare.margins_trip import trip_against, with_inputs
from compare.records import VERDICT_RANK, Basis, Margin, Number, Sense, Verdict, weakest
from compare.requirement import DamagePoint, Wire
from compare.trip_time import TripTime

WIRE = Question("wire", "s", Sense.AT_MOST)
WIRE_AMPACITY = Question("wire_ampacity", "A", Sense.AT_MOST)
TRACK = Question("track", "s", Sense.AT_MOST)
TRACK_AMPACITY = Question("track_ampacity", "A", Sense.AT_MOST)
DAMAGE_CURVE = Question("damage_curve", "s", Sense.AT_MOST)
LOSES_HEAT = "beyond ten seconds the conductor loses heat, which the formula leaves out"
Withstand = Callable[[float], float | None]
"""Time, s, that something stands a current, A; None where that is not known."""


def wire(case: Case) -> Margin | None:
    """Time to trip against the time the wire's insulation stands, over all fault currents."""
    asked = case.requirement.wire
    if asked is None:
        return None
    i2t = insulation_i2t_a2s(wire_area_mm2(asked), case.requirement.hottest_c, asked.insulation_max_c)
    return _survival(case, WIRE, lambda current_a: i2t / current_a**2, (), adiabatic=True)


def wire_area_mm2(asked: Wire) -> float:
    """Cross-section of the wire asked for, mm²."""
    if asked.area_mm2 is not None:
        return asked.area_mm2
    assert asked.awg is not None  # the requirement file demands one of the two
    return awg_to_area_mm2(asked.awg)


def wire_ampacity(case: Case) -> Margin | None:
    """Trip current at the coldest ambient against what the wire carries continuously."""
    asked = case.requirement.wire
    if asked is None or asked.ampacity_a is None:
        return None
    return trip_against(WIRE_AMPACITY, case, asked.ampacity_a)


def track(case: Case) -> Margin | None:
    """Time to trip against the time the track stands, over all fault currents."""
    asked = case.requirement.track
    if asked is None:
        return None
    area_mm2 = track_area_mm2(asked.width_mm, asked.copper_um)
    i2t = onderdonk_i2t_a2s(area_mm2, case.requirement.hottest_c, asked.temperature_max_c)
    return _survival(case, TRACK, lambda current_a: i2t / current_a**2, (), adiabatic=True)


def track_ampacity(case: Case) -> Margin | None:
    """Trip current at the coldest ambient against the current that warms the track to its allowed rise."""
    asked = case.requirement.track
    if asked is None or asked.temperature_rise_max_k is None:
        return None
    coldest_c = case.requirement.coldest_c
    limit_a = track_current_a(asked.width_mm, asked.copper_um, asked.layer, asked.temperature_rise_max_k)
    trip = case.derating.trip(coldest_c)
    if trip.value is None:
        return undetermined(TRACK_AMPACITY, trip, limit_a, coldest_c)
    assumed = (*trip.assumed, "track current by a fit of the IPC-2221 chart, from memory")
    number = trip._replace(basis=weakest(trip.basis, Basis.MODEL), assumed=assumed)
    margin = judged_by_model(TRACK_AMPACITY, number, limit_a, case.requirement.allows("track"), coldest_c)
    if margin.verdict is not Verdict.FAILS:
        return margin
    wide_mm = track_width_mm(trip.value, asked.copper_um, asked.layer, asked.temperature_rise_max_k)
    return margin._replace(note=f"a track of {wide_mm:.3g} mm would carry it")


def damage_curve(case: Case) -> Margin | None:
    """Time to trip against a given damage curve: straight in log-log between its points, never beyond."""
    points = case.requirement.damage_curve
    if not points:
        return None
    return _survival(case, DAMAGE_CURVE, lambda current_a: curve_time_s(points, current_a),
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


def _survival(case: Case, question: Question, withstand: Withstand, corners: tuple[float, ...], *,
              adiabatic: bool) -> Margin:
    """The worst margin over the lowest and highest fault current and every corner between them."""
    coldest_c, rules = case.requirement.coldest_c, requirement_to_time_rules(case.requirement)
    low_a, high_a = case.lowest_fault.value, case.highest_fault.value
    if low_a is None or high_a is None:
        unknown = case.lowest_fault if low_a is None else case.highest_fault
        return undetermined(question, unknown, None, coldest_c)
    asked: list[_Asked] = []
    for current_a in _currents_to_ask(case, low_a, high_a, corners):
        limit_s = withstand(current_a)
        if limit_s is None:
            unknown = Number(None, note=f"the curve does not reach {current_a:.4g} A")
            return undetermined(question, unknown, None, coldest_c)
        time = case.trip_times.within(current_a, coldest_c, limit_s)
        answer = time_to_answer(time, limit_s, rules)
        if adiabatic and limit_s > ADIABATIC_UNTIL_S and answer.verdict is Verdict.FAILS:
            answer = answer._replace(verdict=Verdict.UNDETERMINED, note=LOSES_HEAT)
        asked.append(_Asked(current_a, answer, time, limit_s))
    worst = max(asked, key=_Asked.badness)
    margin = with_inputs(answer_to_margin(question, worst.answer, worst.time, worst.limit_s, coldest_c),
                         case.lowest_fault, case.highest_fault)
    where = f"worst at {worst.current_a:.4g} A"
    return margin._replace(note=f"{margin.note} ({where})" if margin.note else where)


class _Asked(NamedTuple):
    """The answer at one fault current: the time to trip there, and what the conductor stands."""

    current_a: float
    answer: TimeAnswer
    time: TripTime
    limit_s: float

    def badness(self) -> tuple[int, float]:
        """The worse the larger; `max` takes the smallest current of equals."""
        size = -math.inf if self.answer.margin is None else -without_dust(self.answer.margin)
        return VERDICT_RANK[self.answer.verdict], size


def _currents_to_ask(case: Case, low_a: float, high_a: float, corners: tuple[float, ...]) -> list[float]:
    """Both ends of the fault current and every current between them at which a line bends, A, rising."""
    tested = [point.current_a for point in case.numbers.trip_points]
    drawn = case.trip_times.drawn
    vertices = () if drawn is None else drawn.corners(low_a, high_a)
    between = {current_a for current_a in (*corners, *tested, *vertices) if low_a < current_a < high_a}
    return sorted({low_a, high_a} | between)
