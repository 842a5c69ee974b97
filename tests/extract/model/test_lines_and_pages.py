"""Rows in two lines, columns set apart, columns on a further page: one table, each number in its own row."""

from __future__ import annotations

from pathlib import Path

from extract.quantities import cell_to_numbers
from extract.schema import Kind, Quantity, Reading, Status
from sample_tables.generate.blocks import Grid, Text, cells
from tests.extract.model.test_rules import HEADING, ROWS, STILL_AIR, Draw, read, values
from tests.extract.model.test_titles_and_blocks import blocks_to_readings

TOPS = ("0.30", "0.18", "0.12")
TIMES = ("1.6 s @ 2.5 A", "2.0 s @ 3.75 A", "2.4 s @ 5.5 A")


def folded(second_head: tuple[str, ...], second: list[tuple[str, ...]]) -> Grid:
    """A table whose rows take two lines: the usual ratings above, others below."""
    head = [cells(*HEADING[:5], HEADING[6])] + ([cells(*second_head)] if any(second_head) else [])
    body = [
        cells(*line) for row, below in zip(ROWS, second, strict=True) for line in ((*row[:5], row[6]), below)
    ]
    return Grid(tuple(head), tuple(body), rules="none")


def kinds(readings: tuple[Reading, ...], kind: Kind) -> dict[str, float]:
    """Part -> its resistance of a kind."""
    return {r.part_number: r.value for r in readings if r.quantity is Quantity.RESISTANCE and r.kind is kind}


def test_rows_in_two_lines_with_words_before_their_numbers(tmp_path: Path) -> None:
    """Words in the cells of a second line say what its numbers are; the first line is read as ever."""
    second = [
        ("", f"Rmin {r[5]}", "", f"at {i} A", "", "")
        for r, i in zip(ROWS, ("2.5", "3.75", "5.5"), strict=True)
    ]
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), folded(("",) * 6, second))
    assert values(readings, Quantity.HOLD_CURRENT) == {row[0]: float(row[1]) for row in ROWS}
    assert kinds(readings, Kind.POST_TRIP_MAX) == {row[0]: float(row[6]) for row in ROWS}
    assert set(kinds(readings, Kind.MIN).items()) <= {(row[0], float(row[5])) for row in ROWS}


def test_no_second_line_is_taken_for_a_part(tmp_path: Path) -> None:
    """What stands in second lines never becomes a part of its own, nor another part's number."""
    second = [("", "", "", "", "", f"Rmin {row[5]}") for row in ROWS]
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), folded(("",) * 6, second))
    sure = [r for r in readings if r.status is not Status.DISPUTED]
    assert {r.part_number for r in readings} <= {row[0] for row in ROWS}
    assert all(
        r.value != float(row[5]) for r in sure for row in ROWS if r.quantity is not Quantity.RESISTANCE
    )


def test_codes_set_farther_to_the_right_in_the_first_row_of_a_series(make_sheet: Draw) -> None:
    """A series stands once over blanks, its codes begin beside it: series and code are the part's name,
    doubted unless the sheet says how they join."""
    rows = [("TQ16", *ROWS[0][1:]), ("", *ROWS[1][1:]), ("", *ROWS[2][1:]), ("TQ30", *ROWS[0][1:])]
    codes = ("050", "075", "110", "051")
    table = [("Series", "Code", *HEADING[1:]), *((r[0], c, *r[1:]) for r, c in zip(rows, codes, strict=True))]
    notes = [STILL_AIR, "Series TQ16 and code 075 make TQ16075."]
    wanted = {"TQ16050": 0.5, "TQ16075": 0.75, "TQ16110": 1.1, "TQ30051": 0.5}
    readings = read(make_sheet(table, notes))
    assert values(readings, Quantity.HOLD_CURRENT) == wanted
    holds = [r for r in readings if r.quantity is Quantity.HOLD_CURRENT]
    assert all(r.status is not Status.DISPUTED for r in holds)


def test_two_values_with_units_make_a_row(tmp_path: Path) -> None:
    """A first page of an export with texts and but two values, each with its unit, is a table."""
    head = cells("Part number", "Maker", "Mounting", "Case", "Hold current", "Trip current")
    body = tuple(
        cells(r[0], "Invented House", "SMD", "1206 (3216 metric)", f"{r[1]} A", f"{r[2]} A") for r in ROWS
    )
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), Grid((head,), body, rules="none"))
    assert values(readings, Quantity.HOLD_CURRENT) == {row[0]: float(row[1]) for row in ROWS}


def test_a_voltage_under_interrupt_ratings_is_the_one_interrupted(make_sheet: Draw) -> None:
    """ "Max. interrupt voltage" beside a word for withstanding is no operating voltage."""
    rows = [(*row, "250") for row in ROWS]
    readings = read(make_sheet([(*HEADING, "最大耐压 Max. interrupt voltage (V AC)"), *rows], [STILL_AIR]))
    assert values(readings, Quantity.MAX_INTERRUPT_VOLTAGE) == {row[0]: 250.0 for row in ROWS}
    assert values(readings, Quantity.MAX_VOLTAGE) == {row[0]: float(row[3]) for row in ROWS}


