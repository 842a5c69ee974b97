"""Sheets whose difficulty is in marks: footnotes at numbers and names, dashes for what is absent."""

from __future__ import annotations

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, Sheet, Text, cells
from sample_tables.generate.columns import Column, once_each, ratio_entries, table_entries
from sample_tables.generate.curves import parts_to_curves
from sample_tables.generate.physics import RATIOS, Part, Series, series_to_parts
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
    without,
)
from sample_tables.generate.words import closing, dimensions, opening, packing, test_notes

WEXMARROW_MARKS = {
    ("WX-030", "max_voltage"): "^{2}",
    ("WX-045", "max_voltage"): "^{2}",
    ("WX-065", "hold_current"): "^{1}",
    ("WX-090", "max_current"): " †",
    ("WX-125", "max_voltage"): "^{2}",
    ("WX-170", "time_to_trip"): "*",
    ("WX-090", "resistance"): "^{3}",
}
WEXMARROW_NAMES = {"WX-045": "*", "WX-125": "^{1}", "WX-170": "**"}


def marked(part: Part, column: Column, text: str) -> str:
    """The number with its footnote mark."""
    return text + WEXMARROW_MARKS.get((part.name, column.quantity), "")


def wexmarrow() -> Sheet:
    """Raised digits, asterisks and a dagger at numbers and at part numbers."""
    parts = series_to_parts(
        Series(
            "WX-{code}",
            ("0.30", "0.45", "0.65", "0.90", "1.25", "1.70"),
            ("24", "24", "24", "16", "16", "9"),
            ("40",),
            "chip23",
            heat=0.33,
            power_w=0.9,
        )
    )
    columns, derating = (HOLD, TRIP, VOLTS, AMPS, TEST, TIME, POWER, R_MIN, R1_MAX), ambient_columns("chip23")
    head = (cells("Part number", *(column.heading for column in columns)),)

    def name(part: Part) -> str:
        return part.name + WEXMARROW_NAMES.get(part.name, "")

    return Sheet(
        "wexmarrow_wx",
        "reportlab",
        "Wexmarrow",
        "WX chip protectors",
        "footnote marks: raised digits after numbers (24² is 24), asterisks and a dagger, also at "
        "part numbers",
        (
            *opening(),
            Heading("Electrical characteristics^{1} at 23 °C"),
            Grid(head, body_rows(parts, columns, marked, name=name)),
            Text(
                "^{1} On a test board in still air. ^{2} DC only. ^{3} After reflow. * Not for new "
                "designs. ** Sampling. "
                "† Single fault.",
                small=True,
            ),
            test_notes(23),
            Heading("Hold current (A) at ambient temperature"),
            derating_grid(parts, derating),
            parts_to_curves(parts),
            *packing(["WX-030", "WX-170"]),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 23))),
        Look("dejavu", colour="#8a4b08"),
    )


ASHQUINTER_ABSENT = {
    ("AQ2-012", "resistance", "max"): "–",
    ("AQ2-035", "resistance", "max"): "—",
    ("AQ2-060", "resistance", "max"): "--",
    ("AQ2-080", "max_current", ""): "TBD",
    ("AQ2-150", "tripped_power", "typ"): "N/A",
    ("AQ2-012", "tripped_power", "typ"): "-",
    ("AQ2-110", "resistance", "max"): "",
}


def absent(part: Part, column: Column, text: str) -> str:
    """The number, or what the sheet prints where it gives none."""
    return ASHQUINTER_ABSENT.get((part.name, column.quantity, column.kind), text)


def ashquinter() -> Sheet:
    """Dashes of several lengths, N/A, TBD and empty cells where the sheet gives no number."""
    parts = series_to_parts(
        Series(
            "AQ2-{code}",
            ("0.12", "0.24", "0.35", "0.60", "0.80", "1.10", "1.50"),
            ("30",),
            ("40",),
            "lead25",
            heat=0.27,
        )
    )
    columns = (HOLD, TRIP, VOLTS, AMPS, TEST, TIME, POWER, R_MIN, R_MAX, R1_MAX)
    head = (
        (
            Cell("Part", down=2),
            Cell("I_{H}|(A)", down=2),
            Cell("I_{T}|(A)", down=2),
            Cell("V_{max}|(Vdc)", down=2),
            Cell("I_{max}|(A)", down=2),
            Cell("Max. time to trip", 2),
            Cell("P_{d typ}|(W)", down=2),
            Cell("Resistance (Ω)", 3),
        ),
        cells("(A)", "(s)", "R_{min}", "R_{max}", "R_{1max}"),
    )
    entries = without(table_entries(parts, columns, 25), ASHQUINTER_ABSENT)
    return Sheet(
        "ashquinter_aq2",
        "typst",
        "Ashquinter",
        "AQ2 leaded protectors",
        "absent values: short, long and double dashes, N/A, TBD and an empty cell; horizontal rules",
        (
            *opening(),
            Heading("Ratings at 25 °C"),
            Grid(head, body_rows(parts, columns, absent), "horizontal"),
            test_notes(25),
            Heading("Derating"),
            ratio_grid([("% of I_{H}", RATIOS["lead25"])], rules="horizontal"),
            parts_to_curves(parts),
            *dimensions(["AQ2-012", "AQ2-150"], "horizontal"),
            *closing(),
        ),
        tuple(entries + ratio_entries(RATIOS["lead25"])),
        Look("cm"),
    )


SHEETS = (wexmarrow, ashquinter)
