"""What a requirement states, in words, for records and workbooks.

Comes in: a requirement. Goes out: name, value with unit, meaning of every field it states or a preset fills
in. Judges nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from compare.explain import quantity_text
from compare.requirement import Requirement
from compare.requirement_file import field_rules

UNIT_ENDINGS = frozenset({"a", "v", "w", "ohm", "s", "c", "k", "mm", "mm2", "um", "f", "h"})


@dataclass(frozen=True, slots=True)
class AskedField:
    """One value of the requirement, with its unit, and what it means."""

    name: str
    value: str
    meaning: str

    @property
    def words(self) -> str:
        """Its name in words: "supply voltage min" for supply_voltage_min_v."""
        stem, _, unit = self.name.rpartition("_")
        return (stem if unit in UNIT_ENDINGS else self.name).replace("_", " ").replace(".", ": ")


def requirement_to_fields(requirement: Requirement) -> Iterator[AskedField]:
    """Every value the requirement states or a preset fills in, in the order of the documentation."""
    for name, rule in field_rules().items():
        table, _, field = name.rpartition(".")
        value = getattr(getattr(requirement, table, None) if table else requirement, field, None)
        # a zero is stated too: 0.0 == False, so that equality would hide an ambient of 0 °C
        if value is not None and value is not False and name != "title" and value != "" and value != ():
            yield AskedField(name, _shown(value, rule.unit), rule.meaning)
    if requirement.damage_curve:
        points = "; ".join(
            f"{point.current_a:g} A for {point.time_s:g} s" for point in requirement.damage_curve)
        yield AskedField("damage_curve", points, field_rules()["damage_curve.time_s"].meaning)


def _shown(value: object, unit: str) -> str:
    if isinstance(value, bool):
        return "yes"
    if isinstance(value, float | int):
        return quantity_text(value, unit)
    return ", ".join(value) if isinstance(value, tuple) else str(value)
