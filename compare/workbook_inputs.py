"""The requirement's numbers as inputs of the workbook: names, allowed values, what follows from them.

Comes in: a requirement. Goes out: the inputs, the formulas that watch them, the fields that stay fixed.
Writes no cells.

An input that is not a number, out of range or against another one makes every verdict say "recompute": the
program refuses such a requirement too.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from compare.asked_fields import AskedField, requirement_to_fields
from compare.field_file import FieldRule
from compare.requirement import Requirement
from compare.requirement_file import field_rules
from compare.requirement_sense import ORDERS
from compare.thermal import ENSEMBLE, REFERENCE_C

INPUTS_OK = "inputs_ok"
HOTTEST, COLDEST = "d_hottest_c", "d_coldest_c"
LOWEST_V, NEEDED_HOLD = "d_lowest_voltage_v", "d_needed_hold_a"
AS_STATED = "as stated"
NEVER_INPUTS = frozenset({"assume_reference_ambient_c", "parallel_parts"})
"""Numbers that decide how datasheets are read or what may be compared at all: changing them needs the
program.
"""

FAULT_LOW = ("fault_current_min_a", "source_resistance_max_ohm", "supply_voltage_min_v",
             "supply_current_limit_a", "supply_short_current_a", "supply_limit_tolerance")
FAULT_HIGH = ("fault_current_max_a", "source_resistance_min_ohm", "supply_voltage_v")
HOT = ("ambient_hot_c", "neighbour_heating_k")
THERMAL = ("ambient_cold_c", "switching_temperature_c")
CURVES = ("typical_to_max_factor",)
SURVIVAL = (*FAULT_LOW, *FAULT_HIGH, *HOT, *THERMAL, *CURVES)
RESTS_ON: dict[str, tuple[str, ...]] = {
    "wire": (*SURVIVAL, "wire.awg", "wire.area_mm2", "wire.insulation_max_c"),
    "track": (*SURVIVAL, "track.width_mm", "track.copper_um", "track.temperature_max_c"),
    "damage_curve": SURVIVAL,
    "limited_power": (*FAULT_HIGH, *THERMAL),
    "interrupt_voltage": ("transient_voltage_v", "transient_source_resistance_ohm", "load_inductance_h",
                          "load_current_a"),
    "package": (),
    "body_length": ("length_max_mm",),
    "body_width": ("width_max_mm",),
    "body_height": ("height_max_mm",),
    "lead_spacing": ("lead_spacing_mm",),
    "mounting": (),
    "operating_hot": ("operating_margin_k", *HOT),
    "operating_cold": ("operating_margin_k", "ambient_cold_c"),
    "approvals": (),
    "tested_trips": ("endurance.trips_per_month", "endurance.service_years"),
}
"""Margins without formula, and the inputs they rest on: when one changes, the margin says "recompute"."""
PEAK = ("peak_current_a", "peak_duration_s", "peak_every_s", "normal_current_a")
DRAWN: dict[str, tuple[str, ...]] = {
    "time_to_trip": (*FAULT_LOW, *THERMAL, *CURVES, "trip_time_max_s"),
    "inrush": (*PEAK, *HOT, *THERMAL, "typical_to_min_factor"),
    "hot_plug": ("supply_voltage_v", "normal_current_a", "hot_plug.capacitance_f", "hot_plug.resistance_ohm",
                 *HOT, *THERMAL, "typical_to_min_factor"),
}
"""Margins that follow the inputs as long as no drawn curve is asked, and what they rest on where one is."""


@dataclass(frozen=True, slots=True)
class Input:
    """One number of the requirement that may be changed in the workbook; `rule` has unit, range, meaning."""

    field: str
    value: float
    rule: FieldRule

    @property
    def name(self) -> str:
        """Its defined name in the workbook."""
        return input_name(self.field)


def input_name(field: str) -> str:
    """The defined name of a field in the workbook."""
    return "in_" + field.replace(".", "_")


def requirement_to_inputs(requirement: Requirement) -> tuple[Input, ...]:
    """Every number the requirement states or a preset fills in, in the order of the documentation."""
    return tuple(_inputs(requirement))


def _inputs(requirement: Requirement) -> Iterator[Input]:
    for field, rule in field_rules().items():
        table, _, name = field.rpartition(".")
        owner = getattr(requirement, table, None) if table else requirement
        value = getattr(owner, name, None)
        if isinstance(value, float | int) and not isinstance(value, bool) and field not in NEVER_INPUTS:
            yield Input(field, float(value), rule)


def requirement_to_fixed(requirement: Requirement) -> tuple[AskedField, ...]:
    """What cannot be changed in the workbook: texts, flags, curves, limits of a standard."""
    inputs = {one.field for one in requirement_to_inputs(requirement)}
    fixed = [field for field in requirement_to_fields(requirement) if field.name not in inputs]
    limits = requirement.limited_power
    if limits is not None:
        fixed.append(AskedField("limited_power_source", f"{limits.current_max_a:.4g} A, "
                                f"{limits.power_max_va:.4g} VA after {limits.measured_after_s:g} s",
                                limits.clause))
    fixed.extend(AskedField("preset", "filled in", note) for note in requirement.preset_notes)
    fixed.extend(AskedField("override", "by the file", note) for note in requirement.overrides)
    return tuple(fixed)


def input_to_state(one: Input, cell: str, stated: str, given: frozenset[str]) -> str:
    """Formula that says whether an input is as stated, changed or not usable.

    cell, stated: addresses of the input and of its value in the requirement; given: fields that are inputs.
    """
    rule = one.rule
    outside = [f"{cell}{sign}{bound:g}" for sign, bound in
               (("<=", rule.above), ("<", rule.at_least), (">", rule.at_most)) if bound is not None]
    against = [f"{input_name(order.lower)}>{cell}" for order in ORDERS
               if order.upper == one.field and order.lower in given]
    if one.field == "ambient_hot_c":
        against.append(f"{HOTTEST}>={input_name('switching_temperature_c')}")
    if one.field == "wire.insulation_max_c":
        against.append(f"{cell}<={HOTTEST}")
    end = f'IF({cell}={stated},"{AS_STATED}","changed")'
    if against:
        end = f'IF(OR({",".join(against)}),"contradicts another input",{end})'
    if outside:
        end = f'IF(OR({",".join(outside)}),"out of range",{end})'
    return f'=IF(NOT(ISNUMBER({cell})),"needs a number",{end})'


def derived_formulas(given: frozenset[str]) -> dict[str, str]:
    """Formulas, by defined name, of what follows from the inputs alone."""
    low_v = f"={input_name('supply_voltage_min_v')}" if "supply_voltage_min_v" in given else '=""'
    rises = {rise_name(member, hot): f"={rise_formula(member, HOTTEST if hot else COLDEST)}"
             for member in range(len(ENSEMBLE)) for hot in (True, False)}
    return {
        HOTTEST: "=in_ambient_hot_c+in_neighbour_heating_k",
        COLDEST: "=in_ambient_cold_c",
        LOWEST_V: low_v,
        NEEDED_HOLD: "=in_normal_current_a*in_hold_factor",
        **rises,
    }


def derived_words(name: str) -> str:
    """What a name that follows from the inputs means."""
    return DERIVED_WORDS.get(name, "rise of the resistance on the way to switching, by one model")


DERIVED_WORDS = {
    HOTTEST: "hottest ambient at the part, °C",
    COLDEST: "coldest ambient at the part, °C",
    LOWEST_V: "lowest supply voltage, V; empty where it is not stated",
    NEEDED_HOLD: "hold current needed, A",
}
DERIVED_COUNT = len(DERIVED_WORDS) + 2 * len(ENSEMBLE)


def supply_cap(given: frozenset[str]) -> str:
    """Formula text for the most that a limiting supply surely gives, A; empty where it does not limit."""
    limits = [input_name(field) for field in ("supply_current_limit_a", "supply_short_current_a")
              if field in given]
    less = f"*(1-{input_name('supply_limit_tolerance')})" if "supply_limit_tolerance" in given else ""
    return f"(MIN({','.join(limits)}){less})" if limits else ""


def rise_name(member: int, hot: bool) -> str:
    """Defined name of the rise of a member's resistance on the way from the hottest or coldest ambient."""
    return f"d_rise_{'hot' if hot else 'cold'}_{member + 1}"


def member_ok(member: int, ambient: str) -> str:
    """Formula text: whether the steep part of a member begins above an ambient, as `fitting_members`."""
    return f"{ambient}<in_switching_temperature_c-{ENSEMBLE[member].steep_k:g}"


def rise_formula(member: int, ambient: str) -> str:
    """As `thermal.way_and_rise`: share by which the resistance rises on the way to switching."""
    heating = ENSEMBLE[member]
    if heating.rise_per_k == 0.0:
        return "0"
    way = f"(in_switching_temperature_c-{heating.steep_k:g}-{ambient})"
    return f"{heating.rise_per_k:g}*{way}/(1+{heating.rise_per_k:g}*({ambient}-{REFERENCE_C:g}))"


def same_name(margin: str) -> str:
    """Defined name of the cell that says whether all a margin without formula rests on is as stated."""
    return f"same_{margin}"
