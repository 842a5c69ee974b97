"""The best parts of a library for a requirement, without loading and judging all of them.

Comes in: the address of a library, a requirement. Goes out: a `ScreenedRanking`. The library tells what each
part can do at its best, the comparison what that is worth; both at one moment.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from compare.best_first import ScreenedRanking, figures_to_best
from compare.requirement import Requirement
from compare.screening import KINDS_FOR_SUPPLY, trip_current_at_most_a
from holdtrip.sources import refuse_unreviewed

if TYPE_CHECKING:
    from holdtrip.library.screening import ScreenQuestion


def library_to_best(address: str, requirement: Requirement, unreviewed: bool, wanted: int) -> ScreenedRanking:
    """The best parts, at least so many; without `unreviewed` by accepted and corrected numbers only."""
    from holdtrip.library.store import open_library

    asked = requirement_to_question(requirement)
    with open_library(address, create=False) as library:
        with library.screening(asked, accepted_only=not unreviewed) as screening:
            best = figures_to_best(screening, requirement, wanted)
        if not best.ranking.candidates and not unreviewed:
            refuse_unreviewed(library)
    return best


def requirement_to_question(requirement: Requirement) -> ScreenQuestion:
    """What to ask a library for a requirement."""
    from holdtrip.library.screening import ScreenQuestion

    return ScreenQuestion(
        requirement.hottest_c, requirement.coldest_c, KINDS_FOR_SUPPLY[requirement.supply],
        requirement.supply_voltage_v, requirement.fault_current_max_a or 0.0,
        requirement.trip_time_max_s or 0.0, trip_current_at_most_a(requirement) or 0.0)
