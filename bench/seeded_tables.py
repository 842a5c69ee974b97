"""Truth files become wide parts tables as a team would type them, and the sheet they came from.

Comes in: CSV files with columns document, part_number, quantity, kind, ambient_c, test_current_a, value
(SI). Goes out: one WideTable for each document. Plants no error: seeded_kinds.py does.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from pathlib import Path

from extract.parts_table.records import RawSheet
from extract.schema import WHOLE_SERIES, Kind, Place, Quantity, Reading, Status

NAMES = {
    ("hold_current", ""): ("Ihold [{A}]", "Hold current ({A})", "IH {A}", "Ih", "Haltestrom [{A}]"),
    ("trip_current", ""): ("Itrip [{A}]", "Trip current ({A})", "IT trip {A}", "Itrip", "Auslösestrom [{A}]"),
    ("max_voltage", ""): ("Vmax [V]", "Max. voltage (V)", "Vmax", "V", "Umax [V]"),
    ("max_voltage", "ac"): ("Vmax [V AC]", "Max. voltage (Vac)", "Vmax Vac", "Vac", "Umax AC [V]"),
    ("max_voltage", "dc"): ("Vmax [V DC]", "Max. voltage (Vdc)", "Vmax Vdc", "Vdc", "Umax DC [V]"),
    ("max_interrupt_voltage", ""): ("Vint [V]", "Interrupt voltage (V)", "Interrupt V", "Vint", "Uint [V]"),
    ("max_current", ""): ("Imax [A]", "Max. fault current (A)", "Imax", "Imax", "Imax [A]"),
    ("max_current", "ac"): ("Imax AC [A]", "Max. fault current AC (A)", "Imax AC", "Imax AC", "Imax AC [A]"),
    ("max_current", "dc"): ("Imax DC [A]", "Max. fault current DC (A)", "Imax DC", "Imax DC", "Imax DC [A]"),
    ("tripped_power", ""): ("Pd [W]", "Tripped power (W)", "Pd", "P", "Leistung [W]"),
    ("tripped_power", "typ"): ("Pd typ [W]", "Tripped power typ. (W)", "Pd typ", "P typ", "Ptyp [W]"),
    ("tripped_power", "max"): ("Pd max [W]", "Tripped power max. (W)", "Pd max", "P max", "Pmax [W]"),
    ("resistance", "min"): ("Rmin [{R}]", "Resistance min. ({R})", "Rmin {R}", "Rmin", "Rmin [{R}]"),
    ("resistance", "typ"): ("Rtyp [{R}]", "Resistance typ. ({R})", "Rtyp {R}", "Rtyp", "Rtyp [{R}]"),
    ("resistance", "max"): ("Rmax [{R}]", "Resistance max. ({R})", "Rmax {R}", "Rmax", "Rmax [{R}]"),
    ("resistance", "post_trip_max"): (
        "R1max [{R}]", "R1max post-trip ({R})", "R1max {R}", "R1max", "R1max [{R}]"),
    ("time_to_trip", ""): ("Time to trip [s]", "Max. time to trip (s)", "t trip s", "Tt", "Auslösezeit [s]"),
    ("hold_ratio", ""): ("Hold [%]", "Derating (%)", "Derating %", "Hold %", "Haltestrom [%]"),
    ("trip_ratio", ""): ("Trip [%]", "Trip derating (%)", "Trip derating %", "Trip %", "Auslösestrom [%]"),
}
TEST_CURRENT = ("Test current [A]", "at current (A)", "Test current A", "Itest", "Prüfstrom [A]")
PART = ("Part number", "Part no.", "Type", "P/N", "Typ")
UNITS = (("A", "Ohm"), ("A", "mOhm"), ("mA", "Ohm"), ("A", "Ohm"), ("A", "mOhm"))
"""Unit of currents and of resistances in each house style."""
STYLES = len(PART)
"""House styles in English and German shorthand; languages come after them."""


@cache
def languages() -> tuple[dict[str, str], ...]:
    """Headings in languages, of seeded_words.toml."""
    text = Path(__file__).with_name("seeded_words.toml").read_text(encoding="utf-8")
    return tuple(tomllib.loads(text).values())


def _words(quantity: str, kind: str, style: int) -> str:
    """A heading in a house style; styles from STYLES on are languages. Resistances keep their symbols."""
    if style < STYLES or quantity == "resistance":
        return NAMES[quantity, kind][style % STYLES]
    words = languages()[style - STYLES][quantity]
    return words.replace(" [", f" {kind} [").replace(" (", f" {kind} (") if kind else words


ORDER = tuple(NAMES)


@dataclass(frozen=True, slots=True)
class WideColumn:
    """A column of a wide table: its quantity ("part", "test_current" or one of the schema), kind,
    ambient, and the factor from SI to its unit."""

    heading: str
    quantity: str
    kind: str = ""
    ambient_c: str = ""
    factor: Decimal = Decimal(1)


@dataclass(frozen=True, slots=True)
class WideTable:
    """A document's parts as one table: texts of each row (the heading is row 1), and its sheet."""

    document: str
    columns: tuple[WideColumn, ...]
    rows: tuple[tuple[str, ...], ...]
    readings: tuple[Reading, ...]

    def sheet(self) -> RawSheet:
        """The table as read from a CSV."""
        return RawSheet("", (tuple(c.heading for c in self.columns), *self.rows))


