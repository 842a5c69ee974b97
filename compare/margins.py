"""All margins of one part against one requirement.

Comes in: a `Case`. Goes out: its margins, in the order a designer asks.
Does not rank parts.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from compare import margins_body as body
from compare import margins_steady as steady
from compare import margins_survival as survival
from compare import margins_trip as trip
from compare import margins_tripped as tripped
from compare.corners import Case
from compare.records import Margin, Verdict

Asked = Callable[[Case], Margin | None]

QUESTIONS: tuple[Asked, ...] = (
    steady.hold_current,
    trip.inrush,
    trip.hot_plug,
    trip.trip_certainty,
    trip.time_to_trip,
    trip.trip_current_limit,
    trip.limited_power,
    steady.max_voltage,
    steady.interrupt_voltage,
    steady.max_current,
    steady.voltage_drop,
    tripped.leakage,
    tripped.reset,
    survival.wire,
    survival.wire_ampacity,
    survival.track,
    survival.track_ampacity,
    survival.damage_curve,
    steady.package,
    body.body_length,
    body.body_width,
    body.body_height,
    body.lead_spacing,
    body.mounting,
    body.operating_hot,
    body.operating_cold,
    body.approvals,
    body.tested_trips,
    steady.endurance,
)


WORST_FIRST = (Verdict.FAILS, Verdict.UNDETERMINED, Verdict.FITS)


def case_to_margins(case: Case) -> tuple[Margin, ...]:
    """Every margin the requirement asks for."""
    return tuple([margin for ask in QUESTIONS if (margin := ask(case)) is not None])


def margins_to_verdict(margins: tuple[Margin, ...]) -> Verdict:
    """fails if any fails, else undetermined if any is undetermined, else fits."""
    verdicts = {margin.verdict for margin in margins}
    return next(verdict for verdict in WORST_FIRST if verdict in verdicts)


def margins_to_limiting(margins: tuple[Margin, ...], verdict: Verdict) -> Margin:
    """The margin that decides: of those with the part's own verdict, the smallest.

    One without a number counts as the smallest where it stands in the way, and last where it fits: a
    package that fits limits nothing.
    """
    unnumbered = math.inf if verdict is Verdict.FITS else -math.inf
    limiting, smallest = margins[0], math.nan
    for margin in margins:
        if margin.verdict is verdict:
            size = unnumbered if margin.margin is None else margin.margin
            if not size >= smallest:  # smaller, or the first one
                limiting, smallest = margin, size
    return limiting
