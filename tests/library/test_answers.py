"""Answers remembered in a library: in force, edited, taken back, exchanged; nothing of it is lost."""

from dataclasses import replace

import pytest

from extract.asked import Answer, Remembered
from extract.errors import InputError
from holdtrip.library.answers import answer_with
from holdtrip.library.records import Action, Signature
from holdtrip.library.store import Library

ANN = Signature("Ann", "page 2 prints mA")
ONE = Remembered(
    Answer("a" * 64, "qx.pdf", "unit", "hold_current", "unit:mA", "Ann", "2031-05-12", "page 2 prints mA"),
    "Quarrow", "QX", ("hold_current: ih",))


def test_an_answer_is_kept_as_it_was_said(library: Library) -> None:
    """House, series, words, question and answer come back; who, when and why are those of the change."""
    number = library.remember_answer(ONE, ANN)
    (kept,) = library.answers()
    assert kept.answer_id == number
    assert replace(kept.remembered.answer, when="2031-05-12") == ONE.answer
    assert replace(kept.remembered, answer=ONE.answer) == ONE
    assert library.history()[-1].action is Action.ANSWER
    assert "qx.pdf unit unit:mA" in library.history()[-1].subject


def test_a_new_answer_to_the_same_question_takes_its_place(library: Library) -> None:
    """One question of one sheet has one answer in force; the earlier stays in the past."""
    library.remember_answer(ONE, ANN)
    before = library.history()[-1].at
    library.remember_answer(replace(ONE, answer=replace(ONE.answer, answer="right")), Signature("Bo"))
    assert [one.remembered.answer.answer for one in library.answers()] == ["right"]
    assert [one.remembered.answer.answer for one in library.answers(before)] == ["unit:mA"]


def test_answers_are_edited_and_taken_back(library: Library) -> None:
    """Each by a change of its own; a number that is not there is refused."""
    number = library.remember_answer(ONE, ANN)
    edited = library.edit_answer(number, answer_with(ONE, None, "Kelder", None), Signature("Bo"))
    assert [(one.answer_id, one.remembered.house) for one in library.answers()] == [(edited, "Kelder")]
    with pytest.raises(InputError, match=f"no answer {number}"):
        library.forget_answer(number, ANN)
    library.forget_answer(edited, Signature("Cy", "misread"))
    assert library.answers() == ()
    actions = [one.action for one in library.history()]
    assert actions == [Action.ANSWER, Action.EDIT_ANSWER, Action.FORGET_ANSWER]


def test_two_teams_exchange_answers(library: Library) -> None:
    """What another team answered is signed and dated as there; taken in again, nothing is new."""
    assert library.take_in_answers([ONE]) == 1
    assert library.take_in_answers([ONE]) == 0
    said = library.answers()[0].remembered.answer
    assert (said.who, said.because) == ("Ann", "page 2 prints mA")
    assert said.when in {"2031-05-11", "2031-05-12"}  # a day without a zone is that of this machine
