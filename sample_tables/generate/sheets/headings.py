"""Sheets whose difficulty is in the headings: stacked, merged, last column, AC and DC, test currents."""

from __future__ import annotations

from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, PageBreak, Sheet, cells
from sample_tables.generate.columns import once_each, ratio_entries, table_entries
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
    USUAL,
    VOLTS,
    ambient_columns,
    body_rows,
    derating_grid,
    headed,
    ratio_grid,
    simple_grid,
)
from sample_tables.generate.words import closing, dimensions, opening, packing, test_notes


def quarrowick() -> Sheet:
    """Full rules, two stacked heading rows with merged cells, small lowered subscripts."""
    parts = series_to_parts(
        Series(
            "QK12-{code}-{volts}",
            ("0.12", "0.22", "0.36", "0.55", "0.80", "1.10", "1.40", "1.85"),
            ("60", "60", "30", "30", "24", "16", "16", "8"),
            ("40",),
            "chip23",
            heat=0.28,
            power_w=0.85,
            slow=3,
        )
    )
    columns, derating = USUAL, ambient_columns("chip23")
    head = (
        (
            Cell("Part number", down=2),
            Cell("I_{hold}|(A)", down=2),
            Cell("I_{trip}|(A)", down=2),
            Cell("V_{max}|(Vdc)", down=2),
            Cell("I_{max}|(A)", down=2),
            Cell("P_{d typ.}|(W)", down=2),
            Cell("Max. time to trip", 2),
            Cell("Resistance", 2),
        ),
        cells("Current|(A)", "Time|(s)", "R_{min}|(Ω)", "R_{1max}|(Ω)"),
    )
    names = [part.name for part in parts]
    return Sheet(
        "quarrowick_qk",
        "reportlab",
        "Quarrowick Devices",
        "QK12 series: resettable chip protectors",
        "two stacked heading rows with merged cells; symbols with small lowered subscripts; derating "
        "in amps on page 2",
        (
            *opening(),
            Heading("Electrical characteristics at 23 °C"),
            Grid(head, body_rows(parts, columns)),
            test_notes(23),
            *dimensions(names[:4]),
            PageBreak(),
            Heading("Thermal derating: hold current (A)"),
            derating_grid(parts, derating, over="Maximum ambient operating temperature"),
            Heading("Typical time to trip at 23 °C"),
            parts_to_curves(parts),
            *packing(names[:4]),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 23))),
        Look("dejavu"),
    )


def fenwhistle() -> Sheet:
    """Horizontal rules only, the part number last, units in brackets in the heading, one percent row."""
    parts = series_to_parts(
        Series(
            "FWR{code}",
            ("0.30", "0.45", "0.60", "0.85", "1.15", "1.60", "2.10", "2.60"),
            ("33",),
            ("35",),
            "lead25",
            heat=0.31,
            power_w=1.0,
            slow=5.5,
        )
    )
    columns = headed(
        (R_MIN, R1_MAX, VOLTS, AMPS, HOLD, TRIP, TEST, TIME, POWER),
        {
            R_MIN: "Rmin [Ohm]",
            R1_MAX: "R1max [Ohm]",
            VOLTS: "Rated voltage [V]",
            AMPS: "Imax [A]",
            HOLD: "Ihold [A]",
            TRIP: "Itrip [A]",
            TEST: "Trip test current [A]",
            TIME: "Max. trip time [s]",
            POWER: "Pd typ [W]",
        },
    )
    head = (cells(*(column.heading for column in columns), "Order code"),)
    grid = Grid(head, body_rows(parts, columns, last=True), "horizontal", widths=(48,) * 9 + (58,))
    return Sheet(
        "fenwhistle_fw",
        "reportlab",
        "Fenwhistle Ltd",
        "FWR radial leaded resettable protectors",
        "horizontal rules only; part number in the last column; units in square brackets; one "
        "percent row for the series",
        (
            *opening(),
            Heading("Ratings (25 °C, still air)"),
            grid,
            test_notes(25),
            Heading("Hold current versus ambient"),
            ratio_grid([("Derating", RATIOS["lead25"])], "FWR series", rules="horizontal"),
            parts_to_curves(parts),
            *packing([part.name for part in parts[:3]], "horizontal"),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 25) + ratio_entries(RATIOS["lead25"])),
        Look("times", "letter", "#5a2a27"),
    )


def harpelund() -> Sheet:
    """A voltage and a current column each for AC and DC; power as typical and maximum."""
    parts = series_to_parts(
        Series(
            "HPL-{code}A",
            ("0.14", "0.26", "0.38", "0.52", "0.70", "0.95"),
            ("72",),
            ("40",),
            "lead20",
            heat=0.26,
        )
    )
    volts_ac = replace(VOLTS, kind="ac")
    amps_ac = replace(AMPS, kind="ac")
    volts_dc, amps_dc, power_max = (
        replace(VOLTS, kind="dc"),
        replace(AMPS, kind="dc"),
        replace(POWER, kind="max"),
    )
    columns = (HOLD, TRIP, volts_dc, volts_ac, amps_dc, amps_ac, POWER, power_max, R_MIN, R1_MAX, TEST, TIME)
    head = (
        (
            Cell("Model", down=2),
            Cell("Hold current [A]", down=2),
            Cell("Trip current [A]", down=2),
            Cell("Max. voltage", 2),
            Cell("Max. fault current", 2),
            Cell("Tripped power [W]", 2),
            Cell("Resistance [Ω]", 2),
            Cell("Time to trip", 2),
        ),
        cells("V DC", "V AC", "A DC", "A AC", "typ.", "max.", "R_{min}", "R_{1 max}", "at [A]", "max. [s]"),
    )
    return Sheet(
        "harpelund_hpl",
        "chromium",
        "Harpelund Komponent",
        "HPL-A series leaded protectors, 72 V DC / 60 V AC",
        "separate AC and DC columns for voltage and current; tripped power as typical and as maximum",
        (
            *opening(),
            Heading("Electrical data at 20 °C"),
            Grid(head, body_rows(parts, columns)),
            test_notes(20),
            Heading("Typical trip time"),
            parts_to_curves(parts),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 20)),
        Look("noto", colour="#0b5d4e"),
    )


