"""Typed tables are read in any sensible layout; what cannot be read is said, never guessed."""

import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from extract.errors import InputError
from extract.parts_table import PartsTable, TableOptions, read_parts_table, understood
from extract.parts_table.files import text_to_separator
from extract.parts_table.records import column_to_letters
from extract.schema import Kind, Quantity

Typed = Callable[..., PartsTable]
Rows = list[list[str]]


def values(table: PartsTable) -> list[list[float]]:
    """The numbers of every row, in SI."""
    return [[round(cell.value, 9) for cell in row.cells] for row in table.sheets[0].rows]


def codes(table: PartsTable) -> list[str]:
    """Codes of what reading noticed."""
    return [f.code for f in table.sheets[0].findings]


def test_headings_units_and_rows_are_understood(typed: Typed, rows: Rows) -> None:
    """Every column of an English table gets its quantity, kind, ambient and unit; rows keep their numbers."""
    sheet = typed(rows).sheets[0]
    meant = [(c.quantity, c.kind, c.ambient_c) for c in sheet.columns if c.quantity]
    assert meant[:2] == [(Quantity.HOLD_CURRENT, Kind.NONE, None), (Quantity.TRIP_CURRENT, Kind.NONE, None)]
    assert (Quantity.RESISTANCE, Kind.POST_TRIP_MAX, None) in meant
    assert meant[-1] == (Quantity.HOLD_CURRENT, Kind.NONE, 85.0)
    assert [row.row for row in sheet.rows] == list(range(2, 9))
    assert sheet.rows[0].part_number == "QLM-0020-60"
    time = next(c for c in sheet.rows[0].cells if c.column.quantity is Quantity.TIME_TO_TRIP)
    assert (time.value, time.test_current_a) == (2.2, 1.0)
    assert codes(typed(rows)) == []


def test_understood_shows_every_heading(typed: Typed, rows: Rows) -> None:
    """What a person sees first: each heading with its meaning and unit."""
    shown = {row[0]: row[1:3] for row in understood(typed(rows).sheets[0])}
    assert shown["I hold [A]"] == ("hold_current", "A")
    assert shown["at [A]"] == ("test current", "A")
    assert shown["Hold 85 °C [A]"] == ("hold_current at 85 °C", "A")


@pytest.mark.parametrize(
    ("separator", "encoding"), [(";", "cp1252"), ("\t", "utf-8-sig"), (",", "utf-8"), (";", "utf-16")]
)
def test_separators_and_encodings(typed: Typed, rows: Rows, separator: str, encoding: str) -> None:
    """Semicolons, tabs and commas, old code pages and byte order marks give the same numbers."""
    assert values(typed(rows, separator, encoding)) == values(typed(rows))


def test_decimal_commas(typed: Typed, rows: Rows) -> None:
    """A German table writes decimal commas between semicolons."""
    german = [
        ["Typ", "Haltestrom (A)", "Auslösestrom (A)", "Kaltwiderstand min. (Ω)"],
        *[[row[0], *(cell.replace(".", ",") for cell in (row[1], row[2], row[8]))] for row in rows[1:]],
    ]
    table = typed(german, ";")
    assert values(table)[4] == [1.1, 2.2, 0.062]


def test_units_of_headings_and_cells(typed: Typed) -> None:
    """mA, mOhm and ms in headings, and a unit in a single cell, all become SI."""
    table = typed(
        [
            ["Model", "Ihold (mA)", "Itrip [mA]", "R min (mOhm)", "Time to trip (ms)", "Pd"],
            ["QLM-1", "750", "1.5 A", "120", "350", "700 mW"],
            ["QLM-2", "1100", "2200", "0.05 Ohm", "500", "0.8 W"],
        ]
    )
    assert values(table) == [[0.75, 1.5, 0.12, 0.35, 0.7], [1.1, 2.2, 0.05, 0.5, 0.8]]


def test_a_unit_of_another_quantity_is_an_error(typed: Typed, rows: Rows) -> None:
    """Volts in a column of amperes are not read."""
    rows[2][4] = "40 V"
    table = typed(rows)
    assert codes(table) == ["unit-mismatch"]
    assert Quantity.MAX_CURRENT not in {c.column.quantity for c in table.sheets[0].rows[1].cells}


def test_a_unit_that_is_missing_is_told_from_the_values(typed: Typed, rows: Rows) -> None:
    """Hold currents near 500 without a unit are milliamperes, and that is said."""
    rows[0][1] = "I hold"
    for row in rows[1:]:
        row[1] = f"{float(row[1]) * 1000:.0f}"
    table = typed(rows)
    assert values(table)[2][0] == 0.5
    assert codes(table) == ["unit-assumed"]


