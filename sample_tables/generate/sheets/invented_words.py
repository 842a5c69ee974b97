"""Two sheets of one house in an invented language: no vocabulary holds its words; the second repeats them."""

from __future__ import annotations

from sample_tables.generate.blocks import Grid, Heading, Look, Sheet, Text, cells
from sample_tables.generate.columns import once_each, table_entries
from sample_tables.generate.physics import Series, series_to_parts
from sample_tables.generate.tables import (
    AMPS,
    HOLD,
    POWER,
    R1_MAX,
    R_MIN,
    TEST,
    TIME,
    TRIP,
    VOLTS,
    ambient_columns,
    body_rows,
    derating_grid,
)
from sample_tables.generate.words import FICTITIOUS, closing

COLUMNS = (HOLD, TRIP, VOLTS, AMPS, TEST, TIME, POWER, R_MIN, R1_MAX)
WORDS = ("Brosk|(A)", "Tolvar|(A)", "Ummek|(V)", "Pilkor|(A)", "Zevlo|(A)", "Zevtin|(s)", "Drenna|(W)",
         "Sorvik lis|(Ω)", "Sorvik tar|(Ω)")


def _sheet(name: str, title: str, series: Series) -> Sheet:
    """A sheet of the house of Osvikar, in its own words."""
    parts = series_to_parts(series)
    derating = ambient_columns("large23")
    return Sheet(
        name,
        "reportlab",
        "Osvikar Devices",
        title,
        "a language of our own, in no vocabulary: only units, symbols of degrees and decimals speak; "
        "two sheets of one house with the same words over their columns",
        (
            Text(FICTITIOUS["en"], small=True),
            Heading("Vakkar sem 23 °C (PPTC)"),
            Grid((cells("Elman", *WORDS),), body_rows(parts, COLUMNS)),
            Heading("Brosk (A) vid olmarim"),
            derating_grid(parts, derating, "Elman", "Olmarim"),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*COLUMNS, *derating), 23))),
        Look(colour="#3b1c4a"),
    )


def osvikar_first() -> Sheet:
    """The first sheet of the house: its questions are answered once."""
    return _sheet(
        "osvikar_ovk", "OVK elmanor",
        Series("OVK-{code}", ("0.20", "0.35", "0.50", "0.75", "1.10", "1.50"), ("30",), ("40",), "large23",
               heat=0.3))


def osvikar_second() -> Sheet:
    """Another series of the house: nobody need be asked again."""
    return _sheet(
        "osvikar_ovr", "OVR elmanor",
        Series("OVR-{code}", ("0.25", "0.40", "0.65", "0.90", "1.35", "1.85", "2.50"), ("16",), ("40",),
               "large23", heat=0.25))


SHEETS = (osvikar_first, osvikar_second)