def folder_to_tables(folder: Path, style: int | None = None) -> list[WideTable]:
    """One table for each truth file that has parts, in one house style or in each by turns, languages
    among them."""
    of = STYLES + len(languages())
    tables = []
    for number, path in enumerate(sorted(folder.glob("*.csv"))):
        with path.open(encoding="utf-8") as file:
            entries = list(csv.DictReader(file))
        if entries and {"part_number", "quantity", "value"} <= entries[0].keys():
            table = entries_to_table(entries, number % of if style is None else style)
            if table.rows:
                tables.append(table)
    return tables


def with_own_readings(table: WideTable, readings: Iterable[Reading]) -> WideTable:
    """The table with holdtrip's own readings of its sheet as the source, disputed and missing ones as they
    are."""
    return replace(table, readings=tuple(r for r in readings if r.document == table.document))


def entries_to_table(entries: Sequence[dict[str, str]], style: int) -> WideTable:
    """Ratings first, then derating by rising ambient; a second hold at the reference gets a column."""
    numbers = [e["part_number"] for e in entries if e["part_number"] != WHOLE_SERIES]
    parts = list(dict.fromkeys(numbers))
    reference = {
        e["part_number"]: e["ambient_c"]
        for e in reversed(entries)
        if e["quantity"] == "trip_current" and e["ambient_c"] and 15 <= float(e["ambient_c"]) <= 30
    }
    values: dict[str, dict[tuple[str, str, str], str]] = {part: {} for part in parts}
    for entry in entries:
        for part in parts if entry["part_number"] == WHOLE_SERIES else [entry["part_number"]]:
            _place(values[part], entry, reference.get(part, ""))
    keys = dict.fromkeys(key for part in parts for key in values[part])
    part = PART[style] if style < STYLES else languages()[style - STYLES]["part"]
    columns = [WideColumn(part, "part")]
    columns += [_key_to_column(key, style) for key in sorted(keys, key=_rank)]
    rows = [tuple(_text(values[part], column, part) for column in columns) for part in parts]
    document = entries[0]["document"]
    return WideTable(document, tuple(columns), tuple(rows), tuple(map(_to_reading, entries)))


def _place(values: dict[tuple[str, str, str], str], entry: dict[str, str], reference: str) -> None:
    quantity, kind, ambient = entry["quantity"], entry["kind"], entry["ambient_c"]
    if (quantity, kind) not in NAMES:
        return
    if quantity in ("hold_current", "trip_current"):
        if ambient == reference and (quantity, "", "") not in values:
            ambient = ""
    elif quantity not in ("hold_ratio", "trip_ratio"):
        ambient = ""
    if (quantity, kind, ambient) in values:
        return
    values[quantity, kind, ambient] = entry["value"]
    if quantity == "time_to_trip" and entry["test_current_a"]:
        values["test_current", "", ""] = entry["test_current_a"]


def _rank(key: tuple[str, str, str]) -> tuple[int, float]:
    quantity, kind, ambient = key
    if quantity == "test_current":
        return ORDER.index(("time_to_trip", "")) * 2 + 1, 0.0
    return (ORDER.index((quantity, kind)) * 2 if not ambient else 100), float(ambient or 0)


def _key_to_column(key: tuple[str, str, str], style: int) -> WideColumn:
    quantity, kind, ambient = key
    if quantity == "test_current":
        heading = TEST_CURRENT[style] if style < STYLES else languages()[style - STYLES][quantity]
        return WideColumn(heading, quantity)
    amps, ohms = UNITS[style % STYLES]
    heading = _words(quantity, kind, style).replace("{A}", amps).replace("{R}", ohms)
    factor = Decimal(1)
    if quantity in ("hold_current", "trip_current"):
        factor = Decimal(1000) if amps == "mA" else factor
    elif quantity == "resistance":
        factor = Decimal(1000) if ohms == "mOhm" else factor
    elif quantity in ("hold_ratio", "trip_ratio"):
        factor = Decimal(100)
    if ambient:
        heading += f" at {ambient} °C"
    return WideColumn(heading, quantity, kind, ambient, factor)


def _text(values: dict[tuple[str, str, str], str], column: WideColumn, part: str) -> str:
    if column.quantity == "part":
        return part
    value = values.get((column.quantity, column.kind, column.ambient_c), "")
    if not value:
        return ""
    return value if column.factor == 1 else f"{(Decimal(value) * column.factor).normalize():f}"


def _to_reading(entry: dict[str, str]) -> Reading:
    def number(text: str) -> float | None:
        return float(text) if text else None

    return Reading(
        entry["document"],
        entry["document"],
        entry["part_number"],
        Quantity(entry["quantity"]),
        Kind(entry["kind"]),
        number(entry["ambient_c"]),
        number(entry["test_current_a"]),
        float(entry["value"]),
        Status.AGREED,
        Place(1, 0.0, 0.0, 0.0, 0.0),
        entry["value"],
    )
