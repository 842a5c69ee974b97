"""Datasheets as a whole: renamed, set apart from a wrong match, filed after another, assigned, noted."""

from pathlib import Path

import pytest

from extract.errors import InputError
from holdtrip.library.carrying import CarryOutcome
from holdtrip.library.records import Action, Signature, Target
from holdtrip.library.sheet_notes import NoteKind
from holdtrip.library.store import Library, open_library
from tests.library.made_up_sheets import HOLD, hash_of, sheet

ANN, BEN = Signature("Ann", "another series, numbers alike"), Signature("Ben", "the maker says so")


def _holds(library: Library, as_of: int | None = None) -> dict[str, list[float]]:
    """Part → the hold currents that go out, over all sheets in force."""
    found: dict[str, list[float]] = {}
    for part in library.parts(as_of=as_of):
        found.setdefault(part.part_number, []).extend(
            one.value for one in part.readings if one.quantity is HOLD)
    return found


@pytest.fixture
def matched(library: Library) -> Library:
    """Two makers' sheets that share part numbers: the import takes the second for a revision of the first."""
    library.import_sheet(sheet("a.pdf", {"QX-050": 0.5}, "Rev. A"), "Ann")
    library.import_sheet(sheet("b.pdf", {"QX-050": 0.6}, "Rev. B"), "Ann")
    return library


def test_a_wrong_match_is_undone(matched: Library) -> None:
    """Set apart, both sheets count; neither is the newer one of the other; the past shows the match."""
    before = matched.version()
    assert _holds(matched) == {"QX-050": [0.6]}
    assert len(matched.changes()) == 1
    matched.set_apart("b.pdf", ANN)
    assert _holds(matched) == {"QX-050": [0.5, 0.6]}
    assert (matched.newer(), matched.changes()) == ((), ())
    assert [row.newest for row in matched.sheets()] == [True, True]
    assert _holds(matched, as_of=before) == {"QX-050": [0.6]}
    assert len(matched.changes(as_of=before)) == 1
    assert [row.newest for row in matched.sheets(as_of=before)] == [False, True]
    last = matched.history()[-1]
    assert (last.action, last.reason) == (Action.SET_APART, ANN.reason)
    assert last.subject == "b.pdf from its revisions"
    assert matched.faults() == ()


def test_a_match_that_was_undone_can_be_made_again(matched: Library) -> None:
    """Filed after the older sheet it supersedes it, as before; a revision between two takes its place."""
    matched.set_apart("b.pdf", ANN)
    matched.file_after("b.pdf", "a.pdf", BEN)
    assert _holds(matched) == {"QX-050": [0.6]}
    matched.import_sheet(sheet("c.pdf", {"ZZ-1": 1.0}), "Ann")
    matched.file_after("c.pdf", hash_of("a.pdf")[:10], BEN)
    assert [one.document for one in matched.filed_sheets()] == ["a.pdf", "c.pdf", "b.pdf"]
    assert matched.history()[-1].subject == "c.pdf after a.pdf"
    assert matched.faults() == ()


def test_the_sheet_in_the_middle_can_be_set_apart(library: Library) -> None:
    """Of three revisions the middle one goes: the newest stays in force over the oldest."""
    for name, hold_a in (("a.pdf", 0.5), ("b.pdf", 0.6), ("c.pdf", 0.7)):
        library.import_sheet(sheet(name, {"QX-050": hold_a}), "Ann")
    library.set_apart("b.pdf", ANN)
    assert _holds(library) == {"QX-050": [0.6, 0.7]}


@pytest.mark.parametrize(("named", "reason", "found"), [
    ("b.pdf", " ", "without a reason"), ("z.pdf", "why", "0 datasheets"), ("c.pdf", "why", "no revision")])
def test_a_sheet_is_set_apart_with_a_reason_only(
    matched: Library, named: str, reason: str, found: str
) -> None:
    """One sheet that has other revisions, and why."""
    matched.import_sheet(sheet("c.pdf", {"ZZ-1": 1.0}), "Ann")
    with pytest.raises(InputError, match=found):
        matched.set_apart(named, Signature("Ann", reason))


def test_a_sheet_is_no_revision_of_itself_nor_filed_twice(matched: Library) -> None:
    """Both are refused in one line."""
    with pytest.raises(InputError, match="no revision of itself"):
        matched.file_after("a.pdf", "a.pdf", ANN)
    with pytest.raises(InputError, match=r"after a.pdf already"):
        matched.file_after("b.pdf", "a.pdf", ANN)


