"""The best of many parts, readable, and how many fit: without making the margins of all others readable.

Comes in: `PartColumns`, a requirement, how many are wanted. Goes out: a `ColumnRanking`. The best are judged
one by one, as everywhere else, so that what is shown, and its order, are those of judging every part so.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from compare.columns.judged import JudgedColumns, columns_to_judged
from compare.columns.judging import without_dust
from compare.columns.part_columns import PartColumns
from compare.columns.rows import Codes
from compare.ranking import Ranking, candidates_to_ranking, collector_paused, numbers_to_candidate
from compare.records import Candidate, Verdict
from compare.requirement import Requirement

NEARLY = 1e-7
"""Parts whose margin is this near to that of the last one wanted are judged too: one after the other tells
which of them stands first."""


@dataclass(frozen=True, slots=True)
class ColumnRanking:
    """The best parts in rank order, and how many there are of each verdict."""

    ranking: Ranking
    counts: dict[Verdict, int]


def columns_to_best(parts: PartColumns, requirement: Requirement, wanted: int) -> ColumnRanking:
    """The best parts, so many or all there are."""
    with collector_paused():
        judged = columns_to_judged(parts, requirement)
        first = _first(parts, judged, wanted)
        while waiting := [place for place in first if judged.waiting[place]]:
            judged.judge_alone(parts, waiting)
            first = _first(parts, judged, wanted)
        parts.fetch(first)
        candidates = [_candidate(parts, judged, index) for index in first]
        ranking = candidates_to_ranking(candidates, requirement)
    return ColumnRanking(Ranking(requirement, ranking.candidates[:wanted]), judged.counts())


def judged_to_order(parts: PartColumns, judged: JudgedColumns) -> Codes:
    """The places of all parts in rank order, as `ranking.candidate_to_rank` has it."""
    unnumbered = np.isnan(judged.deciding)
    margin = np.where(unnumbered, np.inf, -without_dust(judged.deciding))
    return np.lexsort((parts.name_rank, judged.area_mm2, judged.resistance_ohm, margin, unnumbered,
                       judged.open_questions, judged.verdict))


def _candidate(parts: PartColumns, judged: JudgedColumns, index: int) -> Candidate:
    found = judged.single.get(index)
    return found if found is not None else numbers_to_candidate(parts.numbers(index), judged.requirement)


def _first(parts: PartColumns, judged: JudgedColumns, wanted: int) -> list[int]:
    """The places of the best parts, and of those that may stand before the last of them by a hair."""
    order = judged_to_order(parts, judged)
    if wanted >= len(order):
        return [int(index) for index in order]
    last = order[wanted - 1]
    alike = (judged.verdict == judged.verdict[last]) & (
        judged.open_questions == judged.open_questions[last]) & np.isclose(
        judged.deciding, judged.deciding[last], rtol=NEARLY, atol=0.0)
    rest = order[wanted:]
    return [int(index) for index in (*order[:wanted], *rest[alike[rest]])]
