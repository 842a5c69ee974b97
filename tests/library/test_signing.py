"""Two people for one decision: a library may demand that, and then one person's word is not enough."""

from dataclasses import replace
from pathlib import Path

import pytest

from extract.errors import InputError
from extract.schema import ChartName, Curve, Kind, Status
from holdtrip.library.records import Action, BulkChoice, PartState, Signature, Target, Verdict
from holdtrip.library.store import Library, open_library
from tests.library.made_up_sheets import HOLD, OHM, PLACE, TRIP, hash_of, sheet

ANN, BEN, CARA = Signature("Ann", "page 1"), Signature("Ben", "page 1 too"), Signature("Cara", "all three")


@pytest.fixture
def strict(library: Library) -> Library:
    """A library that demands two signatures, with one sheet."""
    line = Curve("qx.pdf", hash_of("qx.pdf"), "QX-050", ChartName.TIME_TO_TRIP, Kind.TYP, None,
                 ((2.0, 9.5), (20.0, 0.3)), Status.AGREED, PLACE, "QX-050", 0.01, 0.02, ())
    library.settle(Signature("Ann"), signatures=2)
    library.import_sheet(replace(sheet("qx.pdf", {"QX-050": 0.5}), curves=(line,)), "Ann")
    return library


def _state(library: Library) -> tuple[PartState, int, int, int]:
    row, = library.list_parts()
    return row.state, row.accepted, row.waiting, row.in_bulk


def _statuses(library: Library, accepted_only: bool = True) -> dict[str, Status]:
    """Quantity → status of what goes out."""
    return {one.quantity.value: one.status for part in library.parts(accepted_only=accepted_only)
            for one in part.readings}


def test_one_person_is_not_enough(strict: Library) -> None:
    """What one person accepted waits: it stands in no comparison of accepted numbers, and goes out as read
    elsewhere; the same person cannot sign twice, however the name is written."""
    outcome = strict.accept(Target("QX-050", quantity=HOLD), ANN)
    assert (len(outcome.decided), outcome.part.waiting) == (1, 1)
    assert _state(strict) == (PartState.IN_REVIEW, 0, 1, 0)
    assert strict.parts(accepted_only=True) == ()
    assert _statuses(strict, accepted_only=False)["hold_current"] is Status.AGREED
    for same in (ANN, Signature(" ann "), Signature("ANN", "again")):
        strict.accept(Target("QX-050", quantity=HOLD), same)
        assert _state(strict) == (PartState.IN_REVIEW, 0, 1, 0)


def test_the_second_person_makes_it_count(strict: Library) -> None:
    """Another person's acceptance of the same number is the second signature; both stand with the number and
    in the history."""
    strict.accept(Target("QX-050", quantity=HOLD), ANN)
    strict.accept(Target("QX-050", quantity=HOLD), BEN)
    assert _state(strict) == (PartState.IN_REVIEW, 1, 0, 0)
    assert _statuses(strict) == {"hold_current": Status.ACCEPTED}
    held = next(one for one in strict.numbers_of("QX-050") if one.reading.quantity is HOLD)
    assert held.decision is not None
    assert held.second is not None
    assert (held.decision.who, held.second.who, held.waiting) == ("Ann", "Ben", False)
    last = strict.history("QX-050")[-1]
    assert (last.action, last.who, last.subject) == (Action.SECOND, "Ben", "QX-050 of qx.pdf: 1 number")
    assert strict.faults() == ()


def test_a_part_counts_once_two_people_accepted_all_of_it(strict: Library) -> None:
    """Each number needs both; the part is accepted after the second person's, and in bulk as the weaker of
    the two was."""
    strict.accept(Target("QX-050"), ANN, singles=True)
    assert _state(strict) == (PartState.IN_REVIEW, 0, 4, 0)
    strict.accept(Target("QX-050"), BEN, singles=True)
    assert _state(strict) == (PartState.ACCEPTED, 4, 0, 4)
    assert _statuses(strict)["hold_current"] is Status.BULK
    strict.accept(Target("QX-050", quantity=HOLD), ANN)
    assert _statuses(strict)["hold_current"] is Status.BULK, "Ben has not looked at it"
    strict.accept(Target("QX-050", quantity=HOLD), BEN)
    assert _statuses(strict)["hold_current"] is Status.ACCEPTED
    assert _state(strict) == (PartState.ACCEPTED, 4, 0, 3)
    assert strict.faults() == ()


def test_whoever_signed_second_does_not_become_the_first(strict: Library) -> None:
    """A firmer word of the second person stays a second signature; a third person's changes nothing."""
    strict.accept(Target("QX-050"), ANN, singles=True)
    strict.accept(Target("QX-050"), BEN, singles=True)
    for by in (BEN, BEN, CARA):
        strict.accept(Target("QX-050", quantity=HOLD), by)
    held = next(one for one in strict.numbers_of("QX-050") if one.reading.quantity is HOLD)
    assert held.decision is not None
    assert held.second is not None
    assert held.decision.who != held.second.who


def test_many_parts_are_signed_in_bulk(strict: Library) -> None:
    """Sheet by sheet too; numbers read once stay apart from both."""
    strict.accept_in_bulk(BulkChoice(sha256="qx.pdf"), ANN)
    outcome = strict.accept_in_bulk(BulkChoice(sha256="qx.pdf"), BEN)
    assert outcome.decided == 4
    assert _state(strict) == (PartState.IN_REVIEW, 3, 0, 3)


