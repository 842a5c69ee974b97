"""What a tripped part does to its circuit: for reports, beside the margins.

Comes in: a `Case`. Goes out: a `TrippedState` at the highest supply voltage and the sheet's own ambient.
Every value but the I²t rests on the tripped power being nearly constant: a model. Does not judge: see
`margins_tripped`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from compare.corners import Case, tripped_power
from compare.pulses import pulse_i2t_a2s
from compare.records import Basis, Number
from compare.tripped import critical_load_ohm, leakage_a, resets_under_load, tripped_resistance_ohm


@dataclass(frozen=True, slots=True)
class TrippedState:
    """The tripped part.

    power: tripped power, W, of the sheet; leakage_a, resistance_ohm: of the tripped part;
    critical_load_ohm: above this load resistance the part resets with the load connected;
    resets_under_load: whether it does with the requirement's load; let_through_a2s: I²t at the highest
    fault current until the longest time to trip, let_through_by: what that time rests on;
    typical_let_through_a2s: until the time of the drawn curve. None where the numbers for it are missing or
    doubtful.
    """

    power: Number
    leakage_a: float | None = None
    resistance_ohm: float | None = None
    critical_load_ohm: float | None = None
    resets_under_load: bool | None = None
    let_through_a2s: float | None = None
    let_through_by: Basis = Basis.MODEL
    typical_let_through_a2s: float | None = None


def case_to_tripped_state(case: Case) -> TrippedState:
    """What the tripped part does at the highest supply voltage."""
    power, voltage_v = tripped_power(case.numbers), case.requirement.supply_voltage_v
    let_through, by = _let_through_a2s(case)
    typical = _typical_let_through_a2s(case)
    if power.value is None:
        return TrippedState(power, let_through_a2s=let_through, let_through_by=by,
                            typical_let_through_a2s=typical)
    load_ohm = case.requirement.load_resistance_ohm
    return TrippedState(
        power, leakage_a(power.value, voltage_v), tripped_resistance_ohm(power.value, voltage_v),
        critical_load_ohm(voltage_v, power.value),
        None if load_ohm is None else resets_under_load(voltage_v, load_ohm, power.value), let_through,
        by, typical)


def _let_through_a2s(case: Case) -> tuple[float | None, Basis]:
    """By the longest time of the table, else of the drawn curve times the requirement's factor, else of the
    models; and which of them."""
    fault_a, factor = case.highest_fault.value, case.requirement.typical_to_max_factor
    if fault_a is None:
        return None, Basis.MODEL
    time = case.trip_times.at(fault_a, case.requirement.coldest_c)
    drawn = time.drawn
    longest_s, by = time.high_s, Basis.MODEL
    if time.guaranteed_s is not None:
        longest_s, by = time.guaranteed_s, Basis.ASSUMED if time.assumed else Basis.DATA
    elif drawn is not None and drawn.high_s is not None and factor is not None:
        longest_s, by = drawn.high_s * factor, drawn.basis
    if longest_s is None or longest_s == math.inf:
        return None, by
    return pulse_i2t_a2s(fault_a, longest_s), by


def _typical_let_through_a2s(case: Case) -> float | None:
    """By the drawn curve as it stands."""
    fault_a = case.highest_fault.value
    if fault_a is None:
        return None
    drawn = case.trip_times.at(fault_a, case.requirement.coldest_c).drawn
    if drawn is None or drawn.high_s is None or drawn.high_s == math.inf:
        return None
    return pulse_i2t_a2s(fault_a, drawn.high_s)
