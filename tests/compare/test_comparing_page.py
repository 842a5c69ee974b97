"""docs/comparing.md names every field, every margin, every basis and verdict, and its example is read."""

import re
from pathlib import Path

import pytest

from compare.field_file import Rules
from compare.margins import QUESTIONS
from compare.measurements import bench_rules
from compare.presets import preset_names
from compare.records import Basis, Verdict
from compare.requirement_file import PRESET_TABLES, field_rules, text_to_requirement

PAGE = (Path(__file__).parents[2] / "docs" / "comparing.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("rules", [field_rules(), bench_rules()], ids=["requirement", "bench"])
def test_every_field_stands_there_with_its_meaning(rules: Rules) -> None:
    """Name and meaning of each field, as its rule has them."""
    rows = {row.split("`")[1]: row for row in PAGE.splitlines() if row.startswith("| `") and "`" in row[3:]}
    missing = [name for name, rule in rules.items() if rule.meaning not in rows.get(name, "")]
    assert missing == []


def test_every_margin_basis_and_verdict_is_explained() -> None:
    """No name of the JSON is left to guess."""
    names = [question.__name__ for question in QUESTIONS]
    assert [name for name in names if f"`{name}`" not in PAGE] == []
    assert all(f"| {word.value} |" in PAGE for word in (*Basis, *Verdict))


@pytest.mark.parametrize("table", PRESET_TABLES)
def test_every_preset_is_named(table: str) -> None:
    """A user need not read the code for a name."""
    assert [name for name in preset_names(table) if f"`{name}`" not in PAGE] == []


def test_the_example_is_a_requirement() -> None:
    """What the page shows can be typed."""
    (example,) = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    assert text_to_requirement(example).wire is not None
