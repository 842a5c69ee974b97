"""The public door for Python: its names, its objects, its frames, its notebook."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

import holdtrip

ROOT = Path(__file__).parents[2]
SHEET = ROOT / "sample_tables" / "quarrowick_qk.pdf"
PUBLIC = {
    "CheckedTable", "ComparedParts", "HoldtripError", "InputError", "Library", "Sheet", "check_table",
    "compare", "open_library", "read_sheet",
}  # fmt: skip


@pytest.fixture(scope="module")
def sheet() -> holdtrip.Sheet:
    """One sample, read once."""
    return holdtrip.read_sheet(SHEET)


def test_the_public_names_are_these() -> None:
    """A public name is neither added nor lost by accident, and each can be had."""
    assert set(holdtrip.__all__) == PUBLIC == set(dir(holdtrip))
    assert all(getattr(holdtrip, name) is not None for name in PUBLIC)
    with pytest.raises(AttributeError, match="public are"):
        holdtrip.read_sheets  # noqa: B018


def test_importing_loads_nothing_heavy() -> None:
    """`import holdtrip` is free; the packages come with what needs them."""
    code = "import sys, holdtrip; print({'pandas', 'pdfplumber', 'sqlalchemy'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "set()"


def test_it_says_that_it_is_typed() -> None:
    """Type checkers of its users read its types."""
    assert (ROOT / "holdtrip" / "py.typed").is_file()


def test_a_path_may_be_text(sheet: holdtrip.Sheet) -> None:
    """A path and its text are the same; what is no sheet is refused in one line."""
    assert holdtrip.read_sheet(str(SHEET)).numbers == sheet.numbers
    with pytest.raises(holdtrip.InputError, match="no such file"):
        holdtrip.read_sheet("nowhere.pdf")


def test_the_frame_has_every_number(sheet: holdtrip.Sheet) -> None:
    """One row a number, in order, with SI values, categories, units and places."""
    frame = sheet.to_frame()
    assert list(frame["value"]) == [number.value for number in sheet.numbers]
    assert list(frame["raw"]) == [number.raw for number in sheet.numbers]
    assert isinstance(frame["quantity"].dtype, pd.CategoricalDtype)
    assert frame["unit"].notna().all()
    assert set(frame.loc[frame["quantity"] == "resistance", "unit"]) == {"ohm"}
    assert frame.attrs["units"]["ambient_c"] == "degC"
    assert (frame["x1"] > frame["x0"]).all()


def test_a_notebook_shows_the_page_with_every_number(sheet: holdtrip.Sheet) -> None:
    """A picture of each page and a frame for each number of it, named."""
    shown = sheet._repr_html_()
    assert shown.count("data:image/png") == len({number.place.page for number in sheet.numbers})
    assert shown.count("<span") == len(sheet.numbers)
    assert sheet.page_picture(1).startswith(b"\x89PNG")
    with pytest.raises(holdtrip.HoldtripError):
        sheet.page_picture(99)


def test_a_typed_table_against_a_sheet(sheet: holdtrip.Sheet) -> None:
    """A sheet that was read and its path give the same findings."""
    typed = ROOT / "docs" / "examples" / "typed_parts.csv"
    checked = holdtrip.check_table(typed, [sheet])
    assert checked.errors
    assert len(checked.to_frame()) == len(checked.findings)
    assert holdtrip.check_table(typed, [SHEET]).findings == checked.findings


def test_a_comparison_of_sheets_and_of_a_path(sheet: holdtrip.Sheet) -> None:
    """Sheets and their path give the same ranking; the frame has a row for each margin."""
    requirement = ROOT / "sample_tables" / "demo_requirement.toml"
    compared = holdtrip.compare(requirement, [sheet])
    assert len(compared.to_frame()) == sum(len(c.margins) for c in compared.candidates)
    again = holdtrip.compare(str(requirement), str(SHEET))
    assert [(c.part_number, c.verdict) for c in again.candidates] == [
        (c.part_number, c.verdict) for c in compared.candidates
    ]


def test_a_library(tmp_path: Path, sheet: holdtrip.Sheet) -> None:
    """What is stored comes back by the same door."""
    with holdtrip.open_library(tmp_path / "parts.sqlite") as library:
        library.import_sheet(sheet.reading, "tester")
        stored = {part.part_number for part in library.parts()}
    assert stored == {number.part_number for number in sheet.numbers} - {"*"}


def test_the_notebook_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every cell of docs/python.ipynb runs as a user would run it, from the project's folder."""
    notebook = json.loads((ROOT / "docs" / "python.ipynb").read_text(encoding="utf-8"))
    monkeypatch.chdir(ROOT)
    names: dict[str, object] = {}
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code":
            exec("".join(cell["source"]), names)
    assert names["compared"].candidates  # type: ignore[attr-defined]
    assert os.getcwd() == str(ROOT)
