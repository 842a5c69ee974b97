"""Drawn curves in a library: kept as read, decided on by people, told apart between revisions."""

from dataclasses import replace
from pathlib import Path

import pytest

from extract.errors import InputError
from extract.schema import ChartName, Curve, Kind, Place, SheetReading, Status
from holdtrip.library.backup import restore_library
from holdtrip.library.exchange_json import json_to_records, records_to_json
from holdtrip.library.records import Action, BulkChoice, ConflictError, Signature, Target, Verdict
from holdtrip.library.store import Library, open_library
from tests.library.made_up_sheets import hash_of, sheet

ANN, BEN = Signature("Ann", "looked at page 3"), Signature("Ben", "the arrow points there")
LINE = ((1.0, 20.0), (10.0, 0.1))


def curve(number: str, document: str = "qx.pdf", line: tuple[tuple[float, float], ...] = LINE,
          status: Status = Status.AGREED) -> Curve:
    """A typical curve of a part, on page 3."""
    return Curve(document, hash_of(document), number, ChartName.TIME_TO_TRIP, Kind.TYP, 23.0, line, status,
                 Place(3, 50.0, 60.0, 300.0, 400.0), number, 0.01, 0.02, ("cut at the frame",))


def drawn(document: str = "qx.pdf", **of: Curve) -> SheetReading:
    """A made-up sheet with its parts' curves, or other ones for some part."""
    own = {"a": curve("QX-050", document), "b": curve("QX-110", document, ((2.0, 20.0), (20.0, 0.1))), **of}
    return replace(sheet(document), curves=tuple(own.values()))


def curves_in_use(library: Library, part_number: str, accepted_only: bool = True) -> list[Curve]:
    """What a comparison would get."""
    return [one for part in library.parts(accepted_only=accepted_only) if part.part_number == part_number
            for one in part.curves]


def no_of(library: Library, part_number: str) -> int:
    return next(one.curve_id for one in library.curves(part_number))


@pytest.fixture
def filled(library: Library) -> Library:
    """A library with one sheet, nothing decided."""
    library.import_sheet(drawn(), "Ann")
    return library


def test_a_curve_comes_back_as_it_was_read(filled: Library) -> None:
    """Points, errors, place, label and notes: nothing is lost on the way."""
    stored = filled.sheet(hash_of("qx.pdf"))
    assert stored is not None
    assert stored.curves == drawn().curves
    assert curves_in_use(filled, "QX-050", accepted_only=False) == [curve("QX-050")]


def test_what_nobody_accepted_is_not_used(filled: Library) -> None:
    """As a number, a curve goes out of a reviewed library only once a person stands for it."""
    filled.accept(Target("QX-050", number_ids=frozenset({filled.numbers_of("QX-050")[0].number_id})), ANN)
    assert curves_in_use(filled, "QX-050") == []
    filled.decide_curve(no_of(filled, "QX-050"), Verdict.ACCEPTED, ANN)
    assert [one.status for one in curves_in_use(filled, "QX-050")] == [Status.ACCEPTED]


@pytest.mark.parametrize("by_sheet", [False, True])
def test_in_bulk_a_curve_is_marked_so_and_never_a_disputed_one(library: Library, by_sheet: bool) -> None:
    """Accepting a part or a sheet in bulk takes its agreed curves along; a disputed one waits for a look."""
    library.import_sheet(drawn(b=curve("QX-110", status=Status.DISPUTED)), "Ann")
    if by_sheet:
        library.accept_in_bulk(BulkChoice(hash_of("qx.pdf"), "", False), ANN)
    else:
        for number in ("QX-050", "QX-110"):
            library.accept(Target(number), ANN)
    assert [one.status for one in curves_in_use(library, "QX-050")] == [Status.BULK]
    assert curves_in_use(library, "QX-110") == []


def test_a_corrected_label_gives_the_curve_to_the_other_part(filled: Library) -> None:
    """The line stays, the part changes, who said so stands in the notes; the history of both parts tells."""
    filled.accept(Target("QX-050"), ANN)
    filled.accept(Target("QX-110"), ANN)
    number = no_of(filled, "QX-050")
    filled.decide_curve(number, Verdict.REOPENED, BEN)
    filled.decide_curve(number, Verdict.CORRECTED, BEN, "qx 110")
    assert curves_in_use(filled, "QX-050") == []
    given = next(one for one in curves_in_use(filled, "QX-110") if one.points == LINE)
    assert given.status is Status.CORRECTED
    assert any("given to QX-110" in note and "Ben" in note for note in given.notes)
    for part in ("QX-050", "QX-110"):
        assert any(change.action is Action.CORRECT for change in filled.history(part))


def test_a_rejected_curve_is_used_nowhere_and_can_be_reopened(filled: Library) -> None:
    """Neither reviewed nor unreviewed comparisons get it; taken back it is as read, and both stay told."""
    number = no_of(filled, "QX-050")
    filled.decide_curve(number, Verdict.REJECTED, ANN)
    assert curves_in_use(filled, "QX-050", accepted_only=False) == []
    filled.decide_curve(number, Verdict.REOPENED, ANN)
    assert curves_in_use(filled, "QX-050", accepted_only=False) == [curve("QX-050")]


@pytest.mark.parametrize(("verdict", "part", "by"), [
    (Verdict.CORRECTED, "QX-999", BEN), (Verdict.REJECTED, "", Signature("Ben"))])
