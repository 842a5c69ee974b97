"""The best meanings for all series of a table together, and how far each leads the next best.

Comes in: Candidates (a series, or one place of its cells that hold two numbers). Goes out: Assigned meanings
with leads. A search with a beam over the series in order; then each meaning is tried against its rivals:
another meaning for one series, two series exchanged. The lead is what the best gives up by that.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

from extract.meanings.left_over import text_to_left_over
from extract.meanings.physics import is_constant, pair_score, single_score
from extract.meanings.words import BASE_OF, RATED, Meaning, is_named, text_to_hits, weight, words_to_scores
from extract.vocabulary import fold

BEAM = 48
FAR = 9.0
"""A meaning so far behind the best of its series is not tried."""


@dataclass(frozen=True)
class Candidate:
    """What is to be understood: a series (`series`), the place of the number in its cells (`place`), its
    heading, the base of its unit ("" unknown) and `si` values row by row (None where there is none);
    `condition` the test current, or its multiple of the hold current, that the heading says; `told` what its
    unit says besides: seconds under a word of tripping are the time to it."""

    series: int
    place: int
    head: str
    base: str
    si: tuple[float | None, ...]
    foreign: bool = False
    condition: tuple[float | None, float | None] = (None, None)
    bonus: dict[Meaning, float] = field(default_factory=dict)
    told: str = ""

    @property
    def words(self) -> str:
        """What the heading says, and what the unit tells."""
        return f"{self.head} {self.told}" if self.told else self.head

    @property
    def logs(self) -> tuple[float, ...]:
        """Logarithms of the positive values."""
        return tuple(math.log(v) for v in self.si if v is not None and v > 0)


@dataclass(frozen=True, slots=True)
class Assigned:
    """The meaning of a candidate, its lead over the next best, and the rival meaning."""

    candidate: Candidate
    meaning: Meaning
    lead: float
    rival: Meaning
    worded: bool


class _Table:
    """Scores of single meanings and of pairs, each computed once."""

    def __init__(self, candidates: Sequence[Candidate]) -> None:
        self.candidates = candidates
        self.singles = [_single_scores(candidate) for candidate in candidates]
        self._constant = [is_constant(candidate.logs) for candidate in candidates]
        self._pairs: dict[tuple[int, int, Meaning, Meaning], float] = {}

    def pair(self, i: int, j: int, a: Meaning, b: Meaning) -> float:
        """What two candidates say of each other, in either order of the pair's name."""
        key = (i, j, a, b)
        if key not in self._pairs:
            rows = [
                (math.log(x), math.log(y))
                for x, y in zip(self.candidates[i].si, self.candidates[j].si, strict=False)
                if x is not None and y is not None and x > 0 and y > 0
            ]
            constant = self._constant[i] or self._constant[j]
            turned = [(y, x) for x, y in rows]
            score = pair_score(a, b, rows, constant) + pair_score(b, a, turned, constant)
            self._pairs[key] = weight("pair") * score + _beside(i, j, a, b)
        return self._pairs[key]

    def total(self, meanings: Sequence[Meaning]) -> float:
        """The score of a whole assignment."""
        score = sum(self.singles[i][m] for i, m in enumerate(meanings))
        known = [i for i, m in enumerate(meanings) if m is not Meaning.OTHER]
        score += sum(self.pair(i, j, meanings[i], meanings[j]) for i, j in combinations(known, 2))
        return score + _whole(meanings)


def _beside(i: int, j: int, a: Meaning, b: Meaning) -> float:
    """A time stands beside its current; the least resistance stands before the largest."""
    score = 0.0
    if (a is Meaning.TEST_CURRENT and b in TIMES) or (b is Meaning.TEST_CURRENT and a in TIMES):
        score += 1.5 if abs(i - j) == 1 else (0.0 if abs(i - j) == 2 else -2.0)
    order = (Meaning.R_MIN, Meaning.R_TYP, Meaning.R_MAX, Meaning.R_POST)
    if a in order and b in order:
        score += 0.5 if order.index(a) < order.index(b) else -1.0
    if (a, b) == (Meaning.HOLD, Meaning.TRIP):
        score += 0.5
    return score


