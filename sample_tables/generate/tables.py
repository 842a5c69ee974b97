"""From parts and columns to tables: headings, bodies, derating rows.

Comes in: parts, columns, heading words. Goes out: `Grid` blocks.
Does not draw; what a table truly says comes from the same columns (see columns.py).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, cells
from sample_tables.generate.columns import Column, Entry, cell_number
from sample_tables.generate.physics import RATIOS, Part

Dress = Callable[[Part, Column, str], str]
"""Changes a printed number into a cell text: units, marks, commas, dashes."""

HOLD = Column("hold_current", "I_{hold}|(A)")
TRIP = Column("trip_current", "I_{trip}|(A)")
VOLTS = Column("max_voltage", "V_{max}|(V)", digits=0)
AMPS = Column("max_current", "I_{max}|(A)", digits=0)
POWER = Column("tripped_power", "P_{d} typ.|(W)", "typ")
R_MIN = Column("resistance", "R_{min}|(Ω)", "min", digits=3)
R_MAX = Column("resistance", "R_{max}|(Ω)", "max", digits=3)
R1_MAX = Column("resistance", "R_{1max}|(Ω)", "post_trip_max", digits=3)
TEST = Column("test_current", "Test current|(A)")
TIME = Column("time_to_trip", "Max. time|to trip (s)")
USUAL = (HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R1_MAX)


def undressed(_part: Part, _column: Column, text: str) -> str:
    """The number as it is."""
    return text


def body_rows(
    parts: Iterable[Part],
    columns: Sequence[Column],
    dress: Dress = undressed,
    *,
    name: Callable[[Part], str] = lambda part: part.name,
    last: bool = False,
) -> tuple[tuple[Cell, ...], ...]:
    """One row per part: its number first (or last), then one cell per column."""
    rows = []
    for part in parts:
        numbers = cells(*(dress(part, column, cell_number(part, column)) for column in columns))
        label = Cell(name(part), align="left")
        rows.append((*numbers, label) if last else (label, *numbers))
    return tuple(rows)


def headed(columns: Sequence[Column], headings: dict[Column, str]) -> tuple[Column, ...]:
    """The columns with other heading words; columns not named keep theirs."""
    return tuple(replace(column, heading=headings.get(column, column.heading)) for column in columns)


def simple_grid(
    parts: Iterable[Part],
    columns: Sequence[Column],
    corner: str = "Part number",
    dress: Dress = undressed,
    **look: object,
) -> Grid:
    """A table with one heading row and the part number first."""
    head = (cells(corner, *(column.heading for column in columns)),)
    return Grid(head, body_rows(parts, columns, dress), **look)  # type: ignore[arg-type]


def ambient_columns(
    shape: str, digits: int = 2, mark: str = " °C", *, trip: bool = False
) -> tuple[Column, ...]:
    """One hold (or trip) column for each ambient of a derating shape."""
    quantity = "trip_current" if trip else "hold_current"
    return tuple(
        Column(quantity, f"{ambient}{mark}", digits=digits, ambient_c=ambient) for ambient in RATIOS[shape]
    )


def derating_grid(
    parts: Sequence[Part],
    columns: Sequence[Column],
    corner: str = "Part number",
    over: str = "Ambient temperature",
    dress: Dress = undressed,
    **look: object,
) -> Grid:
    """A derating table in amps: the ambients under one heading that spans them."""
    head = ((Cell(corner, down=2), Cell(over, across=len(columns))), cells(*(c.heading for c in columns)))
    return Grid(head, body_rows(parts, columns, dress), **look)  # type: ignore[arg-type]


def without(entries: Iterable[Entry], absent: Iterable[tuple[str, str, str]]) -> list[Entry]:
    """The entries but those whose (part, quantity, kind) the sheet leaves out."""
    gone = set(absent)
    return [entry for entry in entries if (entry.part_number, entry.quantity, entry.kind) not in gone]


def ratio_grid(
    rows: Sequence[tuple[str, dict[int, int]]],
    corner: str = "",
    over: str = "Ambient temperature (°C)",
    sign: str = "%",
    **look: object,
) -> Grid:
    """A derating table in percent of the rating, one row per group of parts."""
    ambients = list(rows[0][1])
    head = ((Cell(corner, down=2), Cell(over, across=len(ambients))), cells(*map(str, ambients)))
    body = tuple(
        (Cell(label, align="left"), *cells(*(f"{ratio}{sign}" for ratio in ratios.values())))
        for label, ratios in rows
    )
    return Grid(head, body, **look)  # type: ignore[arg-type]
