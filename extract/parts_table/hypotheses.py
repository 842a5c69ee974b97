"""Which few slips of the hand explain most of what is wrong: each repair tried, what it settles counted.

Comes in: a view of a grid and who judges its places. Goes out: the repairs that hold, the best first, and
the view under them. A repair holds if nearly all of the places it touches that were wrong are right after.
Tells nothing itself: against.py makes findings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from extract.checks import codes
from extract.parts_table.grid import Place, View, touched
from extract.parts_table.repairs import view_to_trials
from extract.parts_table.trials import IsWrong, Trial, Wrong

_MOST = 25
"""Repairs of one sheet; a table with more needs to be typed again."""
_LEFT = 0.12
"""Share of the wrong places a repair touches that may stay wrong: other slips among them."""
_MOVED = (codes.COLUMN_SHIFTED, codes.ROWS_SLID)
"""Blocks that leave a gap where they stood: a cell that fills it rightly speaks for them too."""
_MANY = 5
"""Cells that agree, each and all, so that a limit in a heading is told by two different numbers."""
_LONGEST = 60_000
"""Wrong places beyond which nothing is tried: the table is not of these sheets."""


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """A repair that holds: `settled` of the `wrong` places it touches are right after it."""

    trial: Trial
    settled: int
    wrong: int
    places: tuple[Place, ...]

    @property
    def evidence(self) -> str:
        """What speaks for it."""
        if not self.wrong:
            return f"all {len(self.places)} numbers are then right"
        return f"settles {min(self.settled, self.wrong)} of {self.wrong} differences"


def view_to_hypotheses(
    view: View, is_wrong: IsWrong, ambients: Sequence[float] = ()
) -> tuple[tuple[Hypothesis, ...], View]:
    """Take the repair that settles most, look again, until none settles enough; `ambients` of the source."""
    wrong = _judged(view, is_wrong)
    found: list[Hypothesis] = []
    while len(found) < _MOST and sum(wrong.values()) < _LONGEST:
        trials = [
            made
            for trial in view_to_trials(view, wrong, is_wrong, ambients)
            if (made := _tried(view, trial, wrong, is_wrong)) is not None
        ]
        if not trials:
            break
        best = max(trials, key=_to_worth)
        view = view.under(best.trial.repair)
        found.append(best)
        for place in touched(view, best.trial.repair):
            _set(wrong, place, is_wrong(view, place))
    return tuple(found), view


def _to_worth(one: Hypothesis) -> tuple[int, int, int]:
    """What settles most; of blocks that settle as much the whole rows, else what touches least."""
    whole = len(one.places) if one.trial.code is codes.ROWS_SLID else 0
    return one.settled, whole, -one.wrong


def _judged(view: View, is_wrong: IsWrong) -> dict[Place, bool]:
    wrong: dict[Place, bool] = {}
    for row in view.rows():
        for index in view.grid.columns:
            _set(wrong, (row, index), is_wrong(view, (row, index)))
    return wrong


def _set(wrong: dict[Place, bool], place: Place, judged: bool | None) -> None:
    if judged is None:
        wrong.pop(place, None)
    else:
        wrong[place] = judged


def _tried(view: View, trial: Trial, wrong: Wrong, is_wrong: IsWrong) -> Hypothesis | None:
    """The trial as a hypothesis if it holds."""
    after = view.under(trial.repair)
    places = sorted(place for place in touched(view, trial.repair) if place[1] in view.grid.columns)
    before = [place for place in places if wrong.get(place)]
    judged = {place: is_wrong(after, place) for place in places}
    if not before:
        return _silent_to_hypothesis(after, trial, judged, wrong)
    right, still = _places_judged(judged, False), _places_judged(judged, True)
    settled = len(before) if trial.removes else len(right.intersection(before))
    settled += sum(_is_newly_compared(view, trial, place, wrong) for place in right)
    worth = settled - len(still.difference(before))
    if worth < trial.fewest or len(still) > _LEFT * len(before) or _proves_nothing(trial, after, before):
        return None
    return Hypothesis(trial, worth, len(before), tuple(places))


def _places_judged(judged: dict[Place, bool | None], is_wrong: bool) -> set[Place]:
    """The places judged so; those that cannot be compared are neither wrong nor right."""
    return {place for place, result in judged.items() if result is is_wrong}


def _is_newly_compared(view: View, trial: Trial, place: Place, wrong: Wrong) -> bool:
    """A gap that a block which moved has left, or a cell that only the other heading lets be compared."""
    if trial.code in _MOVED:
        return view.entry(place) is None
    return trial.code is codes.HEADINGS_SWAPPED and place not in wrong


def _proves_nothing(trial: Trial, after: View, before: Sequence[Place]) -> bool:
    """A heading is not told by one value that all of its cells have, but for a unit a thousand times off."""
    if trial.code is codes.HEADING_UNIT and trial.is_thousands:
        return False
    return trial.is_heading and len({after.value(place) for place in before}) < 2


def _fewest_distinct(trial: Trial, right: int) -> int:
    """How many different numbers prove another heading: temperatures hardly repeat by chance, and of a limit
    that no sheet gives two will do where many cells agree."""
    if trial.code is codes.HEADING_AMBIENT and right >= trial.fewest:
        return 1
    return 2 if trial.code is codes.HEADING_KIND and right >= _MANY else trial.fewest


def _silent_to_hypothesis(
    after: View, trial: Trial, judged: dict[Place, bool | None], wrong: Wrong
) -> Hypothesis | None:
    """A column the sheets do not give as it is headed, and give in full under another heading."""
    right = sorted(_places_judged(judged, False))
    compared = any(place in wrong for place in judged)
    distinct = len({after.value(place) for place in right})
    if compared or distinct < _fewest_distinct(trial, len(right)) or any(judged.values()):
        return None
    return Hypothesis(trial, len(right), 0, tuple(right))