def _whole(meanings: Sequence[Meaning]) -> float:
    """A table of ratings has a hold current: trip without hold is a shift by one."""
    known = set(meanings)
    score = 0.0
    if Meaning.TRIP in known and Meaning.HOLD not in known:
        score -= 4.0
    if Meaning.TEST_CURRENT in known and not known & {Meaning.TIME, Meaning.TIME_TYP}:
        score -= 3.0
    return score


def _single_scores(candidate: Candidate) -> dict[Meaning, float]:
    """Words, unit and median of one candidate for every meaning."""
    words = words_to_scores(candidate.words)
    scores: dict[Meaning, float] = {Meaning.OTHER: weight("other") + words[Meaning.OTHER]}
    if candidate.foreign:
        scores[Meaning.OTHER] += weight("foreign_unit")
    logs = candidate.logs
    for meaning in RATED:
        unit = 0.0
        if candidate.base:
            unit = weight("unit") if candidate.base == BASE_OF[meaning] else weight("wrong_unit")
        scores[meaning] = (
            words[meaning] + unit + single_score(meaning, logs) - 1.0 + candidate.bonus.get(meaning, 0.0)
        )
    return scores


def candidates_to_assigned(candidates: Sequence[Candidate]) -> tuple[Assigned, ...]:
    """The best meanings of all candidates, each used once, with their leads."""
    if not candidates:
        return ()
    candidates = _told_by_seconds(candidates)
    table = _Table(candidates)
    options = [_options(scores) for scores in table.singles]
    best = _search(table, options)
    total = table.total(best)
    assigned = []
    for i, candidate in enumerate(candidates):
        lead, rival = _lead(table, best, total, i, options)
        worded = is_named(best[i], candidate.words) and words_to_scores(candidate.words)[best[i]] > 0.0
        assigned.append(Assigned(candidate, best[i], lead, rival, worded))
    return tuple(assigned)


def _told_by_seconds(candidates: Sequence[Candidate]) -> list[Candidate]:
    """The candidates; a heading that says tripping over seconds, and perhaps the current they are at, names
    the time to trip: "Trip max." over "0.60 s at 1 A"."""
    timed = {c.series for c in candidates if c.base == "s" and _says_trip_alone(c.head)}
    return [replace(c, told="time to trip") if c.series in timed else c for c in candidates]


def _says_trip_alone(head: str) -> bool:
    """Whether a heading says tripping, a limit and no other word: a reset after a trip is none."""
    named = {hit.name for hit in text_to_hits(head) if hit.sense == "quantity"}
    return named == {"trip_current"} and not text_to_left_over(head, ("trip_current", "max", "typ"))


def _options(scores: dict[Meaning, float]) -> tuple[Meaning, ...]:
    top = max(scores.values())
    return tuple(m for m, s in sorted(scores.items(), key=lambda item: -item[1]) if s > top - FAR)


def _search(table: _Table, options: Sequence[tuple[Meaning, ...]]) -> tuple[Meaning, ...]:
    """A beam over the candidates in order."""
    beam: list[tuple[float, tuple[Meaning, ...]]] = [(0.0, ())]
    for i, meanings in enumerate(options):
        grown: list[tuple[float, tuple[Meaning, ...]]] = []
        for score, chosen in beam:
            for meaning in meanings:
                if meaning in chosen and not _may_repeat(table, i, meaning, chosen):
                    continue
                more = table.singles[i][meaning]
                if meaning is not Meaning.OTHER:
                    more += sum(
                        table.pair(j, i, other, meaning)
                        for j, other in enumerate(chosen)
                        if other is not Meaning.OTHER
                    )
                grown.append((score + more, (*chosen, meaning)))
            grown.append((score + table.singles[i][Meaning.OTHER], (*chosen, Meaning.OTHER)))
        grown.sort(key=lambda item: -item[0])
        beam = grown[:BEAM]
    return max(beam, key=lambda item: table.total(item[1]))[1]


