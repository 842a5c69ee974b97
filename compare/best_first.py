"""The best parts of many, found without judging them all.

Comes in: figures of many parts (see `screening`), a requirement, how many of the best are wanted. Goes out: a
`ScreenedRanking`: the best that fit, exactly as a ranking of all parts has them. The parts are judged in the
order of their bounds until no part left can stand before those found. Where too few fit, every part is
judged, since those that cannot be told or fail then matter too.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from compare.on_cores import parts_to_candidates, processes_for
from compare.part_numbers import part_to_numbers
from compare.ranking import (
    Ranking,
    candidate_to_rank,
    candidates_to_ranking,
    collector_paused,
    numbers_to_candidate,
)
from compare.records import VERDICT_RANK, Candidate, Verdict
from compare.requirement import Requirement
from compare.screening import Contender, Figures, figures_to_shortlist


@dataclass(frozen=True, slots=True)
class Pace:
    """How many parts to judge at once.

    all_of: so many are all judged, so that their numbers are told exactly: it costs a tenth of a second;
    first: contenders judged at first, each further batch is twice as large.
    """

    all_of: int = 500
    first: int = 100


USUAL_PACE = Pace()


@dataclass(frozen=True, slots=True)
class ScreenedRanking:
    """A ranking of the parts judged, and what is known of the others.

    missed: how many parts that surely do not fit miss which margin; not_judged: parts that may fit, of which
    none stands before the best wanted.
    """

    ranking: Ranking
    missed: Counter[str] = field(default_factory=Counter)
    not_judged: int = 0


def figures_to_best(
    figures: Figures, requirement: Requirement, wanted: int, pace: Pace = USUAL_PACE
) -> ScreenedRanking:
    """The best parts that fit, at least so many; every part judged where fewer fit, or there are few."""
    with collector_paused():
        if len(figures.part_ids) <= pace.all_of:
            candidates = _judge(figures, requirement, figures.part_ids)
            return ScreenedRanking(candidates_to_ranking(candidates, requirement))
        shortlist = figures_to_shortlist(figures, requirement)
        contenders, judged = shortlist.contenders, 0
        candidates = []
        batch = len(contenders) if len(contenders) <= pace.all_of else pace.first
        while judged < len(contenders) and not _is_settled(candidates, contenders[judged], wanted):
            some = contenders[judged:judged + batch]
            candidates += _judge(figures, requirement, [one.part_id for one in some])
            judged, batch = judged + len(some), batch * 2
        fitting = sum(one.verdict is Verdict.FITS for one in candidates)
        if fitting >= wanted:
            return ScreenedRanking(candidates_to_ranking(candidates, requirement), shortlist.missed,
                                   len(contenders) - judged)
        candidates += _judge(figures, requirement, shortlist.left_out)
        return ScreenedRanking(candidates_to_ranking(candidates, requirement))


def _judge(figures: Figures, requirement: Requirement, part_ids: Sequence[int]) -> list[Candidate]:
    parts = figures.parts(part_ids)
    return parts_to_candidates(parts, lambda part: numbers_to_candidate(part_to_numbers(part), requirement),
                               processes_for(len(parts)))


def _is_settled(candidates: list[Candidate], following: Contender, wanted: int) -> bool:
    """Whether the last one wanted stands before all that the following contenders can reach at best."""
    ranks = sorted(candidate_to_rank(one) for one in candidates if one.verdict is Verdict.FITS)
    if len(ranks) < wanted:
        return False
    at_best = (VERDICT_RANK[Verdict.FITS], False, -following.margin_at_most,
               following.resistance_at_least_ohm)
    return ranks[wanted - 1][:4] < at_best
