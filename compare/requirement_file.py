"""A requirement file (TOML) becomes a requirement.

Comes in: the file. Goes out: a `Requirement`, every value checked, presets filled in. Numbers are plain;
the unit stands in the field's name. Does not guess: see `field_file` for single fields, `requirement_sense`
for fields that contradict each other; both raise InputError.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from compare.field_file import FieldFile, Rules, Values, file_to_values, load_rules, read_text, require
from compare.presets import less_severe, preset_to_fill
from compare.requirement import DamagePoint, Endurance, HotPlug, LimitedPower, Requirement, Track, Wire
from compare.requirement_sense import EITHER, check_sense
from extract.errors import InputError


@dataclass(frozen=True, slots=True)
class Arrangement:
    """A hub with one part for all its ports, or a part for each: the requirement of one part, or None and why
    the file does not go with it."""

    ports: int
    each: bool
    requirement: Requirement | None
    why_not: str = ""


PRESET_TABLES = ("usb_port", "series_pack", "process_io", "telecom_line", "limited_power_source")
"""In this order: the limits of a power source depend on the voltage the others may fill in."""
OTHER_ANSWER = {one: other for pair in EITHER for one, other in (pair, pair[::-1])}
"""The field that answers the same question as another one."""
RECORD_OF_TABLE = {"hot_plug": HotPlug, "wire": Wire, "track": Track, "endurance": Endurance}


def field_rules() -> Rules:
    """Every field a requirement file may hold, by name, in the order of the documentation."""
    return load_rules("requirement_fields.toml")


def read_requirement(path: str | Path) -> Requirement:
    """The requirement that a TOML file states. Raises InputError."""
    return text_to_requirement(read_text(path, "a requirement file"), Path(path).name)


def read_arrangements(path: str | Path) -> tuple[Arrangement, ...]:
    """As `text_to_arrangements`, of a TOML file."""
    return text_to_arrangements(read_text(path, "a requirement file"), Path(path).name)


def text_to_requirement(text: str, name: str = "requirement") -> Requirement:
    """The requirement that a TOML text states; `name` is the file's name for messages. Raises InputError."""
    file = _text_to_file(text, name)
    return _file_to_requirement(file, *file_to_values(file))


def text_to_arrangements(text: str, name: str = "requirement") -> tuple[Arrangement, ...]:
    """Of a hub with several ports: one part for all of them, and a part for each; of anything
    else nothing."""
    file = _text_to_file(text, name)
    ports = file_to_values(file)[1].get("usb_port", {}).get("ports", 1)
    return tuple(_arrangement(file, ports, each) for each in (False, True)) if ports > 1 else ()


def _arrangement(file: FieldFile, ports: int, each: bool) -> Arrangement:
    values, nested = file_to_values(file)
    nested["usb_port"]["parts"] = "each" if each else "one"
    try:
        return Arrangement(ports, each, _file_to_requirement(file, values, nested))
    except InputError as error:
        return Arrangement(ports, each, None, str(error))


def _text_to_file(text: str, name: str) -> FieldFile:
    return FieldFile(name, text, field_rules(), lists=("damage_curve",))


def _file_to_requirement(file: FieldFile, values: Values, nested: Values) -> Requirement:
    reason = nested.pop("override", {}).get("reason", "")
    values, notes, overrides, limited_power = _fill_presets(values, nested, file, reason)
    if reason and not overrides:
        raise InputError(file.where("override"), "nothing to override",
                         "a value of the file that is less severe than a preset's, or no [override]")
    require(values, file)
    check_sense(values, nested, file.where)
    records = {table: record(**nested[table]) for table, record in RECORD_OF_TABLE.items() if table in nested}
    curve = sorted((DamagePoint(**row) for row in nested.get("damage_curve", ())), key=lambda p: p.current_a)
    return Requirement(**values, **records, damage_curve=tuple(curve), preset_notes=notes,
                       limited_power=limited_power, overrides=overrides)


def _fill_presets(
    values: Values, nested: Values, file: FieldFile, reason: str
) -> tuple[Values, tuple[str, ...], tuple[str, ...], LimitedPower | None]:
    """The values with what the presets fill in, the notes of the presets, what of them the file overrides for
    a stated reason, the limits of a power source."""
    notes: list[str] = []
    overrides: list[str] = []
    limited_power = None
    for table in (*PRESET_TABLES, "enclosure"):
        if table not in nested:
            continue
        fill = preset_to_fill(table, nested[table], values, file.name)
        notes.extend(fill.notes)
        for key, value in fill.values.items():
            given = next((name for name in (key, OTHER_ANSWER.get(key, key)) if name in values), None)
            if given is None:
                values[key] = value
            elif given != key:
                raise InputError(file.where(given), f"{given} beside the {key} of [{table}]", "one of them",
                                 "Two answers to one question may differ; keep the measured one")
            elif less_severe(key, values[key], fill.bearable.get(key, value)):
                overrides.append(_override(file, key, values[key], value, reason))
            elif values[key] != value:
                notes.append(f"the file's {key} = {values[key]} stands, not the preset's {value}")
        limited_power = fill.limited_power or limited_power
    return values, tuple(notes), tuple(overrides), limited_power


def _override(file: FieldFile, key: str, stated: object, preset: object, reason: str) -> str:
    """What the file overrides, in words; raises InputError where it gives no reason."""
    if not reason:
        raise InputError(
            file.where(key), f"{stated}", f"nothing less severe than the preset's {preset}",
            'If it is meant, say why: [override] with reason = "..."; it is shown in every output')
    return f"{key} = {stated}, less severe than the preset's {preset}: {reason}"
