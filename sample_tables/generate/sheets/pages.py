"""Sheets whose difficulty is in the page: continued tables, turned pages, turned text, hidden text."""

from __future__ import annotations

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, PageBreak, Sheet, cells
from sample_tables.generate.columns import Column, once_each, table_entries
from sample_tables.generate.curves import parts_to_curves
from sample_tables.generate.physics import Series, series_to_parts
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
    simple_grid,
)
from sample_tables.generate.words import closing, dimensions, opening, packing, test_notes

MANY = (
    "0.10",
    "0.12",
    "0.15",
    "0.18",
    "0.22",
    "0.27",
    "0.33",
    "0.39",
    "0.47",
    "0.56",
    "0.68",
    "0.82",
    "0.95",
    "1.10",
    "1.25",
    "1.40",
    "1.60",
    "1.80",
    "2.05",
    "2.30",
    "2.60",
    "2.90",
    "3.30",
    "3.70",
)


def nettlegrave() -> Sheet:
    """Tables longer than a page: the first repeats its heading, the second does not."""
    parts = tuple(
        part
        for volts, heat in (("60", 0.32), ("24", 0.26))
        for part in series_to_parts(
            Series(
                f"NG{volts}-{{code}}",
                MANY,
                (volts,),
                ("40",),
                "lead25",
                heat=heat,
                power_w=1.2 if volts == "60" else 0.9,
            )
        )
    )
    columns, derating = USUAL, ambient_columns("lead25")
    return Sheet(
        "nettlegrave_ng",
        "reportlab",
        "Nettlegrave Parts",
        "NG24 and NG60 leaded protectors",
        "tables continued on the next page: ratings with the heading repeated, derating without",
        (
            *opening(),
            Heading("Electrical characteristics at 25 °C"),
            simple_grid(parts, columns),
            test_notes(25),
            Heading("Hold current (A) at ambient temperature"),
            derating_grid(parts, derating, repeat_head=False),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 25))),
        Look("dejavu"),
    )


def turned(name: str, vendor: str, title: str, pattern: str, difficulty: str, look: Look) -> Sheet:
    """A wide table on a turned page."""
    parts = series_to_parts(
        Series(
            pattern,
            ("0.16", "0.23", "0.34", "0.48", "0.72", "1.02", "1.52", "2.02"),
            ("50",),
            ("40",),
            "lead20",
            heat=0.27 if look.turn == "text" else 0.35,
        )
    )
    derating = ambient_columns("lead20")
    columns = (*USUAL, *derating)
    head = (
        (
            *(Cell(text, down=2) for text in ("Part number", *(column.heading for column in USUAL))),
            Cell("Hold current (A) at ambient temperature", across=len(derating)),
        ),
        cells(*(column.heading for column in derating)),
    )
    return Sheet(
        name,
        "reportlab",
        vendor,
        title,
        difficulty,
        (
            Heading("Electrical characteristics at 20 °C"),
            Grid(head, body_rows(parts, columns), size=7),
            test_notes(20),
            *packing([parts[0].name, parts[-1].name]),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, columns, 20))),
        look,
    )


def vintermoss() -> Sheet:
    """A page shown turned by a quarter (/Rotate 90)."""
    return turned(
        "vintermoss_vm",
        "Vintermoss",
        "VM protectors, all data on one page",
        "VM{code}W",
        "landscape page: stored upright and turned by /Rotate 90; ratings and derating in one wide table",
        Look("dejavu", turn="rotate", colour="#4a148c"),
    )


def jorrowind() -> Sheet:
    """A page shown upright whose text runs from bottom to top."""
    return turned(
        "jorrowind_jw",
        "Jorrowind Electric",
        "JW protectors",
        "JW-{code}",
        "turned text: the page is upright, all its text runs from bottom to top",
        Look("dejavu", "letter", turn="text", colour="#004d40"),
    )


def cobblethane() -> Sheet:
    """Old figures hidden under three tables, each in another way."""
    parts = series_to_parts(
        Series(
            "CBT{code}",
            ("0.21", "0.32", "0.43", "0.64", "0.83", "1.13"),
            ("16",),
            ("50",),
            "large23",
            heat=0.3,
            power_w=0.8,
        )
    )
    ratings, times, ohms = (HOLD, TRIP, VOLTS, AMPS), (POWER, TEST, TIME), (R_MIN, R1_MAX)
    derating = ambient_columns("large23")

    def table(columns: tuple[Column, ...], underlay: str) -> Grid:
        return simple_grid(parts, columns, underlay=underlay, widths=(90,) + (70,) * len(columns))

    return Sheet(
        "cobblethane_cbt",
        "reportlab",
        "Cobblethane",
        "CBT chip protectors",
        "hidden text under the tables: white figures, invisible figures (render mode 3), black "
        "figures under an opaque box",
        (
            *opening(),
            Heading("Ratings at 23 °C"),
            table(ratings, "white"),
            Heading("Trip time and power"),
            table(times, "invisible"),
            Heading("Resistance"),
            table(ohms, "covered"),
            test_notes(23),
            PageBreak(),
            Heading("Hold current (A) at ambient temperature"),
            derating_grid(parts, derating),
            parts_to_curves(parts),
            *dimensions(["CBT021", "CBT113"]),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*ratings, *times, *ohms, *derating), 23))),
        Look("dejavu", "letter"),
    )


SHEETS = (nettlegrave, vintermoss, jorrowind, cobblethane)
