"""Revisions: kept beside each other, matched, ordered, and what changed is told with whom it concerns."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from extract.errors import InputError
from extract.schema import Quantity
from holdtrip.library.comparisons import Comparison, JudgedPart
from holdtrip.library.newer import newer_to_sentence
from holdtrip.library.part_states import index_in_force
from holdtrip.library.records import ImportState, PartState, Signature, Target, Verdict
from holdtrip.library.revisions import StoredSheet, family_to_age, is_older, sheets_to_match
from holdtrip.library.store import Library
from tests.library.made_up_sheets import HOLD, OHM, TRIP, reading, sheet

ANN = Signature("Ann", "looked at it")
OLD = sheet("qx_a.pdf", {"QX-050": 0.5, "QX-110": 1.1, "QX-200": 2.0}, "Rev. A")
NEW = sheet("qx_b.pdf", {"QX-050": 0.5, "QX-110": 1.15, "QX-300": 3.0}, "Rev. B")


def states(library: Library) -> dict[tuple[str, str], tuple[PartState, bool]]:
    """(part, sheet) → its state and whether it is in force."""
    return {(row.part_number, row.document): (row.state, row.live)
            for row in library.list_parts(live_only=False)}


def test_a_newer_revision_is_kept_beside_the_older(library: Library) -> None:
    """Both sheets stay; the older one's parts are superseded, except one that the newer no longer lists."""
    library.import_sheet(OLD, "Ann")
    outcome = library.import_sheet(NEW, "Ann")
    assert (outcome.state, outcome.revision_of, outcome.older) == (ImportState.REVISION, OLD.sha256, False)
    assert [(one.document, one.newest) for one in library.sheets()] == [
        ("qx_a.pdf", False), ("qx_b.pdf", True)]
    assert states(library) == {
        ("QX-050", "qx_a.pdf"): (PartState.SUPERSEDED, False), ("QX-050", "qx_b.pdf"): (PartState.READ, True),
        ("QX-110", "qx_a.pdf"): (PartState.SUPERSEDED, False), ("QX-110", "qx_b.pdf"): (PartState.READ, True),
        ("QX-200", "qx_a.pdf"): (PartState.READ, True), ("QX-300", "qx_b.pdf"): (PartState.READ, True)}
    assert library.sheet(OLD.sha256) == OLD


def test_an_accepted_part_stays_in_force_until_its_successor_is_accepted(library: Library) -> None:
    """An unreviewed revision takes nothing away from a comparison of accepted numbers."""
    library.import_sheet(OLD, "Ann")
    library.accept(Target("QX-110"), ANN, singles=True)
    before = library.parts(accepted_only=True)
    library.import_sheet(NEW, "Ann")
    assert library.parts(accepted_only=True) == before
    assert states(library)["QX-110", "qx_b.pdf"] == (PartState.READ, False)
    library.accept(Target("QX-110", sha256=NEW.sha256), ANN, singles=True)
    assert states(library)["QX-110", "qx_a.pdf"] == (PartState.SUPERSEDED, False)
    part, = library.parts(accepted_only=True)
    assert part.document == "qx_b.pdf"


def test_a_part_accepted_in_part_stays_in_force_too(library: Library) -> None:
    """Importing takes no accepted number away, also where others of the part wait to be looked at."""
    library.import_sheet(OLD, "Ann")
    library.accept(Target("QX-110", quantity=HOLD), ANN)
    before = library.parts(accepted_only=True)
    library.import_sheet(NEW, "Ann")
    assert library.parts(accepted_only=True) == before
    library.accept(Target("QX-110", sha256=NEW.sha256, quantity=HOLD), ANN)
    part, = library.parts(accepted_only=True)
    assert part.document == "qx_b.pdf"


def test_an_older_revision_imported_later_is_the_older(library: Library) -> None:
    """The printed revision counts, not the order of importing."""
    library.import_sheet(NEW, "Ann")
    outcome = library.import_sheet(OLD, "Ann")
    assert (outcome.state, outcome.older) == (ImportState.REVISION, True)
    assert states(library)["QX-050", "qx_b.pdf"] == (PartState.READ, True)
    assert states(library)["QX-050", "qx_a.pdf"] == (PartState.SUPERSEDED, False)


def test_one_sheet_listing_a_part_twice_supersedes_nothing(library: Library) -> None:
    """Two spellings on one sheet are both in force."""
    library.import_sheet(sheet(holds_a={"QX-1": 1.0, "QX1": 2.0}), "Ann")
    assert [row.live for row in library.list_parts()] == [True, True]


