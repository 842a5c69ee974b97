"""Rules of the invented sheets in sample_tables/: each has its truth and its line in the README."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from extract.schema import AT_AMBIENT, WHOLE_SERIES, Kind, Quantity

FOLDER = Path(__file__).parents[2] / "sample_tables"
FIELDS = ["document", "part_number", "quantity", "kind", "ambient_c", "test_current_a", "value"]
SHEETS = sorted(FOLDER.glob("*.pdf"))
PRODUCERS = {"reportlab", "typst", "Chromium", "LibreOffice"}

every_sheet = pytest.mark.parametrize("sheet", SHEETS, ids=lambda path: path.stem)


def truth_rows(sheet: Path) -> list[dict[str, str]]:
    """The rows of a sheet's truth file."""
    with sheet.with_suffix(".csv").open(encoding="utf-8", newline="") as source:
        reader = csv.DictReader(source)
        assert reader.fieldnames == FIELDS
        return list(reader)


@every_sheet
def test_truth_uses_the_names_of_the_long_table(sheet: Path) -> None:
    """Quantities and kinds are the schema's; conditions stand where they mean something."""
    rows = truth_rows(sheet)
    of_series = {Quantity.HOLD_RATIO, Quantity.TRIP_RATIO}
    assert rows
    for row in rows:
        quantity, _ = Quantity(row["quantity"]), Kind(row["kind"])
        assert row["document"] == sheet.name
        assert bool(row["ambient_c"]) == (quantity in AT_AMBIENT), row
        assert bool(row["test_current_a"]) == (quantity == Quantity.TIME_TO_TRIP), row
        assert float(row["value"]) > 0
        assert row["part_number"] != WHOLE_SERIES or quantity in of_series, row


@every_sheet
def test_each_entry_stands_once(sheet: Path) -> None:
    """A number printed in two tables counts once."""
    rows = [tuple(row.values()) for row in truth_rows(sheet)]
    assert len(rows) == len(set(rows))


@every_sheet
def test_parts_trip_above_what_they_hold(sheet: Path) -> None:
    """Trip current lies above hold current at the same ambient, as the definitions of the two demand."""
    values: dict[tuple[str, str, str], float] = {}
    for row in truth_rows(sheet):
        values[row["part_number"], row["ambient_c"], row["quantity"]] = float(row["value"])
    for (part, ambient, quantity), value in values.items():
        if quantity == Quantity.TRIP_CURRENT:
            assert value > values[part, ambient, Quantity.HOLD_CURRENT]


@every_sheet
def test_readme_tells_how_it_was_made(sheet: Path) -> None:
    """One line per sheet names the producer and the difficulty; the count of true entries is right."""
    lines = [line for line in (FOLDER / "README.md").read_text(encoding="utf-8").splitlines()
             if line.startswith(f"| `{sheet.name}`")]
    assert len(lines) == 1
    _, made, difficulty, count = (field.strip() for field in lines[0].strip("|").split("|"))
    assert any(producer in made for producer in PRODUCERS)
    assert len(difficulty) > 20
    assert int(count) == len(truth_rows(sheet))


def test_at_least_three_producers_are_used() -> None:
    """Reading must not be tuned to one generator: the PDFs' own bytes name at least three."""
    signs = {b"ReportLab", b"Typst", b"Skia/PDF", b"LibreOffice"}
    found = {sign for sheet in SHEETS for sign in signs if names_producer(sheet.read_bytes(), sign)}
    assert len(SHEETS) >= 60
    assert len(found) >= 3


def names_producer(content: bytes, sign: bytes) -> bool:
    """Whether a PDF names its producer, as plain bytes or as UTF-16 written in hex."""
    wide = sign.decode().encode("utf-16-be")
    forms = (sign, wide, wide.hex().encode())
    return any(re.search(re.escape(form), content, re.IGNORECASE) for form in forms)


def test_every_truth_has_its_sheet() -> None:
    """No truth file is left behind when a sheet is renamed."""
    assert {path.stem for path in FOLDER.glob("*.csv")} == {path.stem for path in SHEETS}


LONG = ("wendelthwaite_wdt", "langleydene_lgy")


@pytest.mark.parametrize("name", LONG)
def test_two_sheets_are_as_long_as_real_ones(name: str) -> None:
    """The page is tried with what people meet: 45 parts, numbers of 16 letters, more than 700 figures, and
    ten or more conditions under which the sheet prints two values."""
    rows = truth_rows(FOLDER / f"{name}.pdf")
    parts = {row["part_number"] for row in rows}
    values: dict[tuple[str, ...], set[str]] = {}
    for row in rows:
        values.setdefault(tuple(row[field] for field in FIELDS[1:-1]), set()).add(row["value"])
    assert (len(parts), {len(part) for part in parts}) == (45, {16})
    assert len(rows) > 700
    assert sum(len(found) > 1 for found in values.values()) >= 10
