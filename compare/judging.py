"""A value and its limit become a margin with a verdict.

Comes in: numbers, limits. Goes out: `Margin`. A value on its limit fits. A model says "fits" only where the
requirement allows models, and only with its whole band on the good side; it may say "fails" when its whole
band lies on the bad side. Does not look anything up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from compare.drawn_times import CURVE_NOTE, DrawnTime
from compare.records import Basis, Margin, Number, Sense, Verdict
from compare.requirement import Requirement
from compare.trip_time import MODEL_NOTE, TripTime
from extract.schema import Curve

JUST_MET = 1.0 - 1e-12
"""A need is met from this share of it on: 1.1 * 0.6 is a hair above 0.66 for a computer only."""
BARE_TYPICAL = "a typical time is no limit: state typical_to_max_factor, or measure on the bench"
MODEL_NOT_ALLOWED = "a model alone, and the requirement allows none: show it by a curve or on the bench"


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: name of the margin, unit of its value and limit, on which side of the limit is good."""

    name: str
    unit: str
    sense: Sense


def ratio(value: float, limit: float, sense: Sense) -> float | None:
    """How many times the need is met; None where it cannot be divided."""
    over, under = (value, limit) if sense is Sense.AT_LEAST else (limit, value)
    return over / under if under > 0.0 else None


def without_dust(value: float) -> float:
    """A value to nine digits: two margins that differ in the last digits of a computer are equal."""
    return float(f"{value:.9g}")


def judged(question: Question, number: Number, limit: float, at_c: float | None = None) -> Margin:
    """Margin of a number against a limit, asked at an ambient, °C; undetermined without a number."""
    value = number.value
    if value is None:
        return undetermined(question, number, limit, at_c)
    sense = question.sense
    have, need = (value, limit) if sense is Sense.AT_LEAST else (limit, value)
    return Margin(question.name, value, limit, have / need if need > 0.0 else None,
                  Verdict.FITS if have >= need * JUST_MET else Verdict.FAILS, number.basis, question.unit,
                  sense,
                  "", number.readings, None, at_c, number.assumed)


def undetermined(
    question: Question, number: Number, limit: float | None, at_c: float | None = None
) -> Margin:
    """A margin of which nothing can be said; the number's note is the reason."""
    return Margin(question.name, None, limit, None, Verdict.UNDETERMINED, Basis.DATA, question.unit,
                  question.sense, number.note, number.readings, None, at_c)


def judged_by_model(
    question: Question, number: Number, limit: float, allow_model: bool, at_c: float | None = None,
    unproven: str = "",
) -> Margin:
    """As `judged`, for a value that a model gives: it fits only where that model is allowed.

    unproven: why it may not fit even then, as where the sheet gives a typical value, or empty.
    """
    margin = judged(question, number, limit, at_c)
    why = unproven or ("" if allow_model else MODEL_NOT_ALLOWED)
    return doubted(margin, why) if why and margin.verdict is Verdict.FITS else margin


def doubted(margin: Margin, why: str) -> Margin:
    """The same margin, but undetermined, with the reason."""
    return Margin(margin.name, margin.value, margin.limit, margin.margin, Verdict.UNDETERMINED, margin.basis,
                  margin.unit, margin.sense, why, margin.readings, margin.band, margin.at_c, margin.assumed,
                  margin.particulars, margin.curves)


class TimeAnswer(NamedTuple):
    """What can be said of a time to trip against a time allowed, s; a margin in the making.

    value_s None where there is no time or no end to it; `margin` then is None or 0. band_s: of the models or
    of the curve; drawn: the curve it rests on.
    """

    verdict: Verdict
    value_s: float | None
    margin: float | None
    basis: Basis
    note: str = ""
    band_s: tuple[float, float] | None = None
    drawn: DrawnTime | None = None


class TimeRules(NamedTuple):
    """What a requirement lets a time rest on: models; a longest time of so many times the typical one, None
    where it states no factor."""

    allow_model: bool
    typical_to_max: float | None = None


def requirement_to_time_rules(requirement: Requirement) -> TimeRules:
    """What a requirement lets a time rest on."""
    return TimeRules(requirement.allows("time"), requirement.typical_to_max_factor)


def time_to_answer(time: TripTime, limit_s: float, rules: TimeRules) -> TimeAnswer:
    """Hold a time to trip against a time allowed: first by what the sheet guarantees, then by the drawn
    curve, then by the models."""
    sure_s, by_table = time.guaranteed_s, Basis.ASSUMED if time.assumed else Basis.DATA
    if sure_s is not None and sure_s * JUST_MET <= limit_s:
        return TimeAnswer(Verdict.FITS, sure_s, ratio(sure_s, limit_s, Sense.AT_MOST), by_table)
    least_s = time.at_least_s
    if least_s is not None and least_s * JUST_MET > limit_s:
        return TimeAnswer(Verdict.FAILS, least_s, limit_s / least_s, by_table)
    by_model = _models_to_answer(time, limit_s, rules.allow_model)
    drawn = time.drawn
    if drawn is None:
        return by_model
    if drawn.low_s is None or drawn.high_s is None:
        return by_model._replace(note=_joined_notes(by_model.note, drawn.note))
    return _drawn_to_answer(drawn, limit_s, rules, by_model)


