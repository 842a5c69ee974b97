"""Sheets whose other tables once passed for ratings, and layouts that once hid the ratings."""

from __future__ import annotations

from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, Sheet, Text, cells
from sample_tables.generate.columns import Entry, cell_number, ratio_entries, table_entries
from sample_tables.generate.curves import parts_to_curves
from sample_tables.generate.physics import RATIOS, Series, series_to_parts
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
    simple_grid,
)
from sample_tables.generate.words import closing, opening


def wexcombe() -> Sheet:
    """Beside the ratings: dimensions with a column Pd, tape, tests, another maker's part, old values."""
    parts = series_to_parts(
        Series(
            "WXC{code}",
            ("0.20", "0.35", "0.50", "0.75", "1.10", "1.50"),
            ("60", "30", "30", "16", "16", "12"),
            ("40",),
            "large23",
            heat=0.3,
        )
    )
    columns = (HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R1_MAX)
    names = [part.name for part in parts]
    shapes = tuple(
        cells(name, f"{5.1 + n / 10:.1f}", "7.4", f"{2.2 + n / 10:.1f}") for n, name in enumerate(names)
    )
    tape = tuple(cells(name, "12.0", "4.0", f"{0.6 + n / 20:.2f}") for n, name in enumerate(names))
    others = tuple(cells(f"YZQ-{n}50", f"{n + 1}.05", name) for n, name in enumerate(names))
    old = tuple(cells(part.name, f"{part.hold_a * 9 / 10:.2f}", f"{part.r1_max * 2:.3f}") for part in parts)
    tests = tuple(cells(name, "20", "10", "500") for name in names)
    return Sheet(
        "wexcombe_wxc",
        "chromium",
        "Wexcombe",
        "WXC radial protectors",
        "beside the ratings tables of the same parts that are none: dimensions with a column Pd, tape with "
        "hold down and trip hole, test conditions, another maker's part, the values of the issue before",
        (
            *opening(),
            Heading("Electrical ratings at 23 °C"),
            simple_grid(parts, columns),
            parts_to_curves(parts),
            Heading("Dimensions (mm)"),
            Grid((cells("Part number", "Pd", "L", "It"),), shapes),
            Heading("Tape"),
            Grid((cells("Part number", "Hold down", "Trip hole", "Thickness"),), tape),
            Heading("Test conditions"),
            Grid((cells("Part number", "Test current (A)", "Time on (s)", "Insulation V_{max} (V)"),), tests),
            Heading("Cross reference"),
            Grid((cells("Competitor part", "I_{hold} (A)", "Our part"),), others),
            Heading("Old values, issue B"),
            Grid((cells("Part number", "I_{hold} (A)", "R_{1max} (Ω)"),), old),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 23)),
        Look(colour="#154360"),
    )


def thaxwold() -> Sheet:
    """Derating in amps under a title without hold, beside a percent sign and the word operation."""
    parts = series_to_parts(
        Series(
            "THX{code}",
            ("0.14", "0.30", "0.50", "1.00", "1.60", "2.00"),
            ("60", "60", "30", "30", "16", "16"),
            ("100",),
            "chip23",
            power_w=0.9,
        )
    )
    time = replace(TIME, heading="Max. time to trip|at 8 A (s)", test_a="8")
    columns = (HOLD, TRIP, VOLTS, AMPS, time, R_MIN, R1_MAX)
    derating = ambient_columns("chip23")
    head = (
        (Cell("Part number", down=2), Cell("Maximum ambient operation temperature", across=len(derating))),
        cells(*(column.heading for column in derating)),
    )
    return Sheet(
        "thaxwold_thx",
        "reportlab",
        "Thaxwold",
        "THX chip protectors",
        "derating in amps without a unit under the words ambient operation temperature, a percent sign in "
        "the line above",
        (
            *opening(),
            Heading("Electrical ratings at 23 °C in still air"),
            simple_grid(parts, columns),
            Text("Resistance tolerance of typical parts 15 %, safety margin of 20 % on all currents."),
            Grid(head, body_rows(parts, derating)),
            *closing(),
        ),
        tuple(dict.fromkeys(table_entries(parts, (*columns, *derating), 23))),
        Look(),
    )


def brackenholm() -> Sheet:
    """Bars over groups of rows, two ratings in one cell, percent rows named by families."""
    groups = {"60": ("0.20", "0.50", "0.90"), "30": ("1.10", "1.60", "2.50"), "16": ("3.00", "4.00", "5.00")}
    by_volts = {
        volts: series_to_parts(Series(f"BKH{volts}-{{code}}", holds, (volts,), ("40",), "lead25", slow=9.0))
        for volts, holds in groups.items()
    }
    columns = (HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R1_MAX)
    body: list[tuple[Cell, ...]] = []
    truth: list[Entry] = []
    for number, (volts, parts) in enumerate(by_volts.items(), start=1):
        bar = f"BKH{volts} types – {volts} V_{{dc}} maximum (see note {number})"
        body.append((Cell(bar, across=9, bold=True, align="left"),))
        for part in parts:
            pair = f"{cell_number(part, VOLTS)} / {cell_number(part, AMPS)}"
            others = (POWER, TEST, TIME, R_MIN, R1_MAX)
            texts = [cell_number(part, HOLD), cell_number(part, TRIP), pair]
            body.append((Cell(part.name), *cells(*texts, *(cell_number(part, column) for column in others))))
        truth += table_entries(parts, columns, 25)
    head = (
        cells(
            "Type",
            "I_{hold}|A",
            "I_{trip}|A",
            "U_{max} / I_{max}|V / A",
            "P_{typ}|W",
            "Test current|A",
            "Max. trip time|s",
            "R_{min}|Ω",
            "R_{1max}|Ω",
        ),
    )
    ambients = list(RATIOS["lead25"])
    rows = []
    for volts, parts in by_volts.items():
        ratios = RATIOS["lead25"] if volts == "60" else {**RATIOS["lead25"], -40: 149, 60: 69, 70: 59, 85: 45}
        label = Cell(f"BKH{volts} series", align="left")
        rows.append((label, *cells(*(f"{ratios[ambient]}%" for ambient in ambients))))
        truth += ratio_entries(ratios, [part.name for part in parts])
    percent = Grid((cells("Ambient temperature (°C)", *map(str, ambients)),), tuple(rows), rules="horizontal")
    return Sheet(
        "brackenholm_bkh",
        "typst",
        "Brackenholm",
        "BKH radial protectors",
        "bars over groups of rows that speak of maximum volts, voltage and current in one cell with their "
        "units in the heading's second line, percent rows named by families of parts",
        (
            *opening(),
            Heading("Electrical characteristics at 25 °C"),
            Grid(head, tuple(body), rules="horizontal"),
            Text("Note 1: 500 in a bag. Note 2: 400 in a bag. Note 3: leads of 0.8 mm.", small=True),
            Heading("Derating in percent of hold current at 25 °C"),
            percent,
            *closing(),
        ),
        tuple(truth),
        Look(colour="#5b3a1f"),
    )


SHEETS = (wexcombe, thaxwold, brackenholm)