def test_a_unit_that_fits_nothing_is_unclear(typed: Typed, rows: Rows) -> None:
    """A column whose numbers fit no unit is doubted."""
    rows[0][3] = "Vmax"
    for row in rows[1:]:
        row[3] = f"{float(row[3]) * 10000:.0f}"
    assert "unit-unclear" in codes(typed(rows))


def test_titles_and_blank_rows_above(typed: Typed, rows: Rows) -> None:
    """A title and an empty line above the heading do not matter; rows keep their numbers in the file."""
    table = typed([["Team fuse list"], [""], *rows])
    assert table.sheets[0].heading_rows == (3,)
    assert table.sheets[0].rows[0].row == 4


def test_stacked_headings(typed: Typed) -> None:
    """Two heading rows, the upper reaching over blanks, and a row of units."""
    table = typed(
        [
            ["Part number", "Hold current", "Trip current", "Resistance", "", "Pd"],
            ["", "", "", "Rmin", "R1max", "typ"],
            ["", "(A)", "(A)", "(mΩ)", "(mΩ)", "(W)"],
            ["QLM-1", "0.75", "1.5", "130", "400", "0.7"],
            ["QLM-2", "1.1", "2.2", "62", "200", "0.75"],
        ]
    )
    meant = [(c.quantity, c.kind) for c in table.sheets[0].columns if c.quantity]
    assert meant[2:] == [
        (Quantity.RESISTANCE, Kind.MIN),
        (Quantity.RESISTANCE, Kind.POST_TRIP_MAX),
        (Quantity.TRIPPED_POWER, Kind.TYP),
    ]
    assert values(table)[0] == [0.75, 1.5, 0.13, 0.4, 0.7]


def test_bare_temperatures_over_shares(typed: Typed) -> None:
    """Columns headed by temperatures alone hold percent where they are 100 at the reference."""
    table = typed(
        [
            ["Part", "Ihold (A)", "-40 °C", "0 °C", "23 °C", "60 °C", "85 °C"],
            ["QLM-1", "0.75", "145", "115", "100", "69", "50"],
            ["QLM-2", "1.1", "145", "115", "100", "69", "50"],
        ]
    )
    assert {c.quantity for c in table.sheets[0].columns if c.ambient_c is not None} == {Quantity.HOLD_RATIO}
    assert values(table)[0] == [0.75, 1.45, 1.15, 1.0, 0.69, 0.5]


def test_bare_temperatures_over_amperes(typed: Typed) -> None:
    """Columns headed by temperatures alone hold amperes where they repeat the rating."""
    table = typed(
        [
            ["Part", "Ihold (A)", "-40 °C", "0 °C", "23 °C", "60 °C", "85 °C"],
            ["QLM-1", "0.75", "1.09", "0.86", "0.75", "0.52", "0.38"],
            ["QLM-2", "1.1", "1.6", "1.27", "1.10", "0.76", "0.55"],
        ]
    )
    assert {c.quantity for c in table.sheets[0].columns if c.ambient_c is not None} == {Quantity.HOLD_CURRENT}


def test_a_multiple_of_hold_as_test_current(typed: Typed) -> None:
    """ "Trip time at 5 x Ihold" gives each row its own test current."""
    table = typed(
        [
            ["Part", "Ihold (A)", "Time to trip at 5 x Ihold (s)"],
            ["QLM-1", "0.75", "4.1"],
            ["QLM-2", "1.1", "5.5"],
        ]
    )
    assert [row.cells[1].test_current_a for row in table.sheets[0].rows] == [3.75, 5.5]


def test_lost_minus_signs_in_headings_are_found(typed: Typed) -> None:
    """40, 20, 0, 23, 60: the first two cannot be what they say."""
    table = typed(
        [
            ["Part", "Ihold (A)", "Hold 40 °C", "Hold 20 °C", "Hold 0 °C", "Hold 23 °C", "Hold 60 °C"],
            ["QLM-1", "0.75", "1.09", "0.98", "0.86", "0.75", "0.52"],
        ]
    )
    (found,) = [f for f in table.sheets[0].findings if f.code == "heading-sign"]
    assert (found.column, found.expected, found.cells) == ("Hold 40 °C", "-40 °C, -20 °C", ("C1", "D1"))
    assert [c.ambient_c for c in table.sheets[0].columns[2:4]] == [-40.0, -20.0]


def test_mapping_overrides_a_heading(typed: Typed, rows: Rows) -> None:
    """--map says what a column is, with kind, unit and ambient."""
    rows[0][1], rows[0][8], rows[0][13] = "Stuff", "Wert 3", "Wert 4"
    options = TableOptions(
        (("Stuff", "hold_current"), ("wert 3", "resistance min Ohm"), ("Wert 4", "hold_current at 85 C"))
    )
    table = typed(rows, options=options)
    meant = {c.heading: (c.quantity, c.kind, c.ambient_c) for c in table.sheets[0].columns}
    assert meant["Stuff"] == (Quantity.HOLD_CURRENT, Kind.NONE, None)
    assert meant["Wert 3"] == (Quantity.RESISTANCE, Kind.MIN, None)
    assert meant["Wert 4"] == (Quantity.HOLD_CURRENT, Kind.NONE, 85.0)


