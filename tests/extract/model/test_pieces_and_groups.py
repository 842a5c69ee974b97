"""Names in pieces, symbols that the sheet itself explains, lines of ratings over headings, groups."""

from __future__ import annotations

from pathlib import Path

import pytest

from extract.cells import tables
from extract.cells.rows import row_to_filled
from extract.joined.glossary import lines_to_glossary
from extract.schema import WHOLE_SERIES, Quantity, Status
from sample_tables.generate.blocks import Cell, Grid, Heading, Text, cells
from tests.extract.model.test_plainly_said import undisputed
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR
from tests.extract.model.test_titles_and_blocks import RATINGS, blocks_to_readings

NAMES = {row[0] for row in ROWS}


def test_the_heading_begins_the_numbers_below_it(tmp_path: Path) -> None:
    """ "Type TQ-" over 050 and 075 names TQ-050 and TQ-075."""
    table = Grid((cells("Type TQ-", *HEADING[1:]),), tuple(cells(row[0][3:], *row[1:]) for row in ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    assert undisputed(readings, Quantity.HOLD_CURRENT) == {(row[0], float(row[1])) for row in ROWS}


def test_a_size_and_a_long_suffix_make_the_name_that_the_sheet_prints(tmp_path: Path) -> None:
    """ "TQ18" over several rows and "P050/24" are TQ18-P050/24 where the sheet writes it so; the suffix alone
    is no part."""
    suffixes = ("P050/24", "P075/24", "P110/16")
    rows = tuple(cells("TQ18", suffix, *row[1:]) for suffix, row in zip(suffixes, ROWS, strict=True))
    table = Grid((cells("Size", "Suffix", *HEADING[1:]),), rows)
    note = Text("Order as size-suffix, for instance TQ18-P050/24.")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table, note)
    assert {r.part_number for r in readings} == {f"TQ18-{suffix}" for suffix in suffixes}


def test_symbols_of_a_pair_are_explained_by_the_sheet(tmp_path: Path) -> None:
    """ "Im/Id (A)" over pairs is hold and trip current where a line says what Im and Id are."""
    rows = tuple(cells(row[0], f"{row[1]}/{row[2]}", *row[3:]) for row in ROWS)
    table = Grid((cells(HEADING[0], "Im/Id (A)", *HEADING[3:]),), rows)
    words = Text("PPTC. Im: hold current, Id: trip current, at 23 °C in still air.")
    readings = blocks_to_readings(tmp_path, words, table)
    assert undisputed(readings, Quantity.TRIP_CURRENT) == {(row[0], float(row[2])) for row in ROWS}


def test_parts_in_the_first_row_head_a_turned_table(tmp_path: Path) -> None:
    """A first row "Item | Unit | TQ-050 | TQ-075 | TQ-110" of a table of parts as columns names them, also
    where a rule parts it from nothing and a group line stands below it."""
    grid = Grid(
        (),
        (
            cells("Item", "Unit", *(row[0] for row in ROWS)),
            (Cell("1. Ratings at 23 °C, still air", across=5),),
            *(cells(HEADING[n].split()[0], u, *(row[n] for row in ROWS)) for n, u in ((1, "A"), (2, "A"))),
            cells("Vmax", "V", "24", "24", "16"),
        ),
    )
    readings = blocks_to_readings(tmp_path, Text("PPTC resettable fuses"), grid)
    assert {r.part_number for r in readings} == NAMES
    voltages = {r.part_number: r.value for r in readings if r.quantity is Quantity.MAX_VOLTAGE}
    assert voltages == {"TQ-050": 24.0, "TQ-075": 24.0, "TQ-110": 16.0}


def test_rows_of_groups_stand_for_the_parts_below_their_lines(tmp_path: Path) -> None:
    """ "Group A" in a table of derating are the parts below the line "Group A: Vmax 24 V"."""
    groups = Grid(
        (cells(HEADING[0], *HEADING[1:3], *HEADING[5:]),),
        (
            (Cell("Group A: Vmax 24 V, Imax 40 A", across=5),),
            *(cells(*row[:3], *row[5:]) for row in ROWS[:2]),
            (Cell("Group B: Vmax 16 V, Imax 40 A", across=5),),
            *(cells("TQ-1" + end, "1.10", "2.20", "0.06", "0.25") for end in ("10", "15")),
        ),
    )
    shares = (("Group A", "150%", "100%", "70%"), ("Group B", "145%", "100%", "60%"))
    derating = Grid((cells("Group", "-40 °C", "23 °C", "60 °C"),), tuple(cells(*row) for row in shares))
    title = Heading("Hold current in percent")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), groups, title, derating)
    ratios = {(r.part_number, r.ambient_c): r.value for r in readings if r.quantity is Quantity.HOLD_RATIO}
    assert ratios["TQ-050", -40.0] == 1.5
    assert ratios["TQ-115", 60.0] == 0.6


