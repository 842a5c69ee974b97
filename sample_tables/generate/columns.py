"""Columns of an invented table: one definition gives both the printed cell and the true entry.

Comes in: parts and column definitions. Goes out: cell texts and truth entries in SI units.
Does not draw. A true value is computed back from the printed number, so print and truth cannot part.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from sample_tables.generate.physics import Part

TRUTH_FIELDS = ("document", "part_number", "quantity", "kind", "ambient_c", "test_current_a", "value")


@dataclass(frozen=True, slots=True)
class Entry:
    """One true number of a sheet: SI value as a decimal text, conditions empty where they do not apply."""

    part_number: str
    quantity: str
    kind: str
    ambient_c: str
    test_current_a: str
    value: str


@dataclass(frozen=True, slots=True)
class Column:
    """One column: which number of a part it prints and how.

    `power` is the exponent of ten of the printed unit (-3 for mA, mOhm, ms); `digits` the decimals
    printed; `ambient_c` picks the derating row; `test_a` is the fixed test current of a trip time
    named in the heading, "5x" for five times the hold current, empty where the part has its own.
    """

    quantity: str
    heading: str
    kind: str = ""
    power: int = 0
    digits: int = 2
    ambient_c: int | None = None
    test_a: str = ""


FIELDS = {
    ("hold_current", ""): "hold_a",
    ("trip_current", ""): "trip_a",
    ("max_voltage", ""): "max_v",
    ("max_current", ""): "max_a",
    ("tripped_power", ""): "typ_w",
    ("tripped_power", "typ"): "typ_w",
    ("tripped_power", "max"): "max_w",
    ("resistance", "min"): "r_min",
    ("resistance", "max"): "r_max",
    ("resistance", "post_trip_max"): "r1_max",
    ("time_to_trip", ""): "time_s",
    ("test_current", ""): "test_a",
    ("max_voltage", "dc"): "max_v",
    ("max_current", "dc"): "max_a",
    ("max_voltage", "ac"): "max_v_ac",
    ("max_current", "ac"): "max_a_ac",
}


def part_value(part: Part, column: Column) -> Decimal:
    """The SI value of a part that a column prints."""
    if column.ambient_c is not None and column.quantity == "hold_current":
        return part.hold_at[column.ambient_c]
    if column.ambient_c is not None and column.quantity == "trip_current":
        return part.trip_at[column.ambient_c]
    return Decimal(getattr(part, FIELDS[column.quantity, column.kind]))


def cell_number(part: Part, column: Column) -> str:
    """The number as printed, with point decimals and no unit."""
    return f"{part_value(part, column).scaleb(-column.power):.{column.digits}f}"


def plain(value: Decimal) -> str:
    """A decimal without exponent and trailing zeros."""
    text = f"{value:f}"
    return (text.rstrip("0").rstrip(".") or "0") if "." in text else text


def printed_to_si(number: str, power: int = 0) -> str:
    """The SI value of a printed number, exactly."""
    return plain(Decimal(number).scaleb(power))


def part_entry(part: Part, column: Column, reference_c: int) -> Entry | None:
    """What a printed cell truly says; None for a column that is only a condition of another."""
    if column.quantity == "test_current":
        return None
    ambient = ""
    if column.quantity in {"hold_current", "trip_current"}:
        ambient = str(reference_c if column.ambient_c is None else column.ambient_c)
    current = ""
    if column.quantity == "time_to_trip":
        current = plain(part.hold_a * 5 if column.test_a == "5x" else Decimal(column.test_a or part.test_a))
    value = printed_to_si(cell_number(part, column), column.power)
    return Entry(part.name, column.quantity, column.kind, ambient, current, value)


def table_entries(parts: Iterable[Part], columns: Iterable[Column], reference_c: int) -> list[Entry]:
    """The true entries of a table, part by part."""
    entries = (part_entry(part, column, reference_c) for part in parts for column in list(columns))
    return [entry for entry in entries if entry is not None]


def ratio_entries(ratios: dict[int, int], parts: Iterable[str] = ("*",)) -> list[Entry]:
    """The true entries of a percent row, for the whole series or for the parts it is limited to."""
    return [
        Entry(part, "hold_ratio", "", str(ambient), "", printed_to_si(str(ratio), -2))
        for part in parts
        for ambient, ratio in ratios.items()
    ]


def once_each(entries: Iterable[Entry]) -> list[Entry]:
    """Every entry once: a number printed in two tables counts once unless the values differ."""
    return list(dict.fromkeys(entries))
