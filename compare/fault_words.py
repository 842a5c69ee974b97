"""How the lowest and the highest fault current of a part came about, and what it does when tripped, in words.

Comes in: a `Case`. Goes out: sentences for records and workbooks. Calculates nothing anew: see `corners`,
`tripped_state`.
"""

from __future__ import annotations

from collections.abc import Iterator

from compare.corners import Case
from compare.explain import quantity_text
from compare.records import Basis, Number
from compare.tripped_state import case_to_tripped_state
from extract.schema import Kind, Quantity

BY = {Basis.DATA: "by the table's time", Basis.ASSUMED: "by the table's time, its ambient assumed",
      Basis.CURVE: "by the drawn curve and the stated factor", Basis.MODEL: "model"}
KIND_WORDS = {Kind.MAX: "largest", Kind.TYP: "typical", Kind.MIN: "smallest"}


def case_to_fault_words(case: Case) -> tuple[str, str]:
    """Lowest and highest fault current, each with where it comes from."""
    asked = case.requirement
    low = _words("lowest", case.lowest_fault, asked.fault_current_min_a is not None, _divided(
        case, asked.supply_voltage_min_v, asked.source_resistance_max_ohm, Kind.POST_TRIP_MAX))
    high = _words("highest", case.highest_fault, asked.fault_current_max_a is not None, _divided(
        case, asked.supply_voltage_v, asked.source_resistance_min_ohm, Kind.MIN))
    return low, high


def _words(which: str, fault: Number, stated: bool, divided: str) -> str:
    name = f"{which} fault current"
    if fault.value is None:
        return f"{name} unknown: {fault.note}"
    size = quantity_text(fault.value, "A")
    if stated:
        return f"{name} {size}, as stated in the requirement"
    return f"{name} {size}{f': {divided}' if divided else ', what the limiting supply drives into a short'}"


def _divided(case: Case, volt: float | None, source_ohm: float | None, kind: Kind) -> str:
    """ "10 V over 0.8 ohm of the source and 0.4 ohm of the part", where it is so."""
    if volt is None or source_ohm is None:
        return ""
    part = case.numbers.number(Quantity.RESISTANCE, kind)
    after = "after a trip" if kind is Kind.POST_TRIP_MAX else "as delivered"
    ohm = "the part taken as a short" if part is None or part.value is None else (
        f"{quantity_text(part.value, 'ohm')} of the part {after}")
    source = quantity_text(source_ohm, "ohm")
    return f"{quantity_text(volt, 'V')} over {source} of source and wiring and {ohm}"


def case_to_tripped_words(case: Case) -> Iterator[str]:
    """The tripped part at the highest voltage; nothing that no number of the sheet supports."""
    state, volt = case_to_tripped_state(case), case.requirement.supply_voltage_v
    if state.power.value is not None and state.leakage_a is not None and state.resistance_ohm is not None:
        kind = next((one.kind for one in state.power.readings), Kind.NONE)
        yield (f"{KIND_WORDS.get(kind, 'stated')} power {quantity_text(state.power.value, 'W')}: at "
               f"{quantity_text(volt, 'V')} it leaks {quantity_text(state.leakage_a, 'A')} through "
               f"{quantity_text(state.resistance_ohm, 'ohm')} (model)")
    if state.critical_load_ohm is not None:
        yield (f"with that power it leaves the tripped state by itself behind a load above "
               f"{quantity_text(state.critical_load_ohm, 'ohm')} (model)")
    if state.let_through_a2s is not None:
        i2t = quantity_text(state.let_through_a2s, "A²s")
        yield f"I²t until the longest trip at the highest fault: {i2t} ({BY[state.let_through_by]})"
    if state.typical_let_through_a2s is not None:
        i2t = quantity_text(state.typical_let_through_a2s, "A²s")
        yield f"I²t until the typical trip at the highest fault: {i2t} (drawn curve: no limit)"
