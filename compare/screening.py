"""The largest margin a part can possibly have, from few of its numbers: parts that cannot fit are told early.

Comes in: figures of many parts, each on the hopeful side, and a requirement. Goes out: the contenders that
may fit, with an upper bound of their smallest margin, and of the others how many miss which margin. A part
left out does surely not fit: it fails, or cannot be told. A contender may turn out not to fit. Judges
nothing: that is `judging`, with all numbers of a part.

Why a bound holds stands beside it; each follows one margin of `margins_*.py` and the derating it rests on. A
margin that is not bounded here leaves no part out.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import NamedTuple, Protocol

from compare.corners import supply_at_most_a
from compare.judging import JUST_MET
from compare.margins_steady import BARE_DROP_MARGIN
from compare.pulses import fault_current_a
from compare.records import VERDICT_RANK, Verdict
from compare.requirement import Requirement
from extract.schema import Kind, Part

KINDS_FOR_SUPPLY = {"dc": (Kind.DC, Kind.NONE), "ac": (Kind.AC,)}
"""Kinds of a rating that can fit, see `corners.rating_for_supply`."""
NINE_DIGITS = 1e-8
ROUNDING = 1e-9
"""Where a bound is computed otherwise than its margin it is widened by this share."""

ColumnBounds = tuple[float, float, float]
"""A column: its ambient, °C, and the least and the largest number a sheet gives there."""
Neighbours = tuple[ColumnBounds | None, ColumnBounds | None]
"""The nearest columns at or below and at or above an ambient, twice the same at it; None beyond the table."""
LEAST, LARGEST = 1, 2


class Figures(Protocol):
    """What many parts can do at their best, part → number, SI; a part that is not there has no such number.

    known: parts of which something is told; whole: those of which columns are. A rating below what the
    requirement asks, and a trip time it cannot use, may be left out.
    """

    @property
    def part_ids(self) -> Sequence[int]:
        """All parts."""

    @property
    def known(self) -> Collection[int]:
        """Parts whose numbers are among the printed ones."""

    @property
    def whole(self) -> Collection[int]:
        """Parts of which every printed number may be used."""

    @property
    def max_voltages_v(self) -> Mapping[int, float]:
        """Largest rating for the kind of supply."""

    @property
    def max_currents_a(self) -> Mapping[int, float]:
        """Largest rating for the kind of supply."""

    @property
    def trip_times_s(self) -> Mapping[int, float]:
        """Shortest tabulated time at a current up to the lowest fault current."""

    @property
    def smallest_resistances_ohm(self) -> Mapping[int, float]:
        """Largest of the numbers for the smallest resistance as delivered."""

    @property
    def post_trip_resistances_ohm(self) -> Mapping[int, float]:
        """Least of the numbers for the largest resistance after a trip."""

    @property
    def sure_post_trip_ohm(self) -> Mapping[int, float]:
        """The same where it is one undisputed number."""

    @property
    def least_resistances_ohm(self) -> Mapping[int, float]:
        """Least resistance of any kind."""

    @property
    def with_trip_ratio(self) -> Collection[int]:
        """Parts with shares of the trip current, their own or their series'."""

    @property
    def with_hold_ratio(self) -> Collection[int]:
        """Parts with shares of the hold current, their own or their series'."""

    @property
    def decided(self) -> Set[int]:
        """Whole parts of which a person stands for every number."""

    @property
    def only_voltages_v(self) -> Mapping[int, float]:
        """Rating for the kind of supply, however small, where there is just one."""

    @property
    def only_currents_a(self) -> Mapping[int, float]:
        """Rating for the kind of supply, however small, where there is just one."""

    @property
    def with_one_hold(self) -> Collection[int]:
        """Parts that give one hold current and no more."""

    @property
    def with_one_trip(self) -> Collection[int]:
        """Parts that give one trip current and no more."""

    def with_one_hold_between(self, from_c: float, to_c: float) -> Collection[int]:
        """Parts that give just one hold current from one ambient to another."""

    def hold_bounds_a(self, part_id: int) -> tuple[float | None, float | None]:
        """Least and largest of the part's own hold currents over all ambients."""

    def columns(self, part_ids: Collection[int]) -> ColumnFigures:
        """The columns of some whole parts."""

    def parts(self, part_ids: Sequence[int]) -> Sequence[Part]:
        """Some parts with all their numbers."""


