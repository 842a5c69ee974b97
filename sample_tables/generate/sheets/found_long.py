"""Sheets as long as real ones: 45 parts with long numbers, some 700 figures, a good dozen doubts each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, PageBreak, Sheet, cells
from sample_tables.generate.columns import Column, cell_number, once_each, table_entries
from sample_tables.generate.physics import Part, Series, series_to_parts
from sample_tables.generate.tables import HOLD, R_MAX, TEST, TIME, USUAL, VOLTS, ambient_columns, body_rows
from sample_tables.generate.words import closing, opening, packing, test_notes


@dataclass(frozen=True, slots=True)
class Group:
    """Parts of one size: hold currents in A and voltages in V, one of each for every part."""

    size: str
    holds: tuple[str, ...]
    volts: tuple[str, ...]


WENDEL = (
    Group("0805", ("0.10", "0.20", "0.30", "0.35", "0.50", "0.75", "1.00", "1.10"),
          ("24",) * 4 + ("12",) * 4),
    Group("1206", ("0.05", "0.12", "0.16", "0.25", "0.35", "0.50", "0.75", "1.10", "1.50", "1.75"),
          ("60",) * 3 + ("33",) * 4 + ("16",) * 3),
    Group("1812", ("0.30", "0.50", "0.75", "1.10", "1.10", "1.10", "1.10", "1.10", "1.60", "2.00"),
          ("60", "60", "33", "48", "33", "24", "16", "12", "16", "16")),
    Group("2018", ("0.30", "0.55", "1.00", "1.00", "1.50", "1.50", "2.00", "2.40"),
          ("60", "60", "33", "15", "33", "15", "15", "15")),
    Group("2920", ("0.30", "0.50", "0.75", "1.25", "1.85", "2.00", "2.60", "2.60", "3.00"),
          ("60", "60", "60", "33", "33", "24", "24", "16", "16")),
)
OVER = "Hold current (A) at ambient temperature"
LANGLEY = (
    Group("SA", ("0.10", "0.14", "0.20", "0.30", "0.40", "0.50", "0.65", "0.75", "0.90"), ("72",) * 9),
    Group("SB", ("0.50", "0.65", "0.75", "0.90", "1.10", "1.35", "1.60", "1.85", "2.50"), ("48",) * 9),
    Group("SC", ("0.90", "1.10", "1.10", "1.10", "1.35", "1.60", "1.85", "2.50", "3.00"),
          ("30", "30", "24", "16") + ("30",) * 5),
    Group("SD", ("1.20", "1.60", "2.00", "2.50", "3.00", "3.00", "4.00", "4.50", "5.00"),
          ("24",) * 5 + ("16",) + ("24",) * 3),
    Group("SE", ("2.50", "3.00", "4.00", "5.00", "6.00", "6.00", "7.00", "7.50", "9.00"),
          ("16",) * 5 + ("12",) + ("16",) * 3),
)


def groups_to_parts(groups: Sequence[Group], pattern: str, shape: str, amps: str) -> tuple[Part, ...]:
    """The parts of all groups in listed order; `pattern` holds {size} beside {code} and {volts}."""
    return tuple(
        part for group in groups
        for part in series_to_parts(Series(
            pattern.replace("{size}", group.size), group.holds, group.volts, (amps,), shape, heat=0.28)))


def changed_parts(parts: Sequence[Part], changes: dict[int, dict[str, Decimal]]) -> tuple[Part, ...]:
    """The parts as another table of the sheet prints them: some fields of some parts differ."""
    return tuple(replace(part, **changes.get(index, {})) for index, part in enumerate(parts))  # type: ignore[arg-type]


def holds_changed(part: Part, **at: str) -> dict[str, Decimal]:
    """Hold currents of a part with other values at some ambients: minus40, at20, at60."""
    ambient_of = {"minus40": -40, "at20": 20, "at25": 25, "at50": 50, "at60": 60, "at70": 70}
    new = {ambient_of[name]: Decimal(text) for name, text in at.items()}
    return {"hold_at": {**part.hold_at, **new}}  # type: ignore[dict-item]


def short_rows(
    parts: Sequence[Part], columns: Sequence[Column], short: dict[str, str]
) -> tuple[tuple[Cell, ...], ...]:
    """Rows of a table in which parts that share a stem share one row, named by the stem alone."""
    rows, shown = [], set()
    for part in parts:
        stem = next((stem for stem in short if part.name.startswith(stem)), part.name)
        if stem not in shown:
            shown.add(stem)
            numbers = cells(*(cell_number(part, column) for column in columns))
            rows.append((Cell(short.get(stem, stem), align="left"), *numbers))
    return tuple(rows)


def wendelthwaite() -> Sheet:
    """45 parts in three tables that differ in eleven places; rows named by the stem of several parts."""
    true = groups_to_parts(WENDEL, "WDT{size}P{code}-{volts}RX", "lead20", "40")
    rated = changed_parts(true, {
        11: {"r_min": Decimal("2.900"), "r1_max": Decimal("1.300")},
        35: {"max_a": Decimal("2")},
    })
    chosen = changed_parts(true, {
        2: {"max_v": Decimal(30)}, 9: {"max_v": Decimal(63)}, 24: {"max_v": Decimal(60)},
        38: {"max_v": Decimal(36)}, 6: {"hold_a": Decimal("1.05")}, 27: {"hold_a": Decimal("2.20")},
    })
    derated = changed_parts(true, {
        4: holds_changed(true[4], at20="0.55"), 13: holds_changed(true[13], at20="0.25"),
        18: holds_changed(true[18], at20="0.33"), 28: holds_changed(true[28], at20="0.33"),
        39: holds_changed(true[39], at20="1.80"), 16: holds_changed(true[16], at60="1.32"),
    })
    derating = ambient_columns("lead20")
    short = {stem: stem for stem in ("WDT1812P110", "WDT2018P100", "WDT2018P150", "WDT2920P260")}
    selection = (HOLD, VOLTS)
    head = ((Cell("Part number", down=2), Cell(OVER, across=len(derating))),
            cells(*(column.heading for column in derating)))
    return Sheet(
        "wendelthwaite_wdt",
        "reportlab",
        "Wendelthwaite",
        "WDT surface mount protectors",
        "as long as a real sheet: 45 parts with numbers of 16 letters; three tables that contradict each "
        "other in eleven places, four rows named by the stem of two to five parts, three rows that "
        "cannot be right",
        (
            *opening(),
            Heading("Selection at 20 °C"),
            Grid((cells("Part number", *(column.heading for column in selection)),),
                 body_rows(chosen, selection), fit="tight", size=6.5),
            PageBreak(),
            Heading("Electrical characteristics at 20 °C, still air"),
            Grid((cells("Part number", *(column.heading for column in USUAL)),), body_rows(rated, USUAL),
                 fit="tight", size=6.5),
            test_notes(20),
            PageBreak(),
            Heading("Thermal derating"),
            Grid(head, short_rows(derated, derating, short), "horizontal", fit="spread", size=7),
            *closing(),
        ),
        tuple(once_each([*table_entries(rated, USUAL, 20), *table_entries(chosen, selection, 20),
                         *table_entries(derated, derating, 20)])),
        Look("dejavu", colour="#7b241c"),
    )


def langleydene() -> Sheet:
    """45 parts, trip times in a table of their own that differ from the ratings, stems again."""
    true = groups_to_parts(LANGLEY, "LGY-{size}{code}/{volts}-HTR", "lead25", "100")
    rated = changed_parts(true, {
        5: {"r_min": Decimal("5.500"), "r_max": Decimal("2.000")},
        30: {"trip_a": Decimal("7.50")},
        40: {"typ_w": Decimal("19.60")},
    })
    timed = changed_parts(true, {
        index: {"time_s": true[index].time_s * 2} for index in (1, 8, 15, 22, 32, 43)
    })
    derated = changed_parts(true, {
        3: holds_changed(true[3], at25="0.33"), 12: holds_changed(true[12], at25="0.60"),
        25: holds_changed(true[25], at25="2.05"), 33: holds_changed(true[33], at25="4.40"),
        37: holds_changed(true[37], at25="3.30"), 10: holds_changed(true[10], at70="0.14"),
    })
    columns = (*USUAL, R_MAX)
    derating = ambient_columns("lead25")
    times = (HOLD, TEST, TIME)
    short = {stem: stem for stem in ("LGY-SC110", "LGY-SD300", "LGY-SE600")}
    head = ((Cell("Order number", down=2), Cell(OVER, across=len(derating))),
            cells(*(column.heading for column in derating)))
    return Sheet(
        "langleydene_lgy",
        "typst",
        "Langleydene",
        "LGY leaded protectors",
        "as long as a real sheet: 45 parts with numbers of 16 letters; trip times in a table of their own, "
        "twice as long at six parts, three rows named by the stem of two or three parts, rows "
        "that cannot be right",
        (
            *opening(),
            Heading("Electrical characteristics at 25 °C, still air"),
            Grid((cells("Order number", *(column.heading for column in columns)),), body_rows(rated, columns),
                 "horizontal", size=6.5),
            test_notes(25),
            PageBreak(),
            Heading("Thermal derating"),
            Grid(head, short_rows(derated, derating, short), "full", size=7),
            PageBreak(),
            Heading("Time to trip at 25 °C"),
            Grid((cells("Order number", *(column.heading for column in times)),), body_rows(timed, times),
                 "horizontal", size=7),
            *packing(["LGY-SA010/72-HTR", "LGY-SE900/16-HTR"]),
            *closing(),
        ),
        tuple(once_each([*table_entries(rated, columns, 25), *table_entries(timed, times, 25),
                         *table_entries(derated, derating, 25)])),
        Look("cm", colour="#1a5276"),
    )


SHEETS = (wendelthwaite, langleydene)
