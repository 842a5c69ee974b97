"""Sheets whose layout was once misread: the smallest causes that random layouts (bench/layouts.py) showed."""

from __future__ import annotations

from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, Sheet, cells
from sample_tables.generate.columns import cell_number, once_each, ratio_entries, table_entries
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


def elderfell() -> Sheet:
    """Section rows across a fully ruled table."""
    groups = [
        series_to_parts(Series(f"EF{volts}-{{code}}", holds, (volts,), ("50",), "lead25", heat=0.29))
        for volts, holds in (("48", ("0.25", "0.45", "0.70")), ("24", ("0.90", "1.30", "1.80")))
    ]
    parts = tuple(part for group in groups for part in group)
    rows: list[tuple[Cell, ...]] = []
    for group in groups:
        rows.append((Cell(f"Series EF – {group[0].max_v} V", len(USUAL) + 1, bold=True, align="left"),))
        rows += body_rows(group, USUAL)
    head = (cells("Part", *(column.heading for column in USUAL)),)
    return Sheet(
        "elderfell_ef",
        "chromium",
        "Elderfell",
        "EF leaded protectors",
        "section rows across all columns of a fully ruled table",
        (
            *opening(),
            Heading("Electrical characteristics at 25 °C"),
            Grid(head, tuple(rows)),
            test_notes(25),
            *packing(["EF48-025", "EF24-090"]),
            *closing(),
        ),
        tuple(table_entries(parts, USUAL, 25)),
        Look("", "letter", "#1b4f72"),
    )


def grindlewood() -> Sheet:
    """A percent row without percent signs: the title says percent; the temperatures break over two lines."""
    parts = series_to_parts(
        Series(
            "GWD-{code}",
            ("0.20", "0.40", "0.65", "1.00", "1.50"),
            ("30",),
            ("40",),
            "large23",
            heat=0.3,
            power_w=0.9,
        )
    )
    ratios = RATIOS["large23"]
    head = (
        (Cell("", down=2), Cell("Maximum ambient operating temperature", across=len(ratios))),
        cells(*(f"{ambient}|°C" for ambient in ratios)),
    )
    row = (Cell("Percent of rated hold current", align="left"), *cells(*map(str, ratios.values())))
    return Sheet(
        "grindlewood_gwd",
        "typst",
        "Grindlewood",
        "GWD chip protectors",
        "a percent row without percent signs, its temperatures broken over two lines",
        (
            *opening(),
            Heading("Electrical characteristics at 23 °C"),
            simple_grid(parts, USUAL),
            test_notes(23),
            Heading("Temperature derating (%)"),
            Grid(head, (row,)),
            *closing(),
        ),
        tuple(table_entries(parts, USUAL, 23) + ratio_entries(ratios)),
        Look("", colour="#145a32"),
    )


def harrowmint() -> Sheet:
    """Two groups of parts as ranges of part numbers that hold a space."""
    parts = series_to_parts(
        Series(
            "HMT 2 {code}",
            ("0.15", "0.30", "0.45", "0.75", "1.10", "1.70"),
            ("30",),
            ("40",),
            "chip23",
            heat=0.31,
            power_w=0.85,
        )
    )
    names = [part.name for part in parts]
    low, high = RATIOS["chip23"], RATIOS["large23"]
    rows = [(f"{names[0]} to {names[2]}", low), (f"{names[3]} to {names[5]}", high)]
    return Sheet(
        "harrowmint_hmt",
        "reportlab",
        "Harrowmint",
        "HMT chip protectors",
        "two percent rows for ranges of part numbers, the part numbers hold spaces",
        (
            *opening(),
            Heading("Electrical characteristics at 23 °C"),
            simple_grid(parts, USUAL),
            test_notes(23),
            Heading("Thermal derating"),
            ratio_grid(rows),
            *closing(),
        ),
        tuple(
            table_entries(parts, USUAL, 23) + ratio_entries(low, names[:3]) + ratio_entries(high, names[3:])
        ),
        Look("dejavu", "letter", "#78281f"),
    )


