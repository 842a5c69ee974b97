"""What a sheet lets one expect of a measurement: a plateau between two limits, with tails.

Comes in: limits of a sheet, spreads, a measured value. Goes out: how likely the value is. Formulas only: does
not know parts or quantities.

Between its limits a sheet says nothing more, so the density is flat there (least informative, given the
limits); outside it falls exponentially: meter error on one side, ageing on the other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

STEPS = 160
"""Steps of the grid on which spans are compared; more change the result by less than a percent."""


@dataclass(frozen=True, slots=True)
class Span:
    """Plateau from `low` to `high`, exponential tails of the given scales, all in one coordinate: the
    logarithm of a value where it spans decades, else the value itself."""

    low: float
    high: float
    below: float
    above: float

    def log_density(self, at: float) -> float:
        """Natural logarithm of the density at a place; the whole integrates to one."""
        height = -math.log(self.high - self.low + self.below + self.above)
        if at < self.low:
            return height - (self.low - at) / self.below
        return height - (at - self.high) / self.above if at > self.high else height

    def widened(self, by: float) -> Span:
        """The same with both tails longer by an uncertainty (added in quadrature)."""
        return Span(self.low, self.high, math.hypot(self.below, by), math.hypot(self.above, by))


def spans_to_information(spans: Sequence[Span], weights: Sequence[float]) -> float:
    """What measuring would tell, on average, about which span holds, in bits (mutual information).

    weights: how likely each is now; they need not sum to one.
    """
    total = sum(weights)
    shares = [weight / total for weight in weights]
    low = min(span.low - 4 * span.below for span in spans)
    high = max(span.high + 4 * span.above for span in spans)
    step = (high - low) / STEPS
    bits = 0.0
    for index in range(STEPS):
        at = low + (index + 0.5) * step
        densities = [math.exp(span.log_density(at)) for span in spans]
        mixed = sum(share * density for share, density in zip(shares, densities, strict=True))
        bits += step * sum(share * density * math.log2(density / mixed)
                           for share, density in zip(shares, densities, strict=True) if density > 0.0)
    return max(0.0, bits)


def chances_to_information(chances: Sequence[float], weights: Sequence[float]) -> float:
    """As `spans_to_information`, for a question answered by yes or no; chances of yes."""
    total = sum(weights)
    mean = sum(weight * chance for weight, chance in zip(weights, chances, strict=True)) / total
    return max(0.0, _entropy(mean) - sum(weight / total * _entropy(chance)
                                         for weight, chance in zip(weights, chances, strict=True)))


def _entropy(chance: float) -> float:
    return -sum(p * math.log2(p) for p in (chance, 1.0 - chance) if p > 0.0)
