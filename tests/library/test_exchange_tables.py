"""Tables of readings, long or wide, come into a library and go out again."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from extract.long_table import read_long_table, write_long_table
from extract.schema import Reading, Status
from extract.wide_table import read_wide_table, write_wide_table
from holdtrip.library.exchange_readings import readings_to_records
from holdtrip.library.records import Signature, Target
from holdtrip.library.store import Library, open_library
from tests.library.made_up_sheets import HOLD, sheet

EVE = Signature("Eve")

Trip = Callable[[tuple[Reading, ...], Path], tuple[Reading, ...]]


def through_long(readings: tuple[Reading, ...], folder: Path) -> tuple[Reading, ...]:
    """Written as a long table and read again."""
    write_long_table(readings, folder / "long.csv")
    return read_long_table(folder / "long.csv")


def through_wide(readings: tuple[Reading, ...], folder: Path) -> tuple[Reading, ...]:
    """Written as a wide table and read again."""
    write_wide_table(readings, folder / "wide.csv")
    return read_wide_table(folder / "wide.csv")


def sunk(one: Reading) -> Reading:
    """A number as a table brings it back."""
    return replace(one, status=Status.SINGLE) if one.status is Status.BULK else one


@pytest.mark.parametrize("trip", [through_long, through_wide])
def test_numbers_come_back_from_a_table(library: Library, trip: Trip, tmp_path: Path) -> None:
    """Value, status, place, printed text, unit and notes of every number are the same there; only a number
    accepted in bulk comes back as read once, since a table does not tell how it was read."""
    library.import_sheet(sheet("a.pdf", {"QX-050": 0.5, "QX-110": 1.1}), "Ann")
    library.import_sheet(sheet("b.pdf", {"RX-1": 1.0}), "Ann")
    library.accept(Target("QX-050"), Signature("Ann"))
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_records(readings_to_records(trip(library.readings(), tmp_path), EVE), EVE)
        assert Counter(other.readings()) == Counter(map(sunk, library.readings()))
        accepted = library.readings(accepted_only=True)
        assert Counter(other.readings(accepted_only=True)) == Counter(map(sunk, accepted))
        assert Status.BULK in {one.status for one in accepted}


def test_who_imports_a_table_stands_for_its_decisions(library: Library, tmp_path: Path) -> None:
    """A corrected number stays corrected to the same value; the name is that of whoever imported it."""
    library.import_sheet(sheet(), "Ann")
    library.correct(Target("QX-050", quantity=HOLD), 0.55, Signature("Ann", "measured"))
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_records(readings_to_records(library.readings(), EVE), EVE)
        held = next(one for one in other.part("QX-050")[0].readings if one.quantity is HOLD)
        assert (held.value, held.status, held.raw) == (0.55, Status.CORRECTED, "0.5")
        assert "by Ann" in held.notes[0]
        assert "by Eve" in held.notes[1]


def test_a_table_without_hashes_is_imported_once(library: Library) -> None:
    """A table from elsewhere names no bytes: the same table again does nothing."""
    rows = tuple(replace(one, sha256="") for one in sheet().readings)
    for expected in ((1, 0), (0, 1)):
        outcome = library.import_records(readings_to_records(rows, EVE), EVE)
        assert (outcome.sheets_new, outcome.sheets_known) == expected
    assert [replace(one, sha256="") for one in library.readings()] == list(rows)
