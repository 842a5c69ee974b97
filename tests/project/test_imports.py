"""The house's import rules, read from the source: who may import whom, and where heavy packages may stand."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ROOMS = ("extract", "holdtrip/library", "compare", "holdtrip")
OURS = {"extract", "compare", "holdtrip"}

ALLOWED = {
    "extract": ("extract",),
    "holdtrip/library": ("holdtrip.library", "extract.schema", "extract.standing", "extract.errors",
                         "extract.checks", "extract.checked_sheet", "extract.reference", "extract.asked",
                         "extract.curve_lines", "extract.safe_text"),
    "compare": ("compare", "extract.schema", "extract.standing", "extract.errors", "extract.reference"),
    "holdtrip": tuple(OURS),
}
"""Room → prefixes of our own modules it may import."""

HEAVY = {"pdfplumber", "pypdfium2", "camelot", "pandas", "matplotlib", "openpyxl", "sqlalchemy", "alembic",
         "rapidfuzz", "scipy", "numpy", "cv2"}

PDF = ("pdfplumber", "pdfminer", "pypdfium2", "camelot", "playa", "cv2")


def sources(room: str) -> list[Path]:
    """Every Python file of a package."""
    return sorted((ROOT / room).rglob("*.py"))


def imports(path: Path) -> Iterator[tuple[int, str]]:
    """(line, full name) of everything a file imports, at the top or inside functions."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: write the full name of the module"
            yield from ((node.lineno, f"{node.module}.{alias.name}") for alias in node.names)


def is_under(name: str, prefixes: tuple[str, ...]) -> bool:
    """Whether a dotted name is one of the prefixes or below it."""
    return any(name == prefix or name.startswith(prefix + ".") for prefix in prefixes)


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_imports_only_what_it_may(room: str) -> None:
    """extract imports nothing of ours, library and compare only their share of extract, app everything."""
    wrong = [f"{path.relative_to(ROOT)}:{line} imports {name}"
             for path in sources(room) for line, name in imports(path)
             if name.split(".")[0] in OURS and not is_under(name, ALLOWED[room])]
    assert wrong == []


@pytest.mark.parametrize("room", ROOMS)
def test_no_attic(room: str) -> None:
    """No module is named after nothing in particular."""
    attic = {"utils", "util", "core", "common", "helpers", "misc"}
    assert [path for path in sources(room) if path.stem in attic or path.parent.name in attic] == []


@pytest.mark.parametrize("room", ["extract", "holdtrip/library", "compare"])
def test_only_the_command_line_prints(room: str) -> None:
    """Rooms return what they know; the command line and the page show it."""
    wrong = [f"{path.relative_to(ROOT)}:{node.lineno}"
             for path in sources(room) for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
             if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"]
    assert wrong == []


def loaded_by(statement: str) -> set[str]:
    """Top names of all modules that a fresh interpreter has loaded after a statement."""
    code = f"import sys\n{statement}\nprint(' '.join({{name.split('.')[0] for name in sys.modules}}))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    return set(done.stdout.split())


def test_help_loads_no_heavy_package() -> None:
    """`holdtrip --help` answers before anything heavy is loaded."""
    statement = "from holdtrip.commands import holdtrip\nholdtrip.main(['--help'], standalone_mode=False)"
    assert loaded_by(statement).isdisjoint(HEAVY | set(PDF) | {"rich"})


@pytest.mark.parametrize(
    "module",
    ["compare", "holdtrip.library", "extract.schema", "extract.checks", "extract.parts_table",
     "extract.long_table"],
)
def test_comparing_and_the_library_load_no_pdf_package(module: str) -> None:
    """Importing every module of compare and library, and what they use of extract, reads no PDF package."""
    statement = ("import importlib, pkgutil\n"
                 f"room = importlib.import_module('{module}')\n"
                 "for found in pkgutil.walk_packages(getattr(room, '__path__', []), room.__name__ + '.'):\n"
                 "    if '.migrations.' not in found.name: importlib.import_module(found.name)")
    assert loaded_by(statement).isdisjoint(PDF)
