"""Workbooks are read as they are shown, by their content and not by what they say of their size."""

import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from extract.errors import InputError
from extract.parts_table import check_table, read_parts_table, workbooks
from extract.parts_table.corrected_copy import write_corrected_copy
from extract.parts_table.marked_copy import write_marked_copy
from extract.parts_table.number_formats import number_to_text
from extract.parts_table.stored_values import file_to_stored_values
from extract.schema import Reading, Severity

Rows = list[list[str]]
Source = tuple[Reading, ...]


def book_of(rows: Rows) -> Any:
    """A workbook whose first sheet holds the rows, numbers as numbers."""
    book = openpyxl.Workbook()
    for row in rows:
        book.worksheets[0].append([float(t) if t.replace(".", "", 1).isdigit() else t for t in row])
    return book


@pytest.mark.parametrize(("value", "number_format", "text"), [
    (1, "0%", "100%"), (0.5, "0%", "50%"), (0.875, "0.0%", "87.5%"), (100, '0" mOhm"', "100 mOhm"),
    (0.25, '0.00\\ "W"', "0.25 W"), (-5.0, '0.0" A";[Red]-0.0" A"', "-5.0 A"), (12, "General", "12"),
    (0.1 + 0.2, "General", "0.3"), (1234567.0, "#,##0,", "1234.567"), (0.347, "0.0", "0.347"),
])
def test_a_number_is_shown_as_its_format_shows_it(value: float, number_format: str, text: str) -> None:
    """Percent, units in quotes, sections for negatives, thousands; digits that a format hides are kept.

    Codes as in ECMA-376 part 1, 18.8.31 (numFmts)."""
    assert number_to_text(value, number_format) == text


def test_percent_and_units_of_formats_are_read(tmp_path: Path, rows: Rows, source: Source) -> None:
    """100 % stored as 1, and milliohm that only the format names."""
    book = book_of([[*rows[0], "Hold 23 °C"], *([*row, "1"] for row in rows[1:])])
    sheet = book.worksheets[0]
    sheet["J1"] = "R1max"
    for n in range(2, 9):
        sheet[f"O{n}"].value, sheet[f"O{n}"].number_format = 1, "0%"
        sheet[f"J{n}"].value = round(sheet[f"J{n}"].value * 1000)
        sheet[f"J{n}"].number_format = '0" mOhm"'
    book.save(tmp_path / "p.xlsx")
    report = check_table(read_parts_table(tmp_path / "p.xlsx"), source)
    assert [f for f in report.findings if f.severity is not Severity.NOTE] == []
    assert f"{len(source)} numbers against the sheets" in report.checked


def test_a_stray_cell_far_away_is_left_out_and_named(tmp_path: Path, rows: Rows) -> None:
    """In the last row and column a sheet can have."""
    book = book_of(rows)
    book.worksheets[0]["XFD1048576"] = "x"
    book.worksheets[0]["B900000"] = 5
    book.save(tmp_path / "p.xlsx")
    table = read_parts_table(tmp_path / "p.xlsx")
    assert (len(table.sheets[0].rows), table.sheets[0].stray) == (7, ("B900000", "XFD1048576"))
    assert any("XFD1048576" in gap.why for gap in check_table(table).unchecked)


