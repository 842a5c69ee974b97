"""What the documents say is true: commands documented, links alive, examples typed as they are accepted."""

import csv
import re
import shlex
from pathlib import Path

import click
import pytest
from PIL import Image

from holdtrip.commands import COMMANDS, holdtrip

ROOT = Path(__file__).parents[2]
DOCUMENTS = sorted({*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), ROOT / "sample_tables" / "README.md"})

CONTEXT = click.Context(holdtrip, info_name="holdtrip", **holdtrip.context_settings)


def command_named(name: str) -> click.Command:
    """The command, loaded."""
    command = holdtrip.get_command(CONTEXT, name)
    assert command is not None
    return command


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_helps_a_newcomer(name: str) -> None:
    """Help has a summary, a description that ends a sentence, examples, and a word on every option."""
    command = command_named(name)
    assert command.name == name
    assert command.help is not None
    assert command.help.split("\n")[0].endswith(".")
    assert "Example" in (command.epilog or "")
    assert f"holdtrip {name}" in (command.epilog or "")
    for option in command.params:
        if isinstance(option, click.Option):
            assert option.help, f"{name} {option.opts[0]} says nothing"


@pytest.mark.parametrize("name", COMMANDS)
def test_the_overview_says_what_the_command_says(name: str) -> None:
    """The one line in `holdtrip --help` is the first sentence of the command's own help."""
    first = " ".join((command_named(name).help or "").split("\n\n")[0].split())
    assert COMMANDS[name].summary == first


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_in_the_readme(name: str) -> None:
    """README.md shows each command."""
    assert f"holdtrip {name}" in (ROOT / "README.md").read_text(encoding="utf-8")


def examples() -> list[tuple[str, str]]:
    """(where, command line) of every `holdtrip ...` line in a fenced block or in a command's help."""
    found = []
    for path in DOCUMENTS:
        for block in re.findall(r"```\w*\n(.*?)```", path.read_text(encoding="utf-8"), re.DOTALL):
            found += [(path.name, line.strip().removeprefix("$ ")) for line in block.splitlines()]
    for name in COMMANDS:
        epilog = command_named(name).epilog or ""
        found += [(f"help of {name}", line.strip()) for line in epilog.splitlines()]
    lines = [(where, re.split(r"\s{2,}|\s#", line)[0]) for where, line in found]
    return [(where, line) for where, line in lines if line.startswith("holdtrip ")]


@pytest.mark.parametrize(("where", "line"), examples())
def test_every_example_is_a_command_line_we_accept(where: str, line: str) -> None:
    """Each example parses: command, arguments and options exist and are spelled right."""
    words = shlex.split(line)[1:]
    if words[0].startswith("--"):
        words, command = words, holdtrip
    else:
        command = command_named(words.pop(0))
    try:
        command.make_context("holdtrip", words, parent=CONTEXT)
    except click.exceptions.Exit:
        pass
    except click.FileError:
        pass  # the file is the reader's own
    except click.UsageError as error:
        pytest.fail(f"{where}: `{line}`: {error.format_message()}")


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_link_leads_somewhere(path: Path) -> None:
    """Relative links and pictures point to files that are there."""
    text = path.read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", text)
    dead = [link for link in links if "://" not in link and not (path.parent / link).exists()]
    assert dead == []


def test_the_numbers_of_the_documents_are_those_of_the_samples() -> None:
    """As many sheets as the README says, as many parts as its picture of the ranking shows: the picture of a
    command holds the text it shows, and `docs/make_pictures.py` renews it."""
    samples = ROOT / "sample_tables"
    parts = set()
    for path in samples.glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            parts |= {(row["document"], row["part_number"]) for row in csv.DictReader(file)}
    count = sum(number != "*" for _, number in parts)
    shown = Image.open(ROOT / "docs" / "pictures" / "compare.png").text["shown"]  # type: ignore[attr-defined]
    assert re.search(rf"^{count} parts: ", shown, re.MULTILINE)
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert f"reads {len(list(samples.rglob('*.pdf')))} sheets" in readme.replace("\n", " ")


def test_every_test_that_carries_a_claim_exists() -> None:
    """docs/claims.md names no test that was renamed or deleted, and each row names what carries it."""
    table = (ROOT / "docs" / "claims.md").read_text(encoding="utf-8")
    rows = [line for line in table.splitlines() if line.startswith("| ") and not line.startswith("| claim")]
    assert len(rows) > 25
    for row in rows:
        text = ""
        for file, name in re.findall(r"`(tests/[\w/]+\.py)?(?:: )?(test_\w+)?`", row):
            text = (ROOT / file).read_text(encoding="utf-8") if file else text
            assert f"def {name}" in text, row
        assert "tests/" in row or "measured.md" in row, row
