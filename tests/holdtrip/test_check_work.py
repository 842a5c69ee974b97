"""Working with `holdtrip check`: silences, answers about part numbers, repairs, JSON, what is new."""

import csv
import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from extract.errors import InputError
from extract.long_table import read_long_table, write_long_table
from extract.workers import Limits
from holdtrip.check_worker import TableJob, job_to_checked
from holdtrip.commands import holdtrip
from holdtrip.exits import run

ROOT = Path(__file__).parents[2]
TYPED = ROOT / "docs" / "examples" / "typed_parts.csv"
SHEET = ROOT / "sample_tables" / "quarrowick_qk.pdf"
Check = Callable[..., int]


@pytest.fixture(scope="module")
def numbers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sheet as a long table, read once."""
    path = tmp_path_factory.mktemp("numbers") / "long.csv"
    assert run(holdtrip, ["read", str(SHEET), "--long", str(path)]) == 0
    return path


@pytest.fixture
def check(tmp_path: Path) -> Check:
    """`holdtrip check` with a library of one's own."""
    def typed(*words: object) -> int:
        library = ("--library", tmp_path / "team.sqlite", "--who", "ann") if "--because" in words else ()
        return run(holdtrip, ["check", *map(str, words), *map(str, library)])

    return typed


def rows_of(path: Path) -> list[dict[str, str]]:
    """A findings file."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def with_ending(path: Path, ending: str) -> Path:
    """The typed table with an ending at every part number."""
    lines = TYPED.read_text(encoding="utf-8").splitlines()
    mended = [lines[0], *(line.replace(",", f"{ending},", 1) for line in lines[1:])]
    path.write_text("\n".join(mended), encoding="utf-8")
    return path


def test_an_ending_is_asked_once_and_compared_meanwhile(
    check: Check, numbers: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """All parts end in -2: one question, exit code 1, and the mistakes are found all the same; an answer
    with a reason is remembered."""
    table, out = with_ending(tmp_path / "parts.csv", "-2"), tmp_path / "found.csv"
    assert check(table, "--against", numbers, "--findings", out) == 1
    asked = [row for row in rows_of(out) if row["code"] == "part-match-doubtful"]
    assert [(row["expected"], len(row["cells"].split())) for row in asked] == [("*-2=*", 8)]
    assert sum(row["severity"] == "error" for row in rows_of(out)) == 4
    check(table, "--against", numbers, "--findings", out, "--same", "*-2=*", "--because", "the reel")
    assert not [row for row in rows_of(out) if row["code"] == "part-match-doubtful"]
    capsys.readouterr()
    library = ["--library", str(tmp_path / "team.sqlite")]
    run(holdtrip, ["check", str(table), "--against", str(numbers), "--findings", str(out), *library])
    assert not [row for row in rows_of(out) if row["code"] == "part-match-doubtful"]
    assert run(holdtrip, ["silences", *library]) == 0
    assert "*-2=*" in capsys.readouterr().out


def test_answers_come_from_a_file_and_must_name_a_part(
    check: Check, numbers: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Lines or two columns; an unknown target is refused with what is near."""
    table = tmp_path / "parts.csv"
    table.write_text(TYPED.read_text(encoding="utf-8").replace("QK12-036-30", "OURS 7"), encoding="utf-8")
    answers, out = tmp_path / "same.csv", tmp_path / "found.csv"
    assert check(table, "--against", numbers, "--findings", out) == 1
    assert ("part-not-in-sheets", "error") in {(row["code"], row["severity"]) for row in rows_of(out)}
    answers.write_text("OURS 7,QK12-036-30\n")
    check(table, "--against", numbers, "--findings", out, "--same", answers)
    assert "part-not-in-sheets" not in {row["code"] for row in rows_of(out)}
    capsys.readouterr()
    assert check(table, "--against", numbers, "--same", "OURS 7=QK12-03630X") == 2
    assert "QK12-036-30" in capsys.readouterr().err


