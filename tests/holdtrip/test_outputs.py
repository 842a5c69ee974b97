"""Files that commands write: what is refused, what may be written again, whole or not at all."""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from compare import workbook
from extract.errors import InputError
from extract.parts_table import marked_copy
from holdtrip import outputs
from holdtrip.commands import holdtrip
from holdtrip.exits import run
from holdtrip.library.store import open_library
from holdtrip.outputs import whole_file
from holdtrip.own_files import COMPARISON_MARK, MARKED_MARK
from tests.library.made_up_sheets import many_parts

ROOT = Path(__file__).parents[2]
Refused = Callable[..., str]


@pytest.fixture
def table(tmp_path: Path) -> Path:
    """A typed table of one's own."""
    return Path(shutil.copy(ROOT / "docs" / "examples" / "typed_parts.csv", tmp_path / "parts.csv"))


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    """A datasheet of one's own."""
    return Path(shutil.copy(ROOT / "sample_tables" / "quarrowick_qk.pdf", tmp_path / "sheet.pdf"))


@pytest.fixture
def refused(capsys: pytest.CaptureFixture[str]) -> Refused:
    """The line on stderr of a command that must be refused as bad input."""
    def typed(*words: object) -> str:
        assert run(holdtrip, [str(word) for word in words]) == 2
        return capsys.readouterr().err

    return typed


@pytest.fixture(params=["without a name", "with a name"])
def either_way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Systems that have files without a name, and systems that have not."""
    if request.param == "with a name":
        monkeypatch.setattr(outputs, "_open_nameless", lambda _folder: None)
    return request.param


def test_no_output_is_an_input_by_any_name(
    table: Path, sheet: Path, tmp_path: Path, refused: Refused
) -> None:
    """Table and datasheet stay: named directly, by a link, by a hard link, in a folder; also by force."""
    before = table.read_bytes(), sheet.read_bytes()
    (tmp_path / "link.csv").symlink_to(table)
    os.link(table, tmp_path / "hard.csv")
    for name in (table, tmp_path / "link.csv", tmp_path / "hard.csv", tmp_path / "x" / ".." / "parts.csv"):
        (tmp_path / "x").mkdir(exist_ok=True)
        assert "a file that this command reads" in refused("check", table, "--findings", name, "--force")
    requirement = ROOT / "sample_tables" / "demo_requirement.toml"
    assert "one of the datasheets" in refused("compare", requirement, "--parts", tmp_path, "--report", sheet,
                                              "--force")
    assert "a file that this command reads" in refused("compare", requirement, "--parts", sheet, "--report",
                                                       sheet, "--force")
    assert (table.read_bytes(), sheet.read_bytes()) == before


def test_a_library_is_no_output(tmp_path: Path, refused: Refused) -> None:
    """Neither the library nor what the database keeps beside it becomes a table."""
    library = tmp_path / "team.csv"
    (tmp_path / "team.csv-wal").write_text("")
    for name in (library, tmp_path / "team.csv-wal"):
        refused("export", name, "--long", "--library", library, "--force")
    assert not library.exists()
    assert "a file that this command reads" in refused("backup", library, "--library", library)


def test_what_a_linked_library_keeps_is_no_output(tmp_path: Path, refused: Refused) -> None:
    """The database's own files, named beside the file that a link leads to, stay too."""
    (tmp_path / "team.sqlite").write_bytes(b"x")
    (tmp_path / "team.sqlite-wal").write_bytes(b"last changes")
    (tmp_path / "link.sqlite").symlink_to(tmp_path / "team.sqlite")
    said = refused("backup", tmp_path / "team.sqlite-wal", "--library", tmp_path / "link.sqlite", "--force")
    assert "a file that this command reads" in said
    assert (tmp_path / "team.sqlite-wal").read_bytes() == b"last changes"


