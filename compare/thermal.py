"""Heating of a part until it trips: formulas only.

Comes in: numbers in SI. Goes out: numbers in SI; `math.inf` where the part never trips. All are models.
Does not know parts, sheets or requirements.

First-order thermal model: cold and preloaded forms of the thermal relay standard IEC 60255-149. Heat balance:
C dT/dt = I² R - d (T - T_ambient), with R constant until the polymer switches.
"""

from __future__ import annotations

import math


def time_constants_cold(current_a: float, threshold_a: float) -> float:
    """Time to trip from cold in time constants: t / tau = ln(I² / (I² - I_th²)). IEC 60255-149, cold form."""
    if current_a <= threshold_a:
        return math.inf
    return -math.log1p(-((threshold_a / current_a) ** 2))


def time_preloaded_s(current_a: float, threshold_a: float, tau_s: float, preload_a: float) -> float:
    """Time to trip after a long load, s: t = tau ln((I² - I_p²) / (I² - I_th²)). IEC 60255-149, hot form."""
    if preload_a >= threshold_a:
        return 0.0
    if current_a <= threshold_a:
        return math.inf
    # log1p keeps its digits at high current, where the ratio is nearly 1
    return tau_s * math.log1p((threshold_a**2 - preload_a**2) / (current_a**2 - threshold_a**2))


def tau_from_point_s(time_s: float, current_a: float, threshold_a: float) -> float | None:
    """Time constant, s, by which the cold form passes through a point; None for one below threshold."""
    constants = time_constants_cold(current_a, threshold_a)
    return time_s / constants if 0.0 < constants < math.inf else None


def current_tripping_in_a(time_s: float, threshold_a: float, tau_s: float) -> float:
    """Current, A, that trips a cold part in just that time: the cold form solved for the current."""
    return threshold_a / math.sqrt(-math.expm1(-time_s / tau_s))


def adiabatic_i2t_a2s(point: tuple[float, float, float], ambient_c: float, switching_c: float) -> float:
    """I²t that trips a part with no heat lost, A²s, from a known point (current A, time s, ambient °C).

    I² t R = C (T_sw - T_a), so I²t goes with the way to the switching temperature.
    """
    known_a, known_s, known_c = point
    return known_a**2 * known_s * way_to_switching(ambient_c, known_c, switching_c)


def way_to_switching(ambient_c: float, known_c: float, switching_c: float) -> float:
    """How much farther (above 1) or nearer the switching temperature is than from a known ambient."""
    return (switching_c - ambient_c) / (switching_c - known_c)


def threshold_scaled_a(threshold_a: float, ambient_c: float, known_c: float, switching_c: float) -> float:
    """Threshold current at another ambient by the heat balance with constant resistance (square-root law), A.

    For bands only: against published derating rows it errs by up to 18 points of the rating.
    """
    return threshold_a * math.sqrt(max(0.0, way_to_switching(ambient_c, known_c, switching_c)))