@pytest.mark.parametrize(
    ("mapping", "said"),
    [
        (("Nothing", "hold_current"), "no column 'Nothing'"),
        (("I hold [A]", "holding"), "one of part_number"),
        (("I hold [A]", "hold_current Ohm"), "'Ohm'"),
    ],
)
def test_a_wrong_mapping_is_refused(typed: Typed, rows: Rows, mapping: tuple[str, str], said: str) -> None:
    """A heading, quantity or unit that is none is one clear error."""
    with pytest.raises(InputError, match=said):
        typed(rows, options=TableOptions((mapping,)))


def test_unknown_columns_are_reported(typed: Typed, rows: Rows) -> None:
    """A heading that says nothing known is a note, not a guess."""
    rows[0].append("Wert 3")
    for row in rows[1:]:
        row.append("7")
    assert codes(typed(rows)) == ["column-not-understood"]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("0.5-0.8", "cell-unreadable"),
        ("see note", "cell-unreadable"),
        ("0.5O", "look-alike"),
        ("l.50", "look-alike"),
    ],
)
def test_unreadable_cells_are_findings(typed: Typed, rows: Rows, text: str, code: str) -> None:
    """A range, a text and a letter among digits are no numbers."""
    rows[3][1] = text
    table = typed(rows)
    assert codes(table) == [code]
    finding = table.sheets[0].findings[0]
    assert (finding.row, finding.column, finding.found, finding.cell) == (4, "I hold [A]", text, "B4")


def test_unreadable_test_currents_are_findings(typed: Typed, rows: Rows) -> None:
    """A test current that is no number is said at its own cell."""
    rows[3][7] = "2.5O"
    assert [(f.code, f.cell) for f in typed(rows).sheets[0].findings] == [("look-alike", "H4")]


def test_dashes_mean_no_value(typed: Typed, rows: Rows) -> None:
    """A dash, n/a and an empty cell are absent, not zero."""
    rows[1][8], rows[2][8] = "-", "n/a"
    table = typed(rows)
    assert all(c.column.kind is not Kind.MIN for row in table.sheets[0].rows[:2] for c in row.cells)
    assert codes(table) == []


def test_mixed_alphabets_in_part_numbers(typed: Typed, rows: Rows) -> None:
    """A Cyrillic letter in a Latin part number is found, and so is an O between digits."""
    rows[1][0] = "QLМ-0020-60"
    rows[2][0] = "QLM-0O35-60"
    assert codes(typed(rows)) == ["look-alike", "look-alike"]


def test_numbers_without_a_part(typed: Typed, rows: Rows) -> None:
    """A row of numbers that names no part is a finding, not a part."""
    table = typed([*rows, ["", "0.9", "1.8"]])
    assert codes(table) == ["row-without-part"]
    assert len(table.sheets[0].rows) == 7


def workbook(path: Path, rows: Rows, more: dict[str, Rows]) -> Path:
    """A workbook with numbers as numbers; further sheets by name."""
    book = openpyxl.Workbook()
    first = book.worksheets[0]
    first.title = "Ratings"
    for sheet, listed in ((first, rows), *((book.create_sheet(name), texts) for name, texts in more.items())):
        for row in listed:
            sheet.append([float(t) if t.replace(".", "", 1).isdigit() else t for t in row])
    book.save(path)
    return path


def test_workbooks_of_several_sheets(tmp_path: Path, rows: Rows) -> None:
    """Sheets with parts are read, others are named as skipped; one sheet can be asked for."""
    path = workbook(
        tmp_path / "parts.xlsx",
        rows,
        {"Notes": [["remember the milk"]], "More": [["Part", "Ihold [A]"], ["QLM-9", "3"]]},
    )
    table = read_parts_table(path)
    assert [s.name for s in table.sheets] == ["Ratings", "More"]
    assert table.skipped == (("Notes", "has no part numbers beside a known quantity"),)
    assert [s.name for s in read_parts_table(path, TableOptions(sheets=("More",))).sheets] == ["More"]
    with pytest.raises(InputError, match="no column 'Stuff'"):
        read_parts_table(path, TableOptions(mapping=(("Stuff", "hold_current"),)))
    with pytest.raises(InputError, match="no sheet 'Elsewhere'"):
        read_parts_table(path, TableOptions(sheets=("Elsewhere",)))