def test_a_correction_is_signed_by_the_same_correction(strict: Library) -> None:
    """Until then two values stand against each other: disputed. Another value is no signature, and a bulk
    acceptance none of a correction."""
    hold = Target("QX-050", quantity=HOLD)
    strict.correct(hold, 0.55, ANN)
    assert _statuses(strict, accepted_only=False)["hold_current"] is Status.DISPUTED
    strict.accept(Target("QX-050"), BEN)
    assert "hold_current" not in _statuses(strict)
    strict.correct(hold, 0.55, BEN)
    assert _statuses(strict)["hold_current"] is Status.CORRECTED
    strict.correct(replace(hold, seen_version=strict.list_parts()[0].version), 0.56, CARA)
    assert "hold_current" not in _statuses(strict), "nobody has signed the new value yet"


def test_what_is_taken_back_is_signed_by_nobody(strict: Library) -> None:
    """Reopened and accepted again by one person, it waits again."""
    target = Target("QX-050", quantity=TRIP)
    strict.accept(target, ANN)
    strict.accept(target, BEN)
    strict.reopen(replace(target, seen_version=strict.list_parts()[0].version), ANN)
    strict.accept(target, ANN)
    assert _state(strict) == (PartState.IN_REVIEW, 0, 1, 0)
    assert strict.faults() == ()


def test_a_rejection_needs_one_person_only(strict: Library) -> None:
    """Taking a number away is the safe side."""
    strict.reject(Target("QX-050", quantity=OHM), ANN)
    assert "resistance" not in _statuses(strict, accepted_only=False)


def test_the_demand_counts_for_what_was_accepted_before(library: Library) -> None:
    """Switched on, what one person accepted waits; switched off, it counts again; the past stays."""
    library.import_sheet(sheet("qx.pdf", {"QX-050": 0.5}), "Ann")
    library.accept(Target("QX-050"), ANN, singles=True)
    before = library.version()
    library.settle(ANN, signatures=2)
    assert _state(library) == (PartState.IN_REVIEW, 0, 4, 0)
    assert library.parts(accepted_only=True) == ()
    assert len(library.parts(accepted_only=True, as_of=before)) == 1
    assert library.list_parts(as_of=before)[0].state is PartState.ACCEPTED
    library.settle(ANN, signatures=1)
    assert _state(library)[:2] == (PartState.ACCEPTED, 4)
    assert library.faults() == ()


def test_two_signatures_need_two_who_may(library: Library) -> None:
    """A library in which one person alone may accept could never accept anything."""
    with pytest.raises(InputError, match="Ann alone may accept"):
        library.settle(ANN, acceptors=("Ann",), signatures=2)
    library.settle(ANN, acceptors=("Ann", "Ben"), signatures=2)
    with pytest.raises(InputError, match="Ben alone may accept"):
        library.settle(ANN, acceptors=("Ben",))


def test_a_curve_needs_two_as_well(strict: Library) -> None:
    """A line accepted by one person is used in no comparison of accepted numbers."""
    strict.accept(Target("QX-050", quantity=HOLD), ANN)
    strict.accept(Target("QX-050", quantity=HOLD), BEN)
    curve_id = strict.curves("QX-050")[0].curve_id
    strict.decide_curve(curve_id, Verdict.ACCEPTED, ANN)
    assert strict.parts(accepted_only=True)[0].curves == ()
    strict.decide_curve(curve_id, Verdict.ACCEPTED, BEN)
    line, = strict.parts(accepted_only=True)[0].curves
    assert line.status is Status.ACCEPTED


def test_a_comparison_leaves_out_what_one_person_accepted(strict: Library, tmp_path: Path) -> None:
    """Both signatures go to another library that demands two, and one alone is one there as well."""
    strict.accept(Target("QX-050"), ANN, singles=True)
    strict.accept(Target("QX-050", quantity=HOLD), BEN)
    strict.decide_curve(strict.curves()[0].curve_id, Verdict.BULK, BEN)
    records = strict.export_records()
    with open_library(tmp_path / "other.sqlite") as other:
        other.settle(ANN, signatures=2)
        other.import_records(records, Signature("Eve"))
        assert _state(other) == _state(strict) == (PartState.IN_REVIEW, 1, 3, 1)
        assert other.export_records() == records
        assert other.faults() == ()


def test_two_who_may_are_two_people(library: Library) -> None:
    """One name in two spellings is one person, also among those who may accept."""
    with pytest.raises(InputError, match="Ann and ANN are one person"):
        library.settle(ANN, acceptors=("Ann", " ANN"), signatures=2)


@pytest.mark.parametrize("name", ["zoë", " Zoë ", "Zoe\u0308", "Z\u200bo\u00eb", "ＺＯË"])
def test_who_may_accept_is_a_person_not_a_spelling(library: Library, name: str) -> None:
    """Case, spaces, the form of an accent and unseen characters make nobody another person."""
    library.settle(ANN, acceptors=("Zoë", "Ben"), signatures=2)
    library.import_sheet(sheet("qx.pdf", {"QX-050": 0.5}), "Ann")
    library.accept(Target("QX-050"), Signature("Zoë"), singles=True)
    library.accept(Target("QX-050"), Signature(name), singles=True)
    assert _state(library)[0] is PartState.IN_REVIEW
    with pytest.raises(InputError, match="may not accept"):
        library.accept(Target("QX-050"), Signature("Zoe"))
