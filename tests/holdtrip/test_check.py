"""`holdtrip check`: a typed table alone and against its datasheet; findings as CSV; silencing."""

import csv
from pathlib import Path

import pytest

from holdtrip.commands import holdtrip
from holdtrip.exits import run

ROOT = Path(__file__).parents[2]
TYPED = ROOT / "docs" / "examples" / "typed_parts.csv"
SHEET = ROOT / "sample_tables" / "quarrowick_qk.pdf"
OTHER = ROOT / "sample_tables" / "tarnhollow_th.pdf"
CONTRACT = ["row", "column", "code", "severity", "found", "expected", "message", "page"]


def findings(path: Path) -> list[dict[str, str]]:
    """The rows of a findings file."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_table_alone_shows_swaps_and_slips(tmp_path: Path) -> None:
    """The swapped hold and trip of row 4 and the thousandfold R1max of row 5 are errors, one each: exit
    code 1."""
    out = tmp_path / "found.csv"
    assert run(holdtrip, ["check", str(TYPED), "--findings", str(out)]) == 1
    rows = findings(out)
    assert list(rows[0])[: len(CONTRACT)] == CONTRACT
    errors = [(row["row"], row["column"], row["cause"]) for row in rows if row["severity"] == "error"]
    assert errors == [("4", "I hold [A]", "hold current and trip current exchanged"),
                      ("5", "R1max [Ohm]", "unit slip: a factor of 1000")]


@pytest.mark.parametrize("sources", [["--against", str(SHEET), str(OTHER)],
                                     ["--against", str(SHEET), "--against", str(OTHER)]])
def test_against_the_sheet_every_planted_error_is_placed(tmp_path: Path, sources: list[str]) -> None:
    """Row, column, what the page prints and the page; several sources may follow one --against or many."""
    out = tmp_path / "found.csv"
    assert run(holdtrip, ["check", str(TYPED), *sources, "--findings", str(out)]) == 1
    found = {(row["row"], row["column"], row["expected"], row["page"]) for row in findings(out)
             if row["document"]}
    assert found == {
        ("4", "I hold [A]", "0.36 here, 0.68 there", "1"),
        ("5", "R1max [Ohm]", "0.647 Ω", "1"), ("8", "R1max [Ohm]", "0.12 Ω", "1"),
        ("6", "Vmax [V]", "24 V", "1"),
    }


def test_what_was_understood_and_what_was_not_checked_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """The columns come first; the report tells its blind spots and never calls the table clean."""
    run(holdtrip, ["check", str(TYPED)])
    out = capsys.readouterr().out
    assert out.index("Understood as") < out.index("Severity")
    assert "not checked: 8 time_to_trip cells" in out
    assert "clean" not in out


def test_a_column_can_be_mapped(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A heading nobody understands is given its meaning by hand."""
    table = tmp_path / "odd.csv"
    table.write_text("Part,Stuff,Itrip (A)\nAB050,500,1.1\nAB100,1000,2.2\n", encoding="utf-8")
    assert run(holdtrip, ["check", str(table), "--map", "Stuff=hold_current mA"]) == 0
    assert "as mapped" in capsys.readouterr().out


def test_a_marked_copy_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A workbook with the findings at their cells."""
    out = tmp_path / "marked.xlsx"
    run(holdtrip, ["check", str(TYPED), "--marked", str(out)])
    assert "cells marked" in capsys.readouterr().out
    assert out.stat().st_size > 1000


def test_a_finding_the_source_prints_is_silenced_and_stays_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With a reason it is remembered in the library and raised no more."""
    library = ["--library", str(tmp_path / "parts.sqlite")]
    first = tmp_path / "first.csv"
    run(holdtrip, ["check", str(TYPED), "--findings", str(first)])
    assert run(holdtrip, ["check", str(TYPED), *library, "--silence", "1"]) == 2
    assert "reason" in capsys.readouterr().err
    reason = ["--because", "page 1 prints it", "--who", "ann"]
    run(holdtrip, ["check", str(TYPED), *library, "--silence", "1", *reason])
    second = tmp_path / "second.csv"
    run(holdtrip, ["check", str(TYPED), *library, "--findings", str(second)])
    assert len(findings(second)) == len(findings(first)) - 1
    assert "1 silenced before" in capsys.readouterr().out


@pytest.mark.parametrize(("arguments", "words"), [
    ([str(SHEET)], ""), (["nowhere.csv"], "nowhere.csv"), ([str(TYPED), str(SHEET)], "--against"),
    ([str(TYPED), "--map", "Vmax"], "="), ([str(TYPED), "--map", "Vmax [V]=colour"], "colour"),
    ([str(TYPED), "--silence", "99", "--because", "x"], "findings"),
])
def test_a_wrong_command_is_one_line(
    capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    """Exit code 2, what is wrong, no traceback."""
    assert run(holdtrip, ["check", *arguments]) == 2
    err = capsys.readouterr().err
    assert err.strip().count("\n") == 0
    assert words in err


def test_findings_can_be_read_in_a_narrow_window(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In 80 columns a finding is lines of its own, no word of which is broken."""
    monkeypatch.setenv("COLUMNS", "80")
    run(holdtrip, ["check", str(TYPED)])
    out = capsys.readouterr().out
    assert "1. error, row 4, I hold [A], QK12-036-30: cells-swapped" in out
    assert max(map(len, out.splitlines())) <= 80
