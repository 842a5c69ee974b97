"""Disputed numbers in groups with one question each, in plain words."""

from dataclasses import replace

import pytest

from extract.schema import Reading, SheetReading, Status
from extract.sheet import read_sheet
from holdtrip.library.records import StoredNumber
from holdtrip.web.causes import numbers_to_causes
from holdtrip.web.plain_reasons import note_to_words
from tests.holdtrip.web.browsing import ROOT


@pytest.fixture(scope="module")
def sheet() -> SheetReading:
    """The long sample, read once."""
    return read_sheet(ROOT / "sample_tables" / "wendelthwaite_wdt.pdf")


def stored(readings: tuple[Reading, ...]) -> list[StoredNumber]:
    """Readings as a library holds them, nothing said yet."""
    return [StoredNumber(index, one, None) for index, one in enumerate(readings, 1)]


def test_a_long_sheet_asks_few_questions(sheet: SheetReading) -> None:
    """Four rows named by a stem, contradictions, rows that cannot be right: every number in doubt is in
    exactly one question, and the questions are far fewer than the numbers."""
    numbers = stored(sheet.readings)
    causes = numbers_to_causes(numbers)
    assert [cause.sort for cause in causes].count("row") == 4
    assert [cause.sort for cause in causes].count("values") >= 9
    asked = [number_id for cause in causes for number_id in cause.number_ids]
    assert len(asked) == len(set(asked)) >= 100
    assert len(causes) <= 20
    assert set(asked) >= {one.number_id for one in numbers if one.reading.status is Status.DISPUTED}


def test_a_row_of_five_parts_is_one_question(sheet: SheetReading) -> None:
    """Forty numbers, one row, one question that names the row and its parts."""
    row = next(cause for cause in numbers_to_causes(stored(sheet.readings)) if "WDT1812P110" in cause.title)
    assert row.title == "Does the row “WDT1812P110” speak of 5 parts?"
    assert (len(row.parts), len(row.number_ids), row.pages) == (5, 40, (3,))


def test_a_column_in_doubt_is_one_question(sheet: SheetReading) -> None:
    """A heading that is not understood puts the numbers below it into one question, not into forty-five."""
    note = "the cell says A, its heading mA"
    doubted = tuple(
        replace(one, status=Status.DISPUTED, notes=(note,)) if one.quantity.value == "max_current"
        else replace(one, status=Status.AGREED, notes=()) for one in sheet.readings)
    causes = numbers_to_causes(stored(doubted))
    assert len(causes) == 1
    assert len(causes[0].number_ids) == 45


@pytest.mark.parametrize(
    ("note", "words"),
    [("the second reading sees '9.99'", "A second, independent reading of this cell says “9.99”."),
     ("joined by short: 'AB050'", "The row is named “AB050” on the page."),
     ("the sheet prints '0.50' on page 1, '0.55' on page 3",
      "The sheet prints different values for this: “0.50” on page 1, “0.55” on page 3."),
     ("resistance min 3 Ω is above resistance max 2 Ω", "Resistance min 3 Ω is above resistance max 2 Ω.")])
def test_reasons_are_sentences(note: str, words: str) -> None:
    """No code words, capital letter, full stop."""
    assert note_to_words(note) == words
