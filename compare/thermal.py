"""Heating of a part until it trips: formulas only.

Comes in: numbers in SI. Goes out: numbers in SI; `math.inf` where the part never trips. All are models.
Does not know parts, sheets or requirements.

First-order thermal model: cold and preloaded forms of the thermal relay standard IEC 60255-149. Heat balance:
C dT/dt = I² R - d (T - T_ambient), with R constant until the polymer switches, or rising in a straight line
with temperature. The rising line keeps the balance linear, so that its solution is closed too.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from compare.amounts import Amount

REFERENCE_C = 25.0
"""Where the rise of the resistance is counted from."""


@dataclass(frozen=True, slots=True)
class Heating:
    """How one member of the ensemble heats.

    rise_per_k: rise of the resistance for each kelvin, 1/K; steep_k: how many kelvin before switching the
    steep part begins, which is as good as switching there; spread: power of the time. 1: the heat stays in
    the body. 2: it spreads into leads, terminals and board, whose warm depth grows with the root of the time,
    so that the temperature does too.
    """

    rise_per_k: float
    steep_k: float
    spread: int = 1


ENSEMBLE = (Heating(0.0, 0.0), Heating(0.002, 20.0), Heating(0.006, 20.0), Heating(0.0, 0.0, 2))
"""Constant resistance; rising 0.2 and 0.6 % for each kelvin and steep over the last 20 K; constant, with the
heat spreading. That the resistance rises, and steeply near the switch, stands in published vendor handbooks,
the figures are from memory; that a surface under constant flux warms with the root of the time is the
textbook solution of heat conduction into a half-space (Carslaw and Jaeger, Conduction of Heat in Solids).
Without the last one most points of real curves lie outside (bench/time_bands.py)."""
WARM = ENSEMBLE[2]
"""The member that makes most of a warm part's resistance."""


STRAIGHT = 1e-9
"""Below this the logarithm of `constants_rising` is its argument."""


def way_and_rise(heating: Heating, ambient_c: Amount, switching_c: float) -> tuple[Amount, Amount]:
    """Way from an ambient to where a member switches, K, and by which share its resistance rises on it."""
    way_k = switching_c - heating.steep_k - ambient_c
    return way_k, heating.rise_per_k * way_k / (1.0 + heating.rise_per_k * (ambient_c - REFERENCE_C))


def constants_rising(over: float, rise: float, loaded: float = 0.0) -> float:
    """Time to trip in time constants C/d of the heat balance with a resistance that rises in a straight line.

    over: (I / threshold)²; rise: share by which the resistance rises on the way to switching; loaded:
    (load before / threshold)². With x the way gone, of 1: dx/ds = u / (1 + a) - x (1 - u a / (1 + a)), so
    that s = ln(1 + k (1 - x0) / (u - 1)) / k with k = 1 - u a / (1 + a) and x0 = p / (1 + a (1 - p)). Without
    rise this is the form of IEC 60255-149.
    """
    if loaded >= 1.0:
        return 0.0
    if over <= 1.0:
        return math.inf
    slope, gain = slope_and_gain(over, rise, loaded)
    return gain if abs(slope * gain) < STRAIGHT else math.log1p(slope * gain) / slope


def slope_and_gain(over: Amount, rise: Amount, loaded: Amount) -> tuple[Amount, Amount]:
    """Of `constants_rising`: k and (1 - x0) / (u - 1), of one number or of columns."""
    left = 1.0 - warmed(loaded, rise)
    return 1.0 - over * rise / (1.0 + rise), left / (over - 1.0)


def warmed(loaded: Amount, rise: Amount) -> Amount:
    """How much of the way to switching a long load has warmed a part; `loaded` is (load / threshold)²."""
    return loaded / (1.0 + rise * (1.0 - loaded))


def heat_to_switch(
    heating: Heating, ambient_c: Amount, switching_c: float, log1p: Callable[[Any], Any] = math.log1p
) -> Amount:
    """I²t that switches a part with no heat lost, in units that cancel between two ambients; `log1p` as suits
    one number or a column."""
    way_k, rise = way_and_rise(heating, ambient_c, switching_c)
    base = 1.0 + heating.rise_per_k * (ambient_c - REFERENCE_C)
    if heating.rise_per_k == 0.0:
        return way_k / base
    shortened: Amount = log1p(rise) / rise * way_k / base
    return shortened


def warm_resistance_factor(share: float, ambient_c: float, reference_c: float, switching_c: float) -> float:
    """How many times its tabulated resistance a part has while it carries a share of its hold current for
    long; by the member whose resistance rises most, and never below one."""
    return max(1.0, warm_factor(share, ambient_c, reference_c, switching_c))


def warm_factor(share: Amount, ambient_c: Amount, reference_c: Amount, switching_c: float) -> Amount:
    """As `warm_resistance_factor`, of one number or of columns, and below one where the part is colder than
    its table."""
    _, rise = way_and_rise(Heating(WARM.rise_per_k, 0.0), ambient_c, switching_c)
    at_c = ambient_c + warmed(share**2, rise) * (switching_c - ambient_c)
    return 1.0 + WARM.rise_per_k * (at_c - reference_c)


def way_to_switching(ambient_c: float, known_c: Amount, switching_c: float) -> Amount:
    """How much farther (above 1) or nearer the switching temperature is than from a known ambient."""
    return (switching_c - ambient_c) / (switching_c - known_c)
