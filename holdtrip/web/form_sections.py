"""The fields of the compare form, in groups.

Comes in: the requirement's field rules and form_sections.toml. Goes out: sections of fields with label,
unit, help and choices. Checks no value.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib.resources import files

from compare.field_file import FieldRule
from compare.presets import preset_names
from compare.requirement_file import field_rules
from holdtrip.web.requirement_form import CURVE

_NAMES_OF = {"usb_port.standard": "usb_port", "series_pack.chemistry": "series_pack",
             "limited_power_source.standard": "limited_power_source"}
_UNITS = ("_ohm", "_mm2", "_mm", "_um", "_a", "_v", "_c", "_k", "_s", "_f")


@dataclass(frozen=True, slots=True)
class FormField:
    """One field: name as in a requirement file, words for people, unit, help, choices if it has any."""

    name: str
    label: str
    unit: str
    kind: str
    meaning: str
    required: bool
    choices: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FormSection:
    """Fields that belong together; `is_open` ones are shown unfolded."""

    title: str
    is_open: bool
    fields: tuple[FormField, ...]


def form_sections() -> tuple[FormSection, ...]:
    """Every field of a requirement once, the damage curve excepted: its rows stand by themselves."""
    rules = {name: rule for name, rule in field_rules().items() if not name.startswith(CURVE)}
    text = files("holdtrip.web").joinpath("form_sections.toml").read_text(encoding="utf-8")
    sections = tuple(
        FormSection(row["title"], row["open"], tuple(map(_rule_to_field, map(rules.pop, row["fields"]))))
        for row in tomllib.loads(text)["section"])
    return (*sections, FormSection("More", False, tuple(map(_rule_to_field, rules.values()))))


def _rule_to_field(rule: FieldRule) -> FormField:
    unit = "" if rule.unit in ("", "1") else rule.unit
    choices = preset_names(_NAMES_OF[rule.name]) if rule.name in _NAMES_OF else rule.choices
    required = rule.required and "." not in rule.name
    return FormField(rule.name, name_to_label(rule.name), unit, rule.kind, rule.meaning, required, choices)


def name_to_label(name: str) -> str:
    """What the form calls a field."""
    table, _, field = name.rpartition(".")
    for ending in _UNITS:
        if field.endswith(ending):
            field = field.removesuffix(ending)
            break
    words = f"{table} {field}".replace("_", " ").strip()
    swapped = {" min": "lowest", " max": "highest"}
    for ending, word in swapped.items():
        if words.endswith(ending):
            words = f"{word} {words.removesuffix(ending)}"
    return words[:1].upper() + words[1:]
