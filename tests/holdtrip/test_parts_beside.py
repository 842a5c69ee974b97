"""`holdtrip compare --like` and `--table` from the command line."""

from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from extract.long_table import COLUMNS
from holdtrip.commands.compare import command


@pytest.fixture
def parts(tmp_path: Path) -> Path:
    """A long table of three invented parts: B is A with more volts, C holds more."""
    lines = [",".join(COLUMNS)]
    for part, hold, volts in (("A", 0.5, 16), ("B", 0.5, 30), ("C", 0.9, 16)):
        for quantity, ambient, value in (("hold_current", "23", hold), ("trip_current", "23", 2 * hold),
                                         ("max_voltage", "", volts), ("max_current", "", 40)):
            lines.append(f"s.pdf,{part},{quantity},,{ambient},,{value},agreed,1,0,0,1,1,{value}")
    path = tmp_path / "parts.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def compare(*words: str) -> tuple[int, str]:
    """Exit code and what was printed."""
    result = CliRunner().invoke(command, words, standalone_mode=False)
    if result.exception is not None:
        raise result.exception
    return int(result.return_value), result.output


def test_like_names_the_stand_in_and_what_gets_worse(parts: Path) -> None:
    """B stands in for A; C trips later."""
    code, text = compare("--like", "A", "--parts", str(parts))
    assert code == 0
    assert "can stand in" in text
    assert "C gets worse: Trip current at 23 °C 1 A → 1.8 A" in text
    assert "must still meet" in text


def test_table_writes_the_workbook_again_without_force(tmp_path: Path, parts: Path) -> None:
    """Its own workbook may be overwritten."""
    path = tmp_path / "side.xlsx"
    for _ in range(2):
        code, text = compare("--table", "A, B", "--parts", str(parts), "--xlsx", str(path))
        assert code == 0
    assert "30 V *" in text
    assert path.exists()


@pytest.mark.parametrize("words", [(), ("--like", "A", "--table", "A,B"), ("--table", "A,B", "--save", "x")])
def test_what_does_not_go_together_is_refused(words: tuple[str, ...], parts: Path) -> None:
    """No requirement, or two questions at once: a usage error, nothing done."""
    with pytest.raises(click.UsageError):
        compare(*words, "--parts", str(parts))
