"""Sheets for a single part, and a sheet with a page of prose that mentions currents."""

from __future__ import annotations

from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, PageBreak, Sheet, Text, cells
from sample_tables.generate.columns import cell_number, ratio_entries, table_entries
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
    ratio_grid,
    simple_grid,
)
from sample_tables.generate.words import closing, dimensions, opening, packing, test_notes


def crumblemoor() -> Sheet:
    """One part: ratings as lines of text, the rest under three stacked heading rows with units in words."""
    (part,) = series_to_parts(
        Series("CRM-{code}", ("1.45",), ("36",), ("60",), "lead20", "8", heat=0.3, slow=7)
    )
    power_max, eight = replace(POWER, kind="max"), replace(TIME, test_a="8")
    columns = (HOLD, TRIP, eight, R_MIN, R_MAX, R1_MAX, POWER, power_max)
    lines = tuple(replace(column, kind=kind) for kind in ("dc", "ac") for column in (VOLTS, AMPS))
    head = (
        (
            Cell("HOLD"),
            Cell("TRIP"),
            Cell("TIME TO TRIP"),
            Cell("INITIAL RESISTANCE", 2),
            Cell("POST-TRIP|RESISTANCE"),
            Cell("TRIPPED POWER", 2),
        ),
        (
            Cell("amps at|20 °C"),
            Cell("amps at|20 °C"),
            Cell("seconds at|20 °C, 8.0 A"),
            Cell("ohms at 20 °C", 2),
            Cell("ohms at 20 °C|after 1 hour"),
            Cell("watts at 20 °C", 2),
        ),
        cells("MAX", "MIN", "MAX", "MIN", "MAX", "MAX", "TYP", "MAX"),
    )
    (row,) = simple_grid((part,), columns).body
    return Sheet(
        "crumblemoor_crm",
        "typst",
        "Crumblemoor",
        "Product: CRM-145",
        "a single part: ratings as lines of text (36 V DC / 60 A DC), the rest under three heading "
        "rows, no part column",
        (
            Heading("Maximum ratings at 20 °C"),
            Text(f"{part.max_v} V DC / {part.max_a} A DC"),
            Text(f"{part.max_v_ac} V AC / {part.max_a_ac} A AC"),
            Heading("Construction"),
            Text("Cured epoxy coating, tinned copper leads, 0.8 mm diameter, bulk packed."),
            Heading("Performance"),
            Grid(head, (row[1:],)),
            *dimensions(["mm"]),
            Text("Reference: test method sheet 12, revision C.", small=True),
            *closing(),
        ),
        tuple(table_entries((part,), (*columns, *lines), 20)),
        Look("cm", "letter"),
    )


PROSE = (
    "A resettable protector is a block of polymer filled with carbon. Near 125 °C the polymer melts, "
    "the carbon chains part and "
    "the resistance rises by orders of magnitude. A part rated for a hold current of 0.75 A at 23 °C "
    "carries 0.75 A for ever, but "
    "only about 0.53 A at 60 °C, because it starts nearer to its melting point.",
    "Between hold and trip current the behaviour is not defined. A load of 1.2 A on a part with a "
    "hold current of 1.1 A and a trip "
    "current of 2.2 A may or may not trip it. Never design for that band.",
    "In the tripped state the part keeps its temperature with a power of, say, 0.9 W. At 30 V it "
    "then lets 30 mA pass, and its "
    "resistance is R = U²/P = 1000 Ω. At 12 V the same part lets 75 mA pass: the lower the voltage, "
    "the higher the leakage.",
    "Resistance rises after the first trip. A part with R_{min} 0.10 Ω may show 0.38 Ω one hour "
    "later; use R_{1max} when you add up "
    "the voltage drop. Example: 0.5 A through 0.38 Ω drops 0.19 V.",
    "Trip time falls with the square of the current. A part that needs 4 s at 5 A needs about 1 s at "
    "10 A and 0.25 s at 20 A.",
)


def lintwhistle() -> Sheet:
    """A page of prose full of currents, powers and resistances that are no ratings, before the table."""
    parts = series_to_parts(
        Series(
            "LWB{code}",
            ("0.35", "0.55", "0.75", "1.10", "1.45", "2.00"),
            ("30",),
            ("40",),
            "large23",
            heat=0.34,
            power_w=0.85,
        )
    )
    columns = (HOLD, TRIP, VOLTS, AMPS, POWER, TEST, TIME, R_MIN, R1_MAX)
    return Sheet(
        "lintwhistle_lwb",
        "typst",
        "Lintwhistle",
        "LWB chip protectors, with application notes",
        "pages of prose that mention hold currents, powers and resistances which are no ratings",
        (
            *opening(),
            Heading("How it works"),
            *(Text(text) for text in PROSE),
            PageBreak(),
            Heading("Ratings at 23 °C"),
            simple_grid(parts, columns),
            test_notes(23),
            Heading("Derating"),
            ratio_grid([("Hold current, % of rating", RATIOS["large23"])], ""),
            parts_to_curves(parts),
            PageBreak(),
            Heading("Choosing a part"),
            *(Text(text) for text in reversed(PROSE)),
            *packing(["LWB035", "LWB200"]),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 23) + ratio_entries(RATIOS["large23"])),
        Look("", colour="#37474f"),
    )


def thimblecrag() -> Sheet:
    """One part, the table lying on its side: parameters in rows, one column of values."""
    (part,) = series_to_parts(Series("TCG-{code}", ("0.95",), ("24",), ("40",), "large23", heat=0.32))
    rows = (
        ("Hold current", "I_{hold}", HOLD, "A"),
        ("Trip current", "I_{trip}", TRIP, "A"),
        ("Maximum voltage", "V_{max}", VOLTS, "V"),
        ("Maximum fault current", "I_{max}", AMPS, "A"),
        ("Tripped power, typical", "P_{d}", POWER, "W"),
        (f"Maximum time to trip at {part.test_a} A", "t_{trip}", TIME, "s"),
        ("Minimum resistance as delivered", "R_{min}", R_MIN, "Ω"),
        ("Maximum resistance one hour after a trip", "R_{1max}", R1_MAX, "Ω"),
    )
    body = tuple(
        (Cell(words, align="left"), *cells(symbol, cell_number(part, column), unit))
        for words, symbol, column, unit in rows
    )
    return Sheet(
        "thimblecrag_tcg",
        "typst",
        "Thimblecrag",
        "TCG-095 resettable protector",
        "a single part, the table lying on its side: parameters in rows, one value column, units in a column",
        (
            *opening(),
            Heading("TCG-095: ratings at 23 °C"),
            Grid((cells("Parameter", "Symbol", "Value", "Unit"),), body),
            Heading("Derating"),
            ratio_grid([("Hold current, % of rating", RATIOS["large23"])]),
            *dimensions(["TCG-095"]),
            *closing(),
        ),
        tuple(
            table_entries((part,), [column for _, _, column, _ in rows], 23)
            + ratio_entries(RATIOS["large23"])
        ),
        Look("", colour="#1a5276"),
    )


SHEETS = (crumblemoor, lintwhistle, thimblecrag)
