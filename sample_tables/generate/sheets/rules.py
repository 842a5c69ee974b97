"""Sheets with difficult rules: none at all, zebra and section rows, a unit row, merged body cells."""

from __future__ import annotations

from itertools import groupby

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, PageBreak, Sheet, cells
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
    VOLTS,
    ambient_columns,
    body_rows,
    derating_grid,
    ratio_grid,
    simple_grid,
)
from sample_tables.generate.words import closing, dimensions, opening, packing, test_notes


def tarnhollow() -> Sheet:
    """No rule and no shading anywhere."""
    parts = series_to_parts(
        Series(
            "TH-{code}X",
            ("0.15", "0.25", "0.40", "0.65", "0.90", "1.35", "1.75"),
            ("48", "48", "48", "30", "30", "15", "15"),
            ("20",),
            "large23",
            heat=0.34,
            power_w=0.9,
        )
    )
    columns, derating = (
        (HOLD, TRIP, TEST, TIME, VOLTS, AMPS, POWER, R_MIN, R1_MAX),
        ambient_columns("large23"),
    )
    names = [part.name for part in parts]
    return Sheet(
        "tarnhollow_th",
        "typst",
        "Tarnhollow Ltd",
        "TH-X chip protectors",
        "no rules at all: columns told apart by white space only, in ratings and derating",
        (
            *opening(),
            Heading("Ratings at 23 °C"),
            simple_grid(parts, columns, rules="none"),
            test_notes(23),
            Heading("Hold current (A) at ambient temperature"),
            derating_grid(parts, derating, rules="none"),
            *dimensions(names[:3], "none"),
            parts_to_curves(parts),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 23))),
        Look("", colour="#333333"),
    )


def mirrelby() -> Sheet:
    """Zebra shading instead of rules, and rows inside the table that name a section."""
    groups = [
        series_to_parts(
            Series(f"MR{volts}-{{code}}", holds, (volts,), ("40",), "lead20", heat=heat, power_w=power)
        )
        for volts, holds, heat, power in (
            ("90", ("0.20", "0.35", "0.50"), 0.3, 1.3),
            ("45", ("0.60", "0.80", "1.20"), 0.27, 1.1),
            ("18", ("1.50", "2.20", "3.00", "4.00"), 0.25, 0.9),
        )
    ]
    columns, derating = (HOLD, TRIP, TEST, TIME, AMPS, POWER, R_MIN, R_MAX, R1_MAX), ambient_columns("lead20")
    full = (*columns[:2], VOLTS, *columns[2:])

    def sectioned(of, across):  # type: ignore[no-untyped-def]
        rows = []
        for group in groups:
            rows += [
                (Cell(f"Series MR{group[0].max_v} – {group[0].max_v} V", across, bold=True, align="left"),),
                *body_rows(group, of),
            ]
        return tuple(rows)

    head = (cells("Part number", *(column.heading for column in full)),)
    head_derating = (
        (Cell("Part number", down=2), Cell("Hold current (A) at ambient", across=len(derating))),
        cells(*(column.heading for column in derating)),
    )
    parts = tuple(part for group in groups for part in group)
    return Sheet(
        "mirrelby_mr",
        "chromium",
        "Mirrelby Electric",
        "MR leaded protectors, 18 V to 90 V",
        "zebra shading without rules; section rows inside the tables; three resistance columns",
        (
            *opening(),
            Heading("Electrical characteristics (20 °C)"),
            Grid(head, sectioned(full, 11), "none", zebra=True),
            test_notes(20),
            PageBreak(),
            Heading("Temperature derating"),
            Grid(head_derating, sectioned(derating, 10), "none", zebra=True),
            parts_to_curves(parts),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*full, *derating), 20))),
        Look("micro", "letter", "#24632b"),
    )


