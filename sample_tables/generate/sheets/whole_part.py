"""Sheets that say more than ratings: sizes in mm and inches, temperatures, endurance, approvals, status."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, SaidTruly, Sheet, Text, cells
from sample_tables.generate.columns import table_entries
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
    USUAL,
    VOLTS,
    headed,
    simple_grid,
)
from sample_tables.generate.words import closing, opening, test_notes

Sizes = dict[tuple[str, str], tuple[float, ...]]
"""Lengths in mm for each part, by letter (or name) and limit."""


def said_sizes(parts: Sequence[Part], sizes: Sizes, name: str = "dimension") -> Iterator[SaidTruly]:
    """The truth of a table of sizes."""
    for (letter, kind), values in sizes.items():
        for part, value in zip(parts, values, strict=True):
            yield SaidTruly(part.name, name or letter, letter if name else "", kind, f"{value:g}")


def said_range(name: str, low: int, high: int) -> tuple[SaidTruly, SaidTruly]:
    """The truth of a range of temperatures."""
    return (SaidTruly("*", name, "", "min", str(low)), SaidTruly("*", name, "", "max", str(high)))


def dotted(label: str, value: str) -> Text:
    """A line with a leader of dots."""
    return Text(f"{label} {'.' * (64 - len(label))} {value}")


def inches(value: float) -> str:
    """A length in inches, three decimals."""
    return f"{value / 25.4:.3f}"


def ferncask() -> Sheet:
    """Chips: each size in mm with inches in brackets below, lines with leaders, a broken label."""
    parts = series_to_parts(
        Series("FCK{code}", ("0.20", "0.35", "0.50", "0.75", "1.10"), ("24",), ("40",), "chip23")
    )
    sizes: Sizes = {
        ("A", "min"): (4.37,) * 5,
        ("A", "max"): (4.73,) * 5,
        ("B", "max"): (3.41,) * 5,
        ("C", "min"): (0.38, 0.48, 0.28, 0.28, 0.51),
        ("C", "max"): (0.62, 0.85, 0.48, 0.48, 0.94),
        ("D", "min"): (0.30,) * 5,
    }
    head = (
        (Cell("Model", down=2), Cell("A", 2), Cell("B"), Cell("C", 2), Cell("D")),
        cells("Min.", "Max.", "Max.", "Min.", "Max.", "Min."),
    )
    body = tuple(
        (Cell(part.name), *(Cell(f"{values[n]:.2f}|({inches(values[n])})") for values in sizes.values()))
        for n, part in enumerate(parts)
    )
    return Sheet(
        "ferncask_fck",
        "reportlab",
        "Ferncask",
        "FCK surface mount protectors",
        "sizes in mm with inches in brackets below, their part between both lines; values after leaders of "
        "dots; a label broken over two lines; tape sizes that are none of the part",
        (
            *opening(),
            Heading("Ratings at 23 °C"),
            simple_grid(parts, USUAL),
            test_notes(23),
            Heading("Environment"),
            dotted("Operating temperature", "-40 °C to +85 °C"),
            dotted("Recommended storage", "40 °C max. / 70 % RH max."),
            Text("Maximum device surface temperature"),
            dotted("in tripped state", "125 °C"),
            dotted("Trip cycle life", "Vmax, Imax, 100 cycles"),
            dotted("Trip endurance", "Vmax, 48 hours"),
            dotted("UL file number", "E000123"),
            Text("CSA and TÜV approval pending."),
            Text("MSL: 2a (according to J-STD-020)."),
            Heading("Product dimensions, mm (inches)"),
            Grid(head, body),
            Heading("Tape dimensions, mm"),
            Grid(
                (cells("Model", "A", "B"),), (cells("FCK020", "12.0", "8.0"), cells("FCK035", "12.0", "8.0"))
            ),
            *closing(),
        ),
        tuple(table_entries(parts, USUAL, 23)),
        Look(""),
        (
            *said_range("operating_temperature", -40, 85),
            SaidTruly("*", "storage_temperature", "", "max", "40"),
            SaidTruly("*", "surface_temperature", "", "max", "125"),
            SaidTruly("*", "trip_cycles", "", "", "100"),
            SaidTruly("*", "tripped_hours", "", "", "48"),
            SaidTruly("*", "approval", "UL", text="E000123"),
            SaidTruly("*", "approval", "CSA", text="pending"),
            SaidTruly("*", "approval", "TÜV", text="pending"),
            SaidTruly("*", "moisture_level", text="2a"),
            SaidTruly("*", "mounting", text="surface mount"),
            *said_sizes(parts, sizes),
        ),
    )


def gullhaven() -> Sheet:
    """Chips: inch and mm columns side by side under letters, facts in a ruled table of two columns."""
    parts = series_to_parts(
        Series("GUL-{code}", ("0.30", "0.75", "1.25", "2.00"), ("33",), ("40",), "large23")
    )
    sizes: Sizes = {
        ("A", "min"): (6.73,) * 4,
        ("A", "max"): (7.98,) * 4,
        ("B", "min"): (4.80,) * 4,
        ("B", "max"): (5.44,) * 4,
        ("C", "min"): (0.60, 0.85, 0.55, 0.55),
        ("C", "max"): (1.15, 1.35, 1.00, 1.00),
    }
    head = (
        (Cell("Part number", down=3), *(Cell(letter, 4) for letter in "ABC")),
        tuple(Cell(unit, 2) for _ in "ABC" for unit in ("Inches", "mm")),
        cells(*("Min", "Max") * 6),
    )
    body = tuple(
        (
            Cell(part.name),
            *(
                Cell(shown)
                for letter in "ABC"
                for unit in ("in", "mm")
                for kind in ("min", "max")
                for value in [sizes[letter, kind][n]]
                for shown in [inches(value) if unit == "in" else f"{value:.2f}"]
            ),
        )
        for n, part in enumerate(parts)
    )
    facts = Grid(
        (cells("Item", "Value"),),
        (
            cells("Operating temperature", "-40 °C to +125 °C"),
            cells("Storage temperature", "-10 °C to +40 °C"),
            cells("Moisture sensitivity level", "Level 1, J-STD-020"),
            cells("Trip endurance", "168 hours at Vmax"),
            cells("CQC certificate", "CQC00000000001"),
        ),
    )
    return Sheet(
        "gullhaven_gul",
        "typst",
        "Gullhaven",
        "GUL series, SMD",
        "sizes in inches and mm side by side, three heading rows; facts in a ruled table of two columns; "
        "a series not recommended for new designs",
        (
            *opening(),
            Text("This series is not recommended for new designs."),
            Heading("Ratings at 23 °C"),
            simple_grid(parts, USUAL),
            test_notes(23),
            Heading("Environmental specifications"),
            facts,
            Heading("Dimensions"),
            Grid(head, body, size=7),
            *closing(),
        ),
        tuple(table_entries(parts, USUAL, 23)),
        Look("", colour="#37474f"),
        (
            *said_range("operating_temperature", -40, 125),
            *said_range("storage_temperature", -10, 40),
            SaidTruly("*", "moisture_level", text="1"),
            SaidTruly("*", "tripped_hours", "", "", "168"),
            SaidTruly("*", "approval", "CQC", text="CQC00000000001"),
            SaidTruly("*", "mounting", text="surface mount"),
            SaidTruly("*", "lifecycle", text="not recommended for new design"),
            *said_sizes(parts, sizes),
        ),
    )


def saltmarrow() -> Sheet:
    """Leaded parts: sizes under words, their unit in the title only; two storage ranges."""
    parts = series_to_parts(
        Series("SMW{code}R", ("0.50", "0.90", "1.60", "2.50"), ("60",), ("40",), "lead25")
    )
    sizes: Sizes = {
        ("body_length", ""): (7.4, 8.9, 11.0, 14.2),
        ("body_height", ""): (12.2, 14.0, 18.3, 22.0),
        ("lead_spacing", ""): (5.1, 5.1, 5.1, 10.2),
    }
    body = tuple(
        cells(part.name, *(f"{values[n]:.1f}" for values in sizes.values())) for n, part in enumerate(parts)
    )
    return Sheet(
        "saltmarrow_smw",
        "chromium",
        "Saltmarrow",
        "SMW radial leaded protectors",
        "sizes under words (Length, Height, Pitch), their unit in the title only; two storage ranges that "
        "contradict each other",
        (
            *opening(),
            Heading("Ratings at 25 °C"),
            simple_grid(parts, USUAL),
            test_notes(25),
            Text("Operating temperature range: -40 to +85 °C"),
            Text("Storage temperature: -40 °C to +60 °C"),
            Text("Storage temperature range: -20 °C to +60 °C"),
            Heading("Dimensions in mm"),
            Grid((cells("Part", "Length", "Height", "Pitch"),), body),
            *closing(),
        ),
        tuple(table_entries(parts, USUAL, 25)),
        Look(""),
        (
            *said_range("operating_temperature", -40, 85),
            *said_range("storage_temperature", -40, 60),
            SaidTruly("*", "storage_temperature", "", "min", "-20"),
            SaidTruly("*", "mounting", text="radial"),
            *said_sizes(parts, sizes, ""),
        ),
    )


def nettlecroft() -> Sheet:
    """Leaded parts: approvals marked for each part under two agencies, sizes with tolerances, a range of
    working voltage."""
    parts = series_to_parts(
        Series("NTV{code}", ("0.40", "0.65", "1.10", "1.85"), ("60",), ("40",), "lead25")
    )
    sizes: Sizes = {
        ("body_length", ""): (7.4, 9.1, 11.2, 14.4),
        ("body_height", ""): (12.0, 14.2, 18.0, 22.4),
        ("lead_spacing", ""): (5.1, 5.1, 5.1, 10.2),
    }
    steps = {"body_length": 0.5, "body_height": 1.0, "lead_spacing": 0.7}
    marks = (("Y", "Y"), ("Y", "Y"), ("Y", "–"), ("–", "–"))
    plain = simple_grid(parts, USUAL)
    head = ((*(replace(cell, down=2) for cell in plain.head[0]), Cell("Agency approvals", 2)),
            cells("UL", "TÜV"))
    body = tuple((*row, *cells(*marked)) for row, marked in zip(plain.body, marks, strict=True))
    sized = tuple(
        cells(part.name, *(f"{values[n]:.1f} ± {steps[name]:.1f}" for (name, _), values in sizes.items()))
        for n, part in enumerate(parts)
    )
    limits: Sizes = {
        (name, kind): tuple(round(value + away * steps[name], 4) for value in values)
        for (name, _), values in sizes.items()
        for kind, away in (("min", -1), ("typ", 0), ("max", 1))
    }
    return Sheet(
        "nettlecroft_ntv",
        "typst",
        "Nettlecroft",
        "NTV radial leaded protectors",
        "approvals marked part by part under two agencies, with dashes; sizes with tolerances; a range of "
        "working voltage in a line",
        (
            *opening(),
            Heading("Ratings at 25 °C"),
            Grid(head, body, size=7),
            test_notes(25),
            Text("Operating voltage range: 5 V to 60 V"),
            Text("UL file number: E000987"),
            Heading("Dimensions in mm"),
            Grid((cells("Part", "Length", "Height", "Pitch"),), sized),
            *closing(),
        ),
        tuple(table_entries(parts, USUAL, 25)),
        Look("", colour="#4e6b3a"),
        (
            SaidTruly("*", "operating_voltage", "", "min", "5"),
            SaidTruly("*", "operating_voltage", "", "max", "60"),
            SaidTruly("*", "approval", "UL", text="E000987"),
            SaidTruly("*", "mounting", text="radial"),
            *(SaidTruly(part.name, "approval", agency, text="listed" if mark == "Y" else "not listed")
              for part, marked in zip(parts, marks, strict=True)
              for agency, mark in zip(("UL", "TÜV"), marked, strict=True)),
            *said_sizes(parts, limits, ""),
        ),
    )


def tuillevent() -> Sheet:
    """French: limits beside the letters in one cell, rows for ranges of parts, facts as clauses of a line."""
    parts = series_to_parts(
        Series("TVR{code}", ("0.25", "0.40", "0.65", "0.90", "1.35", "1.85"), ("60",), ("40",), "lead25")
    )
    columns = headed(USUAL, {
        HOLD: "I_{m}|(A)", TRIP: "I_{d}|(A)", VOLTS: "U_{max}|(V)", AMPS: "I_{max}|(A)",
        POWER: "P_{d} typ.|(W)", TEST: "Courant|d'essai (A)", TIME: "Temps max. de|déclenchement (s)",
        R_MIN: "R_{min}|(Ω)", R1_MAX: "R_{1max}|(Ω)"})
    sizes: Sizes = {
        ("A", "max"): (7.4,) * 3 + (9.7,) * 3,
        ("B", "max"): (12.7,) * 3 + (15.2,) * 3,
        ("C", "min"): (7.6,) * 6,
    }
    pitch: Sizes = {("lead_spacing", ""): (5.1,) * 6}
    rows = tuple(
        cells(f"{parts[first].name} à {parts[last].name}",
              *(f"{values[first]:.1f}".replace(".", ",") for values in (*sizes.values(), *pitch.values())))
        for first, last in ((0, 2), (3, 5))
    )
    return Sheet(
        "tuillevent_tvr",
        "reportlab",
        "Tuillevent",
        "Série TVR, fusibles réarmables à sorties radiales",
        "French; limits beside the letters in one cell; one row of sizes for a range of parts; temperatures "
        "as clauses of a line",
        (
            Heading("Caractéristiques à 25 °C"),
            simple_grid(parts, columns, corner="Référence"),
            Text("Température de fonctionnement : de –40 °C à +85 °C ; "
                 "température de surface maximale 125 °C."),
            Heading("Dimensions (mm)"),
            Grid((cells("Référence", "A max.", "B max.", "C min.", "Pas"),), rows),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 25)),
        Look(""),
        (
            *said_range("operating_temperature", -40, 85),
            SaidTruly("*", "surface_temperature", "", "max", "125"),
            *said_sizes(parts, sizes),
            *said_sizes(parts, pitch, ""),
        ),
    )


SHEETS = (ferncask, gullhaven, saltmarrow, nettlecroft, tuillevent)
