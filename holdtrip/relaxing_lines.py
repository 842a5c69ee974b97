"""What each question of a requirement removes, and what to relax where nothing fits, as lines on the screen.

Comes in: a ranking of all parts. Goes out: lines on stdout. Judges nothing.
"""

from __future__ import annotations

from compare.explain import counted, margin_title, quantity_text
from compare.ranking import Ranking
from compare.records import Sense
from compare.relaxing import Relaxation, ranking_to_filters, ranking_to_relaxations
from holdtrip.screen import say


def show_removed(ranking: Ranking) -> None:
    """One line of counts; where nothing fits, the single requirements that would let parts in."""
    filters = [one for one in ranking_to_filters(ranking) if one.fails]
    if filters:
        counts = ", ".join(f"{margin_title(one.name)} {one.fails}" + (f" ({one.fails_alone} by it alone)" if
                           one.fails_alone else "") for one in filters)
        say(f"removed of {counted(len(ranking.candidates), 'part')}: {counts}")
    if ranking.winner is not None:
        return
    relaxations = ranking_to_relaxations(ranking)
    for one in relaxations[:3]:
        say(relaxation_to_sentence(one))
    if not relaxations and filters:
        say("no single requirement, relaxed, lets a part in")


def relaxation_to_sentence(one: Relaxation) -> str:
    """Which requirement, by how much, and how many parts it lets in."""
    lead = f"{margin_title(one.name)}, relaxed alone, lets {counted(one.lets_in, 'part')} in"
    if one.limit is None or one.nearest is None or one.farthest is None:
        return f"{lead}, such as {one.nearest_part}"
    side = "at least" if one.sense is Sense.AT_LEAST else "at most"
    said = (f"{lead}: {side} {quantity_text(one.nearest, one.unit)} instead of"
            f" {quantity_text(one.limit, one.unit)} for {one.nearest_part}")
    return said if one.lets_in == 1 else f"{said}, {quantity_text(one.farthest, one.unit)} for all"
