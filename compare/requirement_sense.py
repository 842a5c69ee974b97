"""Values of a requirement that contradict each other.

Comes in: checked values by field name. Goes out: nothing, or InputError naming both fields.
Does not check single fields (see `requirement_file`) and does not judge parts.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Any

from compare.conductors import area_to_diameter_inch, awg_to_area_mm2, preece_fusing_a
from compare.mistakes import Mistakes
from compare.requirement import Requirement
from extract.errors import InputError

Where = Callable[[str], str]
"""Names the place of a field in its file."""


@dataclass(frozen=True, slots=True)
class Order:
    """`lower` may not exceed `upper`; the message says why."""

    lower: str
    upper: str
    why: str


ORDERS = (
    Order("ambient_cold_c", "ambient_hot_c", "the hottest ambient lies below the coldest"),
    Order("supply_voltage_min_v", "supply_voltage_v", "the lowest supply voltage lies above the highest"),
    Order("fault_current_min_a", "fault_current_max_a", "the lowest fault current lies above the highest"),
    Order("source_resistance_min_ohm", "source_resistance_max_ohm",
          "the smallest resistance lies above the largest"),
    Order("peak_duration_s", "peak_every_s", "the next peak begins before this one ends"),
    Order("normal_current_a", "peak_current_a", "the peak lies below the normal current"),
    Order("normal_current_a", "fault_current_min_a",
          "a fault current below the normal current cannot be told from the load"),
    Order("normal_current_a", "supply_current_limit_a", "the supply cannot deliver the normal current"),
    Order("supply_voltage_v", "transient_voltage_v", "the transient lies below the supply voltage"),
)

EITHER = (
    ("fault_current_min_a", "source_resistance_max_ohm"),
    ("fault_current_max_a", "source_resistance_min_ohm"),
    ("transient_source_resistance_ohm", "load_current_a"),
)
"""Two answers to one question, which may differ: only one may be given."""
TOGETHER = (("peak_current_a", "peak_duration_s"), ("load_inductance_h", "load_current_a"))
"""Two halves of one statement: neither says anything alone."""


def check_sense(values: dict[str, Any], nested: dict[str, Any], where: Where) -> None:
    """Raise InputError, of all at once, where two values of a requirement contradict each other."""
    mistakes = Mistakes(where("").partition(",")[0])
    checks: list[Callable[[dict[str, Any], Where], None]] = [
        *(partial(_check_order, order) for order in ORDERS), *(partial(_check_either, pair)
                                                               for pair in EITHER),
        *(partial(_check_together, pair) for pair in TOGETHER), _check_several, _check_switching]
    for check in checks:
        with mistakes.gathered():
            check(values, where)
    with mistakes.gathered():
        _check_wire(nested.get("wire"), values, where)
    with mistakes.gathered():
        _check_curve(nested.get("damage_curve", ()), where)
    mistakes.tell()


def _check_order(order: Order, values: dict[str, Any], where: Where) -> None:
    low, high = values.get(order.lower), values.get(order.upper)
    if low is not None and high is not None and low > high:
        raise InputError(where(order.upper), f"{high:g}, with {order.lower} = {low:g}: {order.why}",
                         f"{order.upper} at least {order.lower}")


def _check_either(pair: tuple[str, str], values: dict[str, Any], where: Where) -> None:
    one, other = pair
    if one in values and other in values:
        raise InputError(where(other), f"both {one} and {other}", "one of them",
                         "Two answers to one question may differ; keep the measured one")


def _check_together(pair: tuple[str, str], values: dict[str, Any], where: Where) -> None:
    one, other = pair
    if (one in values) != (other in values):
        given = one if one in values else other
        raise InputError(where(given), f"{given} alone", f"{one} and {other} together")


def _check_several(values: dict[str, Any], where: Where) -> None:
    """Parts side by side are refused; repeated peaks need a peak."""
    if values.get("parallel_parts", 1) > 1:
        raise InputError(
            where("parallel_parts"), f"{values['parallel_parts']:g} parts side by side", "1",
            "They do not share the current evenly: the first to trip hands all of it to the others; take one "
            "larger part, or split the circuit into a branch for each")
    if "peak_every_s" in values and "peak_duration_s" not in values:
        raise InputError(where("peak_every_s"), "peak_every_s alone", "peak_current_a and peak_duration_s "
                                                                      "too")


def _check_switching(values: dict[str, Any], where: Where) -> None:
    default = Requirement.__dataclass_fields__["switching_temperature_c"].default
    switching = values.get("switching_temperature_c", default)
    hottest = values["ambient_hot_c"] + values.get("neighbour_heating_k", 0.0)
    if hottest >= switching:
        raise InputError(where("ambient_hot_c"), f"{hottest:g} °C with the neighbours' heating",
                         f"below the switching temperature of {switching:g} °C")


def _check_wire(wire: dict[str, Any] | None, values: dict[str, Any], where: Where) -> None:
    if wire is None:
        return
    if ("awg" in wire) == ("area_mm2" in wire):
        found = "both awg and area_mm2" if "awg" in wire else "neither awg nor area_mm2"
        raise InputError(where("wire"), found, "one of them")
    hottest = values["ambient_hot_c"] + values.get("neighbour_heating_k", 0.0)
    if wire["insulation_max_c"] <= hottest:
        raise InputError(where("wire.insulation_max_c"), f"{wire['insulation_max_c']:g} °C",
                         f"above the hottest ambient of {hottest:g} °C")
    area_mm2 = wire["area_mm2"] if "area_mm2" in wire else awg_to_area_mm2(wire["awg"])
    melts_a = preece_fusing_a(area_to_diameter_inch(area_mm2))
    if wire.get("ampacity_a", 0.0) >= melts_a:
        raise InputError(where("wire.ampacity_a"), f"{wire['ampacity_a']:g} A",
                         f"below the {melts_a:.3g} A that melt such a wire in free air (Preece)")


def _check_curve(rows: Any, where: Where) -> None:
    ordered = sorted(rows, key=lambda row: row["current_a"])
    for low, high in pairwise(ordered):
        if low["current_a"] == high["current_a"] or low["time_s"] < high["time_s"]:
            raise InputError(where("damage_curve"),
                             f"{low['current_a']:g} A for {low['time_s']:g} s, "
                             f"{high['current_a']:g} A for {high['time_s']:g} s",
                             "each current once, and a larger current for a time no longer")
