"""`holdtrip compare`: a ranking on the screen and in JSON, and one line for a wrong requirement."""

import json
from pathlib import Path

import pytest

from extract.long_table import write_long_table
from extract.schema import Kind, Place, Quantity, Reading, Status
from holdtrip.commands import holdtrip
from holdtrip.exits import run

REQUIREMENT = """
title = "Bicycle lamp"
supply = "dc"
supply_voltage_v = 12.6
normal_current_a = {normal}
ambient_cold_c = -10
ambient_hot_c = 40
fault_current_min_a = 8
fault_current_max_a = 20
"""


def part(number: str, scale: float, status: Status = Status.AGREED) -> list[Reading]:
    """A part whose hold and trip currents are `scale` times 1 A and 2 A at 23 °C, with derating rows."""
    def reading(quantity: Quantity, value: float, ambient_c: float | None = None) -> Reading:
        return Reading("lamp.pdf", "0" * 64, number, quantity, Kind.NONE, ambient_c, None, value, status,
                       Place(1, 10.0, 20.0, 40.0, 28.0), f"{value:g}")

    hold = [reading(Quantity.HOLD_CURRENT, scale * factor, ambient_c)
            for ambient_c, factor in ((-20.0, 1.3), (23.0, 1.0), (60.0, 0.7))]
    trip = [reading(Quantity.TRIP_CURRENT, 2 * scale * factor, ambient_c)
            for ambient_c, factor in ((-20.0, 1.3), (23.0, 1.0), (60.0, 0.7))]
    return [*hold, *trip, reading(Quantity.MAX_VOLTAGE, 16.0), reading(Quantity.MAX_CURRENT, 40.0)]


@pytest.fixture
def parts(tmp_path: Path) -> str:
    """One part that is big enough, one that is not, one whose numbers are in doubt."""
    path = tmp_path / "parts.csv"
    write_long_table([*part("BIG", 1.5), *part("SMALL", 0.3), *part("DOUBT", 1.5, Status.DISPUTED)], path)
    return str(path)


def requirement(folder: Path, normal: float | str) -> str:
    """A requirement file with that normal current."""
    path = folder / "lamp.toml"
    path.write_text(REQUIREMENT.format(normal=normal), encoding="utf-8")
    return str(path)


def test_the_json_has_the_agreed_fields(parts: str, tmp_path: Path) -> None:
    """Candidates in rank order; every margin with value, limit, margin, verdict, basis, source."""
    out = tmp_path / "out.json"
    assert run(holdtrip, ["compare", requirement(tmp_path, 0.8), "--parts", parts, "--json", str(out)]) == 0
    candidates = json.loads(out.read_text(encoding="utf-8"))
    verdicts = [(candidate["part_number"], candidate["verdict"]) for candidate in candidates]
    assert verdicts == [("BIG", "fits"), ("DOUBT", "undetermined"), ("SMALL", "fails")]
    for candidate in candidates:
        names = {margin["name"] for margin in candidate["margins"]}
        assert candidate["limiting_margin"] in names
        for margin in candidate["margins"]:
            assert {"name", "value", "limit", "margin", "verdict", "basis", "source"} <= set(margin)
            assert margin["verdict"] in {"fits", "fails", "undetermined"}
            assert margin["basis"] in {"data", "interpolated", "model", "assumed"}


def test_the_screen_ranks_and_explains(
    parts: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Title, verdicts in words, and the count of each."""
    run(holdtrip, ["compare", requirement(tmp_path, 0.8), "--parts", parts])
    out = capsys.readouterr().out
    assert "Bicycle lamp" in out
    assert out.index("BIG") < out.index("DOUBT") < out.index("SMALL")
    assert "3 parts: 1 fits, 1 fails, 1 undetermined" in out


def test_no_part_that_fits_is_told_with_the_gap(
    parts: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 1, and what is missing."""
    assert run(holdtrip, ["compare", requirement(tmp_path, 3), "--parts", parts]) == 1
    assert "No part fits" in capsys.readouterr().out


@pytest.mark.parametrize("normal", ["'much'", "-1", "", "nan"])
def test_a_wrong_requirement_is_one_line(
    parts: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], normal: str
) -> None:
    """File and field are named; nothing is written."""
    out = tmp_path / "out.json"
    wrong = requirement(tmp_path, normal)
    assert run(holdtrip, ["compare", wrong, "--parts", parts, "--json", str(out)]) == 2
    err = capsys.readouterr().err
    assert err.strip().count("\n") == 0
    assert "lamp.toml" in err
    assert not out.exists()


