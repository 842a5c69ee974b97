"""Which library a command opens: the nearest word counts."""

from pathlib import Path

import pytest

from extract.errors import InputError
from holdtrip.commands import holdtrip
from holdtrip.exits import run
from holdtrip.library.store import open_library
from holdtrip.library_options import is_library, library_address
from tests.library.made_up_sheets import many_parts


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A project folder with a project file; the work goes on in a folder below it."""
    (tmp_path / "holdtrip.toml").write_text("library = 'team/parts.sqlite'\n", encoding="utf-8")
    below = tmp_path / "boards" / "lamp"
    below.mkdir(parents=True)
    monkeypatch.chdir(below)
    return tmp_path


def test_what_was_typed_comes_first(project: Path) -> None:  # noqa: ARG001
    """An option or the environment beats the project file."""
    assert library_address("mine.sqlite") == "mine.sqlite"


def test_the_project_file_is_found_above(project: Path) -> None:
    """A file named in holdtrip.toml is relative to where that stands."""
    assert library_address(None) == str(project / "team/parts.sqlite")


def test_a_database_address_of_a_project_stays_as_it_is(project: Path) -> None:
    """Only files are relative."""
    (project / "holdtrip.toml").write_text("library = 'postgresql://server/parts'\n", encoding="utf-8")
    assert library_address(None) == "postgresql://server/parts"


@pytest.mark.parametrize("text", ["library = ", "library = 3", "other = 'x'"])
def test_a_wrong_project_file_is_named(project: Path, text: str) -> None:
    """No other library is opened in its place."""
    (project / "holdtrip.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"holdtrip\.toml"):
        library_address(None)


def test_else_it_is_a_file_of_the_users_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its folder is made, the file is not."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr("sys.platform", "linux")
    address = Path(library_address(None))
    assert address.name == "library.sqlite"
    assert address.parent.is_dir()
    assert not address.exists()


@pytest.mark.parametrize(
    ("source", "library"),
    [("parts.sqlite", True), ("postgresql://server/parts", True), ("parts.csv", False), ("sheets/", False)],
)
def test_a_library_is_told_from_files(source: str, library: bool) -> None:
    """Its ending or its address tells."""
    assert is_library(source) is library


def test_a_library_of_any_name_is_told_by_how_it_begins(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A library that `import --library team` made is the one that `list`, `show` and `compare` open as
    `--library team`, or `--parts team`: two names of one option."""
    monkeypatch.chdir(tmp_path)
    with open_library("team") as library:
        library.import_sheet(many_parts("qx", 4), "Ann")
        number = library.list_parts()[0].part_number
    for option in ("--library", "--parts"):
        assert run(holdtrip, ["list", option, "team"]) == 0
        assert "4 parts in team" in capsys.readouterr().out
        assert run(holdtrip, ["show", number, option, "team"]) == 0
        assert number in capsys.readouterr().out


@pytest.mark.parametrize("words", [("history", "--as-of"), ("changes", "--since")])
@pytest.mark.parametrize("typed", ["0001-01-01", "now", "2026-02-30", "-1", "2026-01-01 25:00"])
def test_a_time_that_is_none_is_one_plain_line(
    words: tuple[str, str], typed: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Also a year that no clock counts; the line shows what a time looks like."""
    assert run(holdtrip, [*words, typed]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "2026-03-01" in said
    assert "%" not in said
