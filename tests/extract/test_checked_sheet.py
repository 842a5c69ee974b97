"""A sheet is held against the trade's rules: what cannot all be right is disputed, no value is changed."""

from dataclasses import replace
from pathlib import Path

import pytest

from extract.checked_sheet import sheet_to_checked
from extract.schema import Severity, SheetReading, Status
from extract.sheet import read_sheet

SAMPLES = Path(__file__).parents[2] / "sample_tables"


@pytest.fixture(scope="module")
def sheet() -> SheetReading:
    """A sheet whose TNV120 prints swapped digits at 40 °C: 1.14 A at 30 °C, but 1.40 A at 40 °C."""
    return read_sheet(SAMPLES / "trosnavik_tnv.pdf")


def test_numbers_of_an_error_are_disputed_with_the_reason(sheet: SheetReading) -> None:
    """Both ends of the impossible step ask for a person, and say why."""
    checked = sheet_to_checked(sheet)
    doubtful = {reading.ambient_c: reading for reading in checked.readings
                if reading.part_number == "TNV120" and reading.status is Status.DISPUTED}
    assert {30.0, 40.0} <= set(doubtful)
    assert any("40 °C" in note for note in doubtful[40.0].notes)
    assert any(finding.severity is Severity.ERROR for finding in checked.findings)


def test_no_value_is_changed(sheet: SheetReading) -> None:
    """Only status and notes differ; what reading noticed stays first."""
    checked = sheet_to_checked(sheet)
    assert checked.findings[: len(sheet.findings)] == sheet.findings
    for before, after in zip(sheet.readings, checked.readings, strict=True):
        assert replace(after, status=before.status, notes=before.notes) == before


def test_checking_again_changes_nothing(sheet: SheetReading) -> None:
    """The checks may stand in two places of the walk without harm."""
    checked = sheet_to_checked(sheet)
    assert sheet_to_checked(checked) == checked


def test_a_sound_sheet_stays_as_it_is() -> None:
    """No number of a consistent sheet becomes disputed."""
    sound = read_sheet(SAMPLES / "quarrowick_qk.pdf")
    assert sheet_to_checked(sound).readings == sound.readings
