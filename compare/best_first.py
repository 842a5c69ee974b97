"""The best parts of many, found without judging them all.

Comes in: figures of many parts (see `screening`), a requirement, how many of the best are wanted. Goes out: a
`ScreenedRanking`: the best, exactly as a ranking of all parts has them. The parts are judged in the order of
what they can reach at best until no part left can stand before those found: first those that may fit, then,
where too few do, those that surely do not, by what is sure of them.
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
from compare.records import Candidate, Verdict
from compare.requirement import Requirement
from compare.screening import Contender, Figures, figures_to_shortlist
from compare.sure_margins import parts_to_sure


@dataclass(frozen=True, slots=True)
class Pace:
    """How many parts to judge at once.

    all_of: so many are all judged, so that their numbers are told exactly: it costs a tenth of a second;
    first: contenders judged at first; later up to half as many as before.
    """

    all_of: int = 500
    first: int = 100


USUAL_PACE = Pace()


@dataclass(frozen=True, slots=True)
class ScreenedRanking:
    """A ranking of the parts judged, and how many others there are, none of which stands before those wanted.

    missed: of those that surely do not fit, how many miss which margin; not_judged: those that may fit.
    """

    ranking: Ranking
    missed: Counter[str] = field(default_factory=Counter)
    not_judged: int = 0


def figures_to_best(
    figures: Figures, requirement: Requirement, wanted: int, pace: Pace = USUAL_PACE
) -> ScreenedRanking:
    """The best parts, at least so many; every part judged where there are few."""
    with collector_paused():
        if len(figures.part_ids) <= pace.all_of:
            candidates = _judge(figures, requirement, figures.part_ids)
            return ScreenedRanking(candidates_to_ranking(candidates, requirement))
        shortlist = figures_to_shortlist(figures, requirement)
        contenders, left_out = shortlist.contenders, dict(shortlist.left_out)
        first = pace.all_of if len(contenders) <= pace.all_of else pace.first
        candidates = []
        _judge_until_settled(candidates, contenders, figures, requirement, wanted, first)
        not_judged = len(contenders) - len(candidates)
        if sum(one.verdict is Verdict.FITS for one in candidates) < wanted:
            rest = parts_to_sure(figures, requirement, left_out)
            _judge_until_settled(candidates, rest, figures, requirement, wanted, pace.first)
            for one in rest[:len(candidates) - len(contenders)]:
                del left_out[one.part_id]
        return ScreenedRanking(candidates_to_ranking(candidates, requirement), Counter(left_out.values()),
                               not_judged)


def _judge_until_settled(
    candidates: list[Candidate], following: Sequence[Contender], figures: Figures, requirement: Requirement,
    wanted: int, first: int,
) -> None:
    """Add candidates in the order of their bounds until none that follows can be among those wanted."""
    judged = 0
    while judged < len(following) and not _is_settled(candidates, following[judged], wanted):
        some = following[judged:judged + max(first, judged // 2)]
        candidates += _judge(figures, requirement, [one.part_id for one in some])
        judged += len(some)


def _judge(figures: Figures, requirement: Requirement, part_ids: Sequence[int]) -> list[Candidate]:
    parts = figures.parts(part_ids)
    return parts_to_candidates(parts, lambda part: numbers_to_candidate(part_to_numbers(part), requirement),
                               processes_for(len(parts)))


def _is_settled(candidates: list[Candidate], following: Contender, wanted: int) -> bool:
    """Whether the last one wanted stands before all that the following contenders can reach at best."""
    ranks = sorted(map(candidate_to_rank, candidates))
    return len(ranks) >= wanted and ranks[wanted - 1][:5] < following.rank_at_best()
