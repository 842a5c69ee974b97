"""What a person takes away: findings as CSV, and a marked copy that leaves the user's workbook as it was."""

import csv
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from extract.parts_table import PartsTable, check_table, read_parts_table
from extract.parts_table.findings_file import write_table_findings
from extract.parts_table.marked_copy import write_marked_copy

Typed = Callable[..., PartsTable]
Rows = list[list[str]]


def test_findings_as_csv(typed: Typed, rows: Rows, tmp_path: Path) -> None:
    """The columns other programs read come first; nothing in them becomes a formula."""
    rows[3][1] = "5.0"
    rows[0].append("=Stuff()")
    for row in rows[1:]:
        row.append("7")
    report = check_table(typed(rows))
    count = write_table_findings(report.findings, tmp_path / "found.csv")
    with (tmp_path / "found.csv").open(encoding="utf-8", newline="") as file:
        lines = list(csv.DictReader(file))
    assert len(lines) == count == len(report.findings)
    assert list(lines[0])[:8] == ["row", "column", "code", "severity", "found", "expected", "message", "page"]
    wrong = next(line for line in lines if line["code"] == "trip-not-above-hold")
    assert (wrong["row"], wrong["column"], wrong["severity"], wrong["found"]) == (
        "4",
        "I hold [A]",
        "error",
        "5.0",
    )
    assert any(line["column"] == "'=Stuff()" for line in lines)


@pytest.fixture
def book(tmp_path: Path, rows: Rows) -> Path:
    """A workbook with a wrong hold current, a formula, a colour, a width and a comment of the user."""
    rows[3][1] = "5.0"
    made = openpyxl.Workbook()
    sheet = made.worksheets[0]
    sheet.title = "Fuses"
    for row in rows:
        sheet.append([float(t) if t.replace(".", "", 1).isdigit() else t for t in row])
    sheet["P2"] = "=B2*2"
    sheet["A2"].font = openpyxl.styles.Font(bold=True, color="FF0000FF")
    sheet["B4"].comment = openpyxl.comments.Comment("ask Kim", "user")
    sheet["C4"].number_format = "0.000"
    sheet.column_dimensions["A"].width = 33
    made.save(tmp_path / "fuses.xlsx")
    return tmp_path / "fuses.xlsx"


def test_a_marked_copy_keeps_the_workbook(book: Path, tmp_path: Path) -> None:
    """Values, formulas, formats and the user's own comment stay; the wrong cell has a fill and a comment."""
    report = check_table(read_parts_table(book))
    assert write_marked_copy(report, tmp_path / "marked.xlsx") >= 1
    before, after = (openpyxl.load_workbook(p)["Fuses"] for p in (book, tmp_path / "marked.xlsx"))
    assert [[c.value for c in row] for row in before] == [[c.value for c in row] for row in after]
    assert after["P2"].value == "=B2*2"
    assert after["A2"].font.color.rgb == "FF0000FF"
    assert after["C4"].number_format == "0.000"
    assert after.column_dimensions["A"].width == 33
    comment = after["B4"].comment.text
    assert comment.startswith("ask Kim")
    assert "trip-not-above-hold" in comment
    assert after["B4"].fill.start_color.rgb != before["B4"].fill.start_color.rgb
    assert after["B5"].fill.fill_type is None


def test_a_csv_becomes_a_marked_workbook(typed: Typed, rows: Rows, tmp_path: Path) -> None:
    """Of a CSV a plain workbook is made; its texts stay texts."""
    rows[3][1] = "5.0"
    rows[1][0] = "=1+1"
    write_marked_copy(check_table(typed(rows)), tmp_path / "marked.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "marked.xlsx").worksheets[0]
    assert (sheet["A2"].value, sheet["A2"].data_type) == ("=1+1", "s")
    assert "error" in sheet["B4"].comment.text
