"""A library that a team lives with: backup with copies, a shared place for them, sheets withdrawn."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from extract.schema import Status
from holdtrip.commands import holdtrip
from holdtrip.exits import run
from holdtrip.library.store import open_library
from holdtrip.sheet_files import SheetFiles, library_to_files

SHEET = Path(__file__).parents[2] / "sample_tables" / "osvikar_ovk.pdf"


@pytest.fixture
def team(tmp_path: Path) -> str:
    """A library with one sheet of six parts."""
    library = str(tmp_path / "team.sqlite")
    assert run(holdtrip, ["import", str(SHEET), "--library", library, "--who", "ann"]) in (0, 1)
    return library


def test_a_backup_holds_the_copies(
    team: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Restored elsewhere, the library verifies with its copies; without them the backup says so."""
    backup, restored = str(tmp_path / "one.backup"), str(tmp_path / "restored.sqlite")
    assert run(holdtrip, ["backup", backup, "--library", team]) == 0
    assert "1 copy of datasheets" in capsys.readouterr().out
    assert run(holdtrip, ["restore", backup, "--library", restored]) == 0
    assert run(holdtrip, ["verify", "--library", restored]) == 0
    assert "1 datasheet, 1 copy sound, 0 faults" in capsys.readouterr().out
    (kept,) = library_to_files(restored).folder.iterdir()
    assert kept.read_bytes() == SHEET.read_bytes()
    assert run(holdtrip, ["backup", backup, "--no-copies", "--library", team]) == 0
    assert "0 copies" in capsys.readouterr().out


@pytest.mark.parametrize("change", ["damaged", "missing"])
def test_a_damaged_copy_is_found_before_anything_is_restored(
    team: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], change: str
) -> None:
    """"Nothing was restored" is true: no library is there, and the whole backup is restored to its place."""
    backup, restored = tmp_path / "one.backup", str(tmp_path / "restored.sqlite")
    assert run(holdtrip, ["backup", str(backup), "--library", team]) == 0
    lines = gzip.decompress(backup.read_bytes()).splitlines(keepends=True)
    at = next(n for n, line in enumerate(lines) if line.startswith(b'{"copy"'))
    odd = lines[at].replace(b'"base64": "JV', b'"base64": "JW')
    changed = tmp_path / "changed.backup"
    changed.write_bytes(gzip.compress(b"".join([*lines[:at], *([odd] if change == "damaged" else []),
                                                *lines[at + 1:]])))
    capsys.readouterr()
    assert run(holdtrip, ["restore", str(changed), "--library", restored]) == 2
    said = capsys.readouterr().err
    assert str(changed) in said
    assert "Nothing was restored" in said
    assert not Path(restored).exists()
    assert run(holdtrip, ["restore", str(backup), "--library", restored]) == 0


