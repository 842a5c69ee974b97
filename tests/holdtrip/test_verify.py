"""Is the library sound, and are the copies those that were read?"""

from __future__ import annotations

import shutil
import sqlite3
import time
from pathlib import Path

import pytest

from extract.errors import InputError
from holdtrip import screen
from holdtrip.commands import holdtrip
from holdtrip.exits import run
from holdtrip.screen import ProgressLines
from holdtrip.sheet_files import library_to_files

SAMPLES = Path(__file__).parents[2] / "sample_tables"


@pytest.fixture(scope="module")
def imported(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a library of one sheet and its copy."""
    path = tmp_path_factory.mktemp("imported") / "team.sqlite"
    assert run(holdtrip, ["import", str(SAMPLES / "thimblecrag_tcg.pdf"), "--library", str(path)]) <= 1
    return path.parent


@pytest.fixture
def library(imported: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """Such a library, to be changed."""
    shutil.copytree(imported, tmp_path, dirs_exist_ok=True)
    capsys.readouterr()
    return tmp_path / "team.sqlite"


def verify(path: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """Exit code and what was said."""
    code = run(holdtrip, ["verify", "--library", str(path)])
    told = capsys.readouterr()
    return code, told.out + told.err


def test_a_sound_library_has_no_fault(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """All sheets have sound copies."""
    code, said = verify(library, capsys)
    assert code == 0, said
    assert "1 datasheet, 1 copy sound, 0 faults" in said


def test_a_changed_copy_is_found_and_mended_by_importing(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is named, it is not shown, and the same file imported again takes its place."""
    files = library_to_files(str(library))
    copy, = files.folder.glob("*.pdf")
    copy.write_bytes(copy.read_bytes() + b"%")
    assert files.path_of(copy.stem) is None
    code, said = verify(library, capsys)
    assert code == 1
    assert "the copy of thimblecrag_tcg.pdf is not the file that was read" in said
    assert run(holdtrip, ["import", str(SAMPLES / "thimblecrag_tcg.pdf"), "--library", str(library)]) == 0
    assert files.path_of(copy.stem) == copy
    assert verify(library, capsys)[0] == 0


def test_what_is_missing_or_left_over_is_told(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A copy that is gone, and a file of no datasheet: told, but no fault of the library."""
    folder = library_to_files(str(library)).folder
    next(folder.glob("*.pdf")).rename(folder / "other.part")
    code, said = verify(library, capsys)
    assert code == 0
    assert "no copy of 1 datasheet is kept" in said
    assert "1 file in" in said


def test_counts_and_rows_that_do_not_follow_are_faults(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A database that somebody has changed by hand."""
    with sqlite3.connect(library) as connection:
        connection.execute("UPDATE part_state SET accepted = accepted + 1 WHERE id = 1")
        connection.execute(
            "INSERT INTO decision (change_id, reading_id, verdict) VALUES (1, 999999, 'accepted')")
    connection.close()
    code, said = verify(library, capsys)
    assert code == 1
    assert "its counts do not follow from its decisions" in said
    assert "decision: rows that point to a reading that is not there: 1" in said


def test_a_damaged_file_is_one_line(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Pages overwritten with noise: one line or a fault, never a traceback or an error of our own."""
    data = bytearray(library.read_bytes())
    data[4096:12288] = b"\xa5" * 8192
    library.write_bytes(bytes(data))
    code, said = verify(library, capsys)
    assert code in (1, 2)
    assert "holdtrip's own" not in said


@pytest.mark.parametrize(("change", "told"), [
    ("UPDATE reading SET value = 'ab' WHERE id = 1", "reading.value: cells that cannot be: 1, such as 'ab'"),
    ("UPDATE reading SET value = 9e999 WHERE id = 1", "reading.value: cells that cannot be: 1"),
    ("UPDATE reading SET status = 'great'", "reading.status: cells that cannot be"),
    ("UPDATE part_state SET own_state = 'x'", "part_state.own_state: cells that cannot be"),
    ("UPDATE sheet SET pages_read = '[1'", "sheet.pages_read: cells that cannot be: 1, such as '[1'"),
    ("UPDATE change SET at = 'yesterday'", "change.at: cells that cannot be: 1, such as 'yesterday'"),
    ("DELETE FROM part_state", "parts without one state"),
    ("UPDATE reading SET raw = cast(x'ff41fe' AS text) WHERE id = 1", "reading.raw: cells that cannot be: 1"),
    ("UPDATE sheet SET document = cast(x'ff41fe' AS text)", "sheet.document: cells that cannot be: 1"),
    ("UPDATE part_state SET rejected = cast(x'ff41fe' AS text)", "part_state.rejected: cells that cannot be"),
    ("UPDATE part SET part_number = x'fffe' WHERE id = 1", "part.part_number: cells that cannot be: 1"),
    ("UPDATE sheet SET document = x'fffe'", "sheet.document: cells that cannot be: 1"),
    ("UPDATE reading SET value = x'fffe' WHERE id = 1", "reading.value: cells that cannot be: 1"),
    ("UPDATE reading SET raw = char(57344) || '[' WHERE id = 1", "reading.raw: cells that cannot be: 1"),
    (f"UPDATE reading SET notes = '{'[' * 5000}' WHERE id = 1", "reading.notes: cells that cannot be: 1"),
    (f"UPDATE sheet SET sha256 = '0x{'1' * 62}'", "sheet.sha256: cells that cannot be: 1"),
    (f"UPDATE sheet SET sha256 = '+{'1_' * 31}1'", "sheet.sha256: cells that cannot be: 1"),
    ("DROP INDEX ix_change_at", "index ix_change_at is not there"),
])
def test_cells_that_no_holdtrip_writes_are_told(
    library: Path, capsys: pytest.CaptureFixture[str], change: str, told: str
) -> None:
    """SQLite keeps any value in any column: each that cannot be is a fault, and no command breaks on it."""
    with sqlite3.connect(library) as connection:
        connection.execute(change)
    connection.close()
    code, said = verify(library, capsys)
    assert code == 1
    assert told in said
    spare = str(library.with_suffix(".backup"))
    for arguments in (["list", "--parts"], ["history", "--library"], ["show", "TCG", "--parts"],
                      ["accept", "TCG", "--who", "ann", "--library"], ["backup", spare, "--library"]):
        run(holdtrip, [*arguments, str(library)])
    assert "holdtrip's own" not in capsys.readouterr().err


@pytest.mark.parametrize("change", ["DROP TABLE part_state", "ALTER TABLE sheet RENAME document TO doc"])
def test_a_broken_form_is_one_line(
    library: Path, capsys: pytest.CaptureFixture[str], change: str
) -> None:
    """A table or a column that is gone is named, with what to do; nobody says that there are no parts."""
    with sqlite3.connect(library) as connection:
        connection.execute(change)
    connection.close()
    for arguments in (["verify", "--library"], ["list", "--parts"], ["history", "--library"]):
        assert run(holdtrip, [*arguments, str(library)]) == 2
        said = capsys.readouterr()
        assert "its form is broken" in said.err
        assert "Restore it from a backup" in said.err
        assert "0 parts" not in said.out


def test_an_empty_file_is_no_library(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What was cut to nothing is not shown as a library without parts, and stays as it is."""
    path = tmp_path / "team.sqlite"
    path.touch()
    for arguments in (["verify", "--library"], ["list", "--parts"]):
        assert run(holdtrip, [*arguments, str(path)]) == 2
        assert "empty: no library here yet" in capsys.readouterr().err
    assert path.stat().st_size == 0


def test_a_file_that_changed_while_read_is_not_kept(tmp_path: Path) -> None:
    """The copy is of the bytes that were read, or there is none, and nothing is left over."""
    files = library_to_files(str(tmp_path / "team.sqlite"))
    sheet = tmp_path / "sheet.pdf"
    sheet.write_bytes(b"other")
    with pytest.raises(InputError, match="changed while it was read"):
        files.keep(sheet, "0" * 64)
    assert list(files.folder.iterdir()) == []


def test_progress_off_a_terminal_is_a_line_every_ten_seconds(capsys: pytest.CaptureFixture[str]) -> None:
    """How many, how fast, how much is in doubt, how long still; also while one file takes long."""
    now = [0.0]
    lines = ProgressLines("Reading", 100, clock=lambda: now[0])
    for second in range(40):
        now[0] += 1.0
        if 10 <= second < 30:
            lines.step("a.pdf", None if second == 12 else 3)
        lines.tick()
    said = capsys.readouterr().err.splitlines()
    assert said == [
        "Reading: 0 of 100, 10 s",
        "Reading: 10 of 100, 20 s, 30 a minute, 27 numbers in doubt, 1 not read, about 3.0 min left",
        "Reading: 20 of 100, 30 s, 40 a minute, 57 numbers in doubt, 1 not read, about 2.0 min left",
        "Reading: 20 of 100, 40 s, 30 a minute, 57 numbers in doubt, 1 not read, about 2.7 min left"]


def test_a_single_file_off_a_terminal_tells_that_it_is_read(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A command that reads one sheet says how long it has been at it, from the beginning on."""
    monkeypatch.setattr(screen, "LINE_EVERY_S", 0.0)
    with ProgressLines("Reading", 1).ticking():
        start = time.monotonic()
        while time.monotonic() - start < 60 and not (said := capfd.readouterr().err):
            time.sleep(0.05)
    assert said.startswith("Reading: 0 of 1, ")
