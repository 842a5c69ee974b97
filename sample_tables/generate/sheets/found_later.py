"""More sheets once misread: rows that look like temperatures, headings on several lines, pairs."""

from __future__ import annotations

from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, Sheet, cells
from sample_tables.generate.columns import cell_number, once_each, ratio_entries, table_entries
from sample_tables.generate.physics import RATIOS, Series, series_to_parts
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
    headed,
    ratio_grid,
    simple_grid,
)
from sample_tables.generate.words import closing, dimensions, opening, packing, test_notes


def oakumfen() -> Sheet:
    """A row of numbers that could be temperatures: 60 V, 100 A and times of some 100 ms."""
    parts = series_to_parts(
        Series(
            "OKF-{code}",
            ("0.30", "0.40", "0.75", "1.25"),
            ("60",),
            ("100",),
            "lead25",
            "8",
            heat=0.27,
            slow=5,
        )
    )
    time_ms = replace(TIME, heading="Max. time|to trip (ms)", power=-3, digits=0)
    columns = tuple(time_ms if column == TIME else column for column in USUAL)
    return Sheet(
        "oakumfen_okf",
        "chromium",
        "Oakumfen",
        "OKF leaded protectors",
        "rows of numbers that could be taken for temperatures: 60 V, 100 A and trip times of some 100 ms",
        (
            *opening(),
            Heading("Ratings (25 °C, still air)"),
            simple_grid(parts, columns, "Order code"),
            test_notes(25),
            *packing(["OKF-030", "OKF-125"]),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 25)),
        Look("", colour="#7d6608"),
    )


def pennywhin() -> Sheet:
    """Numbers to the right, the part number close behind the last of them, no vertical rule."""
    parts = series_to_parts(
        Series(
            "PWN1-{code}F",
            ("0.16", "0.50", "1.00", "2.50"),
            ("60", "60", "30", "30"),
            ("40",),
            "chip23",
            heat=0.3,
        )
    )
    columns = (*USUAL[:-2], R_MIN, R_MAX, R1_MAX)
    rows = body_rows(parts, columns, last=True)
    body = tuple((*(replace(cell, align="right") for cell in row[:-1]), row[-1]) for row in rows)
    head = (cells(*(column.heading for column in columns), "Part"),)
    return Sheet(
        "pennywhin_pwn",
        "reportlab",
        "Pennywhin",
        "PWN1 chip protectors",
        "numbers to the right of their columns, the part number follows the last one after a narrow gap",
        (
            *opening(),
            Heading("Ratings (23 °C, still air)"),
            Grid(head, body, "horizontal", fit="spread"),
            test_notes(23),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 23)),
        Look("dejavu", "letter", "#1d8348"),
    )


def quernstow() -> Sheet:
    """Temperatures broken over two lines above a derating table with horizontal rules."""
    parts = series_to_parts(
        Series(
            "QRN{code}-{volts}",
            ("0.16", "0.30", "0.90", "1.85"),
            ("60", "60", "30", "16"),
            ("50",),
            "chip23",
            heat=0.29,
        )
    )
    derating = ambient_columns("chip23")
    headings = [
        column.heading.replace(" ", "|") if column.heading[0] == "-" else column.heading
        for column in derating
    ]
    head = (
        (Cell("Order|code", down=2), Cell("Hold current (A) at ambient temperature", across=len(derating))),
        cells(*headings),
    )
    return Sheet(
        "quernstow_qrn",
        "typst",
        "Quernstow",
        "QRN chip protectors",
        "some temperatures of the derating table broken over two lines (-40 above °C), horizontal rules",
        (
            *opening(),
            Heading("Ratings (23 °C, still air)"),
            simple_grid(parts, USUAL, rules="horizontal"),
            test_notes(23),
            Heading("Temperature derating"),
            Grid(head, body_rows(parts, derating), "horizontal"),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*USUAL, *derating), 23))),
        Look("", colour="#283747"),
    )


def rushingdell() -> Sheet:
    """Milliohm on the last line of headings of several lines, under a merged heading."""
    parts = series_to_parts(
        Series(
            "RSD-{code}",
            ("0.14", "0.65", "1.10", "1.85"),
            ("60", "30", "30", "16"),
            ("40",),
            "lead20",
            heat=0.31,
        )
    )
    milli = [replace(column, power=-3, digits=0) for column in (R_MIN, R_MAX, R1_MAX)]
    columns = (HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, *milli)
    head = (
        (
            Cell("Model", down=2),
            Cell("Ihold|A", down=2),
            Cell("Trip|current|A", down=2),
            Cell("Rated|voltage|V", down=2),
            Cell("I_{max}|A", down=2),
            Cell("Typ. power|dissipation|W", down=2),
            Cell("Time to trip (max.)", 2),
            Cell("Resistance", 3),
        ),
        cells("Current|A", "Time|s", "Min.|resistance|R_{min}|mΩ", "R_{MAX}|mΩ", "R_{1MAX}|mΩ"),
    )
    return Sheet(
        "rushingdell_rsd",
        "reportlab",
        "Rushingdell",
        "RSD leaded protectors",
        "headings of up to four lines, milliohm on the last one; a frame and one rule",
        (
            *opening(),
            Heading("Electrical characteristics at 20 °C"),
            Grid(head, body_rows(parts, columns), "outer", fit="spread", size=7.5),
            test_notes(20),
            *dimensions(["RSD-014", "RSD-185"]),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 20)),
        Look("dejavu", colour="#6c3483"),
    )


def stoatham() -> Sheet:
    """Pairs broken over two lines of their cell; ranges of part numbers with dashes."""
    parts = series_to_parts(
        Series(
            "SOH 1{code}F",
            ("0.14", "0.25", "0.65", "1.20"),
            ("60", "60", "30", "30"),
            ("40",),
            "large23",
            heat=0.3,
        )
    )
    names = [part.name for part in parts]
    low, high = RATIOS["large23"], RATIOS["chip23"]
    trips = {part.name: f"{cell_number(part, HOLD)} /|{cell_number(part, TRIP)}" for part in parts}
    columns = headed((VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R1_MAX), {})
    rows = [
        (row[0], Cell(trips[part.name]), *row[1:])
        for part, row in zip(parts, body_rows(parts, columns), strict=True)
    ]
    head = (cells("Type", "I_{hold} / I_{trip}|(A)", *(column.heading for column in columns)),)
    return Sheet(
        "stoatham_soh",
        "typst",
        "Stoatham",
        "SOH chip protectors",
        "pairs broken over two lines of their cell; ranges of part numbers written with a dash; "
        "narrow serif digits",
        (
            *opening(),
            Heading("Ratings (23 °C, still air)"),
            Grid(head, tuple(rows)),
            test_notes(23),
            Heading("Thermal derating"),
            ratio_grid([(f"{names[0]} – {names[1]}", low), (f"{names[2]} – {names[3]}", high)]),
            *closing(),
        ),
        tuple(
            table_entries(parts, (HOLD, TRIP, *columns), 23)
            + ratio_entries(low, names[:2])
            + ratio_entries(high, names[2:])
        ),
        Look("cm", "letter", "#424949"),
    )


SHEETS = (oakumfen, pennywhin, quernstow, rushingdell, stoatham)