TIMES = (Meaning.TIME, Meaning.TIME_TYP)
TRIPS = ("trip_current", "time_to_trip")


def _may_repeat(table: _Table, i: int, meaning: Meaning, chosen: Sequence[Meaning]) -> bool:
    """Whether a meaning may be used once more: none, a time at another test current, or a test current that
    its heading names behind the time of the one before: "I1 | max (s) | I2 | max (s)". Both headings of such
    a pair say no word that the first pair does not, or speak of tripping: "Inrush current | Time" is none."""
    if meaning is Meaning.OTHER:
        return True
    last = {other: j for j, other in enumerate(chosen)}
    current = last.get(Meaning.TEST_CURRENT, -1)
    if meaning is Meaning.TEST_CURRENT:
        timed = any(last.get(time, -1) > current for time in TIMES)
        return timed and is_named(meaning, table.candidates[i].head) and _goes_on(table, i, chosen)
    if meaning not in TIMES:
        return False
    if chosen.count(Meaning.TEST_CURRENT) > 1 and current > last[meaning]:
        return _goes_on(table, i, chosen)
    known = {table.candidates[j].condition for j, other in enumerate(chosen) if other is meaning}
    own = table.candidates[i].condition
    return own not in known and (None, None) not in (*known, own)


def _goes_on(table: _Table, i: int, chosen: Sequence[Meaning]) -> bool:
    """Whether a heading says no word that those of the times and currents before it do not say, or speaks of
    tripping."""
    head = table.candidates[i].head
    pair = [j for j, meaning in enumerate(chosen) if meaning is Meaning.TEST_CURRENT or meaning in TIMES]
    said = {word for j in pair for word in _words_of(table.candidates[j].head)}
    return _words_of(head) <= said or any(hit.name in TRIPS for hit in text_to_hits(head))


def _words_of(head: str) -> set[str]:
    return set(re.findall(r"[^\W\d_]+", fold(head)))


def _lead(
    table: _Table,
    best: tuple[Meaning, ...],
    total: float,
    i: int,
    options: Sequence[tuple[Meaning, ...]],
) -> tuple[float, Meaning]:
    """How much worse the table becomes when one candidate means something else: the rival's holder then takes
    the freed meaning, or none."""
    rivals: list[tuple[float, Meaning]] = []
    for meaning in (*options[i], Meaning.OTHER):
        if meaning is best[i] or _is_alike(meaning, best[i]):
            continue
        for trial in _trials(best, i, meaning):
            rivals.append((total - table.total(trial), meaning))
    return min(rivals, key=lambda rival: rival[0], default=(99.0, Meaning.OTHER))


_ALIKE = (
    {Meaning.MAX_VOLTAGE, Meaning.AC_VOLTAGE, Meaning.DC_VOLTAGE},
    {Meaning.MAX_CURRENT, Meaning.AC_CURRENT, Meaning.DC_CURRENT},
    {Meaning.POWER, Meaning.POWER_MAX},
    {Meaning.TIME, Meaning.TIME_TYP},
)


def _is_alike(one: Meaning, other: Meaning) -> bool:
    """Whether two meanings differ in what only words can tell: the kind of supply, typical or maximum."""
    return any({one, other} <= group for group in _ALIKE)


def _trials(best: tuple[Meaning, ...], i: int, meaning: Meaning) -> list[tuple[Meaning, ...]]:
    changed = list(best)
    changed[i] = meaning
    holders = [j for j, m in enumerate(best) if m is meaning and j != i and m is not Meaning.OTHER]
    if not holders:
        return [tuple(changed)]
    swapped, dropped = list(changed), list(changed)
    swapped[holders[0]] = best[i]
    dropped[holders[0]] = Meaning.OTHER
    return [tuple(swapped), tuple(dropped)]
