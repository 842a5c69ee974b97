"""Tables in other shapes: turned, long, part numbers in two columns, shorthand headings, sums below."""

import tomllib
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest

from extract.errors import InputError
from extract.headings import heading_to_meaning
from extract.long_table import write_long_table
from extract.parts_table import PartsTable, check_table, read_parts_table
from extract.parts_table.files import path_to_sheets
from extract.parts_table.records import TableOptions
from extract.parts_table.shorthand import heading_to_shorthand
from extract.schema import Kind, Quantity, Reading, Severity

Typed = Callable[..., PartsTable]
Rows = list[list[str]]
Source = tuple[Reading, ...]


def test_a_turned_table_is_read_and_findings_stand_where_they_are(
    typed: Typed, rows: Rows, source: Source
) -> None:
    """Headings in the first column, a column for each part: the cell found is the file's."""
    rows[3][9] = "800"
    turned = [list(column) for column in zip(*rows, strict=True)]
    report = check_table(typed(turned), source)
    (finding,) = [f for f in report.findings if f.severity is not Severity.NOTE]
    assert (finding.code, finding.cell, finding.row, finding.column) == (
        "source-unit-slip", "D10", 10, "QLM-0050-60")


def test_holdtrips_own_long_table_is_read(tmp_path: Path, source: Source) -> None:
    """One row for each number: all are compared, a wrong one is found in its own row."""
    path = tmp_path / "long.csv"
    write_long_table(source, path)
    report = check_table(read_parts_table(path), source)
    assert [f for f in report.findings if f.severity is Severity.ERROR] == []
    assert f"{len(source)} numbers against the sheets" in report.checked
    lines = path.read_text().splitlines()
    place = next(n for n, line in enumerate(lines) if ",resistance,min," in line)
    lines[place] = lines[place].replace(",0.8,", ",8,")
    path.write_text("\n".join(lines))
    (finding,) = [f for f in check_table(read_parts_table(path), source).findings
                  if f.severity is Severity.ERROR]
    assert (finding.row, finding.column, finding.code) == (place + 1, "value", "source-decimal-point")


def test_a_long_table_is_in_si_whatever_fits_better(tmp_path: Path) -> None:
    """200 A of hold current would be taken for mA under a bare heading; shares need no unit."""
    path = tmp_path / "long.csv"
    lines = ["part_number,quantity,kind,ambient_c,test_current_a,value"]
    lines += [f"QLM-{n},hold_current,,23,,{n}00\nQLM-{n},hold_ratio,,60,,0.7" for n in (1, 2, 3, 4)]
    path.write_text("\n".join(lines))
    (sheet,) = read_parts_table(path).sheets
    assert [cell.value for cell in sheet.rows[1].cells] == [200.0, 0.7]
    assert [f.code for f in sheet.findings] == []


def test_a_part_number_in_two_columns_is_joined(typed: Typed, rows: Rows, source: Source) -> None:
    """Series once, then types below it."""
    split = [["Series", "Type", *rows[0][1:]]]
    split += [["", row[0].removeprefix("QLM-"), *row[1:]] for row in rows[1:]]
    split[1][0] = "QLM"
    report = check_table(typed(split), source)
    assert [f for f in report.findings if f.severity is not Severity.NOTE] == []
    assert f"{len(source)} numbers against the sheets" in report.checked


@pytest.mark.parametrize("name", ["Total", "Average", "Mittelwert", "Summe:", "平均"])
def test_a_row_of_sums_is_no_part(typed: Typed, rows: Rows, name: str) -> None:
    """It is left out, and said."""
    table = typed([*rows, [name, *rows[7][1:]]])
    assert len(table.sheets[0].rows) == 7
    assert any(name in gap.why for gap in check_table(table).unchecked)


@pytest.mark.parametrize(("heading", "quantity", "kind"), [
    ("V", Quantity.MAX_VOLTAGE, Kind.NONE), ("P", Quantity.TRIPPED_POWER, Kind.NONE),
    ("P [mW]", Quantity.TRIPPED_POWER, Kind.NONE), ("Tt", Quantity.TIME_TO_TRIP, Kind.NONE),
    ("R0", Quantity.RESISTANCE, Kind.NONE), ("DCR (mOhm)", Quantity.RESISTANCE, Kind.NONE),
    ("Rdc", Quantity.RESISTANCE, Kind.NONE), ("Leistung [W]", Quantity.TRIPPED_POWER, Kind.NONE),
    ("Puissance", Quantity.TRIPPED_POWER, Kind.NONE), ("Vac", Quantity.MAX_VOLTAGE, Kind.AC),
])
def test_shorthand_headings_are_understood(heading: str, quantity: Quantity, kind: Kind) -> None:
    """One letter or word, with or without a unit."""
    column = heading_to_shorthand(1, heading)
    assert column is not None
    assert (column.quantity, column.kind) == (quantity, kind)


