"""A requirement file (TOML) becomes a requirement.

Comes in: the file. Goes out: a `Requirement`, every value checked. Numbers are plain; the unit stands in the
field's name. Does not guess: an unknown field, a wrong type, a value without sense raises InputError saying
file, line, field, what was found and what was expected.
"""

from __future__ import annotations

import difflib
import math
import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from compare.presets import Values, preset_to_fill
from compare.requirement import DamagePoint, Endurance, HotPlug, LimitedPower, Requirement, Track, Wire
from compare.requirement_sense import check_sense
from extract.errors import InputError

MAX_BYTES = 1_000_000
PRESET_TABLES = ("usb_port", "series_pack", "limited_power_source")
"""In this order: the limits of a power source depend on the voltage the others may fill in."""
RECORD_OF_TABLE = {"hot_plug": HotPlug, "wire": Wire, "track": Track, "endurance": Endurance}
LIST_TABLES = ("damage_curve",)


@dataclass(frozen=True, slots=True)
class FieldRule:
    """What a field of a requirement file may hold; `unit` is empty for texts and flags."""

    name: str
    kind: str
    meaning: str
    unit: str = ""
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    choices: tuple[str, ...] = ()
    required: bool = False


@dataclass(frozen=True, slots=True)
class FileText:
    """The text of a requirement file and its name, to say where a field stands."""

    name: str
    text: str

    def where(self, field: str) -> str:
        """File, line and field; the line is left out where the field is not in the file."""
        line = _line_of(self.text, field)
        return f"{self.name}, line {line}, {field}" if line else f"{self.name}, {field}"


@cache
def field_rules() -> dict[str, FieldRule]:
    """Every field a requirement file may hold, by name, in the order of the documentation."""
    text = files("compare").joinpath("requirement_fields.toml").read_text(encoding="utf-8")
    return {name: FieldRule(name=name, **{**rule, "choices": tuple(rule.get("choices", ()))})
            for name, rule in tomllib.loads(text).items()}


def read_requirement(path: str | Path) -> Requirement:
    """The requirement that a TOML file states. Raises InputError."""
    name = Path(path).name
    try:
        data = Path(path).read_bytes()
    except OSError as error:
        found = f"cannot be opened ({error.strerror})"
        raise InputError(str(path), found, "a requirement file (TOML)") from None
    if len(data) > MAX_BYTES:
        raise InputError(name, f"{len(data)} bytes", "a requirement file of a few kilobytes")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(name, f"byte {error.start} is not UTF-8", "a text file in UTF-8") from None
    return text_to_requirement(text, name)


def text_to_requirement(text: str, name: str = "requirement") -> Requirement:
    """The requirement that a TOML text states; `name` is the file's name for messages. Raises InputError."""
    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(name, f"not TOML: {error}", 'lines such as normal_current_a = 0.5') from None
    file = FileText(name, text)
    values = {key: _checked(key, value, file) for key, value in tables.items()
              if not _is_table(key, value, file)}
    nested = {key: _checked_table(key, value, file) for key, value in tables.items()
              if _is_table(key, value, file)}
    values, notes, limited_power = _fill_presets(values, nested, file)
    _require({rule.name for rule in field_rules().values() if rule.required and "." not in rule.name},
             values, file, "")
    check_sense(values, nested, file.where)
    return _build(values, nested, notes, limited_power)


def _is_table(key: str, value: object, file: FileText) -> bool:
    tables = {name.split(".")[0] for name in field_rules() if "." in name}
    if key not in tables:
        return False
    wanted, form = (list, f"[[{key}]]") if key in LIST_TABLES else (dict, f"[{key}]")
    if not isinstance(value, wanted):
        raise InputError(file.where(key), f"{value!r}", f"a table headed {form}")
    return True


def _checked_table(table: str, value: Any, file: FileText) -> Any:
    if table in LIST_TABLES:
        return [_checked_row(table, row, file) for row in value]
    return _checked_row(table, value, file)


def _checked_row(table: str, row: object, file: FileText) -> Values:
    if not isinstance(row, dict):
        raise InputError(file.where(table), f"{row!r}", f"a table headed [[{table}]]")
    values = {key: _checked(f"{table}.{key}", value, file) for key, value in row.items()}
    required = {rule.name.split(".")[1] for rule in field_rules().values()
                if rule.required and rule.name.startswith(f"{table}.")}
    _require(required, values, file, f"{table}.")
    return values