def test_a_renamed_sheet_has_its_new_name_everywhere(matched: Library) -> None:
    """Parts, numbers, findings and lists call it so; an earlier state has the old name; decisions stay."""
    matched.accept(Target("QX-050", hash_of("b.pdf")), ANN)
    before = matched.version()
    assert matched.rename_sheet("b.pdf", " QX 2031.pdf ", BEN) == ("b.pdf", "QX 2031.pdf")
    assert [row.document for row in matched.sheets()] == ["a.pdf", "QX 2031.pdf"]
    assert [row.document for row in matched.sheets(as_of=before)] == ["a.pdf", "b.pdf"]
    assert {row.document for row in matched.list_parts(as_of=before)} == {"b.pdf"}
    part, = matched.parts(accepted_only=True)
    assert {part.document, *(one.document for one in part.readings)} == {"QX 2031.pdf"}
    stored = matched.sheet(hash_of("b.pdf"))
    assert stored is not None
    assert {one.document for one in stored.findings} == {"QX 2031.pdf", ""}
    assert matched.history()[-1].subject == "b.pdf to QX 2031.pdf"


@pytest.mark.parametrize(("name", "found"), [("", "no new name"), ("b.pdf", "no new name"),
                                             ("a.pdf", "another datasheet is called so")])
def test_a_name_that_is_none_or_taken_is_refused(matched: Library, name: str, found: str) -> None:
    """Two sheets of one name could not be told apart by it."""
    with pytest.raises(InputError, match=found):
        matched.rename_sheet("b.pdf", name, ANN)


def test_names_and_filing_stay_in_another_library(matched: Library, tmp_path: Path) -> None:
    """Exchanged, a sheet that was set apart is not matched there, and the same bytes come out again; a
    library that has the sheet under its old name still takes the decisions."""
    matched.set_apart("b.pdf", ANN)
    matched.rename_sheet("b.pdf", "other series.pdf", ANN)
    matched.accept(Target("QX-050", hash_of("b.pdf")), ANN)
    records = matched.export_records()
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_records(records, Signature("Eve"))
        assert _holds(other) == {"QX-050": [0.5, 0.6]}
        assert other.export_records() == records
    with open_library(tmp_path / "third.sqlite") as third:
        third.import_sheet(sheet("b.pdf", {"QX-050": 0.6}, "Rev. B"), "Eve")
        outcome = third.import_records(records, Signature("Eve"))
        assert (outcome.differing, outcome.decisions) == ((), 4)


def test_sheets_are_assigned_and_commented_on(matched: Library) -> None:
    """Who is to review a sheet, and what people say of it, stand with it and in the history."""
    matched.assign("a.pdf", "  Ben ", ANN)
    matched.comment("a.pdf", "page 4 is a scan", BEN)
    matched.comment("a.pdf", "the maker sent a better one", ANN)
    row = matched.sheets()[0]
    assert (row.assigned, row.comments) == ("Ben", 2)
    matched.assign("a.pdf", "", ANN)
    assert [(one.kind, one.text, one.who) for one in matched.notes(hash_of("a.pdf"))] == [
        (NoteKind.COMMENT, "page 4 is a scan", "Ben"),
        (NoteKind.COMMENT, "the maker sent a better one", "Ann"), (NoteKind.ASSIGNED, "", "Ann")]
    assert [(one.action, one.subject) for one in matched.history()][2] == (Action.ASSIGN, "a.pdf : Ben")
    with pytest.raises(InputError, match="0 characters"):
        matched.comment("a.pdf", "  ", ANN)


def test_decisions_are_carried_from_the_older_revision_that_counts(library: Library) -> None:
    """A withdrawn revision between two is passed over."""
    library.import_sheet(sheet("a.pdf", {"QX-050": 0.5}, "Rev. A"), "Ann")
    library.accept(Target("QX-050"), ANN, singles=True)
    library.import_sheet(sheet("b.pdf", {"QX-050": 0.9}, "Rev. B"), "Ann")
    library.import_sheet(sheet("c.pdf", {"QX-050": 0.5}, "Rev. C"), "Ann")
    library.withdraw("b.pdf", ANN)
    assert library.carry_unchanged("c.pdf", BEN) == CarryOutcome("a.pdf", "c.pdf", 5, ())
