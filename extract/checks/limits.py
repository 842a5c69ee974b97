"""The limits of the checks: limits.toml as a frozen record.

Comes in: limits.toml. Goes out: Limits, all SI. Judges nothing.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from extract.schema import Quantity


@dataclass(frozen=True, slots=True)
class Band:
    """A range of values: outside `usual` is doubted, outside `possible` cannot be."""

    usual: tuple[float, float]
    possible: tuple[float, float]


@dataclass(frozen=True, slots=True)
class DeratingLimits:
    """Limits of derating rows; slopes are shares of the rating for each kelvin, the others shares."""

    slope_usual: tuple[float, float]
    off_line: float
    off_line_at_ends: float
    same_shape: float
    off_shape: float
    reference_differs: float
    neighbours: int


@dataclass(frozen=True, slots=True)
class SeriesLimits:
    """How many rows teach a pattern, in which share of them it must hold, how far neighbours may differ."""

    rows: int
    share: float
    test_pattern_share: float
    neighbour_factor: Mapping[Quantity, float]
    neighbour_rows: int
    exchanged_rows: int
    sibling_factor: float


@dataclass(frozen=True, slots=True)
class Limits:
    """All limits. `bounds` by quantity, `ratios` by the names of limits.toml, `allowed` lists by quantity."""

    bounds: Mapping[Quantity, Band]
    ambient_c: Band
    ratios: Mapping[str, Band]
    derating: DeratingLimits
    series: SeriesLimits
    allowed: Mapping[Quantity, frozenset[float]]


@cache
def limits() -> Limits:
    """The limits as shipped."""
    data = tomllib.loads((files("extract.checks") / "limits.toml").read_text(encoding="utf-8"))
    derating, series = data["derating"], data["series"]
    return Limits(
        bounds={Quantity(name): _to_band(entry) for name, entry in data["bounds"].items()},
        ambient_c=_to_band(data["ambient_c"]),
        ratios={name: _to_band(entry) for name, entry in data["ratio"].items()},
        derating=DeratingLimits(
            (derating["slope_usual"][0], derating["slope_usual"][1]),
            *(
                derating[name]
                for name in (
                    "off_line",
                    "off_line_at_ends",
                    "same_shape",
                    "off_shape",
                    "reference_differs",
                    "neighbours",
                )
            ),
        ),
        series=SeriesLimits(
            series["rows"],
            series["share"],
            series["test_pattern_share"],
            {Quantity(name): factor for name, factor in series["neighbour_factor"].items()},
            series["neighbour_rows"],
            series["exchanged_rows"],
            series["sibling_factor"],
        ),
        allowed={Quantity(name): frozenset(map(float, values)) for name, values in data["allowed"].items()},
    )


def _to_band(entry: Mapping[str, Any]) -> Band:
    usual, possible = entry["usual"], entry["possible"]
    return Band((usual[0], usual[1]), (possible[0], possible[1]))
