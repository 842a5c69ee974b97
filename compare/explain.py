"""Why a part was rejected, what would pass instead, and how far the best is from passing.

Comes in: a ranking or a candidate. Goes out: sentences and the part they name. Does not judge anew.
"""

from __future__ import annotations

import math
import tomllib
from bisect import bisect_left
from functools import cache
from importlib.resources import files

from compare.ranking import Ranking
from compare.records import Basis, Candidate, Margin, Sense, Verdict
from extract.schema import Reading, Status


@cache
def _names() -> dict[str, dict[str, str]]:
    return tomllib.loads(files("compare").joinpath("margin_names.toml").read_text(encoding="utf-8"))


def margin_title(name: str) -> str:
    """What a margin is called in reports."""
    return _names()[name]["title"]


def candidate_to_sentence(candidate: Candidate) -> str:
    """One sentence: why the part fits, fails or cannot be told."""
    margin = candidate.limiting
    title = margin_title(margin.name)
    numbers = _value_and_limit(margin)
    if candidate.verdict is Verdict.FITS:
        times = margin_times(margin)
        return f"Fits{rests_on_words(candidate)}: {title} is the tightest, {times}{numbers}."
    word = "Fails" if candidate.verdict is Verdict.FAILS else "Cannot be told"
    why = f"; {margin.note}" if margin.note else ""
    return f"{word}: {title}{_at(margin)}{numbers}{why}."


def margin_times(margin: Margin) -> str:
    """How many times a need is met, in words; thin where that is hardly more than once."""
    if margin.margin is None:
        return "met"
    return f"{margin.margin:.2f} times the need{', thin' if margin.thin else ''}"


def margin_text(margin: Margin) -> str:
    """A margin in two digits after the point, with the word thin where it is hardly met; empty without
    one."""
    if margin.margin is None:
        return ""
    return f"{margin.margin:.2f}{' thin' if margin.thin else ''}"


GUESSED = (Basis.ASSUMED, Basis.MODEL)


def rests_on_words(candidate: Candidate) -> str:
    """", by a model" or ", under an assumption" where the tightest margin rests on one; of others, that some
    do.
    """
    words = {Basis.MODEL: ", by a model", Basis.ASSUMED: ", under an assumption",
             Basis.CURVE: ", by a typical curve"}
    if candidate.limiting.basis in words:
        return words[candidate.limiting.basis]
    guessed = sum(margin.basis in GUESSED for margin in candidate.margins)
    return f", {guessed} of {len(candidate.margins)} margins assumed or by a model" if guessed else ""


def _value_and_limit(margin: Margin) -> str:
    if margin.value is None:
        return ""
    if margin.limit is None:
        return f" ({quantity_text(margin.value, margin.unit)})"
    side = "at least" if margin.sense is Sense.AT_LEAST else "at most"
    return (f" ({quantity_text(margin.value, margin.unit)}, needs {side} "
            f"{quantity_text(margin.limit, margin.unit)})")


