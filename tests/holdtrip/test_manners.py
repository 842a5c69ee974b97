"""How the command line behaves towards people: help, mistyped words, narrow windows, how much is said."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from holdtrip import screen
from holdtrip.commands import holdtrip
from holdtrip.exits import run
from holdtrip.screen import Loudness, set_loudness, show_table

SHEET = str(Path(__file__).parents[2] / "sample_tables" / "quarrowick_qk.pdf")


@pytest.fixture(autouse=True)
def as_usual() -> Iterator[None]:
    """No test leaves the screen quiet."""
    yield
    set_loudness(Loudness.USUAL)


@pytest.mark.parametrize("words", [[], ["-h"], ["--help"]])
def test_help_is_shown_and_all_is_well(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Bare, with -h and with --help: the help on standard output, exit code 0."""
    assert run(holdtrip, words) == 0
    told = capsys.readouterr()
    assert "Start here:" in told.out
    assert told.err == ""


def test_a_command_has_the_short_word_for_help_too(capsys: pytest.CaptureFixture[str]) -> None:
    """-h works for each command."""
    assert run(holdtrip, ["read", "-h"]) == 0
    assert "--long" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("typed", "near"), [("compere", "compare"), ("reed", "read"), ("histroy", "history")]
)
def test_a_mistyped_command_is_named_with_its_neighbour(
    typed: str, near: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit code 2 and one line that says what may be meant."""
    assert run(holdtrip, [typed]) == 2
    line = capsys.readouterr().err
    assert line.count("\n") == 1
    assert f"Did you mean {near}" in line


def test_an_unknown_key_of_the_projects_file_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """`libary` is not `library`: it is named, and what there is."""
    (tmp_path / "holdtrip.toml").write_text("libary = 'x.sqlite'\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("HOLDTRIP_LIBRARY", raising=False)
    assert run(holdtrip, ["list"]) == 2
    line = capsys.readouterr().err
    assert "'libary'" in line
    assert "library or series" in line


def test_a_narrow_window_gets_lines(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A table that would be folded into syllables is told row by row, every cell with its heading."""
    monkeypatch.setenv("COLUMNS", "60")
    row = ["hold current", "at -40 °C", "0.18 A", "agreed", "134, 115 - 152, 123", "0.18", "a note"]
    show_table(["Quantity", "Condition", "Value", "Status", "Box, pt", "Printed", "Notes"], [row])
    told = " ".join(capsys.readouterr().out.split())
    assert told.startswith("hold current; Condition: at -40 °C; Value: 0.18 A; Status: agreed")
    monkeypatch.setenv("COLUMNS", "160")
    show_table(["Quantity", "Condition"], [row[:2]])
    assert "Quantity" in capsys.readouterr().out


def test_quiet_says_nothing_and_exits_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing on standard output; an error still has its line."""
    assert run(holdtrip, ["--quiet", "read", SHEET]) == 0
    assert capsys.readouterr() == ("", "")
    assert run(holdtrip, ["--quiet", "read", "nowhere.pdf"]) == 2
    assert "nowhere.pdf" in capsys.readouterr().err


def test_verbose_tells_what_was_done(capsys: pytest.CaptureFixture[str]) -> None:
    """Each sheet on standard error with its seconds; both words at once are refused."""
    assert run(holdtrip, ["--verbose", "read", SHEET]) == 0
    assert "Reading: quarrowick_qk.pdf, 1 of 1" in capsys.readouterr().err
    assert run(holdtrip, ["--quiet", "--verbose", "read", SHEET]) == 2
    assert screen.console().quiet is False
