"""`list` and `show` say what a source holds, with marks, places and printed text."""

import json
from pathlib import Path

import pytest

from extract.long_table import write_long_table
from extract.schema import Kind, Place, Quantity, Reading, Status
from holdtrip.commands import holdtrip
from holdtrip.exits import run


def reading(quantity: Quantity, value: float, **other: object) -> Reading:
    """A reading of the part QX050 on page 3."""
    fields: dict[str, object] = {"part_number": "QX050", "kind": Kind.NONE, "ambient_c": None,
                                 "test_current_a": None, "status": Status.AGREED, "raw": f"{value}"} | other
    return Reading(document="qx.pdf", sha256="0" * 64, quantity=quantity, value=value,
                   place=Place(3, 10.0, 20.0, 40.0, 28.0), **fields)  # type: ignore[arg-type]


@pytest.fixture
def long_table(tmp_path: Path) -> str:
    """Two parts: one with a derating row, a disputed and a single number."""
    path = tmp_path / "long.csv"
    write_long_table([
        reading(Quantity.HOLD_CURRENT, 0.7, ambient_c=-40.0),
        reading(Quantity.HOLD_CURRENT, 0.5, ambient_c=23.0),
        reading(Quantity.TRIP_CURRENT, 1.0, ambient_c=23.0),
        reading(Quantity.MAX_VOLTAGE, 16.0, status=Status.DISPUTED, raw="16²", notes=("readings differ",)),
        reading(Quantity.TIME_TO_TRIP, 0.8, test_current_a=8.0, status=Status.SINGLE),
        reading(Quantity.HOLD_CURRENT, 1.1, part_number="QX110", ambient_c=25.0, raw="\x1b[31m1.1"),
    ], path)
    return str(path)


def test_list_shows_the_rating_row(long_table: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The rating, not a derated column, with its ambient; marks for doubt."""
    assert run(holdtrip, ["list", "--parts", long_table]) == 0
    row = next(line for line in capsys.readouterr().out.splitlines() if "QX050" in line)
    assert row.split() == ["QX050", "23", "0.5", "1", "16?", "0.8~", "@", "8", "A", "qx.pdf"]


def test_list_can_be_narrowed(long_table: str, capsys: pytest.CaptureFixture[str]) -> None:
    """--like keeps parts with the text in their number, in any case."""
    assert run(holdtrip, ["list", "--parts", long_table, "--like", "qx1"]) == 0
    out = capsys.readouterr().out
    assert "QX110" in out
    assert "QX050" not in out


def test_show_gives_the_place_of_every_number(long_table: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Page, box and printed text of each, and why one is disputed."""
    assert run(holdtrip, ["show", "qx-050", "--parts", long_table]) == 0
    row = next(line for line in capsys.readouterr().out.splitlines() if "max. voltage" in line)
    for word in ("16 V", "disputed", "3", "10, 20 - 40, 28", "16²", "readings differ"):
        assert word in row


def test_show_from_a_library_tells_of_the_whole_series(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ratios that the sheet gives for all its parts: verdicts rest on them; the JSON has them too."""
    table, library, said = tmp_path / "long.csv", str(tmp_path / "parts.sqlite"), tmp_path / "show.json"
    write_long_table([
        reading(Quantity.HOLD_CURRENT, 0.5, ambient_c=23.0),
        reading(Quantity.HOLD_RATIO, 0.72, part_number="*", ambient_c=60.0, raw="72 %"),
    ], table)
    assert run(holdtrip, ["import", str(table), "--library", library]) == 0
    capsys.readouterr()
    assert run(holdtrip, ["show", "QX050", "--parts", library, "--json", str(said)]) == 0
    out = capsys.readouterr().out
    assert "the whole series (*) in qx.pdf" in out
    assert "72 %" in out
    numbers = json.loads(said.read_text(encoding="utf-8"))["numbers"]
    assert [one["reading"]["part_number"] for one in numbers] == ["QX050", "*"]


def test_show_obeys_no_control_code(long_table: str, capsys: pytest.CaptureFixture[str]) -> None:
    """An escape sequence printed in a datasheet stays text."""
    assert run(holdtrip, ["show", "QX110", "--parts", long_table]) == 0
    assert "\x1b" not in capsys.readouterr().out


def test_show_of_an_unknown_part_names_near_ones(long_table: str, capsys: pytest.CaptureFixture[str]) -> None:
    """One line, exit code 2."""
    assert run(holdtrip, ["show", "QX051", "--parts", long_table]) == 2
    assert "no part QX051. Near to it: QX050" in capsys.readouterr().err


def test_show_draws_the_curve_with_the_maximum_of_the_table(capsys: pytest.CaptureFixture[str]) -> None:
    """The curve's time at the table's test current stands beside the table's, and both are in the plot."""
    sheet = Path(__file__).parents[2] / "sample_tables" / "amberlough_aml.pdf"
    assert run(holdtrip, ["show", "AML050", "--parts", str(sheet)]) == 0
    shown = capsys.readouterr().out
    assert "2.5 A: 1.6 s (table: at most 4.1 s)" in " ".join(shown.split())
    plot = [line for line in shown.splitlines() if " |" in line]
    assert any("M" in line for line in plot)
    assert sum("*" in line for line in plot) > 8
    assert "no limits" in shown
