"""The tripped part: leakage, resistance, reset: formulas only.

Comes in: numbers in SI. Goes out: numbers in SI. All rest on the tripped power being nearly constant, as
published vendor handbooks say.
Does not know parts, sheets or requirements.
"""

from __future__ import annotations

from compare.amounts import Amount
from compare.thermal import way_to_switching


def leakage_a(tripped_power_w: Amount, voltage_v: float) -> Amount:
    """Current through the tripped part, A: P_d / V. A lower voltage leaks more."""
    return tripped_power_w / voltage_v


def tripped_resistance_ohm(tripped_power_w: float, voltage_v: float) -> float:
    """Resistance of the tripped part, ohm: V² / P_d."""
    return voltage_v**2 / tripped_power_w


def largest_power_into_part_w(voltage_v: float, load_ohm: float) -> float:
    """Largest power a source can put into the part through a load, W: V² / (4 R), maximum-power transfer."""
    return voltage_v**2 / (4.0 * load_ohm)


def resets_under_load(voltage_v: float, load_ohm: float, tripped_power_w: float) -> bool:
    """Whether the part leaves the tripped state with the load connected: the source cannot keep it hot."""
    return largest_power_into_part_w(voltage_v, load_ohm) < tripped_power_w


def critical_load_ohm(voltage_v: float, tripped_power_w: float) -> float:
    """Load resistance, ohm, above which the part resets by itself: V² / (4 P_d)."""
    return voltage_v**2 / (4.0 * tripped_power_w)


def tripped_power_at_w(power_w: Amount, ambient_c: float, known_c: Amount, switching_c: float) -> Amount:
    """Tripped power at another ambient, W: the heat lost goes with the way to the switching temperature."""
    return power_w * way_to_switching(ambient_c, known_c, switching_c)