def brackwhin() -> Sheet:
    """The trip time's test current stands in the column heading: a figure or a multiple of hold."""
    small = series_to_parts(
        Series("BW-R{code}", ("0.20", "0.30", "0.50", "0.70", "0.90"), ("60",), ("40",), "lead25", heat=0.3)
    )
    large = series_to_parts(
        Series(
            "BW-P{code}",
            ("1.10", "1.50", "2.00", "2.50"),
            ("16",),
            ("100",),
            "lead25",
            "8",
            power_w=0.9,
            heat=0.22,
            slow=4,
        )
    )
    many = replace(TIME, heading="Max. time to trip|at 5 x I_{hold} (s)", test_a="5x")
    fixed = replace(TIME, heading="Max. time to trip|at 8 A (s)", test_a="8")
    first, second = (
        (HOLD, TRIP, many, VOLTS, AMPS, R_MIN, R1_MAX),
        (HOLD, TRIP, fixed, VOLTS, AMPS, R_MIN, R1_MAX),
    )
    return Sheet(
        "brackwhin_bw",
        "libreoffice",
        "Brackwhin Parts",
        "BW protectors: R and P types",
        "trip time without a current column: the heading says at 8 A in one table, at 5 x I_hold in "
        "the other",
        (
            *opening(),
            Heading("R types, 60 V (25 °C)"),
            simple_grid(small, first),
            Heading("P types, 16 V (25 °C)"),
            simple_grid(large, second),
            test_notes(25),
            *packing(["BW-R020", "BW-P110"]),
            *closing(),
        ),
        tuple(table_entries(small, first, 25) + table_entries(large, second, 25)),
        Look("dejavu"),
    )


def hollowfern() -> Sheet:
    """Narrow columns: the headings are turned and run from bottom to top."""
    parts = series_to_parts(
        Series(
            "HLF-{code}",
            ("0.18", "0.28", "0.38", "0.58", "0.88", "1.18"),
            ("36",),
            ("40",),
            "lead25",
            heat=0.28,
        )
    )
    columns = headed(
        USUAL,
        {
            HOLD: "Hold current (A)",
            TRIP: "Trip current (A)",
            VOLTS: "Max. voltage (V)",
            AMPS: "Max. current (A)",
            POWER: "Typ. power (W)",
            TEST: "Trip test current (A)",
            TIME: "Max. time to trip (s)",
            R_MIN: "R_{min} (Ω)",
            R1_MAX: "R_{1max} (Ω)",
        },
    )
    head = ((Cell("Part number"), *(Cell(column.heading, turned=True) for column in columns)),)
    return Sheet(
        "hollowfern_hlf",
        "chromium",
        "Hollowfern",
        "HLF leaded protectors",
        "turned headings: upright numbers in narrow columns, headings that run from bottom to top",
        (
            *opening(),
            Heading("Ratings at 25 °C"),
            Grid(head, body_rows(parts, columns)),
            test_notes(25),
            Heading("Derating"),
            ratio_grid([("% of hold current", RATIOS["lead25"])]),
            parts_to_curves(parts),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 25) + ratio_entries(RATIOS["lead25"])),
        Look("", colour="#2e5339"),
    )


def marrowquay() -> Sheet:
    """A single resistance under its own heading and a row of units: R1max resembles R notation."""
    parts = series_to_parts(
        Series(
            "MQ-{code}",
            ("0.13", "0.23", "0.43", "0.63", "0.93", "1.43"),
            ("24",),
            ("50",),
            "chip23",
            heat=0.3,
            power_w=0.85,
        )
    )
    many = replace(TIME, test_a="5x")
    columns = (AMPS, many, R1_MAX, VOLTS, HOLD, TRIP)
    head = (
        (
            Cell("Model", down=2),
            Cell("Max.|current", down=2),
            Cell("Max. time to trip|at 5 x I_{hold}", down=2),
            Cell("Resistance"),
            Cell("Rated voltage", down=2),
            Cell("Hold current", down=2),
            Cell("Trip current", down=2),
        ),
        cells("R1max"),
        cells("", "A", "s", "Ω", "VDC", "A", "A"),
    )
    return Sheet(
        "marrowquay_mq",
        "reportlab",
        "Marrowquay",
        "MQ chip protectors",
        "three heading rows of which the middle one holds one word: R1max, which must not be taken "
        "for 0.1 in R notation",
        (
            *opening(),
            Heading("Electrical data at 23 °C"),
            Grid(head, body_rows(parts, columns)),
            test_notes(23),
            *packing(["MQ-013", "MQ-143"]),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 23)),
        Look("dejavu", "letter", "#5b2c6f"),
    )


SHEETS = (quarrowick, fenwhistle, harpelund, brackwhin, hollowfern, marrowquay)
