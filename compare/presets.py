"""Named presets: what a standard or a pack fills into a requirement.

Comes in: checked values of the preset tables of a requirement file. Goes out: values for the requirement's
own fields, and a note for each with the clause. A value of the file that is more severe stands; a less severe
one is refused unless the file says why (`requirement_file`). Does not check whether a product meets a
standard: it fills in the numbers that were looked up.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

from compare.field_file import Values
from compare.requirement import LimitedPower
from extract.errors import InputError


@dataclass(frozen=True, slots=True)
class PresetFill:
    """What a preset fills in: values by field name, the notes to report, the limits of a power source.

    bearable: of values that a file may well know better, how far it may go without a word.
    """

    values: Values
    notes: tuple[str, ...]
    limited_power: LimitedPower | None = None
    bearable: Values = field(default_factory=dict)


@cache
def _presets() -> dict[str, Any]:
    return tomllib.loads(files("compare").joinpath("presets.toml").read_text(encoding="utf-8"))


def preset_names(table: str) -> tuple[str, ...]:
    """Names that `standard` or `chemistry` of that table may take."""
    return tuple(_presets()[table])


def less_severe(name: str, stated: object, preset: object) -> bool:
    """Whether a value asks less of a part than the preset's; a text or flag that differs always does."""
    severe = _presets()["severe_side"].get(name)
    if isinstance(stated, float | int) and isinstance(preset, float | int) and severe is not None:
        return stated < preset if severe == "high" else stated > preset
    return stated != preset


def preset_to_fill(table: str, chosen: Values, base: Values, where: str) -> PresetFill:
    """What the preset table of a requirement file fills in.

    table: usb_port, limited_power_source or series_pack; chosen: its checked values; base: the file's own
    values, of which some presets need the supply voltage; where: for messages. Raises InputError.
    """
    if table == "enclosure":
        return _enclosure(chosen, where)
    key = "chemistry" if table == "series_pack" else "standard"
    names = preset_names(table)
    if chosen[key] not in names:
        raise InputError(f"{where}, {table}.{key}", f'"{chosen[key]}"', "one of " + ", ".join(names))
    preset = _presets()[table][chosen[key]]
    notes = [f"{preset['title']}: {preset['clause']}"]
    if preset["from_memory"]:
        notes.append(f"from memory, to be checked: {preset['from_memory']}")
    if table == "usb_port":
        return _usb_port(preset, chosen, base, notes, where)
    if table == "series_pack":
        return _series_pack(preset, chosen, notes, where)
    if table in ("process_io", "telecom_line"):
        return PresetFill({**preset["fills"]}, tuple(notes))
    return _limited_power(preset, chosen, base, notes, where)


def _usb_port(preset: Values, chosen: Values, base: Values, notes: list[str], where: str) -> PresetFill:
    ports = 1 if chosen.get("parts") == "each" else chosen.get("ports", 1)
    values: Values = {
        "supply": "dc",
        "supply_voltage_v": preset["supply_max_v"],
        "normal_current_a": ports * preset["current_a"],
        "trip_current_max_a": preset["trip_current_max_a"],
    }
    if chosen.get("ports", 1) > 1:
        notes.append(
            f"a part for each of the {chosen['ports']} ports: each carries one port, and a fault leaves the "
            "others alive" if ports == 1 else
            f"one part for {ports} ports: it carries them all, a fault on one takes all of them down, and "
            "the faulty port may draw what the others leave without a trip")
    notes.append("resets without user action once the faulty device is unplugged, as every part of this kind "
                 "does; say reset = \"self\" if it must recover with the load connected")
    if "voltage_drop_max_v" not in base or "supply_voltage_min_v" in base:
        values["voltage_drop_max_v"] = _drop_budget_v(preset, chosen, base, where)
    return PresetFill(values, tuple(notes))


def _drop_budget_v(preset: Values, chosen: Values, base: Values, where: str) -> float:
    """What the part may take: lowest supply less the port's minimum less the drop of the board, V."""
    low_v, port_v = base.get("supply_voltage_min_v"), preset["port_min_v"]
    if low_v is None:
        raise InputError(f"{where}, supply_voltage_min_v", "missing",
                         f"the lowest supply voltage, of which the port must keep {port_v:g} V")
    budget_v: float = low_v - port_v - chosen.get("board_drop_v", 0.0)
    if budget_v <= 0.0:
        raise InputError(f"{where}, supply_voltage_min_v", f"{low_v:g} V",
                         f"more than the port's {port_v:g} V and the drop of the board")
    return budget_v