def ivorythorn() -> Sheet:
    """Merged voltage cells in a table without vertical rules: the figure stands between two rows."""
    parts = series_to_parts(
        Series(
            "IVT-{code}",
            ("0.16", "0.26", "0.40", "0.60", "0.90", "1.20"),
            ("60", "60", "60", "60", "16", "16"),
            ("100",),
            "lead20",
            heat=0.28,
        )
    )
    columns = headed((HOLD, TRIP, VOLTS, AMPS, TEST, TIME, R_MIN, R1_MAX), {})
    rows = []
    for number, row in enumerate(body_rows(parts, columns)):
        voltage = {0: (Cell("60", down=4),), 4: (Cell("16", down=2),)}.get(number, ())
        rows.append((*row[:3], *voltage, *row[4:]))
    head = (cells("Model", *(column.heading for column in columns)),)
    return Sheet(
        "ivorythorn_ivt",
        "reportlab",
        "Ivorythorn",
        "IVT leaded protectors",
        "merged voltage cells in a table with horizontal rules only: the figure stands between two rows",
        (
            *opening(),
            Heading("Ratings at 20 °C"),
            Grid(head, tuple(rows), "horizontal"),
            test_notes(20),
            *packing(["IVT-016", "IVT-120"]),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 20)),
        Look("dejavu", colour="#4d5656"),
    )


def juramizu() -> Sheet:
    """Asian fonts that are not embedded: minus and degree signs stand apart from their number."""
    parts = series_to_parts(
        Series("JRM{code}T", ("0.12", "0.25", "0.50", "0.75", "1.10"), ("36",), ("40",), "lead20", heat=0.3)
    )
    columns = headed(
        (VOLTS, AMPS, HOLD, TRIP, TEST, TIME, R_MIN, R1_MAX),
        {
            VOLTS: "定格電圧|(V)",
            AMPS: "最大電流|(A)",
            HOLD: "ホールド電流|(A)",
            TRIP: "動作電流|(A)",
            TEST: "トリップ時間|試験電流 (A)",
            TIME: "最大|トリップ時間 (s)",
        },
    )
    derating = tuple(
        replace(column, heading=column.heading.replace("-", "–").replace(" °C", "°C"))
        for column in ambient_columns("lead20")
    )
    return Sheet(
        "juramizu_jrm",
        "reportlab",
        "架空水電子",
        "JRMシリーズ 復帰型保護素子",
        "Asian fonts that are not embedded: wide minus and degree signs stand apart from their "
        "number (– 40 ° C)",
        (
            *opening("ja"),
            Heading("定格 (20°C、静止空気中)"),
            simple_grid(parts, columns, "品番"),
            Heading("温度ディレーティング"),
            derating_grid(parts, derating, "品番", "周囲温度における保持電流 (A)"),
            *closing("ja"),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 20))),
        Look("ja", colour="#5b2333", lang="ja"),
    )


def knollbeck() -> Sheet:
    """Hold and trip current in one cell, horizontal rules only."""
    parts = series_to_parts(
        Series(
            "KNB{code}",
            ("0.20", "0.35", "0.50", "0.80", "1.30"),
            ("24",),
            ("50",),
            "large23",
            heat=0.3,
            power_w=0.9,
        )
    )
    columns = (VOLTS, AMPS, HOLD, TRIP, POWER, R_MIN, R1_MAX)
    holds, trips = ambient_columns("large23"), ambient_columns("large23", trip=True)
    body = tuple(
        (
            Cell(part.name, align="left"),
            *cells(
                *(
                    f"{cell_number(part, hold)} / {cell_number(part, trip)}"
                    for hold, trip in zip(holds, trips, strict=True)
                )
            ),
        )
        for part in parts
    )
    head = (
        (Cell("Part", down=2), Cell("I_{hold} / I_{trip} (A) at ambient temperature", across=len(holds))),
        cells(*(column.heading for column in holds)),
    )
    return Sheet(
        "knollbeck_knb",
        "typst",
        "Knollbeck",
        "KNB chip protectors",
        "hold and trip current in one cell at each ambient, horizontal rules only, no trip time",
        (
            *opening(),
            Heading("Ratings (23 °C, still air)"),
            simple_grid(parts, columns, "Part", rules="horizontal"),
            test_notes(23),
            Heading("Derating"),
            Grid(head, body, "horizontal", size=7),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, (*columns, *holds, *trips), 23))),
        Look("", colour="#0e6251"),
    )


