"""One word for one thing: words that DEVELOPERS.md gave up do not come back where users read."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from holdtrip.commands import COMMANDS, holdtrip

ROOT = Path(__file__).parents[2]
DOCUMENTS = [ROOT / name for name in ("README.md", "CONTRIBUTING.md", "SECURITY.md")]
DOCUMENTS += sorted((ROOT / "docs").rglob("*.md"))
DOCUMENTS += sorted((ROOT / "extract" / "checks" / "pages").glob("*.md"))
GIVEN_UP = re.compile(
    r"\b(vendors?|gravity|for ever|forever|(?:second|another) eye|mend(?:s|ed|ing)?|rooms)\b|\bNo\. ?\d"
    r"|holdtrip\[\w+\]",  # a name in a package index, which does not have it
    re.IGNORECASE,
)


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_document_uses_the_words_agreed_on(path: Path) -> None:
    """README, docs and the pages of findings."""
    lines = path.read_text(encoding="utf-8").splitlines()
    assert [(number, line) for number, line in enumerate(lines, 1) if GIVEN_UP.search(line)] == []


@pytest.mark.parametrize("name", COMMANDS)
def test_the_help_uses_the_words_agreed_on(name: str) -> None:
    """Also "number" in full where an option takes one."""
    context = click.Context(holdtrip, info_name="holdtrip", **holdtrip.context_settings)
    command = holdtrip.get_command(context, name)
    assert command is not None
    text = command.get_help(click.Context(command, parent=context, info_name=name))
    assert GIVEN_UP.search(text) is None
    assert re.search(r"\bNO\b", text) is None


def _told(tree: ast.Module) -> Iterator[ast.Constant]:
    """The texts of a file that are no docstrings."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Expr):
            yield from (child for child in ast.iter_child_nodes(node)
                        if isinstance(child, ast.Constant) and isinstance(child.value, str))


@pytest.mark.parametrize("package", ["extract", "compare", "holdtrip"])
def test_messages_use_the_words_agreed_on(package: str) -> None:
    """Sentences in the code: texts of several words outside docstrings."""
    found = []
    for path in sorted((ROOT / package).rglob("*.py")):
        for text in _told(ast.parse(path.read_text(encoding="utf-8"))):
            said = str(text.value)
            if " " in said.strip() and "|" not in said and GIVEN_UP.search(said):
                found.append(f"{path.relative_to(ROOT)}:{text.lineno}: {said}")
    assert found == []