def test_rows_of_unknown_groups_are_not_of_the_whole_series(tmp_path: Path) -> None:
    """Two rows of shares of one current, for groups that the sheet does not tell, rate nobody."""
    shares = (("Kind one", "150%", "100%", "70%"), ("Kind two", "145%", "100%", "60%"))
    derating = Grid((cells("", "-40 °C", "23 °C", "60 °C"),), tuple(cells(*row) for row in shares))
    title = Heading("Hold current in percent")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), RATINGS, title, derating)
    whole = [r for r in readings if r.part_number == WHOLE_SERIES]
    assert not [r for r in whole if r.status is not Status.DISPUTED]


def test_headings_on_their_side_alone_head_a_table(tmp_path: Path) -> None:
    """A table all of whose headings run upwards is read."""
    head = tuple(Cell(text, turned=True) for text in HEADING)
    table = Grid((head,), tuple(cells(*row) for row in ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    held = {r.part_number: r.value for r in readings if r.quantity is Quantity.HOLD_CURRENT}
    assert held == {row[0]: float(row[1]) for row in ROWS}


def test_a_value_said_again_without_its_supply_is_one_number(tmp_path: Path) -> None:
    """ "16V" in a description beside 16 under "Vmax (VDC)" is no second rating."""
    head = cells(HEADING[0], "Description", "V_MAX [VDC]", *HEADING[1:3])
    rows = tuple(cells(row[0], f"FUSE PTC RADIAL {row[3]}V", row[3], *row[1:3]) for row in ROWS)
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), Grid((head,), rows))
    voltages = [r for r in readings if r.quantity is Quantity.MAX_VOLTAGE]
    assert {(r.part_number, r.kind.value) for r in voltages} == {(name, "dc") for name in NAMES}


