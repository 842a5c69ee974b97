"""Parts against a requirement become a ranking.

Comes in: parts and a requirement. Goes out: a `Ranking`: candidates by verdict, then by open questions and by
the margin that decides, ties by resistance, then by size, then by part number. Does not print, write files or
explain (see `explain`).
"""

from __future__ import annotations

import gc
import math
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from compare.corners import Case, numbers_to_case
from compare.judging import without_dust
from compare.margins import case_to_margins, margins_to_limiting, margins_to_verdict
from compare.on_cores import parts_to_candidates, processes_for
from compare.packages import package_area_mm2
from compare.part_numbers import PartNumbers, part_to_numbers
from compare.records import VERDICT_RANK, Candidate, Verdict
from compare.requirement import Requirement
from extract.schema import Kind, Part, Quantity


@dataclass(frozen=True, slots=True)
class Ranking:
    """Candidates in rank order, and the requirement they were held against."""

    requirement: Requirement
    candidates: tuple[Candidate, ...]

    def with_verdict(self, verdict: Verdict) -> tuple[Candidate, ...]:
        """Candidates of one verdict, in rank order."""
        return tuple(c for c in self.candidates if c.verdict is verdict)

    @property
    def winner(self) -> Candidate | None:
        """The best part that fits, or None."""
        first = self.candidates[0] if self.candidates else None
        return first if first is not None and first.verdict is Verdict.FITS else None


def parts_to_ranking(parts: Iterable[Part], requirement: Requirement) -> Ranking:
    """Hold every part against the requirement and put them in order; many parts are shared among the cores.
    """
    parts = tuple(parts)
    with collector_paused():
        candidates = parts_to_candidates(
            parts, lambda part: numbers_to_candidate(part_to_numbers(part), requirement),
            processes_for(len(parts)))
        return candidates_to_ranking(candidates, requirement)


def numbers_to_ranking(numbers: Iterable[PartNumbers], requirement: Requirement) -> Ranking:
    """As `parts_to_ranking`, for parts sorted before, as a sweep over requirements wants."""
    with collector_paused():
        candidates = [numbers_to_candidate(part, requirement) for part in numbers]
        return candidates_to_ranking(candidates, requirement)


def candidates_to_ranking(candidates: list[Candidate], requirement: Requirement) -> Ranking:
    """Put judged parts in order."""
    candidates.sort(key=candidate_to_rank)
    return Ranking(requirement, tuple(candidates))


@contextmanager
def collector_paused() -> Iterator[None]:
    """Pause the cyclic garbage collector: a ranking makes millions of records and frees none of them
    meanwhile.

    Searching them over and over for cycles took a fifth of the time (bench/compare_speed.py).
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def numbers_to_candidate(numbers: PartNumbers, requirement: Requirement) -> Candidate:
    """One part with all its margins."""
    case = numbers_to_case(numbers, requirement)
    margins = case_to_margins(case)
    verdict = margins_to_verdict(margins)
    known = [size for margin in margins if (size := margin.margin) is not None]
    return Candidate(numbers.part, verdict, margins_to_limiting(margins, verdict), min(known, default=None),
                     margins, _rated_hold_a(case), _resistance_ohm(numbers), _area_mm2(numbers.part))


def open_questions(candidate: Candidate) -> int:
    """How many margins of a part that cannot be told are open; 0 for any other part."""
    if candidate.verdict is not Verdict.UNDETERMINED:
        return 0
    return sum(margin.verdict is Verdict.UNDETERMINED for margin in candidate.margins)


def _rated_hold_a(case: Case) -> float | None:
    return case.derating.rated_hold()[1].value


def _resistance_ohm(numbers: PartNumbers) -> float | None:
    for kind in (Kind.POST_TRIP_MAX, Kind.MAX, Kind.MIN):
        number = numbers.number(Quantity.RESISTANCE, kind)
        if number is not None and number.value is not None:
            return number.value
    return None


def _area_mm2(part: Part) -> float | None:
    for text in part.texts:
        if text.name == "package" and (area_mm2 := package_area_mm2(text.text)) is not None:
            return area_mm2
    return None


def candidate_to_rank(candidate: Candidate) -> tuple[int, int, bool, float, float, float, str, str]:
    """Where a part stands: verdict, of those that cannot be told how many questions are open, the margin that
    decides, ties. Unknown margins, resistances and sizes come last.

    The margin that decides is that of the open question, at its best bound, or the missed one: margins that
    have nothing to do with it do not count. Margins are compared to nine digits, since the last ones are
    dust.
    """
    return (VERDICT_RANK[candidate.verdict],
            open_questions(candidate),
            candidate.limiting.margin is None,
            math.inf if candidate.limiting.margin is None else -without_dust(candidate.limiting.margin),
            math.inf if candidate.resistance_ohm is None else candidate.resistance_ohm,
            math.inf if candidate.area_mm2 is None else candidate.area_mm2,
            candidate.part.part_number, candidate.part.document)
