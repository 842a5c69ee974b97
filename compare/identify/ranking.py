"""Known parts ranked by how likely what was seen is on each of them.

Comes in: parts and `Seen`. Goes out: `Identification`: suspects in order, parts that it cannot be, those that
cannot be told apart, and what to measure next. Never certain: the true part may not be among those given.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from compare.identify.clues import Clue, seen_to_clues
from compare.identify.known import Known
from compare.identify.next_measurement import NextMeasurement, known_to_next
from compare.identify.seen import Seen
from extract.schema import Kind, Part, Quantity, Status
from extract.standing import Standing, lowest, status_to_standing

ALIKE = math.log(10.0)
"""Two parts whose likelihoods differ by less than ten cannot be told apart. Ten is where evidence begins to
be called strong (Jeffreys, Theory of Probability; from memory)."""
MOST_COMPARED = 12
"""Of very many that are alike, the next measurement is chosen for these, the likeliest."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """A part that it may be, or may not be. share: of all suspects' likelihood, 0 for an excluded part;
    clues: independent of each other."""

    part: Part
    clues: tuple[Clue, ...]
    share: float = 0.0

    @property
    def log_likelihood(self) -> float:
        """Sum over all clues, natural logarithm."""
        return math.fsum(clue.log_likelihood for clue in self.clues)

    @property
    def excluded(self) -> tuple[str, ...]:
        """Why it cannot be this part; empty where it can."""
        return tuple(f"{clue.name}: {clue.against}" for clue in self.clues if clue.excludes)

    @property
    def is_aged(self) -> bool:
        """Whether it can be this part only if that has aged."""
        return any(clue.aged for clue in self.clues)

    @property
    def standing(self) -> Standing | None:
        """The weakest of the sheet's numbers that it rests on; None where nothing was compared."""
        readings = [reading for clue in self.clues for reading in clue.readings]
        return lowest(status_to_standing(reading.status) for reading in readings) if readings else None


@dataclass(frozen=True, slots=True)
class Identification:
    """suspects: those not excluded, most likely first; alike: the first of them, which cannot be told apart
    (one alone where it stands clear); next: what separates them, best first; voltages: rated voltages of
    those alike, V, ascending, where they differ."""

    suspects: tuple[Suspect, ...]
    excluded: tuple[Suspect, ...]
    alike: tuple[Suspect, ...]
    next: tuple[NextMeasurement, ...]
    voltages: tuple[float, ...]


def parts_to_identification(parts: Iterable[Part], seen: Seen) -> Identification:
    """Hold what was seen against every part and put them in order."""
    return known_to_identification([Known(part) for part in parts], seen)


def known_to_identification(knowns: Iterable[Known], seen: Seen) -> Identification:
    """As `parts_to_identification`, for parts that are asked more than once."""
    known = {id(one.part): one for one in knowns}
    judged = [Suspect(one.part, seen_to_clues(seen, one)) for one in known.values()]
    order = sorted(judged, key=lambda one: (-one.log_likelihood, one.part.part_number, one.part.document))
    possible = [one for one in order if not one.excluded]
    suspects = _with_shares(possible)
    alike = tuple(one for one in suspects
                  if suspects[0].log_likelihood - one.log_likelihood < ALIKE)
    apart = alike[:MOST_COMPARED] if len(alike) > 1 else suspects[:2]
    further = known_to_next([known[id(one.part)] for one in apart], [one.share for one in apart], seen)
    return Identification(suspects, tuple(one for one in order if one.excluded), alike, further,
                          _differing_voltages(alike))


def _with_shares(possible: list[Suspect]) -> tuple[Suspect, ...]:
    """The share of each in the likelihood of all: every part as likely beforehand as any other."""
    if not possible:
        return ()
    best = possible[0].log_likelihood
    weights = [math.exp(one.log_likelihood - best) for one in possible]
    total = math.fsum(weights)
    return tuple(Suspect(one.part, one.clues, weight / total)
                 for one, weight in zip(possible, weights, strict=True))


def _differing_voltages(alike: tuple[Suspect, ...]) -> tuple[float, ...]:
    """Rated voltages of parts that cannot be told apart, where there are several."""
    rated = {reading.value for one in alike for reading in one.part.readings
             if reading.quantity is Quantity.MAX_VOLTAGE and reading.kind is not Kind.AC
             and reading.status is not Status.DISPUTED}
    return tuple(sorted(rated)) if len(rated) > 1 else ()
