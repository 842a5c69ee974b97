"""The invented sheets with particulars: every one right or flagged, none silently wrong, none missing."""

import csv
from pathlib import Path

import pytest

from extract.particulars.particulars_table import EVERYTHING_COLUMNS, write_everything, write_particulars
from extract.schema import SheetReading, Status
from extract.sheet import ReadOptions, read_sheet

FOLDER = Path(__file__).parents[3] / "sample_tables"
NAMES = ("ferncask_fck", "gullhaven_gul", "saltmarrow_smw", "nettlecroft_ntv", "tuillevent_tvr")


@pytest.fixture(scope="module")
def sheets() -> dict[str, SheetReading]:
    """The sheets, read once."""
    options = ReadOptions(second_reading=False, curves=False, particulars=True)
    return {name: read_sheet(FOLDER / f"{name}.pdf", options) for name in NAMES}


@pytest.mark.parametrize("name", NAMES)
def test_all_that_is_true_is_read_and_nothing_else(name: str, sheets: dict[str, SheetReading]) -> None:
    """The keys read are those of the truth; what contradicts itself is disputed."""
    with (FOLDER / "particulars" / f"{name}.csv").open(encoding="utf-8", newline="") as source:
        truth = {
            (
                r["part_number"],
                r["name"],
                r["label"],
                r["kind"],
                f"{float(r['value']):g}" if r["value"] else r["text"],
            )
            for r in csv.DictReader(source)
        }
    read = {
        (p.part_number, p.name.value, p.label, p.kind.value, p.text if p.value is None else f"{p.value:g}")
        for p in sheets[name].particulars
    }
    assert read == truth


def test_two_storage_ranges_are_disputed(sheets: dict[str, SheetReading]) -> None:
    """-40 and -20 °C cannot both be the coldest storage: both are kept, both disputed."""
    coldest = [
        p
        for p in sheets["saltmarrow_smw"].particulars
        if p.name.value == "storage_temperature" and p.kind.value == "min"
    ]
    assert {p.value for p in coldest} == {-40.0, -20.0}
    assert {p.status for p in coldest} == {Status.DISPUTED}


def test_every_particular_has_its_place(sheets: dict[str, SheetReading]) -> None:
    """Sizes and lines name page and box."""
    for sheet in sheets.values():
        for one in sheet.particulars:
            assert one.place.page >= 1
            assert one.raw


def test_the_tables_hold_what_was_read(tmp_path: Path, sheets: dict[str, SheetReading]) -> None:
    """One row for each; the long table with everything has the readings first, unchanged columns before the
    new ones."""
    sheet = sheets["gullhaven_gul"]
    assert write_particulars(sheet.particulars, tmp_path / "p.csv") == len(sheet.particulars)
    count = write_everything(sheet.readings, sheet.particulars, tmp_path / "all.csv")
    with (tmp_path / "all.csv").open(encoding="utf-8", newline="") as source:
        rows = list(csv.DictReader(source))
    assert len(rows) == count == len(sheet.readings) + len(sheet.particulars)
    assert tuple(rows[0]) == EVERYTHING_COLUMNS
    assert rows[-1]["quantity"] in {p.name.value for p in sheet.particulars}
