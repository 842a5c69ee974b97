"""Sheets with difficult derating: groups of parts, short names, contradictions, two numbers in a cell."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, PageBreak, Sheet, Text, cells
from sample_tables.generate.columns import cell_number, once_each, ratio_entries, table_entries
from sample_tables.generate.curves import parts_to_curves
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
    derating_grid,
    ratio_grid,
    simple_grid,
)
from sample_tables.generate.words import closing, dimensions, opening, packing, test_notes


def sorvendahl() -> Sheet:
    """Two percent rows for two groups of parts, the groups given as ranges of part numbers."""
    parts = series_to_parts(
        Series(
            "SVN-{code}",
            ("0.15", "0.25", "0.40", "0.60", "0.85", "1.20", "1.80", "2.60"),
            ("60", "60", "60", "30", "30", "15", "15", "6"),
            ("20",),
            "chip23",
            heat=0.28,
            power_w=0.8,
            slow=4,
        )
    )
    low, high = RATIOS["chip23"], RATIOS["large23"]
    names = [part.name for part in parts]
    rows = [("SVN-015 to SVN-060", low), ("SVN-085 to SVN-260", high)]
    return Sheet(
        "sorvendahl_svn",
        "libreoffice",
        "Sorvendahl",
        "SVN chip protectors",
        "two percent rows for two groups of parts, each group given as a range of part numbers",
        (
            *opening(),
            Heading("Electrical characteristics (23 °C)"),
            simple_grid(parts, USUAL),
            test_notes(23),
            Heading("Thermal derating, percent of hold current"),
            ratio_grid(rows, "Parts"),
            *packing(names[:2]),
            *closing(),
        ),
        tuple(
            table_entries(parts, USUAL, 23) + ratio_entries(low, names[:4]) + ratio_entries(high, names[4:])
        ),
        Look("noto", "letter", "#00695c"),
    )


def umberquill() -> Sheet:
    """The second and third tables name the parts shorter than the first."""
    parts = series_to_parts(
        Series(
            "UQN{code}-{volts}-TR",
            ("0.17", "0.27", "0.37", "0.57", "0.77", "1.07", "1.57"),
            ("36", "36", "36", "18", "18", "18", "9"),
            ("40",),
            "lead25",
            heat=0.3,
        )
    )
    ratings, ohms, derating = (
        (HOLD, TRIP, VOLTS, AMPS, TEST, TIME),
        (R_MIN, R_MAX, R1_MAX, POWER),
        ambient_columns("lead25"),
    )
    head_ohms = (cells("Part", *(column.heading for column in ohms)),)
    head_derating = (
        (Cell("Part", down=2), Cell("Hold current (A) at ambient", across=len(derating))),
        cells(*(column.heading for column in derating)),
    )
    return Sheet(
        "umberquill_uqn",
        "libreoffice",
        "Umberquill Components",
        "UQN leaded protectors",
        "joining tables: ratings under the full order code, resistance under a shorter name, "
        "derating under the shortest",
        (
            *opening(),
            Heading("Ratings (25 °C)"),
            simple_grid(parts, ratings, "Order code"),
            test_notes(25),
            Heading("Resistance and power"),
            Grid(head_ohms, body_rows(parts, ohms, name=lambda part: part.name.removesuffix("-TR"))),
            Heading("Temperature derating"),
            Grid(head_derating, body_rows(parts, derating, name=lambda part: part.name.split("-")[0])),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*ratings, *ohms, *derating), 25))),
        Look("", colour="#5d4037"),
    )


def trosnavik() -> Sheet:
    """Two tables give one part different hold currents; a derating row has swapped digits."""
    parts = series_to_parts(
        Series(
            "TNV{code}",
            ("0.20", "0.33", "0.47", "0.68", "0.75", "1.20"),
            ("30",),
            ("40",),
            "large23",
            heat=0.31,
        )
    )
    columns, derating = (
        (HOLD, TRIP, TEST, TIME, VOLTS, AMPS, POWER, R_MIN, R1_MAX),
        ambient_columns("large23"),
    )
    odd = {"TNV075": {23: Decimal("0.70")}, "TNV120": {40: Decimal("1.40")}}
    second = tuple(replace(part, hold_at={**part.hold_at, **odd.get(part.name, {})}) for part in parts)
    return Sheet(
        "trosnavik_tnv",
        "typst",
        "Trosnavik",
        "TNV chip protectors",
        "contradicts itself: hold current of TNV075 is 0.75 A in one table and 0.70 A in the other; "
        "TNV120 has swapped digits at 40 °C",
        (
            *opening(),
            Heading("Ratings at 23 °C"),
            simple_grid(parts, columns),
            test_notes(23),
            PageBreak(),
            Heading("Hold current (A) at ambient temperature"),
            derating_grid(second, derating),
            parts_to_curves(parts),
            *dimensions(["TNV020", "TNV120"]),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, columns, 23) + table_entries(second, derating, 23))),
        Look("", "letter"),
    )


def ellerwisp() -> Sheet:
    """Hold and trip current in one cell, separated by a stroke."""
    parts = series_to_parts(
        Series(
            "EWS-{code}",
            ("0.18", "0.29", "0.46", "0.66", "0.86", "1.16", "1.46"),
            ("24",),
            ("80",),
            "large23",
            heat=0.3,
            power_w=0.95,
        )
    )
    columns, trips = (
        (HOLD, TRIP, VOLTS, AMPS, TEST, TIME, R_MIN, R1_MAX),
        ambient_columns("large23", trip=True),
    )
    derating = ambient_columns("large23")
    both = tuple(
        (
            Cell(part.name, align="left"),
            *cells(
                *(
                    f"{cell_number(part, hold)} / {cell_number(part, trip)}"
                    for hold, trip in zip(derating, trips, strict=True)
                )
            ),
        )
        for part in parts
    )
    head = (
        (
            Cell("Part number", down=2),
            Cell("I_{hold} / I_{trip} (A) at ambient temperature", across=len(derating)),
        ),
        cells(*(column.heading for column in derating)),
    )
    return Sheet(
        "ellerwisp_ews",
        "reportlab",
        "Ellerwisp Ltd",
        "EWS chip protectors",
        "two numbers in one cell: hold and trip current at each ambient as 0.78 / 1.56",
        (
            *opening(),
            Heading("Ratings at 23 °C"),
            simple_grid(parts, columns),
            test_notes(23),
            Heading("Derating of hold and trip current"),
            Grid(head, both, size=6.5),
            Text("First figure: hold current. Second figure: trip current.", small=True),
            *packing(["EWS-018", "EWS-146"]),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating, *trips), 23))),
        Look("dejavu", colour="#33508a"),
    )


SHEETS = (sorvendahl, umberquill, trosnavik, ellerwisp)
