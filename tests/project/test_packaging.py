"""What is installed is what is needed: every package imported is declared, every declared one pinned."""

import ast
import re
import subprocess
import sys
import tomllib
from datetime import date
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

from holdtrip.exits import EXTRA_OF

ROOT = Path(__file__).parents[2]
ROOMS = {"extract", "compare", "holdtrip"}
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def plain(name: str) -> str:
    """A distribution's name as package indexes compare it."""
    return re.sub(r"[-_.]+", "-", re.split(r"[<>=!~\[ ;]", name)[0]).lower()


def declared(*extras: str) -> set[str]:
    """Distributions of pyproject.toml: the required ones and those of some extras."""
    groups = [PROJECT["dependencies"], *(PROJECT["optional-dependencies"][extra] for extra in extras)]
    return {plain(requirement) for group in groups for requirement in group} - {PROJECT["name"]}


def imported(folders: set[str]) -> dict[str, str]:
    """Top-level names imported from outside → one file that does."""
    found: dict[str, str] = {}
    for path in (path for folder in folders for path in (ROOT / folder).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            found |= {name.split(".")[0]: str(path.relative_to(ROOT)) for name in names}
    return {name: path for name, path in found.items() if name not in sys.stdlib_module_names | ROOMS}


def test_every_import_of_the_rooms_is_declared() -> None:
    """No room leans on a package that is there by luck; extras are imported where they are asked for."""
    known = declared(*PROJECT["optional-dependencies"])
    owners = packages_distributions()
    missing = {name: path for name, path in imported(ROOMS).items()
               if not {plain(owner) for owner in owners.get(name, [name])} & known}
    assert missing == {}


def test_every_declared_package_is_used() -> None:
    """What nothing imports need not be installed; pandas is what camelot hands tables over in."""
    owners = packages_distributions()
    used = {plain(owner) for name in imported(ROOMS) for owner in owners.get(name, [name])}
    assert declared() - used - {"pandas"} == set()


def test_every_declared_package_is_pinned() -> None:
    """constraints.txt holds exactly one version of each package of pyproject.toml, and nothing but pins."""
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pins = [line for line in lines if line and not line.startswith("#")]
    assert all(re.fullmatch(r"[\w.\-]+==[\w.]+", pin) for pin in pins)
    names = [plain(pin) for pin in pins]
    assert len(names) == len(set(names))
    assert declared(*PROJECT["optional-dependencies"]) <= set(names)


def test_the_version_is_the_newest_of_the_changelog() -> None:
    """CHANGELOG.md begins with what this version changes; its versions fall, each once, each with its day;
    CITATION.cff names the same version and day."""
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    heads = re.findall(r"^## (.*)$", text, re.MULTILINE)
    parts = [re.fullmatch(r"(\d+)\.(\d+)\.(\d+), (\d{4}-\d\d-\d\d)", head) for head in heads]
    assert all(parts), heads
    versions = [tuple(int(number) for number in part.groups()[:3]) for part in parts if part]
    assert versions == sorted(set(versions), reverse=True)
    days = [date.fromisoformat(part[4]) for part in parts if part]
    assert days == sorted(days, reverse=True)
    citation = (ROOT / "CITATION.cff").read_text(encoding="utf-8")
    assert heads[0] == f"{PROJECT['version']}, {days[0]}"
    assert f"version: {PROJECT['version']}\ndate-released: {days[0]}\n" in citation


def test_the_papers_of_a_project_are_there() -> None:
    """Who comes new finds how to contribute, how to report, how to cite, the licence and the changes; the
    Python versions named are those from `requires-python` on, without a gap."""
    for name in ("CONTRIBUTING.md", "SECURITY.md", "CITATION.cff", "LICENSE", "CHANGELOG.md"):
        assert (ROOT / name).stat().st_size > 200, name
    minors = [int(found[1]) for line in PROJECT["classifiers"]
              if (found := re.fullmatch(r"Programming Language :: Python :: 3\.(\d+)", line))]
    assert minors == list(range(int(PROJECT["requires-python"].rsplit(".", 1)[1]), minors[-1] + 1))


def test_the_hashes_are_of_the_pinned_versions() -> None:
    """hashes.txt pins what constraints.txt pins, each with at least one hash, for `pip --require-hashes`."""
    pins = {plain(line): line.partition("==")[2] for line in
            (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines() if "==" in line}
    text = (ROOT / "hashes.txt").read_text(encoding="utf-8").replace("\\\n", " ")
    lines = [line for line in text.splitlines() if line]
    hashed = {plain(line): re.split(r"[ ;]", line.partition("==")[2])[0] for line in lines}
    assert all("--hash=sha256:" in line for line in lines)
    assert {name: pins.get(name) for name in hashed} == hashed
    assert declared(*PROJECT["optional-dependencies"]) <= set(hashed)


def test_each_extra_is_named_where_its_package_is_missing() -> None:
    """The package of an extra that a command may lack leads to that extra."""
    for package, extra in EXTRA_OF.items():
        assert package in {plain(one) for one in PROJECT["optional-dependencies"][extra]}
    assert set(EXTRA_OF) & declared() == set()
    assert all(extra in PROJECT["optional-dependencies"]["all"][0] for extra in EXTRA_OF.values())


WITHOUT_EXTRAS = """
import sys
for name in {missing}:
    sys.modules[name] = None
from holdtrip.commands import main
sys.argv = ["holdtrip", *{typed}]
main()
"""


@pytest.mark.parametrize(("typed", "code", "found"), [
    (["read", "SHEET", "--long", "OUT.csv", "--json", "OUT.json"], 0, ""),
    (["check", "TABLE", "--findings", "OUT.csv"], 1, ""),
    (["import", "SHEET", "--library", "OUT.sqlite", "--who", "Ann"], 0, ""),
    (["compare", "REQUIREMENT", "--parts", "SHEET", "--xlsx", "OUT.xlsx"], 0, ""),
    (["serve", "--library", "OUT.sqlite"], 2, "holdtrip[serve]"),
    (["compare", "REQUIREMENT", "--parts", "SHEET", "--report", "OUT.pdf"], 2, "holdtrip[report]")])
def test_a_plain_installation_does_its_part(typed: list[str], code: int, found: str, tmp_path: Path) -> None:
    """Without the extras reading, checking, importing and comparing work; what needs one says so."""
    typed_table = tmp_path / "typed.csv"
    typed_table.write_text("Part,Ihold (A),Itrip (A),Vmax (V)\nQX-1,0.5,1.0,30\nQX-2,0.7,0.6,30\n")
    places = {"SHEET": ROOT / "sample_tables" / "quarrowick_qk.pdf", "TABLE": typed_table,
              "REQUIREMENT": ROOT / "sample_tables" / "demo_requirement.toml"}
    words = [str(places.get(word, tmp_path / word if word.startswith("OUT") else word)) for word in typed]
    script = WITHOUT_EXTRAS.format(missing=sorted(EXTRA_OF), typed=words)
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True,
                          check=False)
    assert (done.returncode, "Traceback" in done.stderr) == (code, False), done.stderr
    assert found in done.stderr


@pytest.mark.parametrize("room", sorted(ROOMS))
def test_every_file_of_a_room_is_installed(room: str) -> None:
    """Vocabulary, templates, styles and schemas go along: their endings are among the package data."""
    data = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    packages = data["tool"]["setuptools"]["package-data"]
    patterns = [pattern if package == "*" else f"{package.replace('.', '/')}/{pattern}"
                for package, of_package in packages.items() for pattern in of_package]
    files = [path for path in (ROOT / room).rglob("*") if path.is_file()]
    data_files = [path for path in files if path.suffix not in {".py", ".pyc"}]
    assert [path for path in data_files if not any(path.match(pattern) for pattern in patterns)] == []
