"""Sheets that set parameters in rows: parts side by side, and approval specifications of one or two parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, PageBreak, Sheet, Text, cells
from sample_tables.generate.columns import Column, cell_number, once_each, table_entries
from sample_tables.generate.physics import Part, Series, series_to_parts
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
)
from sample_tables.generate.words import closing, dimensions, opening, packing


def parameter_rows(
    parts: Sequence[Part], rows: Sequence[tuple[str, str, Column]]
) -> tuple[tuple[Cell, ...], ...]:
    """One row for each (words, unit, column): the words, the unit, then the number of each part."""
    return tuple(
        (
            Cell(words, align="left"),
            Cell(unit),
            *cells(*(cell_number(part, column) for part in parts)),
        )
        for words, unit, column in rows
    )


def skelderwick() -> Sheet:
    """Parts in the columns of both tables, a column of units in both."""
    parts = series_to_parts(
        Series(
            "SKW{code}-{volts}",
            ("0.40", "0.65", "0.95", "1.35", "1.75"),
            ("48", "48", "24", "24", "18"),
            ("60",),
            "lead25",
            heat=0.31,
            slow=7,
        )
    )
    derating = ambient_columns("lead25")
    rows = (
        ("Hold current I_{hold}", "A", HOLD),
        ("Trip current I_{trip}", "A", TRIP),
        ("Maximum voltage V_{max}", "V", VOLTS),
        ("Maximum fault current I_{max}", "A", AMPS),
        ("Tripped power P_{d}, typical", "W", POWER),
        ("Test current", "A", TEST),
        ("Maximum time to trip at test current", "s", TIME),
        ("Minimum resistance R_{min}", "Ω", R_MIN),
        ("Maximum resistance after a trip R_{1max}", "Ω", R1_MAX),
    )
    names = [part.name for part in parts]
    ambients = tuple((column.heading, "A", column) for column in derating)
    return Sheet(
        "skelderwick_skw",
        "libreoffice",
        "Skelderwick",
        "SKW leaded protectors",
        "parts in the columns of two tables: parameters in rows with a column of units, derating with a row "
        "for each ambient and a column of units",
        (
            *opening(),
            Heading("Electrical ratings at 25 °C, still air"),
            Grid((cells("Parameter", "Unit", *names),), parameter_rows(parts, rows)),
            Heading("Hold current at ambient temperature"),
            Grid((cells("Ambient", "Unit", *names),), parameter_rows(parts, ambients)),
            *dimensions(names[:2]),
            *closing(),
        ),
        tuple(once_each(table_entries(parts, ([c for _, _, c in rows] + list(derating)), 25))),
        Look(colour="#4a235a"),
    )


def tansyholm() -> Sheet:
    """An approval specification of one part: item, symbol, specification, unit and condition in rows."""
    (part,) = series_to_parts(
        Series("TSY{code}-{volts}", ("1.85",), ("36",), ("50",), "large23", "8", heat=0.3)
    )
    rows = (
        ("Hold current", "I_{H}", HOLD, "A", "23 °C, still air, 30 min., no trip"),
        ("Trip current", "I_{T}", TRIP, "A", "23 °C, still air, trips within 30 min."),
        ("Maximum voltage", "V_{max}", VOLTS, "V DC", "across the tripped part"),
        ("Maximum fault current", "I_{max}", AMPS, "A", f"at {cell_number(part, VOLTS)} V DC"),
        ("Maximum time to trip", "T_{trip}", TIME, "s", "at 8.0 A, 23 °C"),
        ("Tripped power, typical", "P_{d}", POWER, "W", f"23 °C, at {cell_number(part, VOLTS)} V DC"),
        ("Minimum resistance", "R_{min}", R_MIN, "Ω", "23 °C, as delivered"),
        ("Maximum resistance after a trip", "R_{1max}", R1_MAX, "Ω", "23 °C, one hour after a trip"),
    )
    body = tuple(
        (
            Cell(str(number)),
            Cell(words, align="left"),
            *cells(symbol, cell_number(part, column), unit, condition),
        )
        for number, (words, symbol, column, unit, condition) in enumerate(rows, start=1)
    )
    derating = ambient_columns("large23")
    head = (cells("Ambient temperature", *(column.heading for column in derating)),)
    shares = cells("Hold current (A)", *(cell_number(part, column) for column in derating))
    return Sheet(
        "tansyholm_tsy",
        "chromium",
        "Tansyholm",
        "Specification for approval",
        "an approval specification of one part: numbered items in rows with symbol, unit and condition; the "
        "customer's part number beside the maker's; derating on the next page",
        (
            Text(
                f"Customer part number: MG-77-0413-B|Maker's part no.: {part.name}|Document no.: TS-2214-03"
            ),
            Heading("1. Scope"),
            Text("This specification covers a resettable polymer PTC protector with leads."),
            Heading("2. Electrical characteristics"),
            Grid((cells("No.", "Item", "Symbol", "Specification", "Unit", "Condition"),), body),
            PageBreak(),
            Heading("3. Thermal derating of the hold current"),
            Grid(head, (shares,)),
            *packing([part.name]),
            *closing(),
        ),
        tuple(
            once_each(table_entries((part,), ([column for _, _, column, _, _ in rows] + list(derating)), 23))
        ),
        Look("times", colour="#1b4f72"),
    )


def kakuudani() -> Sheet:
    """A Japanese delivery specification of two parts: words beside the values, currents below the times."""
    parts = series_to_parts(
        Series("KDN{volts}-{code}K", ("1.10", "1.60"), ("30",), ("40",), "lead25", heat=0.29, slow=5)
    )
    rows: tuple[tuple[str, str, Column, str], ...] = (
        ("保持電流", "I_{H}", HOLD, "{} A"),
        ("トリップ電流", "I_{T}", TRIP, "{} A"),
        ("最大電圧", "V_{max}", VOLTS, "DC {} V"),
        ("最大電流", "I_{max}", AMPS, "{} A"),
        ("トリップ時間", "t", TIME, "最大 {} 秒|（{test} A 通電時）"),
        ("動作時消費電力", "P_{d}", POWER, "{} W（標準）"),
        ("最小抵抗値", "R_{min}", R_MIN, "{} Ω 以上"),
        ("トリップ1時間後の最大抵抗値", "R_{1max}", R1_MAX, "{} Ω 以下"),
    )
    body = tuple(
        (
            Cell(f"4.{number}"),
            Cell(words, align="left"),
            Cell(symbol),
            *cells(*(form.format(cell_number(part, column), test=part.test_a) for part in parts)),
        )
        for number, (words, symbol, column, form) in enumerate(rows, start=1)
    )
    names = [part.name for part in parts]
    return Sheet(
        "kakuudani_kdn",
        "typst",
        "架空谷デバイス",
        "納入仕様書",
        "a Japanese delivery specification of two parts: items 4.1, 4.2, words beside the values (at most, "
        "at least, typical), the test current in brackets below the time",
        (
            Heading("1. 適用範囲"),
            Text(f"本仕様書は自己復帰型保護素子 {names[0]} および {names[1]} に適用する。"),
            Heading("4. 電気的特性（25℃、静止空気中）"),
            Grid((cells("項番", "項目", "記号", *names),), body),
            *closing("ja"),
        ),
        tuple(table_entries(parts, [column for _, _, column, _ in rows], 25)),
        Look("ja", colour="#145a32", lang="ja"),
    )


def dachselried() -> Sheet:
    """German headings broken at hyphens, alternating volts, test currents beside the times."""
    parts = series_to_parts(
        Series(
            "DXR {code}",
            ("0.25", "0.45", "0.70", "1.05", "1.40"),
            ("72",),
            ("20",),
            "lead20",
            heat=0.31,
            slow=8,
        )
    )
    volts = replace(VOLTS, kind="ac")
    columns = (HOLD, TRIP, volts, AMPS, TIME, POWER, R_MIN, R_MAX, R1_MAX)
    head = (
        (
            Cell("Typ", down=2),
            Cell("Haltestrom|[A]", down=2),
            Cell("Auslösestrom|[A]", down=2),
            Cell("Max.|Spannung"),
            Cell("Max.|Strom|[A]", down=2),
            Cell("Auslöse-|zeit"),
            Cell("Verlust-|leistung|typ. [W]", down=2),
            Cell("Widerstand [Ω]", 3),
        ),
        cells("V~", "s (max.)", "R_{min}", "R_{max}", "R_{1max}"),
    )

    def printed(part: Part, column: Column) -> str:
        text = cell_number(part, column).replace(".", ",")
        test = f"{part.test_a.normalize():f}".replace(".", ",")
        return f"{text} (bei {test} A)" if column == TIME else text

    body = tuple(
        (Cell(part.name, align="left"), *cells(*(printed(part, column) for column in columns)))
        for part in parts
    )
    derating = ambient_columns("lead20")
    numbers = tuple(
        (Cell(part.name, align="left"), *cells(*(printed(part, column) for column in derating)))
        for part in parts
    )
    over = (
        (Cell("Typ", down=2), Cell("Haltestrom [A] bei Umgebungstemperatur", across=len(derating))),
        cells(*(column.heading for column in derating)),
    )
    return Sheet(
        "dachselried_dxr",
        "reportlab",
        "Dachselried Bauteile",
        "DXR bedrahtete rückstellende Sicherungselemente",
        "German headings broken at their hyphens (Verlust-leistung), V~ and s (max.) as units, decimal "
        "commas, the test current in brackets behind each time",
        (
            *opening("de"),
            Heading("Kennwerte bei 20 °C, ruhende Luft"),
            Grid(head, body, size=7.5, fit="spread"),
            Heading("Haltestrom in Abhängigkeit von der Umgebungstemperatur"),
            Grid(over, numbers, size=7.5, fit="spread"),
            *closing("de"),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 20))),
        Look("dejavu", colour="#512e5f", lang="de"),
    )


SHEETS = (skelderwick, tansyholm, kakuudani, dachselried)
