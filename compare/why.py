"""Everything one part was asked, what each answer rests on, and what would have to change.

Comes in: a candidate, its ranking. Goes out: a line for each margin, and the part nearest to it that fits.
Judges nothing anew.
"""

from __future__ import annotations

from dataclasses import dataclass

from compare.explain import (
    PassingParts,
    margin_text,
    margin_title,
    margin_to_gap,
    quantity_text,
)
from compare.ranking import Ranking
from compare.records import Basis, Candidate, Margin, Sense, Verdict

HOW = {Basis.DATA: "printed", Basis.CURVE: "drawn", Basis.INTERPOLATED: "between two columns",
       Basis.ASSUMED: "assumed", Basis.MODEL: "a model"}


@dataclass(frozen=True, slots=True)
class WhyLine:
    """One margin in words. rests_on: how the value was reached, how firmly it stands, the printed cells and
    the assumptions; change: what would have to change for it to fit, empty where it does."""

    title: str
    verdict: Verdict
    value: str
    limit: str
    margin: str
    rests_on: str
    change: str


def candidate_to_why(candidate: Candidate) -> tuple[WhyLine, ...]:
    """Every margin of a part: what decides first, then as a designer asks."""
    order = {Verdict.FAILS: 0, Verdict.UNDETERMINED: 1, Verdict.FITS: 2}
    lines = sorted(candidate.margins, key=lambda margin: order[margin.verdict])
    return tuple(_margin_to_line(margin) for margin in lines)


def _margin_to_line(margin: Margin) -> WhyLine:
    side = "at least" if margin.sense is Sense.AT_LEAST else "at most"
    at = f", {margin.at_c:g} °C" if margin.at_c is not None else ""
    return WhyLine(
        f"{margin_title(margin.name)}{at}", margin.verdict,
        "" if margin.value is None else quantity_text(margin.value, margin.unit),
        "" if margin.limit is None else f"{side} {quantity_text(margin.limit, margin.unit)}",
        margin_text(margin), _rests_on(margin), margin_to_change(margin))


def _rests_on(margin: Margin) -> str:
    if margin.value is None and margin.margin is None:
        return margin.source
    same = margin.standing is None or margin.standing.value == margin.basis.value
    stands = "" if same else f", {margin.standing}"
    parts = [f"{HOW[margin.basis]}{stands}", margin.source, *(f"assumes: {text}" for text in margin.assumed)]
    return "; ".join(filter(None, parts))


def margin_to_change(margin: Margin) -> str:
    """What would have to change for a margin to fit: of the part, and where it is a number, of the need."""
    if margin.verdict is Verdict.FITS:
        return ""
    gap = margin_to_gap(margin)
    if margin.value is None or margin.limit is None or not gap:
        return margin.note or gap
    need = "no more than" if margin.sense is Sense.AT_LEAST else "no less than"
    why = f"; {margin.note}" if margin.note else ""
    return f"{gap}, or a need of {need} {quantity_text(margin.value, margin.unit)}{why}"


def nearest_that_fits(ranking: Ranking, candidate: Candidate) -> Candidate | None:
    """The fitting part whose rated hold current is nearest; None where the part fits itself or none does."""
    return None if candidate.verdict is Verdict.FITS else PassingParts(ranking).nearest_to(candidate)