def test_silences_are_several_listed_and_taken_back(
    check: Check, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """1,2 at once; the list says who and why; what is taken back is raised again."""
    first, second = tmp_path / "1.csv", tmp_path / "2.csv"
    check(TYPED, "--findings", first)
    assert check(TYPED, "--silence", "1,2") == 2
    check(TYPED, "--silence", "1-2", "--because", "page 1 prints it")
    library = ["--library", str(tmp_path / "team.sqlite"), "--who", "ann"]
    run(holdtrip, ["check", str(TYPED), "--findings", str(second), *library])
    assert len(rows_of(second)) == len(rows_of(first)) - 2
    capsys.readouterr()
    assert run(holdtrip, ["silences", *library]) == 0
    assert "page 1 prints it" in capsys.readouterr().out
    assert run(holdtrip, ["silences", "--take-back", "1", *library]) == 2
    assert run(holdtrip, ["silences", "--take-back", "1,2", "--because", "misread", *library]) == 0
    run(holdtrip, ["check", str(TYPED), "--findings", str(second), *library])
    assert len(rows_of(second)) == len(rows_of(first))


def test_a_mark_names_a_finding_in_every_run(
    check: Check, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Numbers move when something before them is silenced, marks do not; a silence has its finding's mark."""
    first, second = tmp_path / "1.csv", tmp_path / "2.csv"
    library = ["--library", str(tmp_path / "team.sqlite")]
    again = ["check", str(TYPED), "--findings", str(second), *library]
    check(TYPED, "--findings", first)
    marks = [row["mark"] for row in rows_of(first)]
    assert all(re.fullmatch("[b-z]{6}", mark) for mark in marks)
    capsys.readouterr()
    check(TYPED, "--silence", marks[0], "--because", "page 1 prints it")
    assert marks[0] in capsys.readouterr().out
    run(holdtrip, again)
    assert [row["mark"] for row in rows_of(second)] == [mark for mark in marks if mark != marks[0]]
    assert check(TYPED, "--silence", marks[0], "--because", "again") == 2
    assert "no finding has this mark" in capsys.readouterr().err
    assert run(holdtrip, ["silences", *library]) == 0
    assert marks[0] in capsys.readouterr().out
    assert run(holdtrip, ["silences", "--take-back", marks[0], "--because", "misread", *library]) == 0
    run(holdtrip, again)
    assert [row["mark"] for row in rows_of(second)] == marks


def test_a_disputed_reading_is_counted_and_strict_fails(
    check: Check, numbers: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A right table against disputed readings: exit 0 with the count said, 1 with --strict."""
    from dataclasses import replace

    from extract.schema import Quantity, Status

    readings = read_long_table(numbers)
    doubtful = tmp_path / "doubtful.csv"
    write_long_table([replace(r, status=Status.DISPUTED) if r.quantity is Quantity.MAX_VOLTAGE else r
                      for r in readings], doubtful)
    table = tmp_path / "parts.csv"
    table.write_text("Part,Ihold [A],Vmax [V]\n" + "".join(
        f"{r.part_number},{r.value:g},{v.value:g}\n" for r in readings for v in readings
        if r.quantity is Quantity.HOLD_CURRENT and r.ambient_c == 23 and v.part_number == r.part_number
        and v.quantity is Quantity.MAX_VOLTAGE))
    assert check(table, "--against", doubtful) == 0
    assert "numbers stand against disputed readings only" in capsys.readouterr().out
    assert check(table, "--against", doubtful, "--strict") == 1
    assert check(table, "--against", numbers, "--strict") == 0


def test_only_what_is_new_is_told(check: Check, tmp_path: Path) -> None:
    """A build fails for new findings only; rows may have moved."""
    old, new = tmp_path / "old.csv", tmp_path / "new.csv"
    assert check(TYPED, "--findings", old) == 1
    table = tmp_path / "parts.csv"
    lines = TYPED.read_text(encoding="utf-8").splitlines()
    table.write_text("\n".join([lines[0], lines[-1], *lines[1:-1]]), encoding="utf-8")
    assert check(table, "--new-since", old, "--findings", new) == 0
    assert rows_of(new) == []
    assert check(table, "--new-since", TYPED) == 2


def test_a_doubt_can_fail_a_build(check: Check, tmp_path: Path) -> None:
    """--fail-on doubt."""
    table = tmp_path / "parts.csv"
    lines = TYPED.read_text(encoding="utf-8").splitlines()
    table.write_text("\n".join([*lines[:3], *lines[5:6], *lines[6:]]), encoding="utf-8")
    assert check(table) == 0
    assert check(table, "--fail-on", "doubt") == 1


def test_repairs_are_written_and_the_report_as_json(check: Check, numbers: Path, tmp_path: Path) -> None:
    """The corrected copy has no difference left; the JSON holds what the findings file holds, and more."""
    mended, report, found = tmp_path / "mended.csv", tmp_path / "r.json", tmp_path / "f.csv"
    assert check(TYPED, "--against", numbers, "--corrected", mended) == 2
    for _ in range(2):
        assert check(TYPED, "--against", numbers, "--repair", "all", "--json", report, "--findings", found,
                     "--corrected", tmp_path / "mended.xlsx") == 1
    content = json.loads(report.read_text(encoding="utf-8"))
    assert [(f["row"], f["code"]) for f in content["findings"]] == [
        (int(row["row"]), row["code"]) for row in rows_of(found)]
    assert content["columns"][1]["understood_as"] == "hold_current"
    assert check(TYPED, "--against", numbers, "--repair", "1-4", "--corrected", mended) == 1
    assert check(mended, "--against", numbers) == 0
    assert check(tmp_path / "mended.xlsx", "--against", numbers) == 0


def test_the_report_goes_to_standard_output_alone(check: Check, capsys: pytest.CaptureFixture[str]) -> None:
    """`--json -` gives scripts the report and nothing else; what people read goes to standard error."""
    capsys.readouterr()
    assert check(TYPED, "--json", "-") == 1
    said = capsys.readouterr()
    assert json.loads(said.out)["table"] == TYPED.name
    assert "Understood as" in said.err


def test_a_team_states_what_its_part_numbers_say(
    check: Check, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Rules of holdtrip.toml need no rows that prove them; one that cannot be understood is told."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "parts.csv").write_text("Part,Ihold [A],Itrip [A],Vmax [V]\nZQ-110/24,1.2,2.2,30\n")
    assert check("parts.csv", "--fail-on", "doubt") == 0
    rules = tmp_path / "holdtrip.toml"
    rules.write_text('[[series]]\npart_number = "ZQ-(?P<hold>[0-9]{3})/(?P<voltage>[0-9]+)"\n'
                     "hold_a = 0.01\nvoltage_v = 1\n")
    found = tmp_path / "f.csv"
    assert check("parts.csv", "--fail-on", "doubt", "--findings", found) == 1
    assert {(row["code"], row["expected"]) for row in rows_of(found) if row["severity"] == "doubt"} == {
        ("code-current-differs", "1.1 A"), ("code-voltage-differs", "24 V")}
    capsys.readouterr()
    for wrong in ('part_number = "("', 'part_number = "(?P<hold>1)"', "hold_a = 1",
                  'part_number = "A"\nx = 1'):
        rules.write_text(f"[[series]]\n{wrong}\n")
        assert check("parts.csv") == 2
        assert "series 1" in capsys.readouterr().err


def test_the_step_of_the_guide_fails_for_new_findings_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The `run:` line of docs/checking.md, as a CI runs it: 0 for what was accepted, 1 for a new slip."""
    guide = (ROOT / "docs" / "checking.md").read_text(encoding="utf-8")
    (line,) = re.findall(r"^- run: holdtrip (.+)$", guide, re.MULTILINE)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "datasheets").mkdir()
    shutil.copy(SHEET, tmp_path / "datasheets")
    text = TYPED.read_text(encoding="utf-8")
    Path("parts.csv").write_text(text, encoding="utf-8")
    first = ["check", "parts.csv", "--against", "datasheets/", "--findings", "accepted.csv"]
    assert run(holdtrip, first) == 1
    assert run(holdtrip, line.split()) == 0
    assert rows_of(Path("found.csv")) == []
    lines = text.splitlines()
    cells = lines[-1].split(",")
    Path("parts.csv").write_text("\n".join([*lines[:-1], ",".join([cells[0], "77", *cells[2:]])]))
    assert run(holdtrip, line.split()) == 1
    new = [row for row in rows_of(Path("found.csv")) if row["severity"] != "note"]
    assert [(row["part_number"], row["found"]) for row in new] == [(cells[0], "77")]


def test_a_small_table_is_checked_under_limits(tmp_path: Path) -> None:
    """A CSV of two lines runs in a worker as well: what exceeds its limits is one line."""
    path = tmp_path / "parts.csv"
    path.write_text("Part,Ihold [A],Itrip [A]\nZQ-110,1.1,2.2\n")
    assert job_to_checked(TableJob(path)).findings is not None
    with pytest.raises(InputError, match=r"parts\.csv"):
        job_to_checked(TableJob(path), Limits(cpu_s=60.0, max_bytes=2_000_000_000, deadline_s=0.01))