def test_copies_that_find_no_room_are_told_as_such(
    team: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The rows are restored then, and the message says so."""
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    backup, restored = str(tmp_path / "one.backup"), str(tmp_path / "restored.sqlite")
    assert run(holdtrip, ["backup", backup, "--library", team]) == 0
    monkeypatch.setattr(SheetFiles, "keep_bytes", full)
    assert run(holdtrip, ["restore", backup, "--library", restored]) == 2
    said = capsys.readouterr().err
    assert "the library is restored, of its copies of datasheets 0: No space left" in said
    assert Path(restored).exists()


def test_copies_in_the_database_are_fetched_where_they_are_needed(
    team: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Settled so, the copies of this machine go into the database; lost here, they are fetched from there."""
    assert run(holdtrip, ["settings", "--copies", "database", "--library", team, "--who", "ann"]) == 0
    assert "copies of datasheets in the database" in capsys.readouterr().out
    (kept,) = library_to_files(team).folder.iterdir()
    kept.unlink()
    with open_library(team) as opened:
        path = library_to_files(team, opened).path_of(kept.stem)
        assert path is not None
        assert path.read_bytes() == SHEET.read_bytes()


def test_copies_in_a_shared_folder(team: str, tmp_path: Path) -> None:
    """Settled so, what this machine keeps is brought there, and later imports keep there."""
    shared = tmp_path / "shared"
    assert run(holdtrip, ["settings", "--copies", str(shared), "--library", team, "--who", "ann"]) == 0
    assert [path.read_bytes() for path in shared.iterdir()] == [SHEET.read_bytes()]


def test_a_sheet_is_withdrawn_and_put_back(
    team: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its parts leave the list, `--as-of` a version shows them, `--undo` brings them back."""
    withdraw = ["withdraw", SHEET.name, "--library", team, "--who", "ann", "--because", "a draft"]
    assert run(holdtrip, withdraw) == 0
    assert "6 parts count no longer" in capsys.readouterr().out
    assert run(holdtrip, ["list", "--parts", team]) == 0
    assert "0 parts in" in capsys.readouterr().out
    assert run(holdtrip, ["list", "--parts", team, "--state", "withdrawn"]) == 0
    assert "6 parts in" in capsys.readouterr().out
    assert run(holdtrip, ["list", "--parts", team, "--as-of", "1"]) == 0
    assert "6 parts in" in capsys.readouterr().out
    assert run(holdtrip, [*withdraw, "--undo"]) == 0
    assert "6 parts count again" in capsys.readouterr().out


def _typed(*words: str, library: str, who: str = "ann") -> int:
    return run(holdtrip, [*words, "--library", library, "--who", who])


def test_a_sheet_is_renamed_assigned_and_commented_on(
    team: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """One command says it; the sheet's own page of lines and the list show it."""
    assert _typed("sheet", SHEET.name, "--assign", "ben", "--comment", "ask for the original", "--rename",
                  "ovk 2031.pdf", library=team) == 0
    said = capsys.readouterr().out
    assert f"{SHEET.name}: called ovk 2031.pdf from now on" in said
    assert _typed("sheet", "ovk 2031.pdf", library=team) == 0
    said = capsys.readouterr().out
    assert "to be reviewed by: ben" in said
    assert "ann: ask for the original" in said
    assert "no other revision of it is stored" in said
    assert _typed("sheet", library=team) == 0
    assert "1 datasheet in" in capsys.readouterr().out


def test_a_sheet_without_revisions_cannot_be_set_apart(
    team: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """One line, exit code 2; nothing named is a line too."""
    assert _typed("sheet", SHEET.name, "--apart", "--because", "wrong", library=team) == 2
    assert "no revision of another datasheet" in capsys.readouterr().err
    assert _typed("sheet", "--apart", library=team) == 2
    assert "name the datasheet" in capsys.readouterr().err


def test_two_people_are_asked_for(team: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Settled so, the first acceptance says that it waits, the list counts it, the second makes it count."""
    assert _typed("settings", "--signatures", "2", library=team) == 0
    assert "signatures for a number: 2" in capsys.readouterr().out
    assert _typed("accept", "--sheet", SHEET.name, "--singles", library=team) == 0
    assert "wait for a second person" in capsys.readouterr().out
    assert run(holdtrip, ["list", "--parts", team]) == 0
    assert "in review" in capsys.readouterr().out
    assert _typed("accept", "--sheet", SHEET.name, "--singles", library=team, who="ben") == 0
    assert "wait for" not in capsys.readouterr().out
    with open_library(team) as opened:
        assert opened.parts(accepted_only=True)


def test_one_question_is_settled_for_all_its_numbers(
    team: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """`sheet` lists the open question; said to be as read, its numbers are accepted in bulk, and the question
    is gone; one that is not open is refused with those that are."""
    assert _typed("sheet", SHEET.name, library=team) == 0
    said = capsys.readouterr().out
    assert "open question 'meaning page 1', 30 numbers" in said
    assert _typed("accept", "--sheet", SHEET.name, "--cause", "unit", library=team) == 2
    assert "'meaning page 1' (30 numbers)" in capsys.readouterr().err
    assert _typed("accept", "--sheet", SHEET.name, "--cause", "meaning", library=team) == 0
    assert "for 30 numbers" in capsys.readouterr().out
    assert _typed("sheet", SHEET.name, library=team) == 0
    assert "open question" not in capsys.readouterr().out
    with open_library(team) as opened:
        assert sum(row.in_bulk for row in opened.list_parts()) == 30
        assert {one.status for part in opened.parts(accepted_only=True) for one in part.readings} == {
            Status.SINGLE}


@pytest.mark.parametrize(("as_of", "said"), [
    ("0", "before the beginning"), ("2001-01-01", "before the beginning"), ("99", "the last version is"),
    ("2999-01-01", "lies in the future")])
def test_a_moment_outside_the_history_is_said(
    team: str, capsys: pytest.CaptureFixture[str], as_of: str, said: str
) -> None:
    """Whoever asks for such a moment is told, on stderr, beside what is shown."""
    assert run(holdtrip, ["list", "--parts", team, "--as-of", as_of]) == 0
    assert said in capsys.readouterr().err
    assert run(holdtrip, ["history", "--library", team, "--as-of", as_of]) == 0
    assert said in capsys.readouterr().err
    assert run(holdtrip, ["list", "--parts", team, "--as-of", "1"]) == 0
    assert capsys.readouterr().err == ""
