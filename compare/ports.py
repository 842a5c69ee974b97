"""A hub: one part for all ports beside a part for each port.

Comes in: the arrangements of a requirement, and how to rank parts for one. Goes out: `RankedArrangement`s and
their comparison as lines of words. Writes no file.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from compare.explain import candidate_to_sentence, quantity_text
from compare.ranking import Ranking
from compare.records import Candidate, Verdict
from compare.requirement import Requirement
from compare.requirement_file import Arrangement

SHOWN = 5
"""Best parts of each arrangement that are shown."""
Line = tuple[str, tuple[str, ...]]
"""What is compared, and what each arrangement says to it."""


@dataclass(frozen=True, slots=True)
class RankedArrangement:
    """An arrangement with its best parts; fitting: how many fit, None where not all were judged."""

    arrangement: Arrangement
    best: tuple[Candidate, ...]
    fitting: int | None

    @property
    def title(self) -> str:
        """What it is called."""
        ports = self.arrangement.ports
        return "a part for each port" if self.arrangement.each else f"one part for {ports} ports"


def rank_arrangements(
    arrangements: Sequence[Arrangement], rank: Callable[[Requirement], tuple[Ranking, bool]]
) -> tuple[RankedArrangement, ...]:
    """Hold the same parts against each arrangement; `rank` tells whether it judged all of them."""
    found = []
    for one in arrangements:
        if one.requirement is None:
            found.append(RankedArrangement(one, (), None))
            continue
        ranking, whole = rank(one.requirement)
        fitting = len(ranking.with_verdict(Verdict.FITS)) if whole else None
        found.append(RankedArrangement(one, ranking.candidates[:SHOWN], fitting))
    return tuple(found)


def arrangements_to_lines(ranked: Sequence[RankedArrangement], shown: int = 1) -> tuple[Line, ...]:
    """What tells the arrangements apart, one line for each question and for each of the best parts shown."""
    questions: tuple[tuple[str, Callable[[RankedArrangement], str]], ...] = (
        ("parts on the board", lambda one: str(one.arrangement.ports if one.arrangement.each else 1)),
        ("current of a part for long", lambda one: _stated(one, "normal_current_a", "A")),
        ("largest drop of a part", lambda one: _stated(one, "voltage_drop_max_v", "V")),
        ("largest trip current", lambda one: _stated(one, "trip_current_max_a", "A")),
        ("a fault at one port", lambda one: (
            "that port alone is without power" if one.arrangement.each else
            "every port is without power; a fault below the trip current goes on")),
        ("parts that fit", _fitting))
    lines = [(name, tuple(say(one) for one in ranked)) for name, say in questions]
    places = range(min(shown, max((len(one.best) for one in ranked), default=0)))
    lines += [(f"rank {place + 1}", tuple(_ranked(one, place) for one in ranked)) for place in places]
    return tuple(lines)


def _stated(one: RankedArrangement, field: str, unit: str) -> str:
    requirement = one.arrangement.requirement
    value = None if requirement is None else getattr(requirement, field)
    return "not asked" if value is None else quantity_text(value, unit)


def _fitting(one: RankedArrangement) -> str:
    if one.arrangement.requirement is None:
        return f"not judged: {one.arrangement.why_not}"
    if one.fitting is not None:
        return str(one.fitting)
    some = sum(candidate.verdict is Verdict.FITS for candidate in one.best)
    return f"{some} or more" if some else "none"


def _ranked(one: RankedArrangement, place: int) -> str:
    if place >= len(one.best):
        return ""
    candidate = one.best[place]
    return f"{candidate.part_number}: {candidate_to_sentence(candidate)}"
