"""The README's own commands work, in the order it gives them, on a few of the invented datasheets."""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from app.commands import holdtrip
from app.exits import FOUND_SOMETHING, run

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")
TYPED = [line.removeprefix("$ ")
         for block in re.findall(r"```console\n(.*?)```", TEXT, re.DOTALL)
         for line in block.splitlines() if line.startswith("$ ")]


@pytest.fixture
def checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with what the README's commands name, and two more sheets to compare."""
    (tmp_path / "sample_tables").mkdir()
    (tmp_path / "out").mkdir()
    named = set(re.findall(r"sample_tables/[\w.]+\.\w+", "\n".join(TYPED)))
    more = {"sample_tables/quarrowick_qk.pdf", "sample_tables/tarnhollow_th.pdf"}
    for name in sorted(named | more):
        if (ROOT / name).is_file():
            shutil.copy(ROOT / name, tmp_path / name)
    shutil.copytree(ROOT / "docs", tmp_path / "docs", ignore=shutil.ignore_patterns("pictures"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("HOLDTRIP_LIBRARY", raising=False)
    return tmp_path


def test_the_readme_shows_commands() -> None:
    """There is something to run, and every line of a console block is a command of ours."""
    assert len(TYPED) >= 6
    assert all(line.startswith("holdtrip ") for line in TYPED)


def test_every_command_of_the_readme_works(checkout: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Typed one after the other, none is refused; a finding in a sheet (exit code 1) is an answer."""
    assert checkout.is_dir()
    for line in TYPED:
        code = run(holdtrip, shlex.split(line)[1:])
        out, err = capsys.readouterr()
        assert code <= FOUND_SOMETHING, f"`{line}` ended with {code}: {err}"
        assert out, f"`{line}` says nothing"


@pytest.mark.parametrize("goal", ["demo", "test"])
def test_the_two_commands_are_goals_of_the_makefile(goal: str) -> None:
    """`make demo` and `make test` stand in the README and in the Makefile."""
    assert f"make {goal}" in TEXT
    assert re.search(rf"^{goal}:", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE)


def test_the_pinned_versions_are_those_both_ways_use() -> None:
    """The plain pip steps name the same constraints file as the Makefile."""
    assert TEXT.count("-c constraints.txt") == 2
    assert "constraints.txt" in (ROOT / "Makefile").read_text(encoding="utf-8")
