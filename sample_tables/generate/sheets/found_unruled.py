"""Sheets without vertical rules that were once misread: headings told apart by their place only."""

from __future__ import annotations

from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, Sheet, cells
from sample_tables.generate.columns import Column, once_each, table_entries
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
    VOLTS,
    ambient_columns,
    body_rows,
    headed,
)
from sample_tables.generate.words import closing, opening, test_notes


def thornquill() -> Sheet:
    """Numbers to the left of wide columns under centred headings, no rules, a turned page."""
    parts = series_to_parts(
        Series(
            "TQL{code}-{volts}",
            ("0.25", "0.40", "0.90", "1.35", "1.85"),
            ("60", "60", "30", "30", "30"),
            ("40",),
            "chip23",
            "8",
            heat=0.32,
            power_w=0.9,
        )
    )
    columns, derating = (
        (HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R_MAX, R1_MAX),
        ambient_columns("chip23"),
    )
    head = (cells("Part", *(column.heading.replace("|", " ") for column in columns)),)
    head_derating = (
        (Cell("Part", down=2), Cell("I_{hold} (A) at ambient", across=len(derating))),
        cells(*(column.heading for column in derating)),
    )

    def to_left(rows: tuple[tuple[Cell, ...], ...]) -> tuple[tuple[Cell, ...], ...]:
        return tuple(tuple(replace(cell, align="left") for cell in row) for row in rows)

    return Sheet(
        "thornquill_tql",
        "reportlab",
        "Thornquill",
        "TQL chip protectors",
        "no rules; numbers at the left of wide columns under centred headings; a turned page (/Rotate 90)",
        (
            Heading("Electrical data at 23 °C"),
            Grid(head, to_left(body_rows(parts, columns)), "none", fit="spread"),
            test_notes(23),
            Heading("Hold current versus ambient temperature"),
            Grid(head_derating, to_left(body_rows(parts, derating)), "none", fit="spread"),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 23))),
        Look("times", "letter", "#17202a", turn="rotate"),
    )


def umbrafold() -> Sheet:
    """Neighbouring headings of four lines: the max. of one must not reach the next."""
    parts = series_to_parts(
        Series(
            "UBF1-{code}-TR",
            ("0.14", "0.35", "0.90", "1.35", "2.50"),
            ("60", "60", "30", "30", "16"),
            ("50",),
            "lead25",
            heat=0.3,
        )
    )
    columns = headed(
        (VOLTS, AMPS, HOLD, TRIP, POWER, TEST, TIME, R_MIN, R1_MAX),
        {
            VOLTS: "Rated|voltage|V_{max}|V DC",
            AMPS: "Maximum fault|current|A",
            HOLD: "I_{H}|A",
            TRIP: "Itrip|A",
            POWER: "P_{d} typ.|W",
            TEST: "Trip time at|current|A",
            TIME: "Max. time|to trip|s",
            R_MIN: "Min. resistance|R_{min}|Ohm",
            R1_MAX: "R1max|Ohm",
        },
    )
    head = (cells("Type", *(column.heading for column in columns)),)
    return Sheet(
        "umbrafold_ubf",
        "reportlab",
        "Umbrafold",
        "UBF1 leaded protectors",
        "neighbouring headings of up to four lines, each with its unit on the last one; horizontal "
        "rules only",
        (
            *opening(),
            Heading("Ratings (25 °C, still air)"),
            Grid(head, body_rows(parts, columns), "horizontal", fit="spread"),
            test_notes(25),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 25)),
        Look("times", colour="#212f3d"),
    )


def vetchmere() -> Sheet:
    """Units in the cells, the longest broken onto a second line, horizontal rules."""
    parts = series_to_parts(
        Series(
            "VTM-{code}/{volts}",
            ("0.40", "1.00", "2.50", "0.55", "1.55"),
            ("60", "60", "60", "30", "30"),
            ("40",),
            "lead25",
            "8",
            heat=0.29,
        )
    )
    signs = {
        "hold_current": "A",
        "trip_current": "A",
        "max_voltage": "Vdc",
        "max_current": "A",
        "tripped_power": "W",
        "test_current": "A",
        "time_to_trip": "s",
    }
    columns = headed(
        (HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R_MAX, R1_MAX),
        {
            HOLD: "Hold|current",
            TRIP: "Itrip",
            VOLTS: "Maximum|voltage",
            AMPS: "Maximum|fault|current",
            POWER: "P_{d typ}",
            TEST: "Trip|test|current",
            TIME: "Max.|time|to trip",
            R_MIN: "Min.|resistance|R_{min}",
            R_MAX: "R_{max}",
            R1_MAX: "R1max",
        },
    )

    def with_sign(_part: Part, column: Column, text: str) -> str:
        return f"{text} {signs[column.quantity]}" if column.quantity in signs else f"{text}|Ohm"

    head = (cells("Model", *(column.heading for column in columns)),)
    return Sheet(
        "vetchmere_vtm",
        "reportlab",
        "Vetchmere",
        "VTM leaded protectors",
        "units in the cells, those of the resistances on a second line; horizontal rules only",
        (
            Heading("Ratings (25 °C, still air)"),
            Grid(head, body_rows(parts, columns, with_sign), "horizontal", size=7.5),
            test_notes(25),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 25)),
        Look("dejavu", "letter", "#0b5345"),
    )


def wolmering() -> Sheet:
    """Text from bottom to top, horizontal rules, one resistance fewer than usual."""
    parts = series_to_parts(
        Series(
            "WLM{code}{volts}T",
            ("0.30", "0.40", "0.65", "1.10", "1.50"),
            ("60", "60", "30", "30", "30"),
            ("40",),
            "chip23",
            "8",
            heat=0.3,
            power_w=0.85,
        )
    )
    columns = headed(
        (HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R1_MAX),
        {
            HOLD: "Ihold (A)",
            TRIP: "Tripping|current|I_{T} (A)",
            VOLTS: "Rated voltage|V_{max} (VDC)",
            AMPS: "Maximum fault|current (A)",
            POWER: "Typ. power|dissipation (W)",
            TEST: "Trip time at|current (A)",
            TIME: "Time to trip|max. (s)",
            R_MIN: "R_{MIN} (Ohm)",
            R1_MAX: "R_{1max} (Ohm)",
        },
    )
    head = (cells("Part no.", *(column.heading for column in columns)),)
    return Sheet(
        "wolmering_wlm",
        "reportlab",
        "Wolmering",
        "WLM chip protectors",
        "text from bottom to top on an upright page, horizontal rules only, two-line headings",
        (
            Heading("Electrical characteristics at 23 °C"),
            Grid(head, body_rows(parts, columns), "horizontal", fit="spread"),
            test_notes(23),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 23)),
        Look("dejavu", colour="#641e16", turn="text"),
    )


SHEETS = (thornquill, umbrafold, vetchmere, wolmering)