def counted(count: int, one: str, many: str = "") -> str:
    """How many there are: 1 part, 2 parts; `many` where more of them are not told by an s."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def counts_text(ranking: Ranking) -> str:
    """How many parts there are of each verdict: 1 fits, 2 fail, 0 undetermined."""
    fits, fails, undetermined = (len(ranking.with_verdict(one)) for one in (
        Verdict.FITS, Verdict.FAILS, Verdict.UNDETERMINED))
    return f"{counted(fits, 'fits', 'fit')}, {counted(fails, 'fails', 'fail')}, {undetermined} undetermined"


def quantity_text(value: float, unit: str) -> str:
    """A value of four digits with its unit."""
    return f"{value:.4g}" if unit in ("", "1") else f"{value:.4g} {unit}"


def _at(margin: Margin) -> str:
    return f" at {margin.at_c:g} °C" if margin.at_c is not None else ""


def margin_to_gap(margin: Margin) -> str:
    """What is missing: "needs 0.3 A more hold at 60 °C"; empty where the margin is met or has no number."""
    if margin.verdict is Verdict.FITS:
        return ""
    more = _names()[margin.name]["more"]
    if margin.value is None or margin.limit is None:
        return f"needs {more}" if margin.verdict is Verdict.FAILS else ""
    gap = abs(margin.limit - margin.value)
    fits = margin.value >= margin.limit if margin.sense is Sense.AT_LEAST else margin.value <= margin.limit
    return "" if fits else f"needs {quantity_text(gap, margin.unit)} {more}{_at(margin)}"


def candidate_to_unreviewed(candidate: Candidate) -> tuple[int, int]:
    """Of the printed numbers that the margins rest on: how many nobody has looked at one by one, and how many
    in all."""
    used = _used_readings(candidate)
    return sum(one.status not in SEEN for one in used), len(used)


SEEN = (Status.ACCEPTED, Status.CORRECTED)


def _used_readings(candidate: Candidate) -> set[Reading]:
    return {reading for margin in candidate.margins for reading in margin.readings}


def candidate_to_review(candidate: Candidate) -> str:
    """One sentence: how far a person has reviewed the printed numbers that the margins rest on."""
    unseen, used = candidate_to_unreviewed(candidate)
    curves = {curve for margin in candidate.margins for curve in margin.curves}
    if curves:
        seen = sum(curve.status in SEEN for curve in curves)
        drawn = f"{seen} of {counted(len(curves), 'drawn curve')} it rests on {_have(seen)} been reviewed."
        return f"{_review_of_numbers(candidate, unseen, used)} {drawn}"
    return _review_of_numbers(candidate, unseen, used)


def _review_of_numbers(candidate: Candidate, unseen: int, used: int) -> str:
    if not used:
        return "It rests on no printed number."
    if not unseen:
        whole = "The one printed number it rests on has" if used == 1 else (
            f"All {used} printed numbers it rests on have")
        return f"{whole} been reviewed by a person, one by one."
    bulk = sum(one.status is Status.BULK for one in _used_readings(candidate))
    told = f" ({bulk} of them accepted in bulk, unseen)" if bulk else ""
    which = "The one printed number" if used == 1 else f"{unseen} of the {used} printed numbers"
    return f"{which} it rests on {_have(unseen)} NOT been reviewed by a person{told}."


def _have(count: int) -> str:
    return "has" if count == 1 else "have"


def candidate_to_gaps(candidate: Candidate) -> tuple[str, ...]:
    """Everything the part lacks, in the order of its margins."""
    return tuple(filter(None, (margin_to_gap(margin) for margin in candidate.margins)))


def ranking_to_gap(ranking: Ranking) -> str:
    """If no part fits: how far the best one is from fitting; empty where one fits or there are no parts."""
    if ranking.winner is not None or not ranking.candidates:
        return ""
    best = ranking.candidates[0]
    gaps = candidate_to_gaps(best) or (candidate_to_sentence(best),)
    return f"No part fits. Nearest is {best.part_number}: {'; '.join(gaps)}"


class PassingParts:
    """The parts of a ranking that fit, to ask which of them is nearest to a rejected one."""

    __slots__ = ("_best", "_by_hold")

    def __init__(self, ranking: Ranking) -> None:
        fitting = ranking.with_verdict(Verdict.FITS)
        self._best = fitting[0] if fitting else None
        self._by_hold = sorted(((math.log(c.hold_a), rank, c) for rank, c in enumerate(fitting) if c.hold_a),
                               key=lambda entry: entry[:2])

    def nearest_to(self, rejected: Candidate) -> Candidate | None:
        """The fitting part whose rated hold current is nearest in proportion; of equals the one ranked
        higher.

        The best part where the hold current of the rejected one is unknown; None where no part fits.
        """
        if not rejected.hold_a or not self._by_hold:
            return self._best
        wanted = math.log(rejected.hold_a)
        index = bisect_left(self._by_hold, wanted, key=lambda entry: entry[0])
        around = self._by_hold[index:index + 1]
        if index > 0:  # of several with the hold current just below, the one ranked highest
            below = bisect_left(self._by_hold, self._by_hold[index - 1][0], key=lambda entry: entry[0])
            around = [*around, self._by_hold[below]]
        return min(around, key=lambda entry: (abs(entry[0] - wanted), entry[1]))[2]
