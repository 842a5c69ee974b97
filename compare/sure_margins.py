"""What a judgement will surely say of a part that cannot fit, from few of its numbers.

Comes in: figures of parts (see `screening`) and a requirement. Goes out: for each part the best place it can
have among those that cannot be told and those that fail. Unlike the hopeful bounds of `screening` these need
numbers that are the only ones and that a person stands for: of any other part nothing is said. Judges
nothing.

A margin that has a number is never above its bound here, and a part is said to fail only where a margin has a
number beyond its limit. Each rule follows one margin of `margins_*.py` and the derating under it.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from typing import NamedTuple

from compare.corners import supply_at_most_a
from compare.pulses import fault_current_a
from compare.records import VERDICT_RANK, Verdict
from compare.requirement import Requirement
from compare.screening import (
    LARGEST,
    LEAST,
    ROUNDING,
    Contender,
    Figures,
    Neighbours,
    between,
    resistance_at_least_ohm,
    times,
)

USUAL_REFERENCE_C = (20.0, 25.0)
"""Between these `derating` looks for the rating where there is no percent row."""

Span = tuple[float, float]
"""A known number: from its least to its largest, since it may be computed in another way."""


class Known(NamedTuple):
    """A margin that surely has a number: at most this, and whether it surely fails."""

    at_most: float
    fails: bool


def parts_to_sure(figures: Figures, requirement: Requirement, part_ids: Collection[int]) -> list[Contender]:
    """The best place that each of some parts can have, given that none fits; best first."""
    sure = _SureMargins(figures, requirement, figures.decided & set(part_ids))
    found = []
    for part_id in part_ids:
        known = tuple(sure.known(part_id))
        verdict = Verdict.FAILS if any(one.fails for one in known) else Verdict.UNDETERMINED
        # only what is surely missed bounds the margin that decides: others have nothing to do with it
        missed = [one.at_most for one in known if one.fails or one.at_most < 1.0 - ROUNDING]
        found.append(Contender(VERDICT_RANK[verdict], min(missed, default=math.inf),
                               resistance_at_least_ohm(figures, part_id), part_id))
    return sorted(found, key=Contender.rank_at_best)


class _SureMargins:
    """Margins of decided parts that are known for certain."""

    def __init__(self, figures: Figures, requirement: Requirement, decided: Collection[int]) -> None:
        self._figures, self._requirement, self._decided = figures, requirement, decided
        self._columns = figures.columns(decided)
        self._with_reference = figures.with_one_hold_between(*USUAL_REFERENCE_C)
        wire = requirement.wire
        limits_a = (requirement.trip_current_max_a, None if wire is None else wire.ampacity_a)
        self._trip_limits_a = [limit_a for limit_a in limits_a if limit_a is not None]

    def known(self, part_id: int) -> Iterator[Known]:
        """The margins of a part that surely have a number."""
        if part_id in self._decided:
            yield from self._of_singles(part_id)
            yield from self._of_rows(part_id)

    def _of_singles(self, part_id: int) -> Iterator[Known]:
        asked, figures = self._requirement, self._figures
        voltage_v = figures.only_voltages_v.get(part_id, 0.0)
        if voltage_v > 0.0:
            yield _known(voltage_v, asked.supply_voltage_v)
        current_a = figures.only_currents_a.get(part_id, 0.0)
        if current_a > 0.0 and asked.fault_current_max_a is not None:
            yield _known(current_a, asked.fault_current_max_a)
        ohm = figures.sure_post_trip_ohm.get(part_id, 0.0)
        if ohm > 0.0 and asked.voltage_drop_max_v is not None:
            yield _known(asked.voltage_drop_max_v, ohm * asked.normal_current_a)

    def _of_rows(self, part_id: int) -> Iterator[Known]:
        asked, columns = self._requirement, self._columns
        hot_a = self._hold(part_id, columns.hold_hot(part_id), columns.share_hot(part_id), asked.hottest_c)
        if hot_a is not None:
            yield _known(hot_a[1], asked.normal_current_a * asked.hold_factor)
        cold_a = self._hold(part_id, columns.hold_cold(part_id), columns.share_cold(part_id), asked.coldest_c)
        trip_a, fault_a = self._trip(part_id, cold_a), self._fault_a(part_id)
        if trip_a is None:
            return
        for limit_a in self._trip_limits_a:
            yield _known(limit_a, trip_a[0])
        if fault_a is not None:
            # between hold and trip nothing is defined: only a fault that the part holds is a failure
            never = cold_a is not None and fault_a <= cold_a[0] and fault_a < trip_a[0]
            yield Known(times(fault_a, trip_a[0]), never)

    def _fault_a(self, part_id: int) -> float | None:
        """The lowest fault current, see `corners`."""
        asked = self._requirement
        found_a, source_ohm = asked.fault_current_min_a, asked.source_resistance_max_ohm
        ohm = self._figures.sure_post_trip_ohm.get(part_id, 0.0)
        if found_a is None and source_ohm is not None and ohm > 0.0:
            if asked.supply_voltage_min_v is None:
                return None
            found_a = fault_current_a(asked.supply_voltage_min_v, source_ohm, ohm)
        cap_a = supply_at_most_a(asked)
        return found_a if found_a is None or cap_a is None else min(found_a, cap_a)

    def _hold(self, part_id: int, own: Neighbours, share: Neighbours, at_c: float) -> Span | None:
        """Hold current at an ambient: by its own columns if no percent row can contradict them, or by a
        percent row and the only rating there is."""
        figures = self._figures
        by_columns = _span(own, at_c)
        if by_columns is not None:
            alone = part_id not in figures.with_hold_ratio or part_id in figures.with_one_hold
            return by_columns if alone else None
        rating_a, by_share = figures.hold_bounds_a(part_id)[0], _span(share, at_c)
        if by_share is None or rating_a is None or rating_a <= 0.0 or part_id not in figures.with_one_hold:
            return None
        return by_share[0] * rating_a * (1.0 - ROUNDING), by_share[1] * rating_a * (1.0 + ROUNDING)

    def _trip(self, part_id: int, cold_a: Span | None) -> Span | None:
        """Trip current at the coldest ambient: by its own columns, or the only one scaled like hold."""
        figures, neighbours = self._figures, self._columns.trip_cold(part_id)
        if part_id in figures.with_trip_ratio:
            return None
        by_columns = _span(neighbours, self._requirement.coldest_c)
        if by_columns is not None and by_columns[0] > 0.0:
            return by_columns
        rating = neighbours[0] or neighbours[1]
        if None not in neighbours or rating is None or cold_a is None or part_id not in figures.with_one_trip:
            return None
        # the hold current it is scaled by is that in the column of the same ambient, if the rating is known
        rated_hold = self._columns.hold_at(part_id, rating[0])
        told = (part_id in self._with_reference and part_id not in figures.with_hold_ratio) or (
            part_id in figures.with_one_hold)
        if rated_hold is None or not told or not 0.0 < rated_hold[LEAST] == rated_hold[LARGEST]:
            return None
        scaled_a = rating[LEAST] / rated_hold[LEAST]
        if rating[LEAST] <= 0.0:
            return None
        return scaled_a * cold_a[0] * (1.0 - ROUNDING), scaled_a * cold_a[1] * (1.0 + ROUNDING)


def _known(have: float, need: float) -> Known:
    return Known(times(have, need), have < need * (1.0 - ROUNDING))


def _span(neighbours: Neighbours, at_c: float) -> Span | None:
    """The value at an ambient where each column beside it has one number, not below zero."""
    below, above = neighbours
    if below is None or above is None:
        return None
    if not (0.0 <= below[LEAST] == below[LARGEST] and 0.0 <= above[LEAST] == above[LARGEST]):
        return None
    least, largest = between(neighbours, at_c, LEAST), between(neighbours, at_c, LARGEST)
    return None if least is None or largest is None else (least, largest)
