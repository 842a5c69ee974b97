"""Columns and cell texts of a random datasheet.

Comes in: a plan, a source of chance, words. Goes out: columns in printed order with their headings, and
the way a number is dressed. Does not draw.
"""

from __future__ import annotations

import random
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from bench.layout_plan import Plan
from sample_tables.generate.columns import Column
from sample_tables.generate.physics import Part

Words = Mapping[str, Sequence[str]]

KEYS = {
    "hold": Column("hold_current", ""),
    "trip": Column("trip_current", ""),
    "volts": Column("max_voltage", "", digits=0),
    "amps": Column("max_current", "", digits=0),
    "power_typ": Column("tripped_power", "", "typ"),
    "power_max": Column("tripped_power", "", "max"),
    "power": Column("tripped_power", ""),
    "test": Column("test_current", ""),
    "time": Column("time_to_trip", ""),
    "r_min": Column("resistance", "", "min", digits=3),
    "r_max": Column("resistance", "", "max", digits=3),
    "r1_max": Column("resistance", "", "post_trip_max", digits=3),
}
SIGNS = {
    "hold_current": "A",
    "trip_current": "A",
    "max_current": "A",
    "test_current": "A",
    "max_voltage": "V",
    "tripped_power": "W",
    "time_to_trip": "s",
    "resistance": "Ω",
}
GROUPS = {
    "test": "time_over",
    "time": "time_over",
    "r_min": "r_over",
    "r_max": "r_over",
    "r1_max": "r_over",
    "power_typ": "power_over",
    "power_max": "power_over",
}
BRACKETS = {"round": " ({})", "square": " [{}]", "line": "|{}", "row": "", "cell": ""}


@cache
def all_words() -> Mapping[str, Words]:
    """The words of all languages."""
    with Path(__file__).with_name("layout_words.toml").open("rb") as source:
        return tomllib.load(source)


@dataclass(frozen=True, slots=True)
class Printed:
    """A column as printed: its meaning, its words, its unit in heading and cells, the heading above."""

    key: str
    column: Column
    words: str
    unit: str
    cell_unit: str
    group: str

    @property
    def heading(self) -> str:
        """Words and unit, in one cell."""
        return self.words + self.unit


def column_keys(plan: Plan, chance: random.Random) -> list[str]:
    """Which columns stand there, in printed order."""
    power = (
        ["power_typ", "power_max"] if plan.power_label == "both" else [f"power_{plan.power_label}".strip("_")]
    )
    ohms = [key for key in ("r_min", "r_max") if key in plan.optional] + ["r1_max"]
    time = {"pair": ["test", "time"], "": []}.get(plan.trip_time, ["time"])
    groups = [
        ["hold", "trip"],
        ["volts"],
        ["amps"] if "amps" in plan.optional else [],
        power if "power" in plan.optional else [],
        time,
        ohms,
    ]
    if plan.order == "volts first":
        groups = [groups[1], groups[2], groups[0], *groups[3:]]
    if plan.order == "mixed":
        chance.shuffle(groups)
    return [key for group in groups for key in group]


def prefixed(plan: Plan, column: Column) -> Column:
    """The column in the plan's prefix: mA, mOhm, ms with no decimals."""
    power = {
        "hold_current": plan.current_power,
        "trip_current": plan.current_power,
        "resistance": plan.resistance_power,
        "time_to_trip": plan.time_power,
    }.get(column.quantity, 0)
    return replace(column, power=power, digits=0) if power else column


def unit_text(column: Column, words: Words, plan: Plan, chance: random.Random) -> str:
    """The unit's glyphs: prefix and sign or word; the standard fonts hold no ohm sign."""
    sign = SIGNS[column.quantity]
    if sign == "V":
        sign = chance.choice(words["volt_units"])
    if sign == "Ω":
        sign = chance.choice([w for w in words["ohm_words"] if w != "Ω" or plan.font not in {"", "times"}])
    return "m" * (column.power == -3) + (sign if column.power == 0 else sign.replace("ohms", "Ohm"))


def heading_words(key: str, column: Column, plan: Plan, words: Words, chance: random.Random) -> str:
    """The words of a heading; a fixed test current stands in them."""
    if key == "time" and column.test_a:
        at = f"{column.test_a} A" if column.test_a != "5x" else chance.choice(words["five_hold"])
        return chance.choice(words["time_at"]).format(at)
    if plan.head == "flat" and key in {"test", "time"}:
        return chance.choice(words[f"{key}_flat"])
    if plan.head != "flat" and key in {"power_typ", "power_max"} and plan.power_label == "both":
        return chance.choice(words[key.removeprefix("power_")])
    return chance.choice(words[key])


def printed_columns(plan: Plan, chance: random.Random, test_a: str) -> list[Printed]:
    """The ratings columns as printed."""
    words = all_words()[plan.language]
    printed: list[Printed] = []
    overs = {over: chance.choice(words[over]) for over in ("time_over", "r_over", "power_over")}
    ohm_column = replace(KEYS["r_min"], power=plan.resistance_power)
    ohm = unit_text(ohm_column, words, plan, chance)
    for key in column_keys(plan, chance):
        column = prefixed(plan, KEYS[key])
        if key == "time" and plan.trip_time != "pair":
            column = replace(column, test_a="5x" if plan.trip_time == "5x" else test_a)
        grouped = (
            plan.head != "flat"
            and not column.test_a
            and (GROUPS.get(key) != "power_over" or plan.power_label == "both")
        )
        unit = ohm if column.quantity == "resistance" else unit_text(column, words, plan, chance)
        text = heading_words(key, column, plan, words, chance)
        in_heading = unit if plan.unit_place == "row" else BRACKETS[plan.unit_place].format(unit)
        group = overs.get(GROUPS.get(key, ""), "") if grouped else ""
        printed.append(Printed(key, column, text, in_heading, unit, group))
    return printed


@dataclass(frozen=True, slots=True)
class Dressing:
    """How numbers are printed: unit in the cell, marks, gaps, commas, dashes; chosen per part and column."""

    plan: Plan
    units: Mapping[Column, str]
    dashes: Mapping[tuple[str, str, str], str]
    marks: Mapping[tuple[str, str], str]

    def __call__(self, part: Part, column: Column, text: str) -> str:
        """The cell text of a printed number."""
        absent = self.dashes.get((part.name, column.quantity, column.kind))
        if absent is not None and column.ambient_c is None:
            return absent
        if self.plan.comma:
            text = text.replace(".", ",")
        if self.plan.gaps and column.quantity in {"hold_current", "resistance"}:
            text = text.replace(".", ".~").replace(",", ",~")
        if column.ambient_c is None and self.plan.unit_place == "cell" and "~" not in text:
            text += " " + self.units[column]
        return text + (
            "" if column.ambient_c is not None else self.marks.get((part.name, column.quantity), "")
        )
