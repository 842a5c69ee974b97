"""A house in an invented language: its first sheet asks once, its second asks nothing."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from extract.causes import sheet_to_causes
from extract.long_table import read_long_table
from extract.schema import ColumnWords, Kind, Place, Quantity, Reading, SheetReading, Status
from holdtrip.commands import holdtrip
from holdtrip.exits import run
from holdtrip.question_words import cause_to_about, cause_to_answers, words_to_about

SAMPLES = Path(__file__).parents[2] / "sample_tables"
FIRST, SECOND = SAMPLES / "osvikar_ovk.pdf", SAMPLES / "osvikar_ovr.pdf"


def _truth(path: Path) -> dict[tuple[str, ...], float]:
    """What the sheet says; whether its power is typical stands in no word that is known."""
    with path.with_suffix(".csv").open(encoding="utf-8") as file:
        return {(row["part_number"], row["quantity"], row["kind"] if row["kind"] != "typ" else "",
                 row["ambient_c"]): float(row["value"]) for row in csv.DictReader(file)}


def test_the_second_sheet_of_a_house_needs_no_question(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One answer on the first sheet; the second is read whole, right, without a question, and says whose
    answer it was. Taken back, the question is asked again when the stored copies are read again."""
    library, long = str(tmp_path / "team.sqlite"), tmp_path / "long.csv"
    assert run(holdtrip, ["answer", str(FIRST), "1", "right", "--library", library, "--who", "lena"]) == 0
    assert "for sheets of 'Osvikar Devices' with the same headings" in capsys.readouterr().out
    assert run(holdtrip, ["import", str(SECOND), "--library", library, "--who", "lena"]) == 0
    out = capsys.readouterr().out
    assert "35 numbers read so because of lena's answer" in out
    assert run(holdtrip, ["export", str(long), "--long", "--library", library]) == 0
    found = {(r.part_number, r.quantity.value, r.kind.value,
              "" if r.ambient_c is None else f"{r.ambient_c:g}"): r for r in read_long_table(long)}
    answered = [r for r in found.values() if any("by your answer" in note for note in r.notes)]
    assert len(answered) == 35
    assert {r.status.value for r in answered} == {"single"}
    assert "disputed" not in {r.status.value for r in found.values()}
    truth = _truth(SECOND)
    assert {key: r.value for key, r in found.items()} == pytest.approx(truth)

    assert run(holdtrip, ["answers", "--take-back", "1", "--library", library, "--who", "lena"]) == 0
    capsys.readouterr()
    assert run(holdtrip, ["import", "--again", "--library", library, "--who", "lena"]) == 0
    assert "nothing was changed: --take takes 7 parts as read now" in capsys.readouterr().out
    assert run(holdtrip, ["import", "--again", "--take", "--library", library, "--who", "lena"]) == 0
    assert "7 parts taken as read now" in capsys.readouterr().out


def test_a_question_says_what_it_is_about(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the page: each column with what it is read as, a number of it and the words over it; what is
    remembered says of which column it is; a unit says what it would make of the number."""
    monkeypatch.setenv("COLUMNS", "400")
    assert run(holdtrip, ["read", str(FIRST)]) in (0, 1)
    out = capsys.readouterr().out
    words = [one.split("“")[1].split("”")[0] for one in out.split(" under ")[1:]]
    assert len(words) == len(set(words)) >= 4
    assert "max. voltage" in out
    library = str(tmp_path / "team.sqlite")
    assert run(holdtrip, ["answer", str(FIRST), "1", "right", "--library", library]) == 0
    assert run(holdtrip, ["answers", "--library", library]) == 0
    listed = capsys.readouterr().out
    assert [one for one in words if f"“{one}”" not in listed] == []


def test_a_unit_says_what_it_would_make_of_a_number() -> None:
    """253 read as A is 0.253 A in mA; an answer that changes no value says nothing of it."""
    unit = Reading("s.pdf", "0" * 64, "AB-1", Quantity.TRIP_CURRENT, Kind.NONE, 23.0, None, 253.0,
                   Status.DISPUTED, Place(1, 0, 0, 9, 9), "253",
                   notes=("unit not printed and 253 A is beyond it",))
    words = (ColumnWords(1, Quantity.TRIP_CURRENT, Kind.NONE, "tripp"),)
    sheet = sheet_to_causes(SheetReading("s.pdf", "0" * 64, 1, (1,), "", (unit,), (), (), headings=words))
    assert cause_to_about(sheet, sheet.causes[0]) == "trip current 253 A under “tripp”"
    long = replace(sheet.causes[0], words=("trip_current: prose over a table at 23 °c it (a)",))
    assert cause_to_about(sheet, long).endswith("under “… at 23 °c it (a)”")
    said = cause_to_answers(sheet, sheet.causes[0])
    assert "unit:mA (0.253 A)" in said
    assert said.startswith("right, ")
    assert words_to_about(sheet.causes[0].words) == "trip current under “tripp”"


def test_answers_travel_between_teams(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Kept in a file by one team, taken in by another, edited there for another maker: used no more."""
    kept, library = str(tmp_path / "kept.json"), str(tmp_path / "team.sqlite")
    assert run(holdtrip, ["answer", str(FIRST), "1", "right", "--answers", kept, "--who", "lena"]) == 0
    assert run(holdtrip, ["answers", "--import", kept, "--library", library]) == 0
    assert "1 answer new" in capsys.readouterr().out
    assert run(holdtrip, ["answers", "--edit", "1", "--say", "unit:mA", "--library", library]) == 2
    assert "expected right, " in capsys.readouterr().err
    assert run(holdtrip, ["read", str(SECOND), "--library", library]) in (0, 1)
    assert "35 numbers read so" in capsys.readouterr().out
    assert run(holdtrip, ["answers", "--edit", "1", "--maker", "Kelder", "--library", library]) == 0
    assert run(holdtrip, ["read", str(SECOND), "--library", library]) in (0, 1)
    assert "1 question about 35 numbers" in capsys.readouterr().out


@pytest.mark.parametrize("typed", [
    ["answer", str(FIRST), "1", "nonsense"], ["answer", str(FIRST), "99", "right"],
    ["answers", "--import", "none.json"]], ids=["no such answer", "no such question", "no answers"])
def test_what_is_refused_makes_no_library(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, typed: list[str]
) -> None:
    """One line, exit code 2, and no empty library is left where there was none."""
    monkeypatch.chdir(tmp_path)
    Path("none.json").write_text("{}")
    assert run(holdtrip, [*typed, "--library", "team.sqlite"]) == 2
    assert capsys.readouterr().err.count("holdtrip: ") == 1
    assert [path.name for path in tmp_path.iterdir()] == ["none.json"]