class ColumnFigures(Protocol):
    """The columns of parts beside the hottest and the coldest ambient."""

    def hold_hot(self, part_id: int) -> Neighbours:
        """Of the part's own hold current."""

    def hold_cold(self, part_id: int) -> Neighbours:
        """Of the part's own hold current."""

    def share_hot(self, part_id: int) -> Neighbours:
        """Of the hold ratio, the part's own or its series'."""

    def share_cold(self, part_id: int) -> Neighbours:
        """Of the hold ratio, the part's own or its series'."""

    def trip_cold(self, part_id: int) -> Neighbours:
        """Of the part's own trip current."""

    def hold_at(self, part_id: int, ambient_c: float) -> ColumnBounds | None:
        """The part's own column of the hold current of just that ambient."""


class Contender(NamedTuple):
    """The best place a part can have: its verdict no better, its smallest margin no larger, its resistance no
    less than this."""

    verdict_rank: int
    margin_at_most: float
    resistance_at_least_ohm: float
    part_id: int

    def rank_at_best(self) -> tuple[int, int, bool, float, float]:
        """As `ranking.candidate_to_rank` begins; nine digits of a margin may round it up."""
        undetermined = self.verdict_rank == VERDICT_RANK[Verdict.UNDETERMINED]
        at_best = self.margin_at_most * (1.0 + NINE_DIGITS)
        return self.verdict_rank, int(undetermined), False, -at_best, self.resistance_at_least_ohm


@dataclass(frozen=True, slots=True)
class Shortlist:
    """The contenders that may fit, best bound first, and of each part left out a margin it misses."""

    contenders: tuple[Contender, ...]
    left_out: dict[int, str]


def figures_to_shortlist(figures: Figures, requirement: Requirement) -> Shortlist:
    """Leave out every part that surely does not fit."""
    singles = _SingleBounds(figures, requirement)
    left_out: dict[int, str] = {}
    found: dict[int, float] = {}
    for part_id in figures.part_ids:
        margin, name = singles.best(part_id)
        if margin >= JUST_MET:
            found[part_id] = margin
        else:
            left_out[part_id] = name
    rows = _RowBounds(figures, requirement, singles, found.keys() & figures.whole)
    for part_id in rows.part_ids:
        margin, name = rows.best(part_id)
        if margin >= JUST_MET:
            found[part_id] = min(found[part_id], margin)
        else:
            left_out[part_id] = name
            del found[part_id]
    fits = VERDICT_RANK[Verdict.FITS]
    contenders = [Contender(fits, margin, resistance_at_least_ohm(figures, part_id), part_id)
                  for part_id, margin in found.items()]
    contenders.sort(key=Contender.rank_at_best)
    return Shortlist(tuple(contenders), left_out)


def trip_current_at_most_a(requirement: Requirement) -> float | None:
    """The lowest fault current of any part, A, or more; None where no part has one. See `corners`."""
    low_v, source_ohm = requirement.supply_voltage_min_v, requirement.source_resistance_max_ohm
    stated_a, cap_a = requirement.fault_current_min_a, supply_at_most_a(requirement)
    if stated_a is None and source_ohm is not None:
        if low_v is None:
            return None
        stated_a = low_v / source_ohm if source_ohm > 0.0 else math.inf
    return cap_a if stated_a is None else stated_a if cap_a is None else min(stated_a, cap_a)


def resistance_at_least_ohm(figures: Figures, part_id: int) -> float:
    """What breaks ties in a ranking, or less."""
    sure_ohm = figures.sure_post_trip_ohm.get(part_id, 0.0)
    if sure_ohm > 0.0:
        return sure_ohm
    if part_id not in figures.known:
        return 0.0
    return max(0.0, figures.least_resistances_ohm.get(part_id, 0.0))


Best = tuple[float, str]
"""The smallest of some upper bounds of margins, and the name of that margin."""