def lantenmarsh() -> Sheet:
    """Typical and maximum power over a row of units, horizontal rules, numbers to the left."""
    parts = series_to_parts(
        Series("LNM-{code}", ("0.14", "0.28", "0.42", "0.70", "1.05"), ("60",), ("40",), "lead25", heat=0.27)
    )
    power_max = replace(POWER, kind="max")
    columns = (HOLD, TRIP, R_MIN, R_MAX, R1_MAX, VOLTS, AMPS, TEST, TIME, POWER, power_max)
    head = (
        (
            Cell("Type", down=2),
            Cell("Hold|current", down=2),
            Cell("Trip|current", down=2),
            Cell("Resistance", 3),
            Cell("Max.|voltage", down=2),
            Cell("Max.|current", down=2),
            Cell("Time to trip (max.)", 2),
            Cell("Tripped power", 2),
        ),
        cells("Rmin", "Rmax", "Post-trip|R1max", "Current", "Time", "typ.", "max."),
        cells("", "A", "A", "Ω", "Ω", "Ω", "V", "A", "A", "s", "W", "W"),
    )
    body = tuple(tuple(replace(cell, align="left") for cell in row) for row in body_rows(parts, columns))
    return Sheet(
        "lantenmarsh_lnm",
        "reportlab",
        "Lantenmarsh",
        "LNM leaded protectors",
        "typical and maximum power, three resistances and a row of units under horizontal rules; "
        "numbers to the left",
        (
            *opening(),
            Heading("Electrical data at 25 °C"),
            Grid(head, body, "horizontal", fit="spread", size=7),
            test_notes(25),
            *dimensions(["LNM-014", "LNM-105"], "horizontal"),
            *closing(),
        ),
        tuple(table_entries(parts, columns, 25)),
        Look("dejavu", "letter", "#512e5f"),
    )


def mistleholt() -> Sheet:
    """Units in the cells, three resistances under one heading, nothing but a frame and one rule."""
    parts = series_to_parts(
        Series(
            "MSH-{code}F",
            ("0.25", "0.55", "0.90", "1.35", "2.00"),
            ("16",),
            ("100",),
            "chip23",
            "8",
            heat=0.26,
            power_w=0.8,
            slow=4,
        )
    )
    power_max, eight = replace(POWER, kind="max"), replace(TIME, test_a="8")
    columns = (HOLD, TRIP, VOLTS, AMPS, POWER, power_max, eight, R_MIN, R_MAX, R1_MAX)
    signs = {
        "hold_current": "A",
        "trip_current": "A",
        "max_voltage": "V",
        "max_current": "A",
        "tripped_power": "W",
        "time_to_trip": "s",
        "resistance": "Ω",
    }
    head = (
        (
            *(
                Cell(text, down=2)
                for text in ("型号", "不动作电流", "触发电流", "最大工作电压", "最大电流|I_{max}")
            ),
            Cell("动作功率", 2),
            Cell("最大动作时间|8 A", down=2),
            Cell("电阻", 3),
        ),
        cells("典型", "最大", "Rmin", "Rmax", "断开后电阻|R_{1max}"),
    )
    return Sheet(
        "mistleholt_msh",
        "reportlab",
        "迷斯霍虚构电子",
        "MSH 系列",
        "units in the cells, resistances told apart by the second heading row only, a frame and one "
        "rule; Asian fonts "
        "that are not embedded",
        (
            *opening("zh"),
            Heading("电气参数 (23 °C)"),
            Grid(
                head,
                body_rows(parts, columns, lambda _p, c, text: f"{text} {signs[c.quantity]}"),
                "outer",
                fit="tight",
                size=6.5,
            ),
            *closing("zh"),
        ),
        tuple(table_entries(parts, columns, 23)),
        Look("zh", "letter", "#943126", lang="zh"),
    )


SHEETS = (elderfell, grindlewood, harrowmint, ivorythorn, juramizu, knollbeck, lantenmarsh, mistleholt)