def test_a_kept_copy_and_a_project_s_settings_are_no_outputs(
    sheet: Path, tmp_path: Path, refused: Refused, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither by force: the copy of a datasheet, by a link too, and holdtrip.toml."""
    monkeypatch.chdir(tmp_path)
    kept = tmp_path / "team.sheets" / f"{'0123456789abcdef' * 4}.pdf"
    kept.parent.mkdir()
    sheet.rename(kept)
    (tmp_path / "report.pdf").symlink_to(kept)
    Path("holdtrip.toml").write_text("library = 'team.sqlite'\n")
    before, settings = kept.read_bytes(), Path("holdtrip.toml").read_text()
    for path in (kept, tmp_path / "report.pdf"):
        assert "a copy of a datasheet" in refused("backup", path, "--force")
        assert "a copy of a datasheet" in refused(
            "compare", ROOT / "sample_tables" / "demo_requirement.toml", "--parts",
            ROOT / "docs" / "examples" / "typed_parts.csv", "--report", path, "--force")
    assert "the settings of a project" in refused("backup", "holdtrip.toml", "--force")
    assert (kept.read_bytes(), Path("holdtrip.toml").read_text()) == (before, settings)


def test_names_that_differ_in_capitals_alone_are_one(sheet: Path, tmp_path: Path, refused: Refused) -> None:
    """On many systems they are one file, and the second output would replace the first."""
    said = refused("read", sheet, "--long", tmp_path / "a.csv", "--findings", tmp_path / "A.CSV")
    assert "the same file as --long" in said


def test_each_output_has_a_name_of_its_own(sheet: Path, tmp_path: Path, refused: Refused) -> None:
    """Two outputs with one name would leave only one of them."""
    said = refused("read", sheet, "--long", tmp_path / "a.csv", "--findings", tmp_path / "." / "a.csv")
    assert "the same file as --long" in said
    assert not (tmp_path / "a.csv").exists()


@pytest.mark.parametrize("words", [("--marked", "x.csv"), ("--findings", "x.xlsx"), ("--findings", "x.pdf")])
def test_an_ending_says_what_the_file_is(
    table: Path, tmp_path: Path, refused: Refused, words: tuple[str, str]
) -> None:
    """No workbook under the name of a CSV, and the other way round."""
    assert "the ending" in refused("check", table, words[0], tmp_path / words[1])
    assert not (tmp_path / words[1]).exists()


def test_another_file_needs_force_and_holdtrips_own_does_not(
    table: Path, tmp_path: Path, refused: Refused
) -> None:
    """A list of somebody's is kept; findings written before are written again; so is an empty file."""
    mine = tmp_path / "mine.csv"
    mine.write_text("shopping,list\nmilk,2\n")
    said = refused("check", table, "--findings", mine)
    assert "--force" in said
    assert mine.read_text().startswith("shopping")
    assert run(holdtrip, ["check", str(table), "--findings", str(mine), "--force"]) == 1
    written = mine.read_bytes()
    assert run(holdtrip, ["check", str(table), "--findings", str(mine)]) == 1
    assert mine.read_bytes() == written
    (tmp_path / "empty.csv").touch()
    assert run(holdtrip, ["check", str(table), "--findings", str(tmp_path / "empty.csv")]) == 1


def test_files_of_a_comparison_are_written_again(sheet: Path, tmp_path: Path) -> None:
    """Workbook, record as page and as PDF, and JSON: twice onto the same names, as scripts do."""
    requirement = str(ROOT / "sample_tables" / "demo_requirement.toml")
    out = tmp_path / "out"
    out.mkdir()
    for report in ("r.html", "r.pdf"):
        words = ["compare", requirement, "--parts", str(sheet), "--xlsx", str(out / "o.xlsx"), "--json",
                 str(out / "o.json"), "--report", str(out / report)]
        assert run(holdtrip, words) in (0, 1)
        assert run(holdtrip, words) in (0, 1)
    assert sorted(path.name for path in out.iterdir()) == ["o.json", "o.xlsx", "r.html", "r.pdf"]


def test_a_library_is_exported_and_backed_up_again(tmp_path: Path, sheet: Path) -> None:
    """Every form of export, and the backup, may be written again without force."""
    library = str(tmp_path / "team.sqlite")
    assert run(holdtrip, ["import", str(sheet), "--library", library]) == 0
    for words in (["l.csv", "--long"], ["w.csv", "--wide"], ["x.json"], ["x.xlsx"]):
        for _ in range(2):
            assert run(holdtrip, ["export", str(tmp_path / words[0]), *words[1:], "--library", library]) == 0
    for _ in range(2):
        assert run(holdtrip, ["backup", str(tmp_path / "b.backup"), "--library", library]) == 0


def test_a_workbook_that_a_person_saved_since_is_theirs(
    table: Path, tmp_path: Path, refused: Refused
) -> None:
    """Repairs made in a marked copy are not overwritten by the next check."""
    marked = tmp_path / "marked.xlsx"
    for _ in range(2):
        assert run(holdtrip, ["check", str(table), "--marked", str(marked)]) == 1
    book = openpyxl.load_workbook(marked)
    book.properties.lastModifiedBy = "Kim"  # as every spreadsheet program writes who saved
    book.save(marked)
    assert "--force" in refused("check", table, "--marked", marked)


def test_writers_and_recognition_name_the_same_mark() -> None:
    """Rooms do not know each other: the marks stand twice and must be the same."""
    assert workbook.WRITER == COMPARISON_MARK
    assert marked_copy.WRITER == MARKED_MARK


@pytest.mark.usefixtures("either_way")
def test_a_failure_leaves_what_was_there(tmp_path: Path) -> None:
    """When writing fails the old file is whole, and nothing else lies about."""
    path = tmp_path / "out.csv"
    path.write_text("old")

    def fail() -> None:
        with whole_file(path) as unfinished:
            unfinished.write_text("half")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.usefixtures("either_way")
def test_a_new_file_and_an_old_one_get_the_whole_content(tmp_path: Path) -> None:
    """Both ways give the content under the name, links are followed, and who may read it stays."""
    path, link = tmp_path / "out.csv", tmp_path / "link.csv"
    link.symlink_to(path)
    for name, text in ((path, "one"), (path, "two"), (link, "three")):
        with whole_file(name) as unfinished:
            unfinished.write_text(text)
            assert not path.exists() or path.read_text() != text
        assert path.read_text() == text
        path.chmod(0o640)
    assert path.stat().st_mode & 0o777 == 0o640
    assert link.is_symlink()
    assert sorted(tmp_path.iterdir()) == [link, path]


_KILLED = """
import sys, time
from pathlib import Path
import holdtrip.outputs
if sys.argv[2] == "with a name":
    holdtrip.outputs._open_nameless = lambda folder: None
with holdtrip.outputs.whole_file(Path(sys.argv[1])) as path:
    path.write_text("half")
    print("writing", flush=True)
    time.sleep(60)
"""


def test_a_kill_leaves_the_old_file_and_nothing_else(tmp_path: Path, either_way: str) -> None:
    """A killed command leaves nothing where files need no name; else the next one clears it away."""
    path = tmp_path / "out.csv"
    path.write_text("old")
    process = subprocess.Popen([sys.executable, "-c", _KILLED, str(path), either_way], stdout=subprocess.PIPE,
                               cwd=ROOT)
    assert process.stdout is not None
    process.stdout.readline()
    process.send_signal(signal.SIGKILL)
    process.wait()
    process.stdout.close()
    assert path.read_text() == "old"
    assert len(list(tmp_path.iterdir())) == (1 if either_way == "without a name" else 2)
    with whole_file(path) as unfinished:
        unfinished.write_text("new")
    assert path.read_text() == "new"
    assert list(tmp_path.iterdir()) == [path]


def test_a_pipe_is_written_to_as_it_is(table: Path, tmp_path: Path) -> None:
    """What is no plain file cannot be renamed onto: /dev/stdout and pipes take the bytes themselves."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with subprocess.Popen(["cat", str(pipe)], stdout=subprocess.PIPE) as reader:
        assert run(holdtrip, ["check", str(table), "--findings", str(pipe)]) == 1
        assert reader.stdout is not None
        assert reader.stdout.read().startswith(b"row,column,code,severity")
    assert pipe.is_fifo()


def test_a_place_that_cannot_be_written_is_told_in_one_line(
    table: Path, tmp_path: Path, refused: Refused
) -> None:
    """A folder that is not there: told before the work, and by the writer too."""
    assert "a folder that is not there" in refused("check", table, "--findings", tmp_path / "no" / "out.csv")
    with (pytest.raises(InputError, match="Nothing was written"),
          whole_file(tmp_path / "no" / "out.csv") as unfinished):
        unfinished.write_text("text")


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit of file sizes (not on Windows)")
def test_a_workbook_that_finds_no_room_is_one_line(tmp_path: Path) -> None:
    """A disk that is full in the middle of a library's workbook: one line, no traceback, no file."""
    with open_library(tmp_path / "team.sqlite") as library:
        library.import_sheet(many_parts("qx", 400), "Ann")
    typed = ("import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, 40_000));"
             " sys.argv[1:] = ['export', 'out.xlsx', '--library', 'team.sqlite'];"
             " from holdtrip.commands import main; main()")
    ended = subprocess.run([sys.executable, "-c", typed], cwd=tmp_path, capture_output=True, text=True,
                           check=False, env={**os.environ, "PYTHONPATH": str(ROOT)})
    assert ended.returncode == 2
    assert ended.stderr.count("\n") == 1
    assert "File too large" in ended.stderr
    assert not (tmp_path / "out.xlsx").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs the device that is always full (Linux)")
@pytest.mark.parametrize("typed", [
    ["check", "parts.csv", "--findings", "/dev/full"], ["export", "/dev/full", "--long", "--library", "a.db"],
    ["backup", "/dev/full", "--library", "a.db"], ["list", "--library", "a.db", "--json", "/dev/full"]],
    ids=["findings", "export", "backup", "json"])
def test_a_full_disk_names_what_could_not_be_written(
    table: Path, typed: list[str], refused: Refused, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a device too, where nothing can be renamed: the line says which output it was."""
    monkeypatch.chdir(table.parent)
    with open_library("a.db") as library:
        library.import_sheet(many_parts("qx", 4), "Ann")
    assert "holdtrip: /dev/full: No space left on device" in refused(*typed)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs the device that is always full (Linux)")
@pytest.mark.parametrize("more", [[], ["--json", "-"]], ids=["tables", "json"])
def test_a_full_disk_behind_standard_output_is_named(table: Path, more: list[str]) -> None:
    """`holdtrip check parts.csv > file` on a full disk."""
    with Path("/dev/full").open("wb") as full:
        ended = subprocess.run([sys.executable, "-m", "holdtrip", "check", str(table), *more], cwd=ROOT,
                               stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert ended.returncode == 2
    assert ended.stderr.splitlines()[-1] == "holdtrip: standard output: No space left on device"
