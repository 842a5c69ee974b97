"""Reviewing: what a person says stands beside what was printed, and only that decides what goes out."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from extract.errors import InputError
from extract.schema import Kind, Quantity, Status
from holdtrip.library.records import (
    Action,
    BulkChoice,
    ConflictError,
    PartFilter,
    PartState,
    Signature,
    Target,
    Verdict,
)
from holdtrip.library.store import Library
from tests.library.made_up_sheets import HOLD, OHM, TRIP, hash_of, reading, sheet

ANN, BEN = Signature("Ann", "looked at page 1"), Signature("Ben", "page 1 says otherwise")
PART = Target("QX-050")
ONE_HOLD = Target("QX-050", quantity=HOLD)


def state(library: Library, number: str = "QX-050") -> PartState:
    """The state of a part in force."""
    return next(row.state for row in library.list_parts() if row.part_number == number)


def value_of(library: Library, quantity: Quantity) -> list[tuple[float, Status]]:
    """What goes out for a quantity of the first part."""
    part = library.part("QX-050")[0]
    return [(one.value, one.status) for one in part.readings if one.quantity is quantity]


@pytest.fixture
def filled(library: Library) -> Library:
    """A library with one sheet, one of whose numbers is disputed."""
    library.import_sheet(sheet(more=(
        reading("qx.pdf", "QX-050", Quantity.TRIPPED_POWER, 0.8, status=Status.DISPUTED),)), "Ann")
    return library


def test_what_is_read_is_not_accepted(filled: Library) -> None:
    """Nothing enters a comparison of accepted numbers before a person said so."""
    assert state(filled) is PartState.READ
    assert filled.parts(accepted_only=True) == ()


def test_a_part_is_accepted_but_for_its_disputed_numbers(filled: Library) -> None:
    """Accepting a part leaves each disputed number to a look of its own; then the part is accepted."""
    outcome = filled.accept(PART, ANN)
    assert [one.reading.quantity for one in outcome.left] == [Quantity.TRIPPED_POWER]
    assert (outcome.part.state, outcome.part.disputed, len(outcome.decided)) == (PartState.IN_REVIEW, 1, 4)
    filled.accept(Target("QX-050", quantity=Quantity.TRIPPED_POWER), ANN)
    filled.accept(Target("QX-050", quantity=OHM), ANN)
    assert state(filled) is PartState.ACCEPTED
    assert state(filled, "QX-110") is PartState.READ


def test_accepting_in_bulk_is_no_look_at_each_number(filled: Library) -> None:
    """A whole part, or several numbers named by what they share, stand as accepted in bulk, singles apart; a
    number named by itself was looked at, also one that somebody else accepted in bulk."""
    outcome = filled.accept(PART, ANN)
    assert outcome.in_bulk
    assert [one.reading.quantity for one in outcome.singles] == [OHM]
    assert (outcome.part.accepted, outcome.part.in_bulk, outcome.part.single) == (3, 3, 1)
    assert value_of(filled, HOLD) == [(0.5, Status.BULK)]
    filled.accept(ONE_HOLD, BEN)
    assert value_of(filled, HOLD) == [(0.5, Status.ACCEPTED)]
    numbers = frozenset(one.number_id for one in filled.numbers_of("QX-110"))
    assert filled.accept(Target("QX-110", number_ids=numbers), BEN, in_bulk=True).in_bulk
    row, = (row for row in filled.list_parts() if row.part_number == "QX-110")
    assert (row.accepted, row.in_bulk) == (3, 3)


def test_a_number_read_once_is_not_raised_by_a_bulk(filled: Library) -> None:
    """Asked for, it is used, but stands as read once, since nobody looked at it."""
    outcome = filled.accept(PART, ANN, singles=True)
    assert outcome.singles == ()
    assert value_of(filled, OHM) == [(0.4, Status.SINGLE)]
    out, = filled.parts(accepted_only=True)
    assert {one.status for one in out.readings} == {Status.BULK, Status.SINGLE}


@pytest.mark.parametrize("chosen", [BulkChoice(like="qx"), BulkChoice(sha256=hash_of("qx.pdf")[:9]),
                                    BulkChoice(sha256="qx.pdf", like="QX-")])
def test_a_whole_sheet_is_accepted_by_one_change(filled: Library, chosen: BulkChoice) -> None:
    """Every part of it, with the numbers of the whole series; disputed and single ones are counted apart."""
    before = filled.version()
    outcome = filled.accept_in_bulk(chosen, ANN)
    assert filled.version() == before + 1
    assert [row.part_number for row in outcome.parts] == ["QX-050", "QX-110"]
    assert (outcome.decided, outcome.disputed, outcome.singles) == (7, 1, 2)
    assert {one.status for part in filled.parts(accepted_only=True) for one in part.readings} == {Status.BULK}
    assert filled.history()[-1].action is Action.BULK
    assert filled.accept_in_bulk(chosen, BEN).decided == 0
    assert filled.version() == before + 1


def test_a_bulk_names_what_it_is_of(filled: Library) -> None:
    """Nothing named, or nothing found, is an error and no change."""
    for chosen in (BulkChoice(), BulkChoice(like="ZZ"), BulkChoice(sha256="ffff")):
        with pytest.raises(InputError):
            filled.accept_in_bulk(chosen, ANN)


def test_the_history_counts_all_that_a_bulk_accepted(filled: Library) -> None:
    """Many parts are told by their count, with all their numbers; never as the last of them alone."""
    outcome = filled.accept_in_bulk(BulkChoice(like="QX", singles=True), Signature("Ann"))
    accepted = sum(one.decision is not None for one in filled.numbers())
    assert accepted > len(outcome.parts) == 2
    assert filled.history()[-1].subject == f"2 parts of qx.pdf: {accepted} numbers"


def test_only_accepted_numbers_go_out(filled: Library) -> None:
    """An accepted part carries its accepted numbers and those of its series; other parts are absent."""
    filled.accept(PART, ANN)
    part, = filled.parts(accepted_only=True)
    assert part.part_number == "QX-050"
    assert {one.status for one in part.readings} == {Status.BULK}
    assert {one.quantity for one in part.readings} == {HOLD, TRIP, Quantity.MAX_VOLTAGE, Quantity.HOLD_RATIO}


def test_on_request_unreviewed_numbers_go_out_marked(filled: Library) -> None:
    """Every number says whether a person accepted it."""
    filled.accept(ONE_HOLD, ANN)
    assert value_of(filled, HOLD) == [(0.5, Status.ACCEPTED)]
    assert value_of(filled, TRIP) == [(1.0, Status.AGREED)]
    assert value_of(filled, OHM) == [(0.4, Status.SINGLE)]


def test_a_correction_keeps_what_was_printed(filled: Library) -> None:
    """The corrected value goes out; printed text, printed value and who said so stay beside it."""
    filled.correct(ONE_HOLD, 0.55, BEN)
    out = next(one for one in filled.part("QX-050")[0].readings if one.quantity is HOLD)
    assert (out.value, out.status, out.raw) == (0.55, Status.CORRECTED, "0.5")
    assert "corrected by Ben" in out.notes[-1]
    assert BEN.reason in out.notes[-1]
    kept = next(one for one in filled.numbers() if one.reading.quantity is HOLD)
    assert (kept.reading.value, kept.reading.status) == (0.5, Status.AGREED)
    assert kept.decision is not None
    assert (kept.decision.verdict, kept.decision.value, kept.decision.who) == (Verdict.CORRECTED, 0.55, "Ben")


def test_a_rejected_number_goes_nowhere(filled: Library) -> None:
    """Not even on request; the part keeps its others."""
    filled.reject(ONE_HOLD, BEN)
    assert value_of(filled, HOLD) == []
    assert value_of(filled, TRIP) != []


def test_a_rejected_part_has_no_number_of_its_own(filled: Library) -> None:
    """Its state says that a person looked."""
    filled.reject(PART, BEN)
    assert state(filled) is PartState.REJECTED
    assert {one.part_number for one in filled.part("QX-050")[0].readings} == {"*"}


@pytest.mark.parametrize("value", [0.0, -1.0, 1e300, float("nan"), float("inf")])
def test_a_correction_is_a_quantity(filled: Library, value: float) -> None:
    """No current, voltage, resistance, time or ratio of a fuse is zero, negative or endless."""
    with pytest.raises(InputError, match="above 0"):
        filled.correct(ONE_HOLD, value, BEN)


def test_corrections_and_rejections_need_a_reason(filled: Library) -> None:
    """Whoever comes later must be able to follow."""
    for act in (lambda by: filled.correct(ONE_HOLD, 1.0, by), lambda by: filled.reject(PART, by),
                lambda by: filled.reopen(PART, by)):
        with pytest.raises(InputError, match="without a reason"):
            act(Signature("Ben"))


def test_taking_back_leaves_the_number_as_read(filled: Library) -> None:
    """A reopened number is undecided again; the history keeps both."""
    filled.correct(ONE_HOLD, 0.55, BEN)
    filled.reopen(ONE_HOLD, BEN)
    assert value_of(filled, HOLD) == [(0.5, Status.AGREED)]
    assert [one.action for one in filled.history("qx 050")] == [Action.IMPORT, Action.CORRECT, Action.REOPEN]


def test_a_part_can_be_marked_as_in_review(filled: Library) -> None:
    """Others see that somebody is at it."""
    filled.start_review(PART, ANN)
    assert state(filled) is PartState.IN_REVIEW
    found = filled.list_parts(PartFilter(states=(PartState.IN_REVIEW,)))
    assert [row.part_number for row in found] == ["QX-050"]


def test_competing_numbers_are_decided_by_name(library: Library) -> None:
    """Of two numbers for one thing one is accepted by its identifier, and the other is out with it."""
    rival = reading("qx.pdf", "QX-050", HOLD, 0.52, ambient_c=23.0, status=Status.DISPUTED)
    library.import_sheet(sheet(more=(rival,)), "Ann")
    with pytest.raises(InputError, match="2 numbers compete"):
        library.accept(ONE_HOLD, ANN)
    with pytest.raises(InputError, match="2 numbers compete"):
        library.correct(ONE_HOLD, 0.6, ANN)
    number_id = next(one.number_id for one in library.numbers_of("QX-050") if one.reading.value == 0.52)
    outcome = library.accept(replace(ONE_HOLD, number_id=number_id), ANN)
    assert [one.reading.value for one in outcome.rejected] == [0.5]
    assert value_of(library, HOLD) == [(0.52, Status.ACCEPTED)]


def test_a_target_can_name_kind_and_condition(filled: Library) -> None:
    """Quantity, kind and ambient each narrow what is decided; nothing that fits is an error."""
    filled.accept(Target("qx050", quantity=OHM, kind=Kind.POST_TRIP_MAX), ANN)
    assert value_of(filled, OHM) == [(0.4, Status.ACCEPTED)]
    with pytest.raises(InputError, match="no such number"):
        filled.accept(Target("QX-050", quantity=HOLD, ambient_c=60.0), ANN)
    with pytest.raises(InputError, match="no such part"):
        filled.accept(Target("QX-051"), ANN)


def test_a_part_of_two_sheets_needs_the_sheet(library: Library) -> None:
    """Two sheets that are no revisions of each other give the same part: the person says which."""
    library.import_sheet(sheet("catalogue.pdf", {f"QX-{n}": n / 10 for n in range(1, 40)}), "Ann")
    library.import_sheet(sheet("single.pdf", {"QX-5": 0.5}), "Ann")
    assert [part.document for part in library.part("QX-5")] == ["catalogue.pdf", "single.pdf"]
    with pytest.raises(InputError, match="2 sheets in force"):
        library.accept(Target("QX-5"), ANN)
    outcome = library.accept(Target("QX-5", sha256=hash_of("single.pdf")[:10]), ANN)
    assert outcome.part.document == "single.pdf"


def test_whoever_looked_at_an_outdated_part_is_told(filled: Library) -> None:
    """A decision on a version that is no longer the last is refused, with who changed it; nothing happens."""
    seen = next(row.version for row in filled.list_parts() if row.part_number == "QX-050")
    filled.correct(ONE_HOLD, 0.55, BEN)
    before = filled.history()
    with pytest.raises(ConflictError, match="changed since you looked: correct by Ben"):
        filled.accept(replace(PART, seen_version=seen), ANN)
    assert filled.history() == before


def test_nobody_overrules_unseen(filled: Library) -> None:
    """Without the version seen, another's decision stands; with it, the person may overrule."""
    filled.correct(ONE_HOLD, 0.55, BEN)
    for act in (lambda target: filled.correct(target, 0.6, ANN), lambda target: filled.accept(target, ANN),
                lambda target: filled.reject(target, ANN), lambda target: filled.reopen(target, ANN)):
        with pytest.raises(ConflictError, match=r"corrected to 0\.55 A by Ben"):
            act(ONE_HOLD)
    seen = next(row.version for row in filled.list_parts() if row.part_number == "QX-050")
    filled.correct(replace(ONE_HOLD, seen_version=seen), 0.6, ANN)
    assert value_of(filled, HOLD) == [(0.6, Status.CORRECTED)]


