"""`holdtrip bench` tells a sound part from another one by measurements."""

from pathlib import Path

import pytest

from holdtrip.commands import holdtrip
from holdtrip.exits import run

ROOT = Path(__file__).parents[2]
SHEET = str(ROOT / "sample_tables" / "trosnavik_tnv.pdf")
MEASURED = ROOT / "docs" / "examples" / "measured.toml"


def test_the_example_fits_its_part(capsys: pytest.CaptureFixture[str]) -> None:
    """Every question of the documentation's example is answered, none is outside."""
    assert run(holdtrip, ["bench", "TNV047", str(MEASURED), "--parts", SHEET]) == 0
    assert "7 questions, 0 outside" in capsys.readouterr().out


def test_another_part_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """The same measurements held against a larger part of the series are outside: exit code 1."""
    assert run(holdtrip, ["bench", "TNV120", str(MEASURED), "--parts", SHEET]) == 1
    assert "outside" in capsys.readouterr().out


def test_a_wrong_measurement_file_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """File and field are named."""
    path = tmp_path / "measured.toml"
    path.write_text("[trip]\ncurrent_a = 'two'\ntime_s = 3\n", encoding="utf-8")
    assert run(holdtrip, ["bench", "TNV047", str(path), "--parts", SHEET]) == 2
    err = capsys.readouterr().err
    assert err.strip().count("\n") == 0
    assert "measured.toml" in err
    assert "current_a" in err
