"""What each question removes, and which one, if relaxed, lets the most parts in.

Comes in: a `Ranking` of all parts. Goes out: counts for each margin, and relaxations, the most helpful first.
Judges nothing anew: relaxing one question leaves the verdicts of all others as they are.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from compare.ranking import Ranking
from compare.records import Candidate, Margin, Sense, Verdict


@dataclass(frozen=True, slots=True)
class Filter:
    """One question: how many parts fail it, how many fail nothing else, for how many it cannot be told."""

    name: str
    fails: int
    fails_alone: int
    undetermined: int


@dataclass(frozen=True, slots=True)
class Relaxation:
    """One question, relaxed: how many parts then fit. nearest: the value of the part nearest to the limit;
    farthest: the value that lets all of them in; both None for a question without numbers."""

    name: str
    unit: str
    sense: Sense
    lets_in: int
    limit: float | None
    nearest: float | None
    farthest: float | None
    nearest_part: str


def ranking_to_filters(ranking: Ranking) -> tuple[Filter, ...]:
    """Every question that removes a part or leaves one untold, the one that fails most first."""
    names = dict.fromkeys(margin.name for one in ranking.candidates for margin in one.margins)
    found = [_filter(name, ranking.candidates) for name in names]
    return tuple(sorted((one for one in found if one.fails or one.undetermined),
                        key=lambda one: (-one.fails, -one.undetermined)))


def _filter(name: str, candidates: Iterable[Candidate]) -> Filter:
    fails = alone = untold = 0
    for one in candidates:
        margin = one.margin_named(name)
        if margin is None:
            continue
        untold += margin.verdict is Verdict.UNDETERMINED
        if margin.verdict is Verdict.FAILS:
            fails += 1
            alone += _others_fit(one, name)
    return Filter(name, fails, alone, untold)


def _others_fit(candidate: Candidate, name: str) -> bool:
    return all(margin.verdict is Verdict.FITS for margin in candidate.margins if margin.name != name)


def ranking_to_relaxations(ranking: Ranking) -> tuple[Relaxation, ...]:
    """Every single question that, relaxed, lets a part in, the one that lets in most first, then the one
    that must give way least."""
    missed: dict[str, list[tuple[Margin, str]]] = {}
    for one in ranking.candidates:
        failing = [margin for margin in one.margins if margin.verdict is Verdict.FAILS]
        if len(failing) == 1 and _others_fit(one, failing[0].name):
            missed.setdefault(failing[0].name, []).append((failing[0], one.part_number))
    found = [_relaxation(name, margins) for name, margins in missed.items()]
    return tuple(sorted(found, key=lambda one: (-one.lets_in, one.name)))


def _relaxation(name: str, missed: list[tuple[Margin, str]]) -> Relaxation:
    """Values differ from part to part; so may the limit, of which the first part's is shown."""
    first = missed[0][0]
    numbered = [(margin.value, part) for margin, part in missed if margin.value is not None]
    if first.limit is None or not numbered:
        return Relaxation(name, first.unit, first.sense, len(missed), None, None, None, missed[0][1])
    ordered = sorted(numbered, key=lambda one: one[0], reverse=first.sense is Sense.AT_LEAST)
    return Relaxation(name, first.unit, first.sense, len(missed), first.limit, ordered[0][0], ordered[-1][0],
                      ordered[0][1])
