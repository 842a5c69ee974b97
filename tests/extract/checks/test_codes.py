"""The list of codes is complete both ways: every code is used and explained, every page has its code."""

import ast
import re
from pathlib import Path

import pytest

import extract
from extract.checks import CODES, code_to_page, codes

ROOM = Path(extract.__file__).parent
OTHERS = tuple(ROOM.parent / name for name in ("holdtrip",))
SECTIONS = ("## What", "## Why", "## Example", "## How to silence")


def test_every_code_has_a_page_and_every_page_a_code() -> None:
    """Pages and codes are the same names."""
    pages = {path.stem for path in (ROOM / "checks" / "pages").glob("*.md")}
    assert pages == set(CODES)


@pytest.mark.parametrize("name", CODES)
def test_a_page_explains_its_code(name: str) -> None:
    """A page is headed by its code and title and says what, why, an example and how to silence."""
    page = code_to_page(name)
    assert page.startswith(f"# {name}: {CODES[name].title}\n")
    assert CODES[name].severity.value in page.splitlines()[2]
    assert all(section in page for section in SECTIONS)


def test_names_are_plain() -> None:
    """Names are lower case words with dashes."""
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)+", name) for name in CODES)


def test_every_code_is_raised_somewhere() -> None:
    """No code without a rule: each constant is used outside codes.py, or its name is."""
    constants = {value.name: name for name, value in vars(codes).items() if isinstance(value, codes.Code)}
    paths = [path for room in (ROOM, *OTHERS) for path in room.rglob("*.py") if path.name != "codes.py"]
    sources = [path.read_text(encoding="utf-8") for path in paths]
    used = {
        node.attr for text in sources for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Attribute)
    }
    spoken = {
        node.value
        for text in sources
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    assert [name for name, constant in constants.items() if constant not in used and name not in spoken] == []


def test_every_code_of_the_reader_is_listed() -> None:
    """Findings made elsewhere in extract carry listed codes too."""
    raised = set()
    for path in ROOM.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding" and node.args:
                first = node.args[0]
                if isinstance(first, ast.Constant):
                    raised.add(first.value)
    assert raised <= set(CODES)


def test_the_list_for_readers_is_complete() -> None:
    """docs/codes names every code with its severity and title, and no other."""
    text = (ROOM.parent / "docs" / "codes" / "README.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| \[([a-z-]+)\]\(\S+/\1\.md\) \| (\w+) \| (.+) \|$", text, re.MULTILINE)
    assert rows == [(code.name, code.severity.value, code.title) for code in CODES.values()]