def ooskraal() -> Sheet:
    """The units stand in a row of their own between headings and numbers."""
    parts = series_to_parts(
        Series(
            "OKS{code}",
            ("0.10", "0.20", "0.35", "0.50", "0.75", "1.10", "1.50", "2.00"),
            ("60", "60", "30", "30", "24", "16", "12", "6"),
            ("100",),
            "chip23",
            "8",
            power_w=0.7,
            heat=0.3,
        )
    )
    columns = (HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R1_MAX)
    head = (
        (
            Cell("Part"),
            Cell("Hold|current"),
            Cell("Trip|current"),
            Cell("Max.|voltage"),
            Cell("Max.|current"),
            Cell("Power"),
            Cell("Max. time to trip", 2),
            Cell("Initial|resistance"),
            Cell("Post-trip|resistance"),
        ),
        cells(
            "", "I_{H}", "I_{T}", "V_{max}", "I_{max}", "P_{D typ}", "Current", "Time", "R_{min}", "R_{1max}"
        ),
        cells("", "A", "A", "VDC", "A", "W", "A", "s", "Ω", "Ω"),
    )
    return Sheet(
        "ooskraal_oks",
        "typst",
        "Ooskraal Protection",
        "OKS chip protectors, size 1210",
        "three heading rows: words, symbols, and the units in a row of their own; horizontal rules",
        (
            *opening(),
            Heading("Characteristics at 23 °C"),
            Grid(head, body_rows(parts, columns), "horizontal"),
            test_notes(23),
            Heading("Thermal derating"),
            ratio_grid([("% of hold current", RATIOS["chip23"])], "", rules="horizontal"),
            parts_to_curves(parts),
            *packing([part.name for part in parts[:3]], "horizontal"),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 23) + ratio_entries(RATIOS["chip23"])),
        Look("cm", "letter"),
    )


def yolvenne() -> Sheet:
    """Cells of the body that span several parts: one voltage, one fault current."""
    parts = series_to_parts(
        Series(
            "YV-{code}",
            ("0.16", "0.24", "0.32", "0.44", "0.58", "0.78", "1.05", "1.30", "1.70"),
            ("60", "60", "60", "36", "36", "36", "36", "12", "12"),
            ("40", "40", "40", "40", "40", "40", "100", "100", "100"),
            "large23",
            heat=0.32,
        )
    )
    columns = (VOLTS, AMPS, HOLD, TRIP, TEST, TIME, POWER, R_MIN, R1_MAX)
    lengths = {}
    for place, column in enumerate((VOLTS, AMPS)):
        for value, group in groupby(parts, key=lambda part, c=column: cell_number(part, c)):
            members = list(group)
            lengths[members[0].name, place] = (value, len(members))
    rows = []
    for row, part in zip(body_rows(parts, columns), parts, strict=True):
        merged = tuple(
            Cell(lengths[part.name, place][0], down=lengths[part.name, place][1])
            for place in (0, 1)
            if (part.name, place) in lengths
        )
        rows.append((row[0], *merged, *row[3:]))
    head = (
        (
            Cell("Type", down=2),
            Cell("V_{max}|V DC", down=2),
            Cell("I_{max}|A", down=2),
            Cell("I_{hold}|A", down=2),
            Cell("I_{trip}|A", down=2),
            Cell("Max. time to trip", 2),
            Cell("P_{d typ.}|W", down=2),
            Cell("R_{min}|Ω", down=2),
            Cell("R_{1max}|Ω", down=2),
        ),
        cells("at A", "s"),
    )
    return Sheet(
        "yolvenne_yv",
        "chromium",
        "Yolvenne",
        "YV chip protectors",
        "merged body cells: one voltage and one fault current span several parts, at different rows",
        (
            *opening(),
            Heading("Ratings (23 °C)"),
            Grid(head, tuple(rows)),
            test_notes(23),
            *packing(["YV-016", "YV-170"]),
            Heading("Typical trip time"),
            parts_to_curves(parts),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 23)),
        Look("", colour="#704214"),
    )


SHEETS = (tarnhollow, mirrelby, ooskraal, yolvenne)
