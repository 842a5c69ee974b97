"""A value and its limit become a margin with a verdict.

Comes in: numbers, limits. Goes out: `Margin`. A value on its limit fits. A model says "fits" only where the
requirement allows models, and only with its whole band on the good side; it may say "fails" when its whole
band lies on the bad side. Does not look anything up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from compare.records import Basis, Margin, Number, Sense, Verdict
from compare.trip_time import MODEL_NOTE, TripTime

MODEL_NOT_ALLOWED = "a model alone, and the requirement allows none: show it by a curve or on the bench"


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: name of the margin, unit, sense, and the ambient (°C) where it has one."""

    name: str
    unit: str
    sense: Sense
    at_c: float | None = None


def ratio(value: float, limit: float, sense: Sense) -> float | None:
    """How many times the need is met; None where it cannot be divided."""
    over, under = (value, limit) if sense is Sense.AT_LEAST else (limit, value)
    return over / under if under > 0.0 else None


def judged(question: Question, number: Number, limit: float) -> Margin:
    """Margin of a number against a limit; undetermined where the part gives no number."""
    value = number.value
    if value is None:
        return undetermined(question, number, limit)
    sense = question.sense
    fits = value >= limit if sense is Sense.AT_LEAST else value <= limit
    return Margin(question.name, value, limit, ratio(value, limit, sense),
                  Verdict.FITS if fits else Verdict.FAILS, number.basis, question.unit, sense,
                  "", number.readings, None, question.at_c, number.assumed)


def undetermined(question: Question, number: Number, limit: float | None) -> Margin:
    """A margin of which nothing can be said; the number's note is the reason."""
    return Margin(question.name, None, limit, None, Verdict.UNDETERMINED, Basis.DATA, question.unit,
                  question.sense, number.note, number.readings, None, question.at_c)


def judged_by_model(question: Question, number: Number, limit: float, allow_model: bool) -> Margin:
    """As `judged`, for a value that a model gives: it fits only where models are allowed."""
    margin = judged(question, number, limit)
    return margin if allow_model or margin.verdict is not Verdict.FITS else doubted(margin, MODEL_NOT_ALLOWED)


def doubted(margin: Margin, why: str) -> Margin:
    """The same margin, but undetermined, with the reason."""
    return Margin(margin.name, margin.value, margin.limit, margin.margin, Verdict.UNDETERMINED, margin.basis,
                  margin.unit, margin.sense, why, margin.readings, margin.band, margin.at_c, margin.assumed)


def judged_time(question: Question, time: TripTime, limit_s: float, allow_model: bool) -> Margin:
    """Margin of the longest time to trip against the longest time allowed, s."""
    if time.guaranteed_s is not None and time.guaranteed_s <= limit_s:
        return judged(question, _tabulated(time, time.guaranteed_s), limit_s)
    if time.at_least_s is not None and time.at_least_s > limit_s:
        return judged(question, _tabulated(time, time.at_least_s), limit_s)
    if time.low_s is None or time.high_s is None:
        return undetermined(question, Number(None, readings=time.readings, note=time.note), limit_s)
    verdict, why = _band_verdict(time, limit_s, allow_model)
    never = math.isinf(time.high_s)
    return Margin(
        question.name, None if never else time.high_s, limit_s,
        0.0 if never else ratio(time.high_s, limit_s, Sense.AT_MOST), verdict, Basis.MODEL, question.unit,
        question.sense, why, time.readings, None if never else (time.low_s, time.high_s), question.at_c,
        (*time.assumed, MODEL_NOTE))


def _tabulated(time: TripTime, value_s: float) -> Number:
    return Number(value_s, Basis.DATA, time.readings, assumed=time.assumed)


def _band_verdict(time: TripTime, limit_s: float, allow_model: bool) -> tuple[Verdict, str]:
    assert time.low_s is not None  # judged_time has seen to both
    assert time.high_s is not None
    if time.typical:
        return Verdict.UNDETERMINED, "typical curve only: it guarantees nothing"
    if math.isinf(time.low_s):
        return Verdict.FAILS, "the part does not trip at this current"
    if time.low_s > limit_s:
        return Verdict.FAILS, ""
    if math.isinf(time.high_s):
        return Verdict.UNDETERMINED, "the part may never trip at this current"
    if time.high_s > limit_s:
        return Verdict.UNDETERMINED, f"the models say {time.low_s:.3g} to {time.high_s:.3g} s"
    return (Verdict.FITS, "") if allow_model else (Verdict.UNDETERMINED, MODEL_NOT_ALLOWED)