def test_too_many_cells_are_refused_before_any_is_built(
    tmp_path: Path, rows: Rows, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Formatted empty cells count too."""
    monkeypatch.setattr(workbooks, "MOST_CELLS", 50)
    book_of(rows).save(tmp_path / "p.xlsx")
    with pytest.raises(InputError, match="more than 50 cells"):
        read_parts_table(tmp_path / "p.xlsx")


def test_hidden_sheets_are_named_and_read_when_asked(tmp_path: Path, rows: Rows) -> None:
    """What is hidden is not checked, and that is said."""
    book = book_of(rows)
    book.create_sheet("Old").sheet_state = "hidden"
    book.save(tmp_path / "p.xlsx")
    report = check_table(read_parts_table(tmp_path / "p.xlsx"))
    assert any("'Old' is hidden" in gap.why for gap in report.unchecked)


def test_a_date_cell_is_named(tmp_path: Path, rows: Rows) -> None:
    """A number that became a date in the workbook itself."""
    book = book_of(rows)
    book.worksheets[0]["G4"] = datetime.date(2026, 5, 1)
    book.save(tmp_path / "p.xlsx")
    found = [f for f in check_table(read_parts_table(tmp_path / "p.xlsx")).findings if f.cell == "G4"]
    assert [(f.code, f.expected) for f in found] == [("cell-is-date", "a number, perhaps 1.5 or 5.1")]


@pytest.fixture
def wrong(tmp_path: Path, rows: Rows) -> Path:
    """A workbook with three mistakes and a formula that has been calculated before."""
    book = book_of(rows)
    sheet = book.worksheets[0]
    sheet["B4"], sheet["C4"] = 1.0, 0.5
    sheet["J5"] = 400
    sheet["F6"].value, sheet["F6"].number_format = "0.57 W", "General"
    sheet["P2"] = "=B2*2"
    book.save(tmp_path / "before.xlsx")
    import zipfile

    with zipfile.ZipFile(tmp_path / "before.xlsx") as old, zipfile.ZipFile(tmp_path / "p.xlsx", "w") as new:
        for entry in old.infolist():
            data = old.read(entry)
            new.writestr(entry, data.replace(b"<f>B2*2</f><v />", b"<f>B2*2</f><v>0.4</v>")
                         .replace(b"<f>B2*2</f><v></v>", b"<f>B2*2</f><v>0.4</v>"))
    return tmp_path / "p.xlsx"


def test_accepted_repairs_are_done_and_marked(wrong: Path, tmp_path: Path, source: Source) -> None:
    """Each changed cell has the sheet's value, a fill and what stood there; nothing else changes; checked
    again, the copy has no difference left."""
    report = check_table(read_parts_table(wrong), source)
    accepted = [f for f in report.findings if f.changes]
    assert len(accepted) == 3
    assert write_corrected_copy(report, accepted, tmp_path / "c.xlsx", ".xlsx") == 4
    sheet = openpyxl.load_workbook(tmp_path / "c.xlsx").worksheets[0]
    assert (sheet["B4"].value, sheet["C4"].value, sheet["J5"].value, sheet["F6"].value) == (
        0.5, 1.0, 0.4, "0.75 W")
    assert "was: 400" in sheet["J5"].comment.text
    assert "qlm.pdf page 2" in sheet["J5"].comment.text
    assert sheet["P2"].value == "=B2*2"
    again = check_table(read_parts_table(tmp_path / "c.xlsx"), source)
    assert [f for f in again.findings if f.severity is Severity.ERROR] == []


def test_copies_keep_what_formulas_last_gave(wrong: Path, tmp_path: Path, source: Source) -> None:
    """Viewers that do not calculate show the values, in the marked and in the corrected copy."""
    report = check_table(read_parts_table(wrong), source)
    write_marked_copy(report, tmp_path / "m.xlsx")
    write_corrected_copy(report, [f for f in report.findings if f.changes], tmp_path / "c.xlsx", ".xlsx")
    for name in ("m.xlsx", "c.xlsx"):
        assert file_to_stored_values(tmp_path / name)["Sheet"] == {"P2": 0.4}
        assert openpyxl.load_workbook(tmp_path / name)["Sheet"]["P2"].value == "=B2*2"


def test_a_finding_without_a_repair_is_refused(wrong: Path, tmp_path: Path) -> None:
    """The rules alone propose no value: nothing is invented."""
    report = check_table(read_parts_table(wrong))
    finding = next(f for f in report.findings if f.severity is Severity.ERROR)
    with pytest.raises(InputError, match="no repair"):
        write_corrected_copy(report, [finding], tmp_path / "c.xlsx", ".xlsx")
    assert not (tmp_path / "c.xlsx").exists()