class _SingleBounds:
    """Bounds by numbers that stand for themselves; whichever of several counts, it is none better."""

    def __init__(self, figures: Figures, requirement: Requirement) -> None:
        self._known = figures.known
        self._figures, self._requirement = figures, requirement
        self._voltages, self._currents = figures.max_voltages_v, figures.max_currents_a
        # a drawn curve, with the factor of the requirement, may say fits as well
        self._needs_time = requirement.trip_time_max_s is not None and not (
            requirement.allows("time") or requirement.typical_to_max_factor is not None)
        self._fault_a = trip_current_at_most_a(requirement)
        self._source_ohm = (
            requirement.source_resistance_max_ohm if requirement.fault_current_min_a is None else None)

    def best(self, part_id: int) -> Best:
        """The smallest bound of a part; 0 for what it cannot meet."""
        if self._fault_a is None:  # the lowest fault current is unknown, whatever the part
            return 0.0, "trip_certainty"
        if part_id not in self._known:
            return math.inf, ""
        voltage_v = self._voltages.get(part_id)
        if voltage_v is None:
            return 0.0, "max_voltage"
        best = times(voltage_v, self._requirement.supply_voltage_v), "max_voltage"
        best = min(best, (self._current(part_id), "max_current"))
        if self._needs_time:
            best = min(best, (self._time(part_id), "time_to_trip"))
        if self._requirement.voltage_drop_max_v is not None:
            best = min(best, (self._drop(part_id), "voltage_drop"))
        return best

    def fault_at_most_a(self, part_id: int) -> float:
        """The lowest fault current with a part, A, or more."""
        fault_a = math.inf if self._fault_a is None else self._fault_a
        if self._source_ohm is None:
            return fault_a
        part_ohm = self._figures.post_trip_resistances_ohm.get(part_id)
        if part_ohm is None or self._source_ohm + part_ohm <= 0.0:
            return fault_a
        low_v = self._requirement.supply_voltage_min_v
        assert low_v is not None  # else no part has a lowest fault current
        with_part_a = fault_current_a(low_v, self._source_ohm, part_ohm)
        return min(fault_a, with_part_a * (1.0 + ROUNDING))

    def _current(self, part_id: int) -> float:
        """Rating over the highest fault current, which is no less than with the largest part resistance."""
        rating_a = self._currents.get(part_id)
        if rating_a is None:
            return 0.0
        source_ohm = self._requirement.source_resistance_min_ohm
        if self._requirement.fault_current_max_a is not None:
            return times(rating_a, self._requirement.fault_current_max_a)
        if source_ohm is None:
            return 0.0
        total_ohm = source_ohm + max(0.0, self._figures.smallest_resistances_ohm.get(part_id, 0.0))
        if total_ohm <= 0.0:
            return math.inf
        return rating_a * total_ohm / self._requirement.supply_voltage_v * (1.0 + ROUNDING)

    def _time(self, part_id: int) -> float:
        """Without a model only a tabulated time at a current not above the fault may say fits."""
        time_s, limit_s = self._figures.trip_times_s.get(part_id), self._requirement.trip_time_max_s
        return 0.0 if time_s is None or limit_s is None else times(limit_s, time_s)

    def _drop(self, part_id: int) -> float:
        """Without a resistance after a trip no drop fits."""
        limit_v = self._requirement.voltage_drop_max_v
        ohm = self._figures.post_trip_resistances_ohm.get(part_id)
        if ohm is None or limit_v is None:
            return 0.0
        margin = times(limit_v, ohm * self._requirement.normal_current_a)
        # without the model of the warm part only a drop with room for its warmth fits
        return margin if self._requirement.allows("drop") or margin >= BARE_DROP_MARGIN else 0.0