def test_what_if_shows_where_the_best_part_changes(
    parts: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A sweep over the normal current ends where no part is left."""
    sweep = ["--what-if", "normal_current_a=0.2:2:10"]
    run(holdtrip, ["compare", requirement(tmp_path, 0.8), "--parts", parts, *sweep])
    out = capsys.readouterr().out
    assert "What if" in out
    assert "BIG gives way to no part" in out


@pytest.mark.parametrize("typed", ["normal_current_a", "normal_current_a=1", "normal_current_a=a:b",
                                   "colour=1:2", "normal_current_a=2:1", "normal_current_a=-1:1"])
def test_a_wrong_what_if_is_one_line(
    parts: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], typed: str
) -> None:
    """Exit code 2 and what was expected."""
    arguments = ["compare", requirement(tmp_path, 0.8), "--parts", parts, "--what-if", typed]
    assert run(holdtrip, arguments) == 2
    assert capsys.readouterr().err.strip().count("\n") == 0


def test_cautions_are_shown_with_every_ranking(
    parts: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """That it limits and does not open, and that the board must be tested, stand on the screen."""
    run(holdtrip, ["compare", requirement(tmp_path, 0.8), "--parts", parts])
    out = capsys.readouterr().out
    assert "does not open the circuit" in out
    assert "not a safety approval" in out


def test_the_screen_tells_whether_anybody_has_reviewed_the_best_part(
    parts: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Numbers straight from datasheets are named as such below the ranking."""
    run(holdtrip, ["compare", requirement(tmp_path, 0.8), "--parts", parts])
    assert "printed numbers it rests on have NOT been reviewed by a person" in capsys.readouterr().out


def test_parts_that_are_not_there_are_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A mistyped source gives one line that lists every sort of source there is."""
    nowhere = tmp_path / "nowhere"
    assert run(holdtrip, ["compare", requirement(tmp_path, 0.8), "--parts", str(nowhere)]) == 2
    said = capsys.readouterr().err
    assert f"{nowhere}: no such file or folder; expected a library" in said
    assert said.count("\n") == 1


def test_files_are_written_before_the_screen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A reader of the screen that leaves, as `head` does, loses none of the files."""
    def gone(*_: object) -> None:
        raise BrokenPipeError

    monkeypatch.setattr("holdtrip.commands.compare.show_ranking", gone)
    files = [tmp_path / name for name in ("out.xlsx", "out.html", "out.json")]
    requirement = tmp_path / "asked.toml"
    requirement.write_text('supply = "dc"\nsupply_voltage_v = 12\nnormal_current_a = 0.1\nambient_cold_c = '
                           '20\n'
                           "ambient_hot_c = 40\n", encoding="utf-8")
    typed = tmp_path / "parts.csv"
    typed.write_text("Part number,Hold current (A),Trip current (A),Vmax (V),Imax "
                     "(A)\nQX075,0.75,1.5,60,40\n",
                     encoding="utf-8")
    options = zip(("--xlsx", "--report", "--json"), map(str, files), strict=True)
    run(holdtrip, ["compare", str(requirement), "--parts", str(typed), *(word for pair in options
                                                                         for word in pair)])
    assert all(path.stat().st_size > 500 for path in files)


def test_why_shows_every_margin_of_one_part(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Verdict, what it rests on and what would have to change; an unknown part is refused with its
    neighbours."""
    requirement = tmp_path / "asked.toml"
    requirement.write_text('supply = "dc"\nsupply_voltage_v = 12\nnormal_current_a = 1.0\nambient_cold_c = '
                           '20\n'
                           "ambient_hot_c = 23\n", encoding="utf-8")
    typed = tmp_path / "parts.csv"
    typed.write_text("Part number,Hold current at 23 C (A),Trip current (A),Vmax (V),Imax (A)\n"
                     "QX075,0.75,1.5,60,40\n", encoding="utf-8")
    assert run(holdtrip, ["compare", str(requirement), "--parts", str(typed), "--why", "qx-075"]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "needs 0.25 A more hold" in told
    assert "printed, single" in told
    assert run(holdtrip, ["compare", str(requirement), "--parts", str(typed), "--why", "QX076"]) == 2
