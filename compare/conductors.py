"""Wires and board tracks until the part trips: formulas only.

Comes in: sizes, currents, times. Goes out: sizes, currents, times, let-through I²t in A²s. Does not know
parts, sheets or requirements. Adiabatic formulas lose no heat: they are safe for short times and ever more
pessimistic beyond some ten seconds.
"""

from __future__ import annotations

import math

from compare.requirement import COPPER_MELTS_C

MM_PER_INCH = 25.4
MM2_PER_CMIL = math.pi / 4.0 * (MM_PER_INCH / 1000.0) ** 2
"""One circular mil, the area of a circle one mil across, in mm²."""
ONDERDONK_ZERO_C = 234.0
"""Degrees below 0 °C at which copper's resistance would vanish, as Onderdonk's equation has it."""
CABLE_CONSTANT = 0.0297
"""Constant of the short-circuit formula of cable makers for copper; Onderdonk's 1/33 is 2 % above it."""
ADIABATIC_UNTIL_S = 10.0
"""Onderdonk's equation holds up to about ten seconds."""
PREECE = {"copper": 10244.0, "aluminium": 7585.0}
"""Preece's constants for a diameter in inches, from published wire tables."""
TRACK_FACTOR = {"outer": 0.048, "inner": 0.024}
"""Curve fit of the IPC-2221 chart, from memory; conservative against the newer IPC-2152."""


def awg_to_diameter_inch(awg: float) -> float:
    """Diameter of a bare wire, inch: 0.005 * 92^((36 - n) / 39). ASTM B258."""
    return float(0.005 * 92.0 ** ((36.0 - awg) / 39.0))


def awg_to_area_mm2(awg: float) -> float:
    """Cross-section of a wire, mm². ASTM B258."""
    return math.pi / 4.0 * (awg_to_diameter_inch(awg) * MM_PER_INCH) ** 2


def area_to_diameter_inch(area_mm2: float) -> float:
    """Diameter of a round wire of that cross-section, inch."""
    return math.sqrt(area_mm2 * 4.0 / math.pi) / MM_PER_INCH


def mm2_to_cmil(area_mm2: float) -> float:
    """Cross-section in circular mils."""
    return area_mm2 / MM2_PER_CMIL


def preece_fusing_a(diameter_inch: float, metal: str = "copper") -> float:
    """Current that melts a wire in free air in the long run, A: Preece's I = k d^1.5."""
    return float(PREECE[metal] * diameter_inch**1.5)


def onderdonk_i2t_a2s(area_mm2: float, start_c: float, end_c: float = COPPER_MELTS_C) -> float:
    """I²t, A²s, that heats copper from start to end with no heat lost.

    Onderdonk: I = A sqrt(log10((T_end - T_start) / (234 + T_start) + 1) / (33 t)), A in circular mils. The
    plus before T_start matters: a minus is a known error.
    """
    ratio = (end_c - start_c) / (ONDERDONK_ZERO_C + start_c) + 1.0
    return mm2_to_cmil(area_mm2) ** 2 * math.log10(ratio) / 33.0


def insulation_i2t_a2s(area_mm2: float, start_c: float, insulation_c: float) -> float:
    """I²t, A²s, that heats a copper wire to the limit of its insulation with no heat lost.

    Short-circuit formula of cable makers: (I/A)² t = 0.0297 log10((T2 + 234) / (T1 + 234)), A in circular
    mils.
    """
    ratio = (insulation_c + ONDERDONK_ZERO_C) / (start_c + ONDERDONK_ZERO_C)
    return CABLE_CONSTANT * mm2_to_cmil(area_mm2) ** 2 * math.log10(ratio)


def track_area_mm2(width_mm: float, copper_um: float) -> float:
    """Cross-section of a board track, mm²."""
    return width_mm * copper_um / 1000.0


def track_current_a(width_mm: float, copper_um: float, layer: str, rise_k: float) -> float:
    """Current, A, that warms a track by that much continuously: I = k dT^0.44 A^0.725, A in square mils."""
    square_mils = track_area_mm2(width_mm, copper_um) / (MM_PER_INCH / 1000.0) ** 2
    return float(TRACK_FACTOR[layer] * rise_k**0.44 * square_mils**0.725)


def track_width_mm(current_a: float, copper_um: float, layer: str, rise_k: float) -> float:
    """Track width, mm, that carries a current with that rise: the same formula solved for the width."""
    square_mils = (current_a / (TRACK_FACTOR[layer] * rise_k**0.44)) ** (1.0 / 0.725)
    return float(square_mils * (MM_PER_INCH / 1000.0) ** 2 / (copper_um / 1000.0))