def test_shorthand_with_a_number_says_the_condition() -> None:
    """t@5xIh is a time at five times hold, t @ 8 A at 8 A, I@-20 a hold current in the cold."""
    multiple, current, cold = (heading_to_shorthand(1, text) for text in ("t@5xIh", "t @ 8 A", "I@-20"))
    assert multiple is not None
    assert current is not None
    assert cold is not None
    assert (multiple.quantity, multiple.test_multiple) == (Quantity.TIME_TO_TRIP, 5.0)
    assert (current.quantity, current.test_current_a) == (Quantity.TIME_TO_TRIP, 8.0)
    assert (cold.quantity, cold.ambient_c) == (Quantity.HOLD_CURRENT, -20.0)


def test_a_word_stands_in_one_place_only() -> None:
    """Sheets and typed tables share the vocabulary: shorthand holds only what that does not know."""
    text = (files("extract.parts_table") / "headings.toml").read_text(encoding="utf-8")
    spaced = {"r25": "R 25", "r23": "R 23"}  # the vocabulary knows them without the blank only
    known = {word for word in tomllib.loads(text)["exact"]
             if heading_to_meaning((spaced.get(word, word),)).quantity is not None}
    assert known == set()


@pytest.mark.parametrize("heading", ["P [mm]", "Pitch", "V [A]", "Note", "P/N"])
def test_what_is_no_shorthand_is_not_taken_for_it(heading: str) -> None:
    """A unit of another quantity, or a longer word, means something else."""
    assert heading_to_shorthand(1, heading) is None


def test_a_resistance_without_a_limit_is_compared_with_the_one_it_is(
    typed: Typed, rows: Rows, source: Source
) -> None:
    """DCR over the smallest resistances: compared with them, and no mistake."""
    rows[0][8] = "DCR [Ohm]"
    report = check_table(typed(rows), source)
    assert [f for f in report.findings if f.severity is not Severity.NOTE] == []
    assert f"{len(source)} numbers against the sheets" in report.checked


def test_a_stray_quote_is_refused_with_its_line(tmp_path: Path, rows: Rows) -> None:
    """It would swallow the rows up to the next one."""
    rows[2][3] = '"60'
    rows[6][3] = '30"'
    path = tmp_path / "parts.csv"
    path.write_text("\n".join(",".join(row) for row in rows))
    with pytest.raises(InputError, match=r"line 3.*swallows"):
        read_parts_table(path)
    rows[6][3] = "30"
    path.write_text("\n".join(",".join(row) for row in rows))
    with pytest.raises(InputError, match="quote"):
        read_parts_table(path)


def test_a_quote_that_makes_two_rows_one_is_refused(tmp_path: Path) -> None:
    """However little of the second row it swallows; a line break in a note is none."""
    path = tmp_path / "parts.csv"
    path.write_text('Part,Ih [A],It [A],Note\nZQ-1,0.5,1,\nZQ-2,"0.6,1.2,\nZQ-3,0.7",1.4,\nZQ-4,0.8,1.6,\n')
    with pytest.raises(InputError, match=r"line 3.*2 rows of the table one"):
        read_parts_table(path)
    path.write_text('Part,Ih [A],It [A],Note\nZQ-1,0.5,1,"small,\ncheap, new"\nZQ-2,0.6,1.2,\n')
    assert len(read_parts_table(path).sheets[0].rows) == 2


@pytest.mark.parametrize("text", [
    'Part,Note\nZQ-1,"first\nsmall, cheap"\nZQ-2,"blue"\n',
    'Part,Note\n"ZQ-1, red\nor green",0.5\nZQ-2,0.6\n',
    'Part,Note\n"x,y\nz",0.5\nZQ-2,0.6\n',
    'Part,Ih [A],Note\nZQ-1,0.5,"new\nsmall, cheap, 2 of 3"\nZQ-2,0.6,\n',
    'Part;Note\nZQ-1;"ein\nzwei; drei"\nZQ-2;blau\n',
    'Part,Ih [A],Note\n"ZQ-1\n(new)","0.5\nA",\nZQ-2,0.6,\n'])
def test_a_quoted_cell_of_two_lines_may_hold_separators(tmp_path: Path, text: str) -> None:
    """Lines of prose are no rows of the table, however many commas they hold."""
    path = tmp_path / "parts.csv"
    path.write_text(text)
    assert len(path_to_sheets(path, TableOptions())[0].rows) == 3


