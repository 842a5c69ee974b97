"""The README's and the stories' own commands work, in the order given, and answer what the text says."""

import re
import shlex
import shutil
from pathlib import Path

import pytest

from holdtrip.commands import holdtrip
from holdtrip.exits import FOUND_SOMETHING, run

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
WALKS = [README, *sorted((ROOT / "docs" / "stories").glob("*.md"))]
MORE_SHEETS = {"sample_tables/quarrowick_qk.pdf", "sample_tables/tarnhollow_th.pdf"}


def typed_in(path: Path) -> list[tuple[str, list[str]]]:
    """(command line, what its output must hold) of every console block, in order."""
    steps: list[tuple[str, list[str]]] = []
    for block in re.findall(r"```console\n(.*?)```", path.read_text(encoding="utf-8"), re.DOTALL):
        for line in block.splitlines():
            if line.startswith("$ "):
                steps.append((line.removeprefix("$ "), []))
            else:
                steps[-1][1].append(line)
    return steps


@pytest.fixture(params=WALKS, ids=lambda path: path.stem)
def steps(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> list[tuple[str, list[str]]]:
    """The steps of one document, in a folder with the files that they name."""
    typed = typed_in(request.param)
    (tmp_path / "sample_tables").mkdir()
    (tmp_path / "out").mkdir()
    named = set(re.findall(r"sample_tables/\w+\.\w+", " ".join(line for line, _ in typed)))
    for name in named | (MORE_SHEETS if request.param == README else set()):
        shutil.copy(ROOT / name, tmp_path / name)
    shutil.copytree(ROOT / "docs", tmp_path / "docs", ignore=shutil.ignore_patterns("pictures"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("HOLDTRIP_LIBRARY", raising=False)
    return typed


def test_every_command_of_a_walk_works(
    steps: list[tuple[str, list[str]]], capsys: pytest.CaptureFixture[str]
) -> None:
    """None is refused (a finding in a sheet, exit code 1, is an answer); each says what the text shows."""
    assert len(steps) >= 4
    for line, expected in steps:
        assert line.startswith("holdtrip ")
        if line.startswith("holdtrip serve"):
            continue  # it serves until somebody stops it; tests/holdtrip/web/ tries the page
        code = run(holdtrip, shlex.split(line)[1:])
        out, err = capsys.readouterr()
        assert code <= FOUND_SOMETHING, f"`{line}` ended with {code}: {err}"
        assert out, f"`{line}` says nothing"
        for words in expected:
            assert words in " ".join(out.split()), f"`{line}` does not say `{words}` but:\n{out}"


@pytest.mark.parametrize("goal", ["demo", "test"])
def test_the_two_commands_are_goals_of_the_makefile(goal: str) -> None:
    """`make demo` and `make test` stand in the README and in the Makefile."""
    assert f"make {goal}" in README.read_text(encoding="utf-8")
    assert re.search(rf"^{goal}:", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE)


def test_the_pinned_versions_are_those_both_ways_use() -> None:
    """The plain pip steps name the same constraints file as the Makefile."""
    assert README.read_text(encoding="utf-8").count("-c constraints.txt") == 2
    assert "constraints.txt" in (ROOT / "Makefile").read_text(encoding="utf-8")
