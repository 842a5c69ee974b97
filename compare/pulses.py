"""Let-through energy and pulses: formulas only.

Comes in: peak current, duration, capacitance. Goes out: I²t in A²s and pulses as equal square pulses.
Does not know parts or requirements.
"""

from __future__ import annotations

from dataclasses import dataclass

from compare.amounts import Amount

SHAPE_FACTOR = {"square": 1.0, "half_sine": 1.0 / 2.0, "exponential": 1.0 / 2.0, "triangle": 1.0 / 3.0}
"""I²t = factor * peak² * time; for the exponential the time is its time constant. Published fuse guides."""


@dataclass(frozen=True, slots=True)
class SquarePulse:
    """A current that flows for a time."""

    current_a: float
    duration_s: float


def pulse_i2t_a2s(peak_a: float, time_s: float, shape: str = "square") -> float:
    """I²t of one pulse, A²s."""
    return SHAPE_FACTOR[shape] * peak_a**2 * time_s


def hot_plug_pulse(voltage_v: float, capacitance_f: float, resistance_ohm: float) -> SquarePulse:
    """Charging of a capacitor as a square pulse of equal peak and equal I²t = C V² / (2 R)."""
    peak_a = voltage_v / resistance_ohm
    return SquarePulse(peak_a, SHAPE_FACTOR["exponential"] * resistance_ohm * capacitance_f)


def fault_current_a(voltage_v: float, source_ohm: float, part_ohm: Amount) -> Amount:
    """Current into a short behind the part, A: V / (R_source + R_part)."""
    return voltage_v / (source_ohm + part_ohm)