def test_merged_headings_of_a_workbook(tmp_path: Path) -> None:
    """A heading merged over two columns belongs to both."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in (
        ["Part", "Resistance (Ω)", None, "Ihold (A)"],
        [None, "Rmin", "R1max", None],
        ["QLM-1", 0.13, 0.4, 0.75],
        ["QLM-2", 0.062, 0.2, 1.1],
    ):
        sheet.append(row)
    sheet.merge_cells("B1:C1")
    book.save(tmp_path / "merged.xlsx")
    columns = read_parts_table(tmp_path / "merged.xlsx").sheets[0].columns
    assert [(c.kind, c.unit.name if c.unit else "") for c in columns[1:3]] == [
        (Kind.MIN, "ohm"),
        (Kind.POST_TRIP_MAX, "ohm"),
    ]


def test_percent_formats_of_a_workbook(tmp_path: Path) -> None:
    """A cell shown as 69 % is 0.69, as its reader sees it."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["Part", "Ihold (A)", "Hold at 60 °C"])
    for part, hold in (("QLM-1", 0.75), ("QLM-2", 1.1)):
        sheet.append([part, hold, 0.69])
        sheet.cell(sheet.max_row, 3).number_format = "0%"
    book.save(tmp_path / "percent.xlsx")
    table = read_parts_table(tmp_path / "percent.xlsx")
    assert table.sheets[0].rows[0].cells[-1].raw == "69%"
    assert table.sheets[0].rows[0].cells[-1].value == pytest.approx(0.69)


def test_formulas_give_their_stored_values(tmp_path: Path) -> None:
    """The value a spreadsheet program stored is read; a formula without one is a finding."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(["Part", "Ihold (A)", "Itrip (A)"])
    sheet.append(["QLM-1", 0.75, "=B2*2"])
    sheet.append(["QLM-2", 1.1, "=B3*2"])
    path = tmp_path / "formulas.xlsx"
    book.save(tmp_path / "bare.xlsx")
    with zipfile.ZipFile(tmp_path / "bare.xlsx") as old, zipfile.ZipFile(path, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            if name.endswith("sheet1.xml"):
                assert b"<f>B2*2</f><v />" in data or b"<f>B2*2</f><v></v>" in data
                data = data.replace(b"<f>B2*2</f><v />", b"<f>B2*2</f><v>1.5</v>")
                data = data.replace(b"<f>B2*2</f><v></v>", b"<f>B2*2</f><v>1.5</v>")
            new.writestr(name, data)
    table = read_parts_table(path)
    assert [c.value for c in table.sheets[0].rows[0].cells] == [0.75, 1.5]
    assert [(f.code, f.cell) for f in table.sheets[0].findings] == [("cell-unreadable", "C3")]
    assert "stores no value" in table.sheets[0].findings[0].message


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("empty.csv", b"", "empty"),
        ("words.csv", b"hello,world\n1,2\n", "no table of parts"),
        ("broken.xlsx", b"PK\x03\x04nothing", "damaged"),
        ("text.xlsx", b"Part,Ihold", "not a workbook"),
        ("old.xls", b"\xd0\xcf", "old Excel"),
        ("binary.csv", b"\x00\x01\x02", "binary"),
    ],
)
def test_files_that_are_no_tables(tmp_path: Path, name: str, data: bytes, said: str) -> None:
    """One line says what is wrong."""
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(InputError, match=said):
        read_parts_table(path)


def test_a_missing_file(tmp_path: Path) -> None:
    """A path that is not there is an input error too."""
    with pytest.raises(InputError, match="No such file"):
        read_parts_table(tmp_path / "nowhere.csv")


def test_letters_of_columns() -> None:
    """Columns are named as spreadsheets do."""
    assert [column_to_letters(n) for n in (1, 26, 27, 52, 703)] == ["A", "Z", "AA", "AZ", "AAA"]


def test_separator_of_text_with_commas_inside() -> None:
    """Decimal commas do not make a comma the separator."""
    assert text_to_separator("Typ;Ih (A)\nX1;0,5\nX2;0,75\n") == ";"


def test_a_row_of_units_is_part_of_the_heading(typed: Typed, rows: Rows) -> None:
    """Units in a row of their own, single letters among them, are the units of the columns above."""
    names = [text.partition(" [")[0] for text in rows[0]]
    units = [text.partition("[")[2].rstrip("]") for text in rows[0]]
    for row in rows[1:]:
        row[8], row[9] = (f"{float(text) * 1000:g}" for text in row[8:10])
    units[8] = units[9] = "mΩ"
    sheet = typed([names, units, *rows[1:]]).sheets[0]
    assert sheet.heading_rows == (1, 2)
    assert [c.unit.name for c in sheet.columns if c.unit is not None and c.index in (2, 4, 6, 9)] == [
        "A", "V", "W", "mohm"]
    assert sheet.rows[0].cells[-6].value == pytest.approx(0.8)
