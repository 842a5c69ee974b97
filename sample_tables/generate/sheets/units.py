"""Sheets whose difficulty is in units and digits: units in cells, lost signs, gaps inside numbers."""

from __future__ import annotations

from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, Sheet, cells
from sample_tables.generate.columns import Column, once_each, part_value, plain, table_entries
from sample_tables.generate.curves import parts_to_curves
from sample_tables.generate.physics import Part, Series, series_to_parts
from sample_tables.generate.tables import (
    AMPS,
    HOLD,
    POWER,
    R1_MAX,
    R_MAX,
    R_MIN,
    TEST,
    TIME,
    TRIP,
    USUAL,
    VOLTS,
    ambient_columns,
    body_rows,
    derating_grid,
    headed,
    simple_grid,
)
from sample_tables.generate.words import closing, dimensions, opening, packing, test_notes

UNIT_SIGNS = {
    "hold_current": "A",
    "trip_current": "A",
    "max_voltage": "V",
    "max_current": "A",
    "tripped_power": "W",
    "test_current": "A",
    "time_to_trip": "s",
    "resistance": "Ω",
}


def with_unit(part: Part, column: Column, text: str) -> str:
    """The number with its unit: below 1 in thousandths, as 250 mA, else as it is."""
    sign = UNIT_SIGNS[column.quantity]
    value = part_value(part, column)
    return f"{plain(value.scaleb(3))} m{sign}" if value < 1 and sign != "V" else f"{text} {sign}"


def glimmerholt() -> Sheet:
    """Every cell carries its own unit; amps and milliamps, ohms and milliohms mix within a column."""
    parts = series_to_parts(
        Series(
            "GH06-{code}",
            ("0.10", "0.20", "0.25", "0.35", "0.50", "0.75", "1.00", "1.50"),
            ("30", "24", "24", "15", "15", "9", "6", "6"),
            ("40",),
            "chip23",
            "8",
            power_w=0.6,
            heat=0.3,
            slow=3,
        )
    )
    columns = headed(
        (HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R1_MAX),
        {
            HOLD: "Hold current",
            TRIP: "Trip current",
            VOLTS: "Max. voltage",
            AMPS: "Max. current",
            POWER: "Typ. power|tripped",
            TEST: "Trip test|current",
            TIME: "Max. time|to trip",
            R_MIN: "R min",
            R1_MAX: "R1 max",
        },
    )
    columns = tuple(replace(c, digits=1) if c.quantity == "test_current" else c for c in columns)
    return Sheet(
        "glimmerholt_gh",
        "chromium",
        "Glimmerholt Semiconducting",
        "GH06 miniature chip protectors",
        "units inside the cells, mixed within a column: mA and A, mΩ and Ω, ms and s",
        (
            *opening(),
            Heading("Characteristics (23 °C)"),
            simple_grid(parts, columns, "Part", with_unit),
            test_notes(23),
            *packing(["GH06-010", "GH06-150"]),
            parts_to_curves(parts),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 23)),
        Look("noto", "letter", "#283593"),
    )


def dunmorrel() -> Sheet:
    """The ohm and degree signs are lost: empty brackets, bare C."""
    parts = series_to_parts(
        Series(
            "DM{code}T",
            ("0.13", "0.19", "0.28", "0.42", "0.62", "0.88", "1.25"),
            ("60",),
            ("40",),
            "lead20",
            heat=0.29,
        )
    )
    columns, derating = (
        (HOLD, TRIP, VOLTS, AMPS, TEST, TIME, POWER, R_MIN, R_MAX, R1_MAX),
        ambient_columns("lead20", mark=" C"),
    )
    head = (
        (
            Cell("Part number", down=2),
            Cell("I_{h} (A)", down=2),
            Cell("I_{t} (A)", down=2),
            Cell("V_{max} (V)", down=2),
            Cell("I_{max} (A)", down=2),
            Cell("Time to trip", 2),
            Cell("P_{d typ} (W)", down=2),
            Cell("Resistance", 3),
        ),
        cells("(A)", "(s)", "R_{min} ( )", "R_{max} ( )", "R_{1max} ( )"),
    )
    return Sheet(
        "dunmorrel_dm",
        "reportlab",
        "Dunmorrel",
        "DM-T leaded protectors",
        "lost signs: the ohm sign is gone from the headings, empty brackets are left; temperatures as 20 C",
        (
            *opening(),
            Heading("Electrical characteristics at 20 C"),
            Grid(head, body_rows(parts, columns)),
            Heading("Hold current (A) at ambient"),
            derating_grid(parts, derating, over="Ambient ( C)"),
            *dimensions(["DM013T", "DM125T"]),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 20))),
        Look("", "letter", "#444444"),
    )


def loose(_part: Part, column: Column, text: str) -> str:
    """The number with gaps after its point and between its decimals, as careless kerning leaves them."""
    if column.quantity in {"hold_current", "trip_current"}:
        return text.replace(".", ".~")
    if column.quantity == "time_to_trip":
        return text[:-1] + "~" + text[-1]
    return text


def pellivar() -> Sheet:
    """Numbers drawn in pieces with gaps: 1. 10 is one number."""
    parts = series_to_parts(
        Series(
            "PVL-{code}",
            ("0.11", "0.14", "0.21", "0.31", "0.41", "0.71", "1.11", "1.61"),
            ("48", "48", "48", "24", "24", "24", "12", "12"),
            ("40",),
            "large23",
            heat=0.33,
            power_w=0.9,
        )
    )
    columns, derating = USUAL, ambient_columns("large23")
    return Sheet(
        "pellivar_pvl",
        "reportlab",
        "Pellivar Devices",
        "PVL chip protectors",
        "numbers drawn in pieces with gaps between them: 1. 10 is one number",
        (
            *opening(),
            Heading("Ratings at 23 °C"),
            simple_grid(parts, columns, dress=loose),
            test_notes(23),
            Heading("Hold current (A) versus ambient temperature"),
            derating_grid(parts, derating, dress=loose),
            *packing(["PVL-011", "PVL-161"]),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 23))),
        Look("dejavu", colour="#7a1f3d"),
    )


SHEETS = (glimmerholt, dunmorrel, pellivar)