class _RowBounds:
    """Bounds by hold and trip current at the hottest and the coldest ambient, see `derating`."""

    def __init__(
        self, figures: Figures, requirement: Requirement, singles: _SingleBounds, part_ids: Collection[int],
    ) -> None:
        self.part_ids = part_ids
        self._figures, self._singles = figures, singles
        self._columns = figures.columns(part_ids)
        self._with_trip_ratio = figures.with_trip_ratio
        self._hot_c, self._cold_c = requirement.hottest_c, requirement.coldest_c
        self._assumes = requirement.assume_reference_ambient_c is not None
        needed_a = [requirement.normal_current_a * requirement.hold_factor]
        # without a model or a drawn curve only a hold current above the peak lets it pass
        by_time = requirement.allows("time") or requirement.typical_to_min_factor is not None
        if requirement.peak_current_a and requirement.peak_duration_s and not by_time:
            needed_a.append(requirement.peak_current_a)
        self._hold_needed_a = max(needed_a)
        wire = requirement.wire
        limits_a = ((requirement.trip_current_max_a, "trip_current_limit"),
                    (None if wire is None else wire.ampacity_a, "wire_ampacity"))
        self._trip_limits_a = [(limit_a, name) for limit_a, name in limits_a if limit_a is not None]

    def best(self, part_id: int) -> Best:
        """The smallest bound of a part; 0 for what it cannot meet."""
        margin = times(self._hold_at_most_a(part_id), self._hold_needed_a)
        if margin < JUST_MET:
            return margin, "hold_current"
        fault_a = self._singles.fault_at_most_a(part_id)
        limit_a, name = min([(fault_a, "trip_certainty"), *self._trip_limits_a])
        return min((margin, "hold_current"), (times(limit_a, self._trip_at_least_a(part_id)), name))

    def _hold_at_most_a(self, part_id: int) -> float:
        """Hold current at the hottest ambient.

        Within its own columns a part holds what they say, or nothing can be told. Else a share of its rating,
        which is one of its hold currents, or the rating itself where its ambient is assumed.
        """
        own = between(self._columns.hold_hot(part_id), self._hot_c, LARGEST)
        if own is not None:
            return own
        rating_a = self._figures.hold_bounds_a(part_id)[1]
        if rating_a is None:
            return math.inf  # the series may give one
        share = between(self._columns.share_hot(part_id), self._hot_c, LARGEST)
        at_most = 0.0 if share is None else share * (1.0 + ROUNDING)
        return rating_a * (max(1.0, at_most) if self._assumes else at_most)

    def _trip_at_least_a(self, part_id: int) -> float:
        """Trip current at the coldest ambient; 0 where nothing is known of it, infinite where there is none.

        Within its own columns it is what they say. A trip current of one ambient is scaled like hold: by the
        hold current here over that in the column of the same ambient.
        """
        columns = self._columns.trip_cold(part_id)
        own = between(columns, self._cold_c, LEAST)
        if own is not None:
            return own
        rating = columns[0] or columns[1]
        if rating is None or part_id in self._with_trip_ratio:
            return 0.0
        rated_hold = self._columns.hold_at(part_id, rating[0])
        if rated_hold is None or rated_hold[LARGEST] <= 0.0 or rating[0] < self._cold_c:
            return 0.0  # hotter than its column it is at most as there, whatever the hold current
        return rating[LEAST] * self._hold_at_least_a(part_id) / rated_hold[LARGEST] * (1.0 - ROUNDING)

    def _hold_at_least_a(self, part_id: int) -> float:
        """Hold current at the coldest ambient; infinite where it has none, and so no scaled trip current."""
        own = between(self._columns.hold_cold(part_id), self._cold_c, LEAST)
        if own is not None:
            return own
        rating_a = self._figures.hold_bounds_a(part_id)[0]
        if rating_a is None:
            return 0.0
        share = between(self._columns.share_cold(part_id), self._cold_c, LEAST)
        if share is not None:
            at_least = share * (1.0 - ROUNDING)
            return rating_a * (min(1.0, at_least) if self._assumes else at_least)
        return rating_a if self._assumes else math.inf


def between(columns: Neighbours, ambient_c: float, which: int) -> float | None:
    """The least or the largest value at an ambient: of its column, or on a line between its neighbours."""
    below, above = columns
    if below is None or above is None:
        return None
    if below is above:
        return below[which]
    cold, hot = below[which], above[which]
    value = cold + (ambient_c - below[0]) / (above[0] - below[0]) * (hot - cold)
    widening = ROUNDING * max(abs(cold), abs(hot))
    return value + widening if which == LARGEST else value - widening


def times(have: float, need: float) -> float:
    """How many times a need is met, without bound where it is none."""
    return have / need if need > 0.0 else math.inf
