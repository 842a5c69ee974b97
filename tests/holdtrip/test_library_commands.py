"""From datasheets to accepted numbers: import, list, show, review, export, compare."""

import json
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from extract.long_table import read_long_table
from extract.schema import Status
from holdtrip.commands import holdtrip
from holdtrip.exits import run

SAMPLES = Path(__file__).parents[2] / "sample_tables"

Type = Callable[..., str]


@pytest.fixture(scope="module")
def imported(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with one datasheet that contradicts itself in the hold current of TNV075."""
    library = tmp_path_factory.mktemp("library") / "parts.sqlite"
    assert run(holdtrip, ["import", str(SAMPLES / "trosnavik_tnv.pdf"), "--library", str(library)]) <= 1
    return library


@pytest.fixture
def library(imported: Path, tmp_path: Path) -> Path:
    """A copy of that library for one test."""
    return Path(shutil.copy(imported, tmp_path / "parts.sqlite"))


@pytest.fixture
def typed(library: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Type:
    """Type a command on the library as `ann`; gives its output after checking the exit code."""
    monkeypatch.setenv("HOLDTRIP_LIBRARY", str(library))
    monkeypatch.setenv("HOLDTRIP_WHO", "ann")

    def type_command(*arguments: str, code: int | None = 0) -> str:
        ended = run(holdtrip, arguments)
        out, err = capsys.readouterr()
        assert code in (None, ended), err
        return out + err

    return type_command


def numbers_left(text: str) -> list[str]:
    """The No. of every number a table lists."""
    return re.findall(r"^\s*(\d+)\s+\w+ current", text, re.MULTILINE)


def test_the_same_file_again_changes_nothing(typed: Type) -> None:
    """A second import reads nothing and leaves the history as it is."""
    before = typed("history")
    told = typed("import", str(SAMPLES / "trosnavik_tnv.pdf"))
    assert "0 datasheets stored, 1 known already" in told
    assert typed("history") == before


def test_a_broken_file_is_named_and_the_rest_stored(typed: Type, tmp_path: Path) -> None:
    """One row of the summary for each bad file; exit code 1."""
    folder = tmp_path / "sheets"
    folder.mkdir()
    shutil.copy(SAMPLES / "tarnhollow_th.pdf", folder)
    (folder / "broken.pdf").write_bytes(b"<html>")
    told = typed("import", str(folder), code=1)
    assert "broken.pdf" in told
    assert "1 datasheet stored, 0 known already, 1 not read" in told
    assert "tarnhollow_th.pdf" in typed("list")


def test_comparisons_use_accepted_numbers_only(typed: Type) -> None:
    """Before any review a comparison says so; afterwards it ranks the accepted part alone."""
    requirement = str(SAMPLES / "demo_requirement.toml")
    assert "no number accepted yet" in typed("compare", requirement, code=2)
    typed("accept", "TNV068")
    assert "1 part: " in typed("compare", requirement, code=None)
    assert "6 parts" in typed("compare", requirement, "--unreviewed", code=None)


def test_a_disputed_number_needs_a_look_of_its_own(typed: Type) -> None:
    """Accepting a part leaves it open; accepting one by its number rejects its rival."""
    left = typed("accept", "TNV075")
    assert "in review" in left
    numbers = numbers_left(left)
    assert len(numbers) == 11  # two ratings, and the row over ambients that equals one of them only
    told = typed("accept", "TNV075", "--number", numbers[0], "--because", "page 1 is the ratings table")
    assert "1 competing ones rejected" in told
    assert "accepted" in told
    shown = typed("show", "TNV075")
    assert "page 1 is the ratings table" in shown
    assert "rejected" in shown


def test_a_correction_stays_beside_the_printed_value(typed: Type, tmp_path: Path) -> None:
    """The export gives the corrected value with the printed text and the status."""
    typed("correct", "tnv 020", "--quantity", "max_current", "--value", "20", "--because", "errata")
    assert "corrected to 20 A by ann" in typed("show", "TNV020")
    typed("export", str(tmp_path / "long.csv"), "--long", "--accepted")
    [corrected] = read_long_table(tmp_path / "long.csv")
    assert (corrected.value, corrected.raw, corrected.status) == (20.0, "40", Status.CORRECTED)


def test_an_odd_correction_needs_to_be_meant(typed: Type) -> None:
    """A unit may be typed; what the rules object to is refused with the reason until --sure, and a unit of
    another quantity always."""
    about = ("correct", "TNV020", "--quantity", "max_current", "--because", "errata")
    assert "odd" in typed(*about, "--value", "40000 A", code=2)
    assert "corrected to 40000 A" not in typed("show", "TNV020")
    assert "none of" in typed(*about, "--value", "40 V", "--sure", code=2)
    typed(*about, "--value", "39000 mA")
    assert "corrected to 39 A by ann" in typed("show", "TNV020")
    typed(*about, "--value", "40000", "--sure")
    assert "corrected to 40000 A by ann" in typed("show", "TNV020")


def test_a_rejection_can_be_taken_back(typed: Type) -> None:
    """Both stay in the history."""
    typed("reject", "TNV020", "--because", "obsolete")
    assert "rejected" in typed("list", "--like", "TNV020")
    typed("reopen", "TNV020", "--because", "still made")
    history = typed("history", "TNV020")
    assert "obsolete" in history
    assert "still made" in history


@pytest.mark.parametrize(("arguments", "words"), [
    (["accept", "TNV999"], "TNV999"),
    (["correct", "TNV020", "--quantity", "max_current", "--value", "20"], "reason"),
    (["correct", "TNV020", "--quantity", "max_current", "--value", "-1", "--because", "x"], "above 0"),
    (["reject", "TNV020"], "reason"),
    (["show", "TNV021"], "Near to it: TNV020"),
    (["list", "--as-of", "yesterday"], "yesterday"),
])
def test_what_cannot_be_done_is_one_line(typed: Type, arguments: list[str], words: str) -> None:
    """Exit code 2 and the reason; nothing is changed."""
    before = typed("history")
    told = typed(*arguments, code=2)
    assert told.strip().count("\n") == 0
    assert words in told
    assert typed("history") == before


def test_a_library_that_is_not_there_is_not_made_by_looking(tmp_path: Path, typed: Type) -> None:
    """list, show, export and compare open what exists; only import makes a library."""
    nowhere = tmp_path / "nowhere.sqlite"
    assert "no library here yet" in typed("list", "--parts", str(nowhere), code=2)
    out = str(tmp_path / "x.csv")
    assert "no library here yet" in typed("export", out, "--long", "--library", str(nowhere), code=2)
    assert not nowhere.exists()


@pytest.mark.parametrize("arguments", [
    ["show", "TNV020"], ["list"], ["compare", str(SAMPLES / "demo_requirement.toml"), "--unreviewed"],
])
def test_looking_into_a_library_loads_no_pdf_package(library: Path, arguments: list[str]) -> None:
    """Nothing that reads PDFs is loaded to answer from a library."""
    code = ("import sys\nfrom holdtrip.commands import holdtrip\nfrom holdtrip.exits import run\n"
            f"assert run(holdtrip, {[*arguments, '--parts', str(library)]!r}) <= 1\n"
            "assert not {'pdfplumber', 'pypdfium2', 'camelot', 'pdfminer'} & set(sys.modules)")
    subprocess.run([sys.executable, "-c", code], capture_output=True, cwd=SAMPLES.parent, check=True)


def test_a_comparison_can_be_kept(typed: Type) -> None:
    """It stands in the history under its name; parts of files have no library to keep it in."""
    requirement = str(SAMPLES / "demo_requirement.toml")
    told = typed("compare", requirement, "--unreviewed", "--save", "hub", code=None)
    assert "kept as hub" in told
    assert "hub" in typed("history")
    sheet = str(SAMPLES / "trosnavik_tnv.pdf")
    assert "--save" in typed("compare", requirement, "--parts", sheet, "--save", "hub", code=2)


@pytest.mark.parametrize("ending", ["json", "xlsx", "parquet"])
def test_a_library_is_exchanged_whole(typed: Type, tmp_path: Path, ending: str) -> None:
    """What was exported and taken in elsewhere shows the same numbers and decisions."""
    typed("accept", "TNV068", "--because", "looked")
    path, other = tmp_path / f"library.{ending}", str(tmp_path / "other.sqlite")
    typed("export", str(path))
    told = typed("import", str(path), "--library", other)
    assert "1 datasheet new" in told
    assert ("has no checksum" in told) == (ending == "xlsx")
    numbers = r"(hold current .*? (?:A|V|W|ohm|s) .*)"
    assert "accepted in bulk by ann" in typed("show", "TNV068", "--parts", other)
    shown = [re.findall(numbers, typed("show", "TNV068", *parts)) for parts in ([], ["--parts", other])]
    assert shown[0] == shown[1] != []
    assert "1 known already" in typed("import", str(path), "--library", other)


def test_a_file_of_the_first_version_is_taken_in_and_says_so(typed: Type, tmp_path: Path) -> None:
    """It has no checksum, so that a digit changed since it was written cannot be told."""
    typed("export", str(tmp_path / "library.json"))
    content = json.loads((tmp_path / "library.json").read_text(encoding="utf-8"))
    del content["checksum"]
    (tmp_path / "first.json").write_text(json.dumps(content | {"version": 1}), encoding="utf-8")
    other = str(tmp_path / "other.sqlite")
    assert "first.json: has no checksum" in typed("import", str(tmp_path / "first.json"), "--library", other)
    (tmp_path / "second.json").write_text(json.dumps(content), encoding="utf-8")
    assert "checksum" in typed("import", str(tmp_path / "second.json"), "--library", other, code=2)


@pytest.mark.parametrize(("name", "text"), [("a.json", "{}"), ("a.json", "nothing"), ("a.xlsx", "x"),
                                            ("a.parquet", "x"), ("missing.json", None)])
def test_a_file_of_no_library_is_one_line(typed: Type, tmp_path: Path, name: str, text: str | None) -> None:
    """Nothing is taken in from it."""
    if text is not None:
        (tmp_path / name).write_text(text, encoding="utf-8")
    told = typed("import", str(tmp_path / name), code=2)
    assert told.strip().count("\n") == 0
    assert name in told


@pytest.mark.parametrize("code", ["heat-ratio", "source-digits-swapped"])
def test_a_code_is_explained(typed: Type, code: str) -> None:
    """What, why, an example, how to silence; an unknown code names near ones."""
    told = typed("explain", code)
    for word in ("What", "Why", "Example", "silence"):
        assert word in told
    assert code in typed("explain", code[:-1], code=2)
    assert code in typed("explain")


def test_a_backup_brings_the_history_back(typed: Type, tmp_path: Path) -> None:
    """Restored elsewhere the library tells the same; nothing that is there is written over."""
    typed("accept", "TNV068")
    backup, other = str(tmp_path / "parts.backup"), str(tmp_path / "other.sqlite")
    typed("backup", backup)
    typed("restore", backup, "--library", other)
    assert typed("show", "TNV068") == typed("show", "TNV068", "--parts", other)
    assert typed("history").splitlines()[:-1] == typed("history", "--library", other).splitlines()[:-1]
    typed("restore", backup, "--library", other, code=2)
    typed("restore", str(SAMPLES / "demo_requirement.toml"), "--library", str(tmp_path / "x.sqlite"), code=2)