def test_changes_are_told_number_by_number(library: Library) -> None:
    """What differs, what came, what went; what stayed is not mentioned."""
    library.import_sheet(OLD, "Ann")
    library.import_sheet(NEW, "Ann")
    changes, = library.changes()
    assert (changes.older.revision, changes.newer.revision) == ("Rev. A", "Rev. B")
    assert (changes.parts_added, changes.parts_gone) == (("QX-300",), ("QX-200",))
    hold = next(one for one in changes.numbers if (one.part_number, one.quantity) == ("QX-110", HOLD))
    assert [one.reading.value for one in hold.before] == [1.1]
    assert [one.reading.value for one in hold.after] == [1.15]
    assert {one.part_number for one in changes.numbers} == {"QX-110", "QX-200", "QX-300"}
    assert len([one for one in changes.numbers if one.part_number == "QX-110"]) == 3
    assert {(one.part_number, one.before, one.after) for one in changes.texts} == {
        ("QX-200", ("1812",), ()), ("QX-300", (), ("1812",)), ("QX-200", ("file 1",), ()),
        ("QX-300", (), ("file 1",))}


def test_changes_name_the_accepted_parts_and_comparisons_they_touch(library: Library) -> None:
    """A part that did not change touches nobody; one that changed or went does."""
    library.import_sheet(OLD, "Ann")
    for number in ("QX-050", "QX-110", "QX-200"):
        library.accept(Target(number), ANN)
    for name, number in (("board 1", "QX-050"), ("board 2", "qx 110"), ("board 3", "QX-200")):
        library.save_comparison(Comparison(name, "", "[]", (JudgedPart(number, OLD.sha256),)), ANN)
    library.save_comparison(Comparison("elsewhere", "", "[]", (JudgedPart("QX-110", "0" * 64),)), ANN)
    library.import_sheet(NEW, "Ann")
    changes, = library.changes(NEW.sha256[:8])
    assert changes.accepted_parts == ("QX-110", "QX-200")
    assert changes.comparisons == ("board 2", "board 3")


def test_a_newer_revision_is_never_silent(library: Library) -> None:
    """Of every part still in force in the older sheet: that a newer one is stored, whether anybody reviewed
    it there, what is printed otherwise, or that it is no longer listed. Nothing for parts of the newest."""
    library.import_sheet(OLD, "Ann")
    assert library.newer() == ()
    before = datetime.now(UTC)
    library.accept(Target("QX-110"), ANN)
    library.import_sheet(NEW, "Ann")
    told = {one.part_number: newer_to_sentence(one) for one in library.newer()}
    assert set(told) == {"QX-110", "QX-200"}
    assert "qx_b.pdf" in told["QX-110"]
    assert "not reviewed yet" in told["QX-110"]
    assert "hold current at 23 °C 1.1 → " in told["QX-110"]
    assert "no longer lists this part" in told["QX-200"]
    assert library.newer((NEW.sha256,)) == library.newer(as_of=before) == ()
    library.accept(Target("QX-110", sha256=NEW.sha256), ANN)
    library.accept(Target("QX-110", sha256=OLD.sha256), ANN, singles=True)
    assert "in review there" in newer_to_sentence(library.newer()[0])


def test_decisions_are_carried_to_what_is_printed_alike(library: Library) -> None:
    """In bulk, named as carried, of accepted numbers only: what changed, was corrected or is disputed in the
    newer sheet is left to be looked at; parts nobody decided on stay as they are."""
    library.import_sheet(OLD, "Ann")
    library.accept(Target("QX-110"), ANN, singles=True)
    library.correct(Target("QX-110", quantity=TRIP), 2.3, ANN)
    library.import_sheet(NEW, "Ann")
    outcome = library.carry_unchanged(NEW.sha256[:10], Signature("Ben"))
    decided = {one.reading.quantity: one for one in library.sheet_numbers(NEW.sha256)
               if one.decision is not None}
    assert set(decided) == {Quantity.MAX_VOLTAGE, Quantity.HOLD_RATIO}
    assert outcome.carried == 2
    voltage = decided[Quantity.MAX_VOLTAGE].decision
    assert (voltage.verdict, voltage.who) == (Verdict.BULK, "Ben")
    assert "carried from qx_a.pdf (Rev. A)" in voltage.reason
    assert {(one.reading.part_number, one.reading.quantity) for one in outcome.left} == {
        ("QX-110", HOLD), ("QX-110", TRIP), ("QX-110", OHM)}
    assert library.carry_unchanged("qx_b.pdf", Signature("Ben")).carried == 0
    for wrong in (OLD.sha256, "ffff", "q"):
        with pytest.raises(InputError):
            library.carry_unchanged(wrong, Signature("Ben"))