def test_everybody_may_change_their_own_mind(filled: Library) -> None:
    """One's own decision is no surprise."""
    filled.accept(PART, ANN)
    filled.correct(ONE_HOLD, 0.55, ANN)
    filled.reject(ONE_HOLD, ANN)
    assert value_of(filled, HOLD) == []
    filled.accept(ONE_HOLD, ANN)
    assert value_of(filled, HOLD) == [(0.5, Status.ACCEPTED)]


def test_nobody_readmits_what_was_rejected_unseen(filled: Library) -> None:
    """A rejection is a decision too."""
    filled.reject(ONE_HOLD, BEN)
    with pytest.raises(ConflictError, match="rejected by Ben"):
        filled.accept(ONE_HOLD, ANN)


def test_saying_the_same_again_changes_nothing(filled: Library) -> None:
    """A decision repeated adds no fact."""
    filled.correct(ONE_HOLD, 0.55, BEN)
    before = filled.history()
    filled.correct(ONE_HOLD, 0.55, BEN)
    assert filled.history() == before


def test_any_past_state_can_be_shown(filled: Library) -> None:
    """As of a time before a decision the library looks as it did then."""
    read, rows = filled.parts(), filled.list_parts()
    before = datetime.now(UTC)
    filled.correct(ONE_HOLD, 0.55, BEN)
    filled.accept(PART, ANN)
    accepted = filled.parts(accepted_only=True)
    between = datetime.now(UTC)
    filled.reject(replace(PART, seen_version=filled.list_parts()[0].version), BEN)
    assert (filled.parts(as_of=before), filled.list_parts(as_of=before)) == (read, rows)
    assert filled.parts(accepted_only=True, as_of=between) == accepted
    assert filled.parts(accepted_only=True) == ()
    assert filled.parts(as_of=datetime(2001, 1, 1, tzinfo=UTC)) == ()