def _series_pack(preset: Values, chosen: Values, notes: list[str], where: str) -> PresetFill:
    cells = chosen["cells"]
    full_v, empty_v = (float(chosen[name] if name in chosen else preset[name])
                       for name in ("full_cell_v", "empty_cell_v"))
    if empty_v >= full_v:
        raise InputError(f"{where}, series_pack.empty_cell_v", f"{empty_v:g} V", f"below the full {full_v:g} "
                                                                                 f"V")
    values: Values = {"supply": "dc", "supply_voltage_v": cells * full_v,
                      "supply_voltage_min_v": cells * empty_v, "battery": True}
    short_a, cell_ohm = chosen.get("short_circuit_current_a"), chosen.get("cell_resistance_ohm")
    if short_a is not None and cell_ohm is not None:
        raise InputError(f"{where}, series_pack", "short_circuit_current_a and cell_resistance_ohm",
                         "one of them", "Two answers to one question may differ; keep the measured one")
    if short_a is not None:
        values["fault_current_max_a"] = short_a
    elif cell_ohm is not None:
        values["source_resistance_min_ohm"] = cells * cell_ohm
    for name, volt in (("full", full_v), ("empty", empty_v)):
        if volt != preset[f"{name}_cell_v"]:
            notes.append(f"the file's {volt:g} V for a {name} cell stand, not the preset's "
                         f"{preset[f'{name}_cell_v']:g} V")
    notes.append(f"lowest voltage with every cell empty: {cells} × {empty_v:g} V = {cells * empty_v:.4g} V")
    notes.append(f"one tripped part sees the whole pack: {cells} × {full_v:g} V = {cells * full_v:.4g} V")
    return PresetFill(values, tuple(notes),
                      bearable={"supply_voltage_min_v": cells * preset["empty_cell_at_most_v"]})


def _enclosure(chosen: Values, where: str) -> PresetFill:
    """What was measured beside the part, as heating by its neighbours."""
    heating_k = chosen["at_part_c"] - chosen["room_c"]
    if heating_k < 0.0:
        raise InputError(f"{where}, enclosure.at_part_c", f"{chosen['at_part_c']:g} °C in a room of "
                         f"{chosen['room_c']:g} °C", "a place no colder than the room")
    return PresetFill({"neighbour_heating_k": heating_k}, (
        f"measured beside the part: {chosen['at_part_c']:g} °C in a room of {chosen['room_c']:g} °C, so "
        f"the air at the part is {heating_k:g} K warmer than the room",))


def _limited_power(preset: Values, chosen: Values, base: Values, notes: list[str],
                   where: str) -> PresetFill:
    voltage_v, supply = base.get("supply_voltage_v"), base.get("supply")
    if voltage_v is None or supply is None:
        raise InputError(f"{where}, limited_power_source", "no supply and supply_voltage_v",
                         "both, since the limits depend on them")
    limits = limited_power_limits(voltage_v, supply, preset["table"])
    if limits is None:
        raise InputError(f"{where}, limited_power_source", f"{voltage_v:g} V {supply}",
                         "at most 30 V AC or 60 V DC", "The limits of the standard end there")
    current_a, power_va = limits
    after_s = chosen["measured_after_s"]
    notes.append(f"at {voltage_v:g} V {supply}: at most {current_a:.4g} A and {power_va:.4g} VA "
                 f"after {after_s:g} s")
    clause = preset["clause"]
    return PresetFill({}, tuple(notes), LimitedPower(clause, current_a, power_va, after_s))


def limited_power_limits(voltage_v: float, supply: str, table: str = "2B") -> tuple[float, float] | None:
    """Largest current (A) and apparent power (VA) of a limited source, or None beyond its table.

    IEC 60950-1 clause 2.5: table 2B for sources limited by themselves, 2C for those with a protector, of
    which the limits hold with the protector bypassed.
    """
    for row in _presets()["limited_power_limits"]:
        if row.get("table", "2B") != table:
            continue
        if voltage_v <= row["voltage_max_v"] and not (row["dc_only"] and supply != "dc"):
            current_a = row.get("current_max_a") or row["current_times_volt_va"] / voltage_v
            power_va = row.get("power_max_va") or row["power_per_volt_va"] * voltage_v
            return current_a, power_va
    return None