def test_a_changed_series_row_touches_every_part(library: Library) -> None:
    """A derating row of the whole series is a number of each of its parts."""
    library.import_sheet(OLD, "Ann")
    library.accept(Target("QX-050"), ANN)
    library.import_sheet(sheet(
        "qx_b.pdf", {"QX-050": 0.5, "QX-110": 1.1, "QX-200": 2.0}, "Rev. B", series=False,
        more=(reading("qx_b.pdf", "*", Quantity.HOLD_RATIO, 0.58, ambient_c=60.0),)), "Ann")
    changes, = library.changes()
    assert [one.part_number for one in changes.numbers] == ["*"]
    assert changes.accepted_parts == ("QX-050",)


def test_changes_of_an_unknown_sheet_are_an_error(library: Library) -> None:
    """A mistyped hash is not taken for a sheet without changes."""
    library.import_sheet(OLD, "Ann")
    assert library.changes(OLD.sha256[:8]) == ()
    with pytest.raises(InputError, match="no such sheet"):
        library.changes("ffff")


def test_past_revisions_are_those_of_their_time(library: Library) -> None:
    """As of a time between two revisions the first is the newest, and nothing has changed."""
    library.import_sheet(OLD, "Ann")
    between = datetime.now(UTC)
    library.import_sheet(NEW, "Ann")
    assert [one.newest for one in library.sheets(as_of=between)] == [True]
    assert library.changes(as_of=between) == ()
    assert [part.document for part in library.parts(as_of=between)] == ["qx_a.pdf"] * 3


@pytest.mark.parametrize(("older", "newer"), [
    ("Rev. A", "REV B"), ("Revision: 2", "rev 10"), ("Rev 1.9", "Rev 1.10"), ("2019-05", "2019/11"),
    ("2019-05-31", "2019-06-01"), ("Dec 2020", "January 2021"), ("Jan. 2021", "Feb, 2021"), ("A", "C")])
def test_printed_revisions_are_ordered(older: str, newer: str) -> None:
    """Letters, numbers, dates; never both ways."""
    assert is_older(older, newer)
    assert not is_older(newer, older)


@pytest.mark.parametrize(("one", "other"), [
    ("", ""), ("Rev. A", ""), ("Rev. A", "Rev. 2"), ("2019-05", "Rev. C"), ("draft", "final"),
    ("03/04/2021", "2022-01")])
def test_what_cannot_be_compared_is_not_ordered(one: str, other: str) -> None:
    """Cannot tell is no order: 03/04 may be March or April, a letter says nothing about a date."""
    assert not is_older(one, other)
    assert not is_older(other, one)


@given(st.permutations("ABCDE"))
def test_any_order_of_importing_gives_the_same_order_of_revisions(order: list[str]) -> None:
    """Each revision finds its place among those stored."""
    family: list[tuple[float, str]] = []
    for letter in order:
        family.append((family_to_age(f"Rev. {letter}", family), f"Rev. {letter}"))
    assert [revision[-1] for _, revision in sorted(family)] == list("ABCDE")


def test_a_catalogue_is_no_revision_of_a_single_sheet() -> None:
    """Half of all part numbers must be shared, or the file's name and one part number."""
    catalogue = StoredSheet(1, 1.0, "all.pdf", "1", "", 100, 10)
    assert sheets_to_match("single.pdf", 10, [catalogue]) is None
    assert sheets_to_match("ALL.pdf", 10, [catalogue]) == catalogue
    assert sheets_to_match("single.pdf", 10, [replace(catalogue, parts=10)]) is not None
    assert sheets_to_match("ALL.pdf", 10, [replace(catalogue, shared=0)]) is None


@pytest.mark.parametrize(("newest_first", "expected"), [
    ([PartState.READ, PartState.READ], 0), ([PartState.READ, PartState.ACCEPTED], 1),
    ([PartState.ACCEPTED, PartState.ACCEPTED], 0), ([PartState.IN_REVIEW, PartState.REJECTED], 0)])
def test_the_newest_accepted_revision_is_in_force(newest_first: list[PartState], expected: int) -> None:
    """Without an accepted one, the newest."""
    assert index_in_force(newest_first) == expected
