"""Disputed numbers in groups with one question each, in plain words."""

import tomllib
from dataclasses import replace

import pytest

from extract.causes import code_to_answers, sheet_to_causes
from extract.schema import Reading, SheetReading, Status
from holdtrip.library.records import StoredNumber
from holdtrip.web.causes import answer_to_words, numbers_to_causes
from holdtrip.web.plain_reasons import note_to_words
from tests.holdtrip.web.browsing import ROOT
from tests.holdtrip.web.conftest import LONG, read


@pytest.fixture(scope="module")
def sheet() -> SheetReading:
    """The long sample, read once."""
    return read(LONG[0])


def stored(readings: tuple[Reading, ...]) -> list[StoredNumber]:
    """Readings as a library holds them, nothing said yet."""
    return [StoredNumber(index, one, None) for index, one in enumerate(readings, 1)]


def test_every_doubted_number_is_in_one_question(sheet: SheetReading) -> None:
    """A contradiction is asked value by value, wherever its values stand; other causes as the sheet numbers
    them; the questions are far fewer than the numbers of a long sheet."""
    numbers = stored(sheet.readings)
    questions = numbers_to_causes(numbers)
    asked = [number_id for question in questions for number_id in question.number_ids]
    assert sorted(asked) == [one.number_id for one in numbers if one.reading.status is Status.DISPUTED]
    choices = [question for question in questions if question.sort == "values"]
    assert len(choices) >= 9
    assert all(len(question.number_ids) >= 2 and not question.answers for question in choices)
    causes = {cause.number: cause for cause in sheet_to_causes(sheet).causes}
    for question in questions:
        cause = causes[question.number]
        assert (question.code, question.reach) == (cause.code, cause.reach)
        if question.sort == "answers":
            assert tuple(one.answer for one in question.answers) == cause.answers
    assert len(questions) <= 20


def test_a_column_in_doubt_is_one_question(sheet: SheetReading) -> None:
    """A heading that is not understood puts the numbers below it into one question, not into forty-five."""
    note = "the cell says %, its heading A"
    doubted = tuple(
        replace(one, status=Status.DISPUTED, notes=(note,)) if one.quantity.value == "max_current"
        else replace(one, status=Status.AGREED, notes=()) for one in sheet.readings)
    (question,) = numbers_to_causes(stored(doubted))
    assert len(question.number_ids) == 45
    assert question.about == "max. fault current of 45 parts"
    assert [one.words for one in question.answers] == ["Yes, as read", "No: leave them out"]


@pytest.mark.parametrize(("answer", "words"), [
    ("unit:mΩ", "They are in mΩ"), ("ambient:23", "At 23 °C"), ("kind:min", "The least"),
    ("quantity:trip_current", "Trip currents"), ("new", "new")])
def test_an_answer_has_words_of_its_own(answer: str, words: str) -> None:
    """A button says what it means; an answer that has no words yet is shown as it is."""
    assert answer_to_words(answer) == words


def test_every_answer_of_the_sheets_has_words() -> None:
    """No answer that extract knows is shown as a code."""
    table = tomllib.loads((ROOT / "extract" / "causes.toml").read_text(encoding="utf-8"))
    answers = {answer for code in table for answer in code_to_answers(code)}
    assert {answer for answer in answers if answer_to_words(answer) == answer} == set()


@pytest.mark.parametrize(
    ("note", "words"),
    [("the second reading sees '9.99'", "A second, independent reading of this cell says “9.99”."),
     ("joined by short: 'AB050'", "The row is named “AB050” on the page."),
     ("the sheet prints '0.50' on page 1, '0.55' on page 3",
      "The sheet prints different values for this: “0.50” on page 1, “0.55” on page 3."),
     ("its heading is recognised as '60 °C', by the second recogniser as '-60 °C'",
      "This is a picture. One recogniser reads “60 °C”, the other “-60 °C”."),
     ("recognised as '0.5', by the second recogniser as nothing",
      "This is a picture. One recogniser reads “0.5”, the other nothing."),
     ("resistance min 3 Ω is above resistance max 2 Ω", "Resistance min 3 Ω is above resistance max 2 Ω.")])
def test_reasons_are_sentences(note: str, words: str) -> None:
    """No code words, capital letter, full stop."""
    assert note_to_words(note) == words
