"""Numbers that come to a stored sheet later: by an answer, or from a table that a person framed."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from extract.errors import InputError
from extract.schema import Quantity, Status
from holdtrip.library.records import Action, Signature, Target, Verdict
from holdtrip.library.store import Library
from tests.library.made_up_sheets import hash_of, reading, sheet

ANN, BEN = Signature("Ann", "the heading says mA"), Signature("Ben", "it does not")
SHEET = hash_of("qx.pdf")
DOUBTED = reading("qx.pdf", "QX-050", Quantity.TRIPPED_POWER, 800.0, status=Status.DISPUTED)
RIGHT = replace(DOUBTED, value=0.8, status=Status.SINGLE, notes=("by your answer of 2031-01-02: unit:mW",))


@pytest.fixture
def filled(library: Library) -> Library:
    """A library with one sheet, one of whose numbers is disputed."""
    library.import_sheet(sheet(more=(DOUBTED,)), "Ann")
    return library


def powers(library: Library, as_of: datetime | None = None) -> list[tuple[float, Status]]:
    """What goes out for the tripped power."""
    return [(one.value, one.status) for one in library.part("QX-050", as_of)[0].readings
            if one.quantity is Quantity.TRIPPED_POWER]


def doubted_id(library: Library) -> int:
    """The disputed number."""
    return next(one.number_id for one in library.sheet_numbers(SHEET)
                if one.reading.quantity is Quantity.TRIPPED_POWER)


def test_a_number_by_an_answer_stands_in_place_of_the_doubted_one(filled: Library) -> None:
    """It goes out as read once, the doubted one no longer; both stay in the library, the history says who and
    why, and the library of before is shown without it."""
    before = datetime.now(UTC)
    done = filled.add_later(SHEET, [RIGHT], [doubted_id(filled)], Action.ANSWER, ANN)
    assert powers(filled) == [(0.8, Status.SINGLE)]
    assert powers(filled, before) == [(800.0, Status.DISPUTED)]
    stored = {one.number_id: one for one in filled.sheet_numbers(SHEET)}
    assert stored[done.came[0]].reading == RIGHT
    assert stored[done.went[0]].decision is not None
    assert stored[done.went[0]].decision.verdict is Verdict.REJECTED
    (holds,) = filled.later(SHEET)
    assert (holds.came, holds.went, holds.who) == (done.came, done.went, "Ann")
    last = filled.history()[-1]
    assert (last.action, last.who, last.reason) == (Action.ANSWER, "Ann", "the heading says mA")
    assert "qx.pdf" in last.subject


def test_an_answer_is_taken_back_as_one_step(filled: Library) -> None:
    """Named by a number that came or by one that went: what came is rejected, what went is open again."""
    for chosen in ("came", "went"):
        done = filled.add_later(SHEET, [RIGHT], [doubted_id(filled)], Action.ANSWER, ANN)
        back = filled.take_back_later(SHEET, getattr(done, chosen), BEN)
        assert (set(back.came), set(back.went)) == (set(done.went), set(done.came))
        assert powers(filled) == [(800.0, Status.DISPUTED)]
        assert filled.history()[-1].action is Action.TAKE_BACK
        assert filled.later(SHEET) == ()


def test_a_framed_table_may_bring_a_new_part(filled: Library) -> None:
    """A part that the sheet did not have is listed, in force, with its numbers waiting for a decision."""
    new = reading("qx.pdf", "QX-300", Quantity.HOLD_CURRENT, 3.0, ambient_c=23.0, status=Status.SINGLE)
    filled.add_later(SHEET, [new], [], Action.FRAME, ANN)
    row = next(row for row in filled.list_parts() if row.part_number == "QX-300")
    assert (row.live, row.undecided, row.hold_current_max_a) == (True, 1, 3.0)
    assert filled.sheets()[0].parts == 3


def test_what_cannot_be_added_changes_nothing(filled: Library) -> None:
    """No reason, no such sheet, a number of another sheet, nothing to do, nothing to take back: one line."""
    version = filled.version()
    for refused in (
        lambda: filled.add_later(SHEET, [RIGHT], [], Action.FRAME, Signature("Ann")),
        lambda: filled.add_later("f" * 64, [RIGHT], [], Action.FRAME, ANN),
        lambda: filled.add_later(SHEET, [RIGHT], [999_999], Action.ANSWER, ANN),
        lambda: filled.add_later(SHEET, [], [], Action.ANSWER, ANN),
        lambda: filled.take_back_later(SHEET, [doubted_id(filled)], ANN),
    ):
        with pytest.raises(InputError):
            refused()
    filled.accept(Target("QX-050"), Signature("Ann"))
    with pytest.raises(InputError, match="no answer"):
        filled.take_back_later(SHEET, [filled.sheet_numbers(SHEET)[0].number_id], ANN)
    assert filled.version() == version + 1
