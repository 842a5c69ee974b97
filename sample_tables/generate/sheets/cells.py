"""Sheets whose difficulty is in the cells: part numbers on two lines, two ratings in one cell."""

from __future__ import annotations

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, Sheet, cells
from sample_tables.generate.columns import cell_number, once_each, table_entries
from sample_tables.generate.curves import parts_to_curves
from sample_tables.generate.physics import Part, Series, series_to_parts
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
from sample_tables.generate.words import closing, opening, packing, test_notes


def brindlecove() -> Sheet:
    """Long part numbers broken over two lines of their cell."""
    parts = series_to_parts(
        Series(
            "BRC1812-{code}/{volts}-REEL",
            ("0.20", "0.30", "0.50", "0.75", "1.10", "1.60"),
            ("60", "60", "30", "30", "16", "16"),
            ("100",),
            "chip23",
            heat=0.29,
            power_w=0.9,
        )
    )
    columns = (HOLD, TRIP, VOLTS, AMPS, TEST, TIME, POWER, R_MIN, R1_MAX)

    def broken(part: Part) -> str:
        return part.name.replace("/", "/|", 1)

    head = (cells("Order code", *(column.heading for column in columns)),)
    return Sheet(
        "brindlecove_brc",
        "typst",
        "Brindlecove",
        "BRC1812 chip protectors",
        "long part numbers broken over two lines of their cell, after the stroke",
        (
            *opening(),
            Heading("Ratings at 23 °C"),
            Grid(head, body_rows(parts, columns, name=broken)),
            test_notes(23),
            parts_to_curves(parts),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 23)),
        Look("", colour="#6e2c00"),
    )


def sallowmere() -> Sheet:
    """Two ratings in one cell throughout; the heading says which is which."""
    parts = series_to_parts(
        Series(
            "SLW{code}",
            ("0.14", "0.24", "0.34", "0.54", "0.84", "1.24"),
            ("60", "60", "30", "30", "15", "15"),
            ("40",),
            "large23",
            heat=0.31,
            power_w=0.9,
        )
    )
    pairs = ((HOLD, TRIP), (VOLTS, AMPS), (TEST, TIME), (R_MIN, R1_MAX))
    derating = ambient_columns("large23")
    body = tuple(
        (
            Cell(part.name, align="left"),
            *cells(*(f"{cell_number(part, first)} / {cell_number(part, second)}" for first, second in pairs)),
        )
        for part in parts
    )
    head = (
        cells(
            "Part",
            "I_{hold} / I_{trip}|(A)",
            "V_{max} / I_{max}|(V / A)",
            "Max. time to trip|(A / s)",
            "R_{min} / R_{1max}|(Ω)",
        ),
    )
    columns = [column for pair in pairs for column in pair]
    return Sheet(
        "sallowmere_slw",
        "chromium",
        "Sallowmere",
        "SLW chip protectors",
        "two ratings in one cell throughout: hold / trip, voltage / current, current / time, least / "
        "post-trip resistance",
        (
            *opening(),
            Heading("Ratings at 23 °C"),
            Grid(head, body),
            test_notes(23),
            Heading("Hold current (A) at ambient temperature"),
            derating_grid(parts, derating),
            *packing(["SLW014", "SLW124"]),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 23))),
        Look("noto", "letter", "#154360"),
    )


SHEETS = (brindlecove, sallowmere)