def test_a_time_needs_a_zone(filled: Library) -> None:
    """As of noon, where?"""
    with pytest.raises(InputError, match="no zone"):
        filled.parts(as_of=datetime(2031, 1, 1, 12))


def test_the_history_names_who_what_and_why(filled: Library) -> None:
    """Each entry reads on its own, and times never go back."""
    filled.correct(ONE_HOLD, 0.55, BEN)
    filled.accept(PART, ANN)
    history = filled.history("QX-050")
    assert [one.who for one in history] == ["Ann", "Ben", "Ann"]
    assert history[0].subject == "qx.pdf"
    assert history[1].subject == "QX-050 of qx.pdf: hold_current 0.5, corrected to 0.55 A"
    assert history[1].reason == BEN.reason
    assert history[2].subject == "QX-050 of qx.pdf: 3 numbers"
    assert [one.at for one in history] == sorted({one.at for one in history})


def test_parts_are_found_by_what_is_typed(filled: Library) -> None:
    """Text in the number, hold current, a page of the list."""
    names = [[row.part_number for row in filled.list_parts(where)] for where in (
        PartFilter(like="x-1"), PartFilter(hold_current_min_a=1.0), PartFilter(hold_current_max_a=1.0),
        PartFilter(limit=1), PartFilter(limit=1, offset=1), PartFilter(offset=1), PartFilter(like="%"))]
    assert names == [["QX-110"], ["QX-110"], ["QX-050"], ["QX-050"], ["QX-110"], ["QX-110"], []]


