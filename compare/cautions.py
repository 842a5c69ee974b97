"""The cautions a reader must see, from one place.

Comes in: a requirement or a ranking. Goes out: the cautions that apply to it. Does not weigh them: every
output shows them all.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from compare.ranking import Ranking
from compare.requirement import Requirement

HAZARDOUS_DC_V, HAZARDOUS_AC_V = 60.0, 30.0
"""Above these voltages standards tend to speak of hazards; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution: its name, what calls for it, and its text."""

    name: str
    when: str
    text: str


@cache
def all_cautions() -> tuple[Caution, ...]:
    """Every caution, in the order shown."""
    text = files("compare").joinpath("cautions.toml").read_text(encoding="utf-8")
    return tuple(Caution(**row) for row in tomllib.loads(text)["cautions"])


def ranking_to_cautions(ranking: Ranking) -> tuple[Caution, ...]:
    """The cautions that apply to a requirement and to what its margins rest on."""
    drawn = any(margin.curves for candidate in ranking.candidates for margin in candidate.margins)
    return requirement_to_cautions(ranking.requirement, drawn=drawn)


def requirement_to_cautions(requirement: Requirement, *, drawn: bool = False) -> tuple[Caution, ...]:
    """The cautions that apply: those for every use first, then those its facts call for; drawn: whether a
    margin rests on a drawn curve."""
    limit_v = HAZARDOUS_AC_V if requirement.supply == "ac" else HAZARDOUS_DC_V
    facts = {
        "always": True,
        "battery": requirement.battery,
        "mains": requirement.supply_voltage_v > limit_v,
        "ac": requirement.supply == "ac",
        "limited_power": requirement.limited_power is not None,
        "models": bool(requirement.models_allowed),
        "limiting": (requirement.supply_current_limit_a, requirement.supply_short_current_a) != (None, None),
        "neighbours": requirement.neighbour_heating_k > 0.0,
        "transient": requirement.transient_voltage_v is not None,
        "drawn": drawn,
        "time": requirement.trip_time_max_s is not None or bool(requirement.damage_curve),
    }
    return tuple(caution for caution in all_cautions() if facts[caution.when])