def _require(required: set[str], values: Values, file: FileText, prefix: str) -> None:
    for name in sorted(required - set(values)):
        rule = field_rules()[prefix + name]
        unit = f" in {rule.unit}" if rule.unit else ""
        expected = f"one of {', '.join(rule.choices)}" if rule.choices else f"a {rule.kind}{unit}"
        raise InputError(f"{file.name}, {prefix}{name}", "missing", f"{expected}: {rule.meaning}")


def _checked(name: str, value: object, file: FileText) -> Any:
    """The value of a field if it is of the right kind and in its range."""
    rule = field_rules().get(name)
    if rule is None:
        raise _unknown(name, file)
    if rule.kind in ("number", "whole"):
        return _checked_number(rule, value, file)
    good = {
        "flag": isinstance(value, bool),
        "text": isinstance(value, str),
        "texts": isinstance(value, list) and all(isinstance(item, str) and item.strip() for item in value),
    }[rule.kind]
    if not good:
        expected = {"flag": "true or false", "text": 'a text in quotes', "texts": 'a list such as ["1812"]'}
        raise InputError(file.where(name), f"{value!r}", expected[rule.kind])
    if rule.choices and value not in rule.choices:
        raise InputError(file.where(name), f"{value!r}", "one of " + ", ".join(rule.choices))
    return tuple(value) if isinstance(value, list) else value


def _checked_number(rule: FieldRule, value: object, file: FileText) -> float:
    unit = "" if rule.unit == "1" else f" in {rule.unit}"
    noun = "a whole number" if rule.kind == "whole" else "a number"
    bounds = [f"above {rule.above:g}" if rule.above is not None else "",
              f"at least {rule.at_least:g}" if rule.at_least is not None else "",
              f"at most {rule.at_most:g}" if rule.at_most is not None else ""]
    expected = " ".join([noun + unit, " and ".join(filter(None, bounds))]).strip()
    allowed = int if rule.kind == "whole" else (int, float)
    if isinstance(value, bool) or not isinstance(value, allowed):
        advice = "Write the plain number; the field's name says the unit" if isinstance(value, str) else ""
        raise InputError(file.where(rule.name), f"{value!r}", expected, advice)
    number = float(value)
    below = (rule.above is not None and number <= rule.above) or (
        rule.at_least is not None and number < rule.at_least)
    if not math.isfinite(number) or below or (rule.at_most is not None and number > rule.at_most):
        raise InputError(file.where(rule.name), f"{value!r}", expected)
    return int(number) if rule.kind == "whole" else number


def _unknown(name: str, file: FileText) -> InputError:
    near = difflib.get_close_matches(name, field_rules(), n=1, cutoff=0.5)
    tables = sorted({rule.split(".")[0] for rule in field_rules() if "." in rule})
    expected = f"{near[0]} ({field_rules()[near[0]].meaning})" if near else "a field of the documentation"
    if not near and "." in name:
        expected = "one of the tables " + ", ".join(tables)
    return InputError(file.where(name), "no such field", expected)


def _fill_presets(values: Values, nested: dict[str, Any],
                  file: FileText) -> tuple[Values, tuple[str, ...], LimitedPower | None]:
    notes: list[str] = []
    limited_power = None
    for table in PRESET_TABLES:
        if table not in nested:
            continue
        fill = preset_to_fill(table, nested[table], values, file.name)
        overruled = [f"the file's {key} = {values[key]:g} stands instead of the preset's {value:g}"
                     for key, value in fill.values.items()
                     if isinstance(value, float) and key in values and values[key] != value]
        notes.extend((*fill.notes, *overruled))
        values = {**fill.values, **values}
        limited_power = fill.limited_power or limited_power
    return values, tuple(notes), limited_power


def _build(values: Values, nested: dict[str, Any], notes: tuple[str, ...],
           limited_power: LimitedPower | None) -> Requirement:
    records = {table: record(**nested[table]) for table, record in RECORD_OF_TABLE.items() if table in nested}
    curve = sorted((DamagePoint(**row) for row in nested.get("damage_curve", ())), key=lambda p: p.current_a)
    return Requirement(**values, **records, damage_curve=tuple(curve), preset_notes=notes,
                       limited_power=limited_power)


def _line_of(text: str, field: str) -> int | None:
    """Line where a field of a TOML text is set, counted from 1, or None; for messages only."""
    table, _, key = field.rpartition(".")
    inside = ""
    for number, line in enumerate(text.splitlines(), start=1):
        heading = re.match(r"\s*\[\[?\s*([^\]]+?)\s*\]", line)
        if heading:
            inside = heading[1]
            if field == inside:
                return number
        elif inside == table and re.match(rf"\s*[\"']?{re.escape(key)}[\"']?\s*[=.]", line):
            return number
    return None
