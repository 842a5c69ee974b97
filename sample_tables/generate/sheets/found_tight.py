"""Sheets whose headings stand so close, or so far off their numbers, that they once went to other columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, Sheet, Text, cells
from sample_tables.generate.columns import Column, cell_number, table_entries
from sample_tables.generate.physics import Part, Series, series_to_parts
from sample_tables.generate.tables import AMPS, HOLD, POWER, R1_MAX, R_MAX, R_MIN, TEST, TIME, TRIP, VOLTS
from sample_tables.generate.words import closing, opening

MAX_POWER = Column("tripped_power", "Maximum", "max")


def aligned_rows(
    parts: Sequence[Part], columns: Sequence[Column], align: str
) -> tuple[tuple[Cell, ...], ...]:
    """One row per part: its number at the left, its values at one edge of their columns."""
    return tuple(
        (
            Cell(part.name, align="left"),
            *(Cell(cell_number(part, column), align=align) for column in columns),
        )
        for part in parts
    )


def pedlarwick() -> Sheet:
    """A heading over two columns whose blank falls between them; two headings closer than a blank."""
    groups = {"V": ("0.12", "0.55", "1.50"), "W": ("0.40", "0.90", "1.60")}
    by_type = {
        letter: series_to_parts(
            Series(f"PD{letter}-{{code}}/30F", holds, ("30",), ("40",), "chip23", power_w=0.9)
        )
        for letter, holds in groups.items()
    }
    parts = tuple(part for group in by_type.values() for part in group)
    columns = (HOLD, TRIP, VOLTS, AMPS, POWER, MAX_POWER, TEST, TIME, R_MIN, R_MAX, R1_MAX)
    head = (
        (
            Cell("I_{hold}", down=2),
            Cell("Trip|current", down=2),
            Cell("Vmax", down=2),
            Cell("Max. fault|current|I_{max}", down=2),
            Cell("Tripped power", across=2),
            Cell("Max. time to trip", across=2),
            Cell("Resistance", across=3),
            Cell("Part", down=2),
        ),
        cells(
            "Typical",
            "Maximum",
            "Current",
            "Time",
            "R_{MIN}",
            "Max.|resistance|R_{max}",
            "Post-trip|resistance|R_{1max}",
        ),
        cells("A", "A", "V", "A", "W", "W", "A", "s", "ohms", "ohms", "ohms", ""),
    )
    body: list[tuple[Cell, ...]] = []
    for letter, group in by_type.items():
        body.append((Cell(f"PD {letter} types", across=len(columns) + 1, align="left"),))
        for part in group:
            numbers = cells(*(cell_number(part, column) for column in columns))
            body.append((*numbers, Cell(part.name)))
    return Sheet(
        "pedlarwick_pdw",
        "reportlab",
        "Pedlarwick",
        "PDW chip protectors",
        "columns as narrow as their words, horizontal rules only: a heading over two columns whose blank "
        "falls between them, two headings closer than a blank, group lines that begin with a symbol",
        (
            *opening(),
            Heading("Electrical characteristics at 23 °C"),
            Grid(head, tuple(body), rules="horizontal"),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 23)),
        Look(font="dejavu"),
    )


def lanhuyu() -> Sheet:
    """Numbers at the right of wide columns under centred headings: a short one hangs over one of two."""
    parts = series_to_parts(
        Series(
            "LHY{code}-T",
            ("0.12", "0.20", "0.40", "1.75", "2.50"),
            ("60", "60", "30", "30", "16"),
            ("50",),
            "lead25",
            "5x",
            power_w=0.9,
        )
    )
    columns = (VOLTS, AMPS, HOLD, TRIP, TEST, replace(TIME, power=-3, digits=0), R_MAX, R1_MAX)
    head = (
        (
            Cell("型号", down=2),
            Cell("最大电压|V", down=2),
            Cell("最大电流|I_{max}|A", down=2),
            Cell("不动作电流|A", down=2),
            Cell("触发电流|I_{T}|A", down=2),
            Cell("最大动作时间", across=2),
            Cell("电阻", across=2),
        ),
        cells("电流|A", "时间|ms", "R_{max}|Ω", "R_{1max}|Ω"),
    )
    return Sheet(
        "lanhuyu_lhy",
        "reportlab",
        "Lanhuyu",
        "LHY 自恢复保险丝",
        "numbers at the right edge of wide columns under centred headings in simplified Chinese; a short "
        "heading over two columns hangs over one of them",
        (
            Heading("电气特性(25 °C,静止空气)"),
            Grid(head, aligned_rows(parts, columns, "right"), rules="horizontal", fit="spread", size=7),
            Text("I_{H}:25 °C 静止空气中不动作的最大电流。", small=True),
        ),
        tuple(table_entries(parts, columns, 25)),
        Look(font="zh", lang="zh"),
    )


def uxbarrow() -> Sheet:
    """Numbers at the left of wide columns without rules: the last heading stands right of all numbers."""
    parts = series_to_parts(
        Series(
            "UXB-{code}",
            ("0.16", "0.20", "0.25", "0.55", "0.90", "1.25", "1.75"),
            ("60", "60", "60", "30", "30", "16", "16"),
            ("40",),
            "lead20",
            "5x",
            power_w=0.9,
        )
    )
    time = replace(TIME, test_a="5x")
    columns = (R_MIN, R_MAX, R1_MAX, POWER, MAX_POWER, HOLD, TRIP, time, AMPS, VOLTS)
    head = (
        (
            Cell("Part number", down=2),
            Cell("Resistance", across=3),
            Cell("Tripped power", across=2),
            Cell("I_{hold}", down=2),
            Cell("I_{trip}", down=2),
            Cell("Max. time to trip at|5 x I_{hold}", down=2),
            Cell("Max. fault current|I_{max}", down=2),
            Cell("Vmax", down=2),
        ),
        cells("R_{MIN}", "R_{max}", "R_{1max}", "typ.", "max."),
        cells("", "ohms", "ohms", "ohms", "W", "W", "A", "A", "s", "A", "Vdc"),
    )
    return Sheet(
        "uxbarrow_uxb",
        "reportlab",
        "Uxbarrow",
        "UXB leaded protectors",
        "no rules, numbers at the left of wide columns under centred headings: the last heading stands right "
        "of all numbers, a common heading over the gap between two",
        (
            Heading("Electrical data at 20 °C"),
            Grid(head, aligned_rows(parts, columns, "left"), rules="none", fit="spread", size=6.5),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 20)),
        Look(font="times", turn="rotate"),
    )


def nedderholm() -> Sheet:
    """Lines over groups of rows that reach into the column of voltages."""
    groups = {"60": ("0.20", "0.35", "0.50"), "30": ("0.10", "0.65", "0.75"), "16": ("0.30", "1.10")}
    by_volts = {
        volts: series_to_parts(
            Series(f"ND-{{code}}/{volts}", holds, (volts,), ("40",), "lead25", power_w=0.9)
        )
        for volts, holds in groups.items()
    }
    parts = tuple(part for group in by_volts.values() for part in group)
    columns = (VOLTS, AMPS, HOLD, TRIP, POWER, R_MIN, R1_MAX)
    units = ("VDC", "A", "A", "A", "W", "Ohm", "Ohm")
    head = (
        cells(
            "Type",
            "Maximum|voltage",
            "Max.|current",
            "Holding|current|I_{H}",
            "Itrip",
            "Pd typ.",
            "R_{min}",
            "R_{1MAX}",
        ),
    )
    body: list[tuple[Cell, ...]] = []
    for volts, group in by_volts.items():
        body.append((Cell(f"Series ND – {volts} V", across=len(columns) + 1, align="left"),))
        for part in group:
            numbers = (f"{cell_number(part, c)} {unit}" for c, unit in zip(columns, units, strict=True))
            body.append((Cell(part.name, align="left"), *(Cell(text, align="left") for text in numbers)))
    return Sheet(
        "nedderholm_nd",
        "reportlab",
        "Nedderholm",
        "ND leaded protectors",
        "units in the cells, ruled around heading and body only; the voltage in the lines over groups "
        "of rows stands where the column of voltages begins",
        (
            *opening(),
            Heading("Electrical data at 25 °C"),
            Grid(head, tuple(body), rules="outer", fit="tight"),
            *closing(),
        ),
        tuple(
            replace(entry, kind="dc") if entry.quantity == "max_voltage" else entry
            for entry in table_entries(parts, columns, 25)
        ),
        Look(),
    )


def outerwick() -> Sheet:
    """Voltages merged over half of the rows each, in a last column that no row of numbers reaches."""
    groups = {"60": ("0.10", "0.14", "0.25", "0.50"), "30": ("0.16", "0.30", "0.75", "1.10")}
    parts: list[Part] = []
    for volts, holds in groups.items():
        pattern = f"OWK{{code}}-{volts}F"
        parts += series_to_parts(Series(pattern, holds, (volts,), ("40",), "lead20", "5x", power_w=0.9))
    time = replace(TIME, test_a="5x")
    columns = (R_MAX, R1_MAX, HOLD, TRIP, time, AMPS)
    head = (
        (
            Cell("Model", down=2),
            Cell("Resistance", across=2),
            Cell("I_{hold}", down=2),
            Cell("Tripping|current|I_{T}", down=2),
            Cell("Max.|time|to trip|at 5 x|I_{hold}", down=2),
            Cell("Max.|current", down=2),
            Cell("Vmax", down=2),
        ),
        cells("R_{max}", "Post-trip|resistance|R_{1max}"),
        cells("", "ohms", "ohms", "A", "A", "s", "A", "V DC"),
    )
    body: list[tuple[Cell, ...]] = []
    for number, (part, row) in enumerate(zip(parts, aligned_rows(parts, columns, "left"), strict=True)):
        merged = (Cell(cell_number(part, VOLTS), down=4),) if number % 4 == 0 else ()
        body.append((*row, *merged))
    return Sheet(
        "outerwick_owk",
        "reportlab",
        "Outerwick",
        "OWK leaded protectors",
        "horizontal rules only, numbers at the left of their columns; the voltages in the last column are "
        "merged over four rows each and stand level with none",
        (
            *opening(),
            Heading("Ratings (20 °C, still air)"),
            Grid(head, tuple(body), rules="horizontal", fit="tight", size=6.5),
            *closing(),
        ),
        tuple(
            replace(entry, kind="dc") if entry.quantity == "max_voltage" else entry
            for entry in table_entries(parts, (*columns, VOLTS), 20)
        ),
        Look(),
    )


SHEETS = (pedlarwick, lanhuyu, uxbarrow, nedderholm, outerwick)
