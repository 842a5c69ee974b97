"""`--json` of the commands that show things: schemas that ship, files and standard output that fit them."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from holdtrip.commands import holdtrip
from holdtrip.exits import run
from holdtrip.json_documents import DOCUMENTS, command_to_schema

ROOT = Path(__file__).parents[2]
SHEET = str(ROOT / "sample_tables" / "quarrowick_qk.pdf")
SCHEMAS = ROOT / "holdtrip" / "schemas"


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A library with one sheet."""
    path = tmp_path_factory.mktemp("json") / "parts.sqlite"
    assert run(holdtrip, ["import", SHEET, "--library", str(path), "--who", "tester"]) == 0
    return str(path)


@pytest.mark.parametrize("command", sorted(DOCUMENTS))
def test_the_schema_shipped_is_up_to_date(command: str) -> None:
    """holdtrip/schemas/ holds the schema of each command as its record is now, and it is a valid schema."""
    shipped = json.loads((SCHEMAS / f"{command}.schema.json").read_text(encoding="utf-8"))
    assert shipped == command_to_schema(command)
    jsonschema.Draft202012Validator.check_schema(shipped)


def asked(command: list[str], capsys: pytest.CaptureFixture[str]) -> Any:
    """What a command writes to standard output, checked against its schema."""
    assert run(holdtrip, [*command, "--json", "-"]) == 0
    out = capsys.readouterr().out
    document = json.loads(out)
    jsonschema.validate(document, command_to_schema(command[0]))
    return document


def test_read(capsys: pytest.CaptureFixture[str]) -> None:
    """Every number with its value, place and status; nothing but JSON on standard output."""
    (sheet,) = asked(["read", SHEET], capsys)["sheets"]
    assert len(sheet["readings"]) == 136
    assert sheet["readings"][0]["place"]["page"] == 1


def test_show_and_list_of_a_sheet(capsys: pytest.CaptureFixture[str]) -> None:
    """The parts of sheets."""
    listed = asked(["list", "--parts", SHEET], capsys)["parts"]
    shown = asked(["show", listed[0]["part_number"], "--parts", SHEET], capsys)["parts"]
    assert len(shown[0]["readings"]) == listed[0]["numbers"]


def test_of_a_library(library: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The parts of a library, one of them with its numbers, its history, its revisions, what failed."""
    rows = asked(["list", "--parts", library], capsys)["rows"]
    assert len(rows) == 8
    shown = asked(["show", rows[0]["part_number"], "--parts", library], capsys)
    assert shown["numbers"]
    assert all(number["decision"] is None for number in shown["numbers"])
    assert asked(["history", "--library", library], capsys)["changes"][0]["who"] == "tester"
    assert asked(["changes", "--library", library], capsys)["revisions"] == []
    assert asked(["list", "--failed", "--parts", library], capsys)["failures"] == []


def test_explain(capsys: pytest.CaptureFixture[str]) -> None:
    """All codes, or one."""
    assert len(asked(["explain"], capsys)["codes"]) > 20
    (one,) = asked(["explain", "heat-ratio"], capsys)["codes"]
    assert one["page"].startswith("# heat-ratio")


def test_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file gets the same; one that is not holdtrip's is not overwritten; the ending is checked."""
    path = tmp_path / "codes.json"
    for _ in range(2):
        assert run(holdtrip, ["explain", "--json", str(path)]) == 0
    capsys.readouterr()
    assert json.loads(path.read_text(encoding="utf-8"))["format"] == "holdtrip explain 1"
    path.write_text("{}", encoding="utf-8")
    assert run(holdtrip, ["explain", "--json", str(path)]) == 2
    assert run(holdtrip, ["explain", "--json", str(tmp_path / "codes.csv")]) == 2