def _drawn_to_answer(drawn: DrawnTime, limit_s: float, rules: TimeRules, by_model: TimeAnswer) -> TimeAnswer:
    """By the drawn curve: a factor of the requirement makes a longest time of the typical one. Without a
    factor only a failure is proven: no longest time is shorter than a typical one."""
    assert drawn.low_s is not None  # the caller looked
    assert drawn.high_s is not None
    if drawn.low_s > limit_s:  # the factor is a bound, so that only the bare typical time proves a failure
        rules = rules._replace(typical_to_max=None)
    factor = rules.typical_to_max
    low_s, high_s = (time_s * (factor or 1.0) for time_s in (drawn.low_s, drawn.high_s))
    words = drawn.words() if factor is None else f"{drawn.words()}, times {factor:g} for the longest"
    answer = TimeAnswer(Verdict.UNDETERMINED, high_s, ratio(high_s, limit_s, Sense.AT_MOST), drawn.basis,
                        words, (low_s, high_s), drawn)
    if high_s == math.inf:
        answer = answer._replace(value_s=None, margin=0.0, band_s=None)
    if drawn.low_s > limit_s:
        return answer._replace(verdict=Verdict.FAILS)
    if factor is not None and high_s <= limit_s:
        if drawn.basis is Basis.MODEL and not rules.allow_model:
            return answer._replace(note=f"{words}; {MODEL_NOT_ALLOWED}")
        return answer._replace(verdict=Verdict.FITS)
    if factor is None and high_s <= limit_s:
        return _typical_meets(answer, by_model)
    return answer


def _typical_meets(answer: TimeAnswer, by_model: TimeAnswer) -> TimeAnswer:
    """A typical time that meets the limit proves nothing; a model of the longest time speaks where it may,
    unless the curve shows that it is wrong."""
    longest_s, typical_s = by_model.value_s, answer.value_s
    refuted = longest_s is not None and typical_s is not None and longest_s < typical_s
    if by_model.verdict is not Verdict.UNDETERMINED and not refuted:
        return by_model._replace(note=_joined_notes(by_model.note, answer.note))
    return answer._replace(note=f"{answer.note}; {BARE_TYPICAL}")


def _joined_notes(*notes: str) -> str:
    return "; ".join(note for note in notes if note)


def _models_to_answer(time: TripTime, limit_s: float, allow_model: bool) -> TimeAnswer:
    """What the models say of the longest time."""
    low_s, high_s = time.low_s, time.high_s
    if low_s is None or high_s is None:
        return TimeAnswer(Verdict.UNDETERMINED, None, None, Basis.DATA, time.note)
    if high_s == math.inf:
        fails = low_s > limit_s and not time.typical
        note = "the part does not trip at this current" if low_s == math.inf else (
            "the part may never trip at this current")
        return TimeAnswer(Verdict.FAILS if fails else Verdict.UNDETERMINED, None, 0.0, Basis.MODEL, note)
    verdict, note = _band_verdict(time, low_s, high_s, limit_s)
    if verdict is Verdict.FITS and not allow_model:
        verdict, note = Verdict.UNDETERMINED, MODEL_NOT_ALLOWED
    return TimeAnswer(verdict, high_s, ratio(high_s, limit_s, Sense.AT_MOST), Basis.MODEL, note,
                      (low_s, high_s))


def _band_verdict(time: TripTime, low_s: float, high_s: float, limit_s: float) -> tuple[Verdict, str]:
    if time.typical:
        return Verdict.UNDETERMINED, "typical time only: it guarantees nothing"
    if low_s > limit_s:
        return Verdict.FAILS, ""
    if high_s <= limit_s:
        return Verdict.FITS, ""
    return Verdict.UNDETERMINED, f"the models say {low_s:.3g} to {high_s:.3g} s"


def answer_to_margin(
    question: Question, answer: TimeAnswer, time: TripTime, limit_s: float, at_c: float
) -> Margin:
    """The margin of an answered time, with its cells, band and assumptions."""
    readings, assumed = time.readings, time.assumed
    curves: tuple[Curve, ...] = ()
    if answer.drawn is not None:
        curves, readings = answer.drawn.curves, answer.drawn.readings
        assumed = (*answer.drawn.assumed, CURVE_NOTE)
    elif answer.basis is Basis.MODEL:
        readings += tuple(reading for number in time.rests_on for reading in number.readings)
        assumed = tuple(dict.fromkeys(
            (*assumed, *(text for number in time.rests_on for text in number.assumed), MODEL_NOTE)))
    return Margin(question.name, answer.value_s, limit_s, answer.margin, answer.verdict, answer.basis,
                  question.unit, question.sense, answer.note, readings, answer.band_s, at_c, assumed, (),
                  curves)


def judged_time(question: Question, time: TripTime, limit_s: float, rules: TimeRules, at_c: float) -> Margin:
    """Margin of the longest time to trip against the longest time allowed, s."""
    return answer_to_margin(question, time_to_answer(time, limit_s, rules), time, limit_s, at_c)