def test_a_decision_that_nobody_can_follow_is_refused(
    filled: Library, verdict: Verdict, part: str, by: Signature
) -> None:
    """A label of no part of the sheet, or a rejection without a reason, changes nothing."""
    with pytest.raises(InputError):
        filled.decide_curve(no_of(filled, "QX-050"), verdict, by, part)
    assert filled.curves("QX-050")[0].decision is None


def test_nobody_overrules_a_colleague_unseen(filled: Library) -> None:
    """What Ann decided Ben may only change after taking it back, with a reason."""
    number = no_of(filled, "QX-050")
    filled.decide_curve(number, Verdict.ACCEPTED, ANN)
    with pytest.raises(ConflictError, match="Ann"):
        filled.decide_curve(number, Verdict.REJECTED, BEN)


def test_exchange_carries_curves_and_what_was_said(filled: Library, tmp_path: Path) -> None:
    """Another library gets the same curves with the same decisions; an older file without the tables too."""
    filled.decide_curve(no_of(filled, "QX-050"), Verdict.CORRECTED, BEN, "QX-110")
    text = records_to_json(filled.export_records())
    with open_library(tmp_path / "other.sqlite") as other:
        outcome = other.import_records(json_to_records(text, "a.json"), Signature("Eve"))
        assert (outcome.sheets_new, outcome.decisions) == (1, 1)
        assert records_to_json(other.export_records()) == text
        assert other.import_records(json_to_records(text, "a.json"), Signature("Eve")).decisions == 0
        assert other.parts() == filled.parts()


def test_changes_tell_what_a_revision_drew_otherwise(filled: Library) -> None:
    """A curve that moved is told with how far and where; one drawn alike is not."""
    filled.import_sheet(drawn("qx_b.pdf", a=curve("QX-050", "qx_b.pdf", ((1.0, 20.0), (10.0, 0.2)))), "Ann")
    (changes,) = filled.changes()
    (one,) = changes.curves
    assert (one.part_number, one.chart) == ("QX-050", ChartName.TIME_TO_TRIP)
    assert "2.00 times as high at 10" in one.after


def test_curves_drawn_alike_are_carried_to_a_newer_revision(filled: Library) -> None:
    """One line in both, accepted there: carried, in bulk and named so. One that moved, one that was rejected
    and one in doubt are left to be looked at."""
    for number, verdict in (("QX-050", Verdict.ACCEPTED), ("QX-110", Verdict.ACCEPTED)):
        filled.decide_curve(no_of(filled, number), verdict, ANN)
    moved = curve("QX-110", "qx_b.pdf", ((2.0, 20.0), (20.0, 0.2)))
    filled.import_sheet(drawn("qx_b.pdf", b=moved), "Ann")
    outcome = filled.carry_unchanged("qx_b.pdf", Signature("Ben"))
    assert outcome.curves == 1
    assert [one.curve.part_number for one in outcome.curves_left] == ["QX-110"]
    said = {one.curve.part_number: one.decision for one in filled.curves(sha256=hash_of("qx_b.pdf"))}
    assert said["QX-110"] is None
    carried = said["QX-050"]
    assert carried is not None
    assert (carried.verdict, carried.who) == (Verdict.BULK, "Ben")
    assert carried.reason.startswith("carried from qx.pdf")
    assert filled.carry_unchanged("qx_b.pdf", Signature("Ben")).curves == 0


@pytest.mark.parametrize("case", ["rejected", "disputed", "given away", "shorter"])
def test_a_curve_that_is_not_sure_on_both_sides_is_not_carried(filled: Library, case: str) -> None:
    """Rejected or with a corrected label before, in doubt now, or with another end: nobody stands for it."""
    said = {"rejected": (Verdict.REJECTED, ""), "given away": (Verdict.CORRECTED, "QX-110")}
    verdict, part = said.get(case, (Verdict.ACCEPTED, ""))
    filled.decide_curve(no_of(filled, "QX-050"), verdict, ANN, part)
    ends = ((1.0, 20.0), (4.0, 0.8)) if case == "shorter" else LINE
    status = Status.DISPUTED if case == "disputed" else Status.AGREED
    filled.import_sheet(drawn("qx_b.pdf", a=curve("QX-050", "qx_b.pdf", ends, status)), "Ann")
    outcome = filled.carry_unchanged("qx_b.pdf", Signature("Ben"))
    assert outcome.curves == 0
    assert "QX-050" in {one.curve.part_number for one in outcome.curves_left}


def test_read_again_takes_curves_that_nobody_decided_on(filled: Library) -> None:
    """A library of before curves were kept gets them by reading again; decided ones are left."""
    moved = drawn(a=curve("QX-050", line=((1.0, 20.0), (10.0, 0.3))))
    assert filled.take_again(moved, "Ann").curves
    assert filled.curves("QX-050")[0].curve.points[1] == (10.0, 0.3)
    filled.decide_curve(no_of(filled, "QX-050"), Verdict.ACCEPTED, ANN)
    assert not filled.take_again(drawn(), "Ann").curves
    assert filled.curves("QX-050")[0].curve.points[1] == (10.0, 0.3)


def test_a_backup_holds_them(filled: Library, tmp_path: Path) -> None:
    """What a backup gives back has the same curves and decisions."""
    filled.decide_curve(no_of(filled, "QX-050"), Verdict.REJECTED, ANN)
    filled.backup(tmp_path / "library.backup")
    restore_library(tmp_path / "library.backup", tmp_path / "copy.sqlite")
    with open_library(tmp_path / "copy.sqlite") as copy:
        assert copy.curves() == filled.curves()