def test_a_part_without_a_hold_current_is_never_left_out(library: Library) -> None:
    """What is not known cannot be out of range."""
    library.import_sheet(sheet(holds_a={}, more=(reading("qx.pdf", "QX-7", TRIP, 1.0),)), "Ann")
    where = PartFilter(hold_current_min_a=0.5, hold_current_max_a=0.6)
    assert [part.part_number for part in library.parts(where=where)] == ["QX-7"]


def test_the_hold_range_follows_corrections(filled: Library) -> None:
    """A part is found by its corrected value."""
    filled.correct(ONE_HOLD, 5.0, BEN)
    assert [one.part_number for one in filled.parts(where=PartFilter(hold_current_min_a=4.0))] == ["QX-050"]


def test_a_sheet_gives_its_parts_and_numbers_whole(filled: Library) -> None:
    """What a reviewer of one sheet sees: all its parts with their versions, all its numbers, nothing else."""
    sha256 = filled.sheets()[0].sha256
    rows, numbers = filled.sheet_rows(sha256), filled.sheet_numbers(sha256)
    assert {row.sha256 for row in rows} == {sha256}
    assert {one.reading.part_number for one in numbers} == {row.part_number for row in rows}
    assert set(numbers) == {one for one in filled.numbers() if one.reading.sha256 == sha256}
    assert filled.sheet_rows("0" * 64) == filled.sheet_numbers("0" * 64) == ()


def test_every_change_counts(filled: Library) -> None:
    """The version of a library tells whether what was read before is still true."""
    before = filled.version()
    assert filled.version() == before
    filled.accept(PART, ANN)
    assert filled.version() == before + 1
