"""Values put back into cells that carry their own unit, or a decimal comma: the copy says what is printed."""

import csv
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from extract.parts_table import PartsTable, check_table, read_parts_table
from extract.parts_table.corrected_copy import write_corrected_copy
from extract.schema import Reading, Severity

Typed = Callable[..., PartsTable]
Rows = list[list[str]]
Source = tuple[Reading, ...]


def mended(table: PartsTable, source: Source, folder: Path) -> Path:
    """The copy with every repair that the sheet proves."""
    report = check_table(table, source)
    path = folder / f"mended{table.path.suffix}"
    write_corrected_copy(report, [f for f in report.findings if f.changes], path, table.path.suffix)
    return path


def errors(path: Path, source: Source) -> list[str]:
    """What is still wrong in a file."""
    report = check_table(read_parts_table(path), source)
    return [f.code for f in report.findings if f.severity is Severity.ERROR]


@pytest.mark.parametrize(("typed_text", "expected"), [
    ("5000 mA", "500 mA"), ("0.05 A", "0.5 A"), ("0.6", "0.5"), ("0.6*", "0.5*"), ("O.60", "0.5"),
])
def test_a_value_is_put_back_in_the_unit_of_its_cell(
    typed: Typed, rows: Rows, source: Source, tmp_path: Path, typed_text: str, expected: str
) -> None:
    """Under a heading in A one cell names mA: half an ampere is 500 there, never 0.5 mA."""
    rows[3][1] = typed_text
    path = mended(typed(rows), source, tmp_path)
    with path.open(encoding="utf-8") as file:
        assert list(csv.reader(file))[3][1] == expected
    assert errors(path, source) == []


def test_a_decimal_comma_stays(typed: Typed, rows: Rows, source: Source, tmp_path: Path) -> None:
    """A table with decimal commas gets its repair with one."""
    rows[3][8] = "0.42"
    german = [rows[0], *([row[0], *(text.replace(".", ",") for text in row[1:])] for row in rows[1:])]
    path = mended(typed(german, ";"), source, tmp_path)
    with path.open(encoding="utf-8") as file:
        assert list(csv.reader(file, delimiter=";"))[3][8] == "0,24"
    assert errors(path, source) == []


def test_a_workbook_with_units_in_number_formats_is_mended_as_shown(
    rows: Rows, source: Source, tmp_path: Path
) -> None:
    """The heading names no unit, the format does: 240 mΩ is the number 240 in that cell."""
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append([*rows[0][:8], "Rmin", *rows[0][9:]])
    for line, row in enumerate(rows[1:], start=2):
        sheet.append([row[0], *map(float, row[1:])])
        cell = sheet.cell(line, 9, float(row[8]) * 1000)
        cell.number_format = '0" mOhm"'
    sheet["I4"] = 420
    sheet["I4"].number_format = '0" mOhm"'
    path = tmp_path / "typed.xlsx"
    book.save(path)
    copy = mended(read_parts_table(path), source, tmp_path)
    assert load_workbook(copy).worksheets[0]["I4"].value == 240
    assert errors(copy, source) == []


def test_a_letter_in_a_workbook_of_formats_is_read_in_their_unit(
    rows: Rows, source: Source, tmp_path: Path
) -> None:
    """24O among cells shown in mOhm: the number it surely means is 240 mOhm."""
    book = Workbook()
    sheet = book.worksheets[0]
    sheet.append([*rows[0][:8], "Rmin", *rows[0][9:]])
    for line, row in enumerate(rows[1:], start=2):
        sheet.append([row[0], *map(float, row[1:])])
        sheet.cell(line, 9, float(row[8]) * 1000).number_format = '0" mOhm"'
    sheet["I4"] = "24O"
    path = tmp_path / "typed.xlsx"
    book.save(path)
    report = check_table(read_parts_table(path), source)
    assert [f.code for f in report.findings if f.severity is not Severity.NOTE] == ["look-alike"]
