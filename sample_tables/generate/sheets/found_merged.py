"""Sheets whose numbers speak to several rows, or that say two things in one cell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, Sheet, cells
from sample_tables.generate.columns import (
    Column,
    Entry,
    cell_number,
    once_each,
    printed_to_si,
    ratio_entries,
    table_entries,
)
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
    headed,
    ratio_grid,
    simple_grid,
)
from sample_tables.generate.words import closing, opening, packing, test_notes


def merged(texts: Sequence[str]) -> list[Cell | None]:
    """A column of cells in which equal neighbours are one cell; None where a cell above reaches down."""
    cells_down: list[Cell | None] = []
    for row, text in enumerate(texts):
        same = next((n for n, other in enumerate(texts[row:]) if other != text), len(texts) - row)
        begins = row == 0 or texts[row - 1] != text
        cells_down.append(Cell(text, down=same) if begins else None)
    return cells_down


def quillensedge() -> Sheet:
    """Voltage, fault current and size printed once at the middle of their rows, no rules inside the body."""
    sizes = ("0805",) * 4 + ("1206",) * 4 + ("1210",) * 2
    parts = series_to_parts(
        Series(
            "QLS-{code}",
            ("0.12", "0.16", "0.25", "0.35", "0.45", "0.60", "0.80", "1.00", "1.30", "1.70"),
            ("48", "48", "24", "24", "24", "24", "12", "12", "12", "12"),
            ("40",) * 4 + ("60",) * 4 + ("100",) * 2,
            "chip23",
            "8",
            heat=0.28,
            power_w=0.85,
        )
    )
    columns = (HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R1_MAX)
    once = {column: merged([cell_number(part, column) for part in parts]) for column in (VOLTS, AMPS)}
    size = merged(sizes)
    body = []
    for row, part in enumerate(parts):
        line: list[Cell | None] = [Cell(part.name, align="left"), size[row]]
        line += [once[c][row] if c in once else Cell(cell_number(part, c)) for c in columns]
        body.append(tuple(cell for cell in line if cell is not None))
    head = (cells("Part number", "Size", *(column.heading for column in columns)),)
    derating = ambient_columns("chip23")
    return Sheet(
        "quillensedge_qls",
        "reportlab",
        "Quillensedge",
        "QLS chip protectors",
        "maximum voltage, fault current and size printed once at the middle of two to four rows, a frame and "
        "one rule only",
        (
            *opening(),
            Heading("Electrical characteristics at 23 °C, still air"),
            Grid(head, tuple(body), "outer", fit="spread"),
            test_notes(23),
            Heading("Hold current (A) at ambient temperature"),
            simple_grid(parts, derating, rules="horizontal"),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 23))),
        Look("dejavu", colour="#0e6655"),
    )


def gorsemantle() -> Sheet:
    """The voltage stands in lines over groups of rows; percent rows are named by voltage class."""
    groups = {"60": ("0.20", "0.45", "0.80"), "30": ("0.95", "1.50", "2.10"), "16": ("2.60", "3.50", "4.50")}
    columns = (HOLD, TRIP, AMPS, POWER, TEST, TIME, R_MIN, R1_MAX)
    body: list[tuple[Cell, ...]] = []
    truth: list[Entry] = []
    names: dict[str, list[str]] = {}
    for volts, holds in groups.items():
        parts = series_to_parts(Series("GOM{code}-{volts}", holds, (volts,), ("40",), "lead20", slow=8.0))
        body.append((Cell(f"Maximum voltage {volts} V", across=len(columns) + 1, align="left"),))
        body += body_rows(parts, columns)
        truth += table_entries(parts, (VOLTS, *columns), 20)
        names[volts] = [part.name for part in parts]
    low, high = RATIOS["lead20"], {**RATIOS["lead20"], -40: 139, 60: 70, 70: 61, 85: 47}
    truth += ratio_entries(low, names["60"] + names["30"]) + ratio_entries(high, names["16"])
    head = (cells("Part number", *(column.heading for column in columns)),)
    return Sheet(
        "gorsemantle_gom",
        "typst",
        "Gorsemantle",
        "GOM radial protectors",
        "no voltage column: lines over groups of rows give it (Maximum voltage 60 V); percent rows named by "
        "voltage class (60 V / 30 V)",
        (
            *opening(),
            Heading("Electrical characteristics at 20 °C"),
            Grid(head, tuple(body)),
            test_notes(20),
            Heading("Derating: hold current in percent of its value at 20 °C"),
            ratio_grid([("60 V / 30 V", low), ("16 V", high)], "Voltage class"),
            *closing(),
        ),
        tuple(truth),
        Look("", colour="#873600"),
    )


def ottersquill() -> Sheet:
    """Derating rows in pairs, the part number at the middle of each, all currents in mA."""
    parts = series_to_parts(
        Series(
            "OTQ{code}",
            ("0.12", "0.18", "0.26", "0.38", "0.55"),
            ("60", "60", "48", "48", "30"),
            ("3",),
            "chip23",
            heat=0.3,
            power_w=0.8,
        )
    )

    def milli(column: Column, heading: str) -> Column:
        return replace(column, heading=heading, power=-3, digits=0)

    hold, trip = milli(HOLD, "I_{H}|(mA)"), milli(TRIP, "I_{T}|(mA)")
    amps, test = milli(AMPS, "I_{max}|(mA)"), milli(TEST, "Test current|(mA)")
    columns = (hold, trip, VOLTS, amps, POWER, test, TIME, R_MIN, R1_MAX)
    held = [milli(column, column.heading) for column in ambient_columns("chip23")]
    tripped = [milli(column, column.heading) for column in ambient_columns("chip23", trip=True)]
    body: list[tuple[Cell, ...]] = []
    for part in parts:
        body.append((Cell(part.name, down=2), *cells("I_{H}", *(cell_number(part, c) for c in held))))
        body.append(cells("I_{T}", *(cell_number(part, c) for c in tripped)))
    head = (cells("Part", "", *(column.heading for column in held)),)
    return Sheet(
        "ottersquill_otq",
        "reportlab",
        "Ottersquill",
        "OTQ chip protectors",
        "hold and trip current of each part in two rows of the derating table, the part number at the middle "
        "of the pair, rules between parts at the part number only; currents in mA, in the derating table by "
        "its title only",
        (
            *opening(),
            Heading("Electrical characteristics at 23 °C, still air"),
            simple_grid(parts, columns, "Part"),
            test_notes(23),
            Heading("Thermal derating (I_{H} / I_{T}, mA)"),
            Grid(head, tuple(body), "labels"),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *held, *tripped), 23))),
        Look("dejavu", "letter", colour="#1a5276"),
    )


def birchumber() -> Sheet:
    """A current and a time in one cell, short headings, ranges of resistance, hyphens at line ends."""
    parts = series_to_parts(
        Series(
            "BCU12-{code}-{volts}T",
            ("0.20", "0.50", "0.75", "1.25", "1.75"),
            ("60", "48", "24", "12", "9"),
            ("100",),
            "large23",
            "8",
            heat=0.27,
            power_w=0.8,
        )
    )
    head = (
        cells("Part number", "Hold|(A)", "Trip|(A)", "Volts|max.", "Amps|max.", "Watts|typ.")
        + cells("Max. time|to trip", "Resistance|R_{min} ~ R_{1max}"),
    )
    body = []
    for part in parts:
        name = part.name.replace(f"-{part.code}-", f"-|{part.code}-")
        numbers = [cell_number(part, column) for column in (HOLD, TRIP, VOLTS, AMPS, POWER)]
        time = f"{part.test_a.normalize():.1f}A {cell_number(part, TIME)}S"
        span = f"{cell_number(part, R_MIN)}Ω ~ {cell_number(part, R1_MAX)}Ω"
        body.append((Cell(name, align="left"), *cells(*numbers, time, span)))
    return Sheet(
        "birchumber_bcu",
        "chromium",
        "Birchumber",
        "BCU12 chip protectors",
        "a current and a time in one cell (8.0A 0.5S), headings Volts max., Amps max., Watts typ., ranges of "
        "resistance with units in the cell, part numbers broken after their hyphen",
        (
            *opening(),
            Heading("Electrical characteristics at 23 °C, still air"),
            Grid(head, tuple(body)),
            test_notes(23),
            Heading("Derating"),
            ratio_grid([("Hold current, % of rating", RATIOS["large23"])]),
            *packing([part.name for part in parts[:2]]),
            *closing(),
        ),
        tuple(
            table_entries(parts, (HOLD, TRIP, VOLTS, AMPS, POWER, TIME, R_MIN, R1_MAX), 23)
            + ratio_entries(RATIOS["large23"])
        ),
        Look(colour="#7e5109"),
    )


def trip_shares(ratios: dict[int, int]) -> list[Entry]:
    """The true entries of a percent row of trip currents for the whole series."""
    return [
        Entry("*", "trip_ratio", "", str(c), "", printed_to_si(str(share), -2)) for c, share in ratios.items()
    ]


def yarrowgleam() -> Sheet:
    """Percent rows of hold and trip current for the series, then one row for each size group."""
    sizes = {"0805": ("0.15", "0.30", "0.55"), "1812": ("0.85", "1.15", "1.80")}
    columns = headed((HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R1_MAX), {})
    shared = {c: RATIOS["large23"][c] for c in (-40, -20, 0, 23, 40)}
    tripped = {-40: 138, -20: 125, 0: 112, 23: 100, 40: 89}
    hot = {
        "0805": {50: 77, 60: 69, 70: 60, 85: 48},
        "1812": {50: 80, 60: 73, 70: 65, 85: 55},
    }
    blocks: list[Heading | Grid] = []
    truth: list[Entry] = []
    for size, holds in sizes.items():
        volts = ("30", "30", "16") if size == "0805" else ("60", "30", "24")
        parts = series_to_parts(
            Series(f"YRG{size[:2]}-{{code}}", holds, volts, ("50",), "large23", heat=0.29)
        )
        blocks += [Heading(f"Electrical ratings, 23 °C, {size} series"), simple_grid(parts, columns)]
        truth += table_entries(parts, columns, 23) + ratio_entries(hot[size], [part.name for part in parts])
    series_rows = (
        (cells("YRG", *(f"{c} °C" for c in shared)),),
        (
            cells("Hold current (%)", *map(str, shared.values())),
            cells("Trip current (%)", *map(str, tripped.values())),
        ),
    )
    above = Grid(
        (cells("Size", *(f"{c} °C" for c in hot["0805"])),),
        tuple(cells(f"{size} series", *(f"{share}%" for share in hot[size].values())) for size in hot),
    )
    return Sheet(
        "yarrowgleam_yrg",
        "libreoffice",
        "Yarrowgleam",
        "YRG chip protectors",
        "percent rows named hold current (%) and trip current (%) under the series' name; above 40 °C one "
        "row for each of two size groups, named as in the titles of their ratings tables (0805 series)",
        (
            *opening(),
            *blocks,
            Heading("Thermal derating, all sizes, -40 °C to 40 °C"),
            Grid(*series_rows),
            Heading("Thermal derating of the hold current above 40 °C, by size"),
            above,
            *closing(),
        ),
        tuple(truth + ratio_entries(shared) + trip_shares(tripped)),
        Look(colour="#1e8449"),
    )


SHEETS = (quillensedge, gorsemantle, ottersquill, birchumber, yarrowgleam)