@pytest.mark.parametrize("text", [
    'Part,Ih [A]\nZQ-1,"0.5\nZQ-2,0.6"\nZQ-3,0.7\n', 'Part,Ih [A],It [A]\nZQ-1,0.5,"1\nZQ-2,0.6,1.2"\n'])
def test_rows_of_the_table_are_never_a_cell(tmp_path: Path, text: str) -> None:
    """Two rows that a pair of stray quotes makes one are refused."""
    path = tmp_path / "parts.csv"
    path.write_text(text)
    with pytest.raises(InputError, match="quote that"):
        path_to_sheets(path, TableOptions())


def test_types_with_a_letter_for_the_point_are_one_series(tmp_path: Path) -> None:
    """0R20, 1R10: the series stands in the column before, and what all its rows show is told once."""
    path = tmp_path / "parts.csv"
    rows = [f"ZQV,{n}R{n}0,{n}.{n},{2 * n}.{2 * n},{72 + n},60" for n in range(1, 5)]
    path.write_text("\n".join(["Series,Type,Ih [A],It [A],Vmax AC [V],Vmax DC [V]", *rows]))
    found = [f for f in check_table(read_parts_table(path)).findings if f.code == "ac-above-dc"]
    assert len(found) == 1


def test_a_cell_of_two_lines_is_no_stray_quote(typed: Typed, rows: Rows) -> None:
    """A heading broken over lines is read as ever."""
    rows[0][9] = '"R1max\n[Ohm]"'
    assert len(typed(rows).sheets[0].rows) == 7


def test_headings_alone_are_refused(typed: Typed, rows: Rows) -> None:
    """A table of which nothing but the headings is left has not been checked."""
    with pytest.raises(InputError, match="no row below them"):
        typed(rows[:1])


def test_the_rows_read_are_told(typed: Typed, rows: Rows) -> None:
    """So many parts, in so many rows, so many of them empty."""
    report = check_table(typed([*rows[:4], [""] * 14, *rows[4:]]))
    assert report.checked[0] == "read: 7 parts in 8 rows below the heading, 1 of them empty"


@pytest.mark.parametrize(("text", "value"), [("O.80", 0.8), ("0,80", 0.8), ("l.80", 1.8)])
def test_a_slip_of_one_sign_is_compared_as_what_it_means(
    typed: Typed, rows: Rows, source: Source, text: str, value: float
) -> None:
    """O for 0, l for 1, a comma among points: reported, and compared as the number it surely means."""
    for row in rows[1:]:
        row[2] = f"{float(row[2]):.2f}"
    rows[3][9] = text
    quote = [[f'"{cell}"' if "," in cell else cell for cell in row] for row in rows]
    report = check_table(typed(quote), source)
    found = {f.code for f in report.findings if f.severity is Severity.ERROR and f.cell == "J4"}
    assert (found <= {"look-alike", "comma-for-point"}) == (value == 0.8)
    assert found


def test_a_letter_among_decimal_commas_is_one_finding(tmp_path: Path) -> None:
    """O,5 in a table of decimal commas is told once, and compared as 0,5."""
    path = tmp_path / "parts.csv"
    path.write_text("Typ;Haltestrom [A];Auslösestrom [A]\nZQ-020;0,2;0,38\nZQ-030;0,3;0,65\nZQ-050;O,5;1,08",
                    encoding="utf-8")
    table = read_parts_table(path)
    assert [f.code for f in check_table(table).findings if f.cell == "B4"] == ["look-alike"]
    assert [cell.value for cell in table.sheets[0].rows[2].cells] == [0.5, 1.08]


@pytest.mark.parametrize("text", ["#N/A", "#REF!", "#VALUE!", "#DIV/0!", "#NV", "#BEZUG!", "#¡VALOR!", "####",
                                  "Err:502"])
def test_an_error_of_a_spreadsheet_is_no_number(typed: Typed, rows: Rows, text: str) -> None:
    """Where a formula failed the number is missing: that is an error, never passed by."""
    rows[3][6] = text
    (finding,) = [f for f in check_table(typed(rows)).findings if f.cell == "G4"]
    assert (finding.code, finding.severity) == ("cell-is-error", Severity.ERROR)


@pytest.mark.parametrize("text", ["2026-05-01", "5-Jan", "01.Mai", "1/2/2026"])
def test_a_date_is_named_as_one(typed: Typed, rows: Rows, text: str) -> None:
    """Spreadsheets turn 1.5 into 1 May; the cell says which numbers it may have been."""
    rows[3][6] = text
    (finding,) = [f for f in check_table(typed(rows)).findings if f.cell == "G4"]
    assert (finding.code, finding.severity) == ("cell-is-date", Severity.ERROR)
    assert "perhaps" in finding.expected