def test_a_typed_sign_of_at_most() -> None:
    """ "<= 8.68", as typewriters have it, is a number."""
    assert [float(n.value) for n in cell_to_numbers("<= 8.68").numbers] == [8.68]


def test_a_band_that_says_volts_and_no_word_of_voltage(tmp_path: Path) -> None:
    """ "Series TQ: maximum 60 V DC, maximum fault current 40 A" over the rows is both limits of each."""
    table = Grid((cells(*HEADING[:3], *HEADING[5:]),), tuple(cells(*row[:3], *row[5:]) for row in ROWS))
    band = Text("Series TQ: maximum 60 V DC, maximum fault current 40 A")
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), band, table)
    assert values(readings, Quantity.MAX_VOLTAGE) == {row[0]: 60.0 for row in ROWS}
    assert values(readings, Quantity.MAX_CURRENT) == {row[0]: 40.0 for row in ROWS}


def test_a_section_number_without_a_full_stop_ends_a_table(tmp_path: Path) -> None:
    """A table of one part ends at "2 Time to trip" though the next one follows right below."""
    first = Grid(
        (cells("No.", "Item", "Symbol", "Value", "Unit"),),
        (
            cells("1.1", "Hold current", "IH", "900", "mA"),
            cells("1.2", "Trip current", "IT", "1800", "mA"),
            cells("1.3", "Maximum voltage", "Umax", "16", "V"),
        ),
    )
    second = Grid(
        (cells("Test current", "2.7 A", "4.5 A", "8 A"),),
        (cells("Time to trip max. (s)", "30", "5.9", "1.2"),),
    )
    blocks = (Text("Type TQ-16-900"), Text("1 Ratings"), first, Text("2 Time to trip"), second)
    readings = blocks_to_readings(tmp_path, Text(STILL_AIR), *blocks)
    holds = {r.value for r in readings if r.quantity is Quantity.HOLD_CURRENT}
    assert holds == {0.9}


def test_letters_of_all_names_in_a_column_of_their_own(make_sheet: Draw) -> None:
    """ "PW | 100" and "PW | 170" below one heading are the parts PW 100 and PW 170."""
    rows = [("PW", number, *row[1:]) for number, row in zip(("100", "170", "250"), ROWS, strict=True)]
    readings = read(make_sheet([("Type", "", *HEADING[1:]), *rows], [STILL_AIR]))
    assert {r.part_number.replace(" ", "") for r in readings} == {"PW100", "PW170", "PW250"}


def test_endings_below_a_caption_that_names_the_series(tmp_path: Path) -> None:
    """ "-080T" and "-110A" go on with the series that the caption names; alone they name nothing."""
    rows = tuple(cells(end, *row[1:]) for end, row in zip(("-080T", "-110A", "-150"), ROWS, strict=True))
    table = Grid((cells("Ending", *HEADING[1:]),), rows)
    named = blocks_to_readings(tmp_path, Text(STILL_AIR), Text("Series TL250 — still air, radial"), table)
    alone = blocks_to_readings(tmp_path, Text(STILL_AIR), table)
    assert set(values(named, Quantity.HOLD_CURRENT)) == {"TL250-080T", "TL250-110A", "TL250-150"}
    assert all(r.status is Status.DISPUTED for r in alone)


def test_a_note_of_a_part_and_a_value_alone(make_sheet: Draw) -> None:
    """ "1) TQ-110: 60 A." below a heading with that mark doubts what the table gives to the part."""
    from extract.document import path_to_document
    from extract.sheet import document_to_sheet

    heading = (*HEADING[:4], "Imax 1) (A)", *HEADING[5:])
    path = make_sheet([heading, *ROWS], [STILL_AIR, "1) TQ-110: 60 A."])
    sheet = document_to_sheet(path_to_document(path))
    limits = [r for r in sheet.readings if r.quantity is Quantity.MAX_CURRENT]
    assert {r.part_number for r in limits if r.status is Status.DISPUTED} == {"TQ-110"}


def test_a_column_of_endings_beside_whole_names(make_sheet: Draw) -> None:
    """Endings below a caption that names a series make no names where a column of whole part numbers
    stands beside them."""
    ends = ("-01", "-02", "-03")
    rows = [(row[0], end, *row[1:]) for row, end in zip(ROWS, ends, strict=True)]
    readings = read(make_sheet([("Part number", "Reel", *HEADING[1:]), *rows], [STILL_AIR, "Series ZQ30"]))
    assert {r.part_number for r in readings} == {row[0] for row in ROWS}
