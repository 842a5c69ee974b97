"""The table in README.md names tests that exist, and every worked check stands in it."""

import re
from pathlib import Path

HERE = Path(__file__).parent
TABLE = (HERE / "README.md").read_text(encoding="utf-8")


def test_every_test_that_the_table_names_exists() -> None:
    """A renamed or deleted check cannot stay in the table."""
    named = re.findall(r"(\w+): (test_\w+) \|", TABLE)
    assert len(named) > 40
    missing = [
        f"{file}: {name}"
        for file, name in named
        if f"def {name}(" not in (HERE / f"test_{file}.py").read_text(encoding="utf-8")
    ]
    assert missing == []


def test_all_worked_checks_stand_in_the_table() -> None:
    """34 checks, numbered without a gap."""
    assert [int(n) for n in re.findall(r"^\| (\d+) \|", TABLE, re.MULTILINE)] == list(range(1, 35))