def test_a_line_of_ratings_over_the_headings_is_a_caption(tmp_path: Path) -> None:
    """ "Series TQ   Vmax 60 V   Imax 40 A", its texts far apart over the columns, rates the parts below."""
    head = (
        (Cell("SERIES TQ6", across=2), Cell("Vmax 60 V", across=2), Cell("Imax 40 A")),
        cells(HEADING[0], *HEADING[1:3], *HEADING[5:]),
    )
    table = Grid(head, tuple(cells(*row[:3], *row[5:]) for row in ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    assert undisputed(readings, Quantity.MAX_VOLTAGE) == {(name, 60.0) for name in NAMES}
    assert undisputed(readings, Quantity.MAX_CURRENT) == {(name, 40.0) for name in NAMES}


def test_as_to_the_left() -> None:
    """A cell that says "as to the left" in Japanese is the cell to its left, and keeps that it was a sign."""
    row = (tables.Cell("40", ()), tables.Cell("同左", ()), tables.Cell("同左", ()), None)
    filled = row_to_filled(row)
    assert [cell.text if cell is not None else None for cell in filled] == ["40", "40", "40", None]
    assert [cell.source for cell in filled if cell is not None][1:] == [tables.Source.DITTO] * 2


def test_symbols_defined_with_a_dash_in_cyrillic() -> None:
    """ "Iуд - ток удержания" defines a symbol as "=" does; a hyphen within a word defines none."""
    found = lines_to_glossary(["Iуд — ток удержания; Iср — ток срабатывания"])
    assert found == {"iуд": "ток удержания", "iср": "ток срабатывания"}
    assert lines_to_glossary(["Ixy-hold current"]) == {}
    assert lines_to_glossary(["Upper - trip current"]) == {}


def test_an_ellipsis_in_the_heading_is_the_place_of_the_digits(tmp_path: Path) -> None:
    """ "Type TQ-A..." over 050 names TQ-A050."""
    table = Grid((cells("Type TQ-A...", *HEADING[1:]),), tuple(cells(row[0][3:], *row[1:]) for row in ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    assert {r.part_number for r in readings} == {f"TQ-A{row[0][3:]}" for row in ROWS}


def test_a_ditto_sign_before_an_end_repeats_the_beginning(tmp_path: Path) -> None:
    """'TQ-050' over '" -075' is TQ-075."""
    rows = tuple(cells(row[0] if n == 0 else '" ' + row[0][2:], *row[1:]) for n, row in enumerate(ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), Grid((cells(*HEADING),), rows))
    assert {r.part_number for r in readings} == NAMES


def test_pairs_over_ambients_go_by_the_order_of_their_heading(tmp_path: Path) -> None:
    """Rows "-40 °C" below "Hold / trip current (A)" hold a pair each: the first is the hold current, also
    where no row is at the reference."""
    body = (
        cells("Hold / trip current (A)", *(f"{row[1]} / {row[2]}" for row in ROWS)),
        cells("Maximum voltage (V)", *(row[3] for row in ROWS)),
        cells("Minimum resistance (Ohm)", *(row[5] for row in ROWS)),
        (Cell("Hold / trip current IH / IT (A) at ambient temperature", across=4),),
        *(
            cells(f"{t} °C", *(f"{f * float(row[1]):.2f} / {f * float(row[2]):.2f}" for row in ROWS))
            for t, f in ((-40, 1.5), (0, 1.2), (40, 0.84), (60, 0.66), (85, 0.4))
        ),
    )
    table = Grid((cells("Part number", *(row[0] for row in ROWS)),), body)
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    found = {(r.part_number, r.quantity.value, r.ambient_c): r.value for r in readings}
    assert found["TQ-050", "hold_current", -40.0] == 0.75
    assert found["TQ-110", "trip_current", 60.0] == 1.45


def test_lines_in_a_cell_over_several_rows_are_one_text(tmp_path: Path) -> None:
    """ "K72R" with its limits below it, in a ruled cell over all rows, begins the numbers "-050", "-075" as
    the sheet prints them elsewhere."""
    ends = [row[0][2:] for row in ROWS]
    rows = [cells(end, *row[1:3], *row[5:]) for end, row in zip(ends, ROWS, strict=True)]
    base = Cell("K72R\n72 V max.", down=3)
    body = ((base, *rows[0]), *rows[1:])
    table = Grid((cells("Base Number & Limits", "Dash Number", *HEADING[1:3], *HEADING[5:]),), body)
    sizes = Grid((cells("Catalog Number", "Length (mm)"),), tuple(cells("K72R" + end, "7.4") for end in ends))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table, Heading("Dimensions"), sizes)
    assert undisputed(readings, Quantity.HOLD_CURRENT) == {
        ("K72R" + end, float(row[1])) for end, row in zip(ends, ROWS, strict=True)
    }


def test_a_heading_of_one_code_and_ends_below_it_print_the_names(tmp_path: Path) -> None:
    """ "TQ1206" over "-050" in the derating proves how "Series TQ1206" and "Code 050" are joined."""
    codes = [row[0][3:] for row in ROWS]
    rows = tuple(cells("TQ1206", code, *row[1:]) for code, row in zip(codes, ROWS, strict=True))
    table = Grid((cells("Series", "Code", *HEADING[1:]),), rows)
    shares = tuple(
        cells(f"-{code}", f"{1.5 * float(row[1]):.2f}", row[1], f"{0.6 * float(row[1]):.2f}")
        for code, row in zip(codes, ROWS, strict=True)
    )
    derating = Grid((cells("TQ1206", "-40 °C", "23 °C", "60 °C"),), shares)
    title = Heading("Hold current (A) at ambient temperature")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table, title, derating)
    assert {r.part_number for r in readings} == {f"TQ1206-{code}" for code in codes}


def test_a_series_named_in_one_row_alone_is_no_part(tmp_path: Path) -> None:
    """A first column that names a series in the first of its rows and nothing in the others names no part for
    sure."""
    codes = ("300", "400", "500")
    rows = tuple(
        cells("TQ16" if n == 0 else "", code, *row[1:])
        for n, (code, row) in enumerate(zip(codes, ROWS, strict=True))
    )
    table = Grid((cells("Series", "Value", *HEADING[1:]),), rows, rules="none")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    assert not {part for part, _ in undisputed(readings, Quantity.HOLD_CURRENT) if part == "TQ16"}


def test_numbers_of_rows_are_no_ambients(tmp_path: Path) -> None:
    """Positions 10, 20, 30, 40 before the rows of a table of parts as columns are no temperatures."""
    rows = ((1, "10"), (2, "20"), (3, "30"), (5, "40"), (6, "50"))
    body = tuple(cells(pos, HEADING[n], *(row[n] for row in ROWS)) for n, pos in rows)
    table = Grid((cells("Pos", "Part number", *(row[0] for row in ROWS)),), body)
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    held = {(r.part_number, r.ambient_c): r.value for r in readings if r.quantity is Quantity.HOLD_CURRENT}
    assert held == {(row[0], 23.0): float(row[1]) for row in ROWS}


@pytest.mark.parametrize(
    "heading", ["Reset after trip (s)", "Cooling after trip (s)", "Pause between trips (s)"]
)
def test_seconds_after_a_trip_are_no_time_to_trip(tmp_path: Path, heading: str) -> None:
    """Seconds under a word of tripping are its time only where the heading says nothing else."""
    table = Grid(
        (cells(*HEADING[:5], "Test current (A)", heading),),
        tuple(cells(*row[:5], "8", "1.6") for row in ROWS),
    )
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    assert undisputed(readings, Quantity.TIME_TO_TRIP) == set()


def test_seconds_at_a_current_under_tripping_are_its_time(tmp_path: Path) -> None:
    """ "Trip max." over "0.60 s at 8 A" is the longest time to trip at that current."""
    table = Grid((cells(*HEADING[:5], "Trip max."),), tuple(cells(*row[:5], "0.60 s at 8 A") for row in ROWS))
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    assert undisputed(readings, Quantity.TIME_TO_TRIP) == {(name, 0.6) for name in NAMES}
