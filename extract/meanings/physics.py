"""What the numbers themselves say: medians, ratios between columns, correlations over the rows.

Comes in: columns of SI values. Goes out: log-likelihoods of meanings and of pairs of meanings. Every
statement has a floor: an unusual family is unlikely, never impossible. Never corrects a number.
Sources: published vendor tables (priors.toml); the heat balance I²R = P at the switching point.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from statistics import median

from extract.meanings.words import Meaning, priors, weight

CONSTANT = 0.02
"""Logarithms that spread less are a constant column: its correlation is unknown, not zero."""


@cache
def _normal(group: str, name: str) -> tuple[float, float] | None:
    """(mean, deviation) of the logarithm, from priors.toml."""
    entry = priors()[group].get(name)
    return None if entry is None else (math.log(entry[0]), math.log(entry[1]))


def _log_density(value: float, normal: tuple[float, float]) -> float:
    mean, deviation = normal
    z = (value - mean) / deviation
    return max(weight("floor"), -0.5 * z * z - math.log(deviation))


def single_score(meaning: Meaning, logs: Sequence[float]) -> float:
    """How likely the median of a column is for a meaning; `logs` are logarithms of SI values."""
    normal = _normal("single", meaning.value)
    return 0.0 if normal is None or not logs else _log_density(median(logs), normal)


def pair_score(first: Meaning, second: Meaning, rows: Sequence[tuple[float, float]], constant: bool) -> float:
    """How likely two columns are side by side; `rows` are logarithms of both, row by row."""
    name = f"{first.value} {second.value}"
    normal = _normal("pair", name)
    if not rows:
        return 0.0
    score = _log_density(median(b - a for a, b in rows), normal) if normal is not None else 0.0
    wanted = priors()["correlation"].get(name)
    if wanted is not None and len(rows) >= 4 and not constant:
        score += 1.5 * wanted * correlation(rows) - 0.5
    return score


def correlation(rows: Sequence[tuple[float, float]]) -> float:
    """Pearson's correlation of pairs of numbers; 0 where one of them is constant."""
    n = len(rows)
    mean_a, mean_b = sum(a for a, _ in rows) / n, sum(b for _, b in rows) / n
    cross = sum((a - mean_a) * (b - mean_b) for a, b in rows)
    spread_a = sum((a - mean_a) ** 2 for a, _ in rows)
    spread_b = sum((b - mean_b) ** 2 for _, b in rows)
    return cross / math.sqrt(spread_a * spread_b) if spread_a > 1e-12 and spread_b > 1e-12 else 0.0


def is_constant(logs: Sequence[float]) -> bool:
    """Whether a column hardly changes."""
    return not logs or max(logs) - min(logs) < CONSTANT
