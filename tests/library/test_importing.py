"""Importing: a sheet goes in whole and once, and comes out as it went in."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from extract.errors import InputError
from extract.schema import (
    Finding,
    Kind,
    PartText,
    Place,
    Quantity,
    Reading,
    Severity,
    SheetReading,
    Status,
    readings_to_parts,
)
from holdtrip.library.records import ImportState
from holdtrip.library.store import Library, open_library
from tests.library.made_up_sheets import PLACE, hash_of, many_parts, reading, sheet


def test_a_sheet_comes_out_as_it_went_in(library: Library) -> None:
    """Readings, texts, findings, pages, revision: nothing is lost or reordered."""
    read = sheet(revision="Rev. C, 2031-04")
    outcome = library.import_sheet(read, "Ann")
    assert (outcome.state, outcome.parts, outcome.readings) == (ImportState.NEW, 2, 9)
    assert library.sheet(read.sha256) == read


def test_parts_are_those_of_the_schema(library: Library) -> None:
    """The library groups readings as extract does: own numbers, then those of the whole series."""
    read = sheet()
    library.import_sheet(read, "Ann")
    assert library.parts() == readings_to_parts(read.readings, read.texts, read.particulars)


def test_the_same_bytes_again_do_nothing(library: Library) -> None:
    """A second import of the same hash adds no change, whatever it brings."""
    library.import_sheet(sheet(), "Ann")
    before = library.history(), library.numbers()
    outcome = library.import_sheet(replace(sheet(), readings=(), texts=()), "Ben")
    assert outcome.state is ImportState.UNCHANGED
    assert (library.history(), library.numbers()) == before


def test_an_import_that_fails_in_the_middle_leaves_nothing(library: Library) -> None:
    """An error after some rows were written takes all of them back."""
    library.import_sheet(sheet("first.pdf", {"AA1": 1.0}), "Ann")
    before = library.history(), library.numbers(), library.sheets()

    def fail(*arguments: object) -> None:
        if "INSERT INTO finding" in str(arguments[2]):
            raise RuntimeError("power cut")

    event.listen(library._engine, "before_cursor_execute", fail)
    with pytest.raises(RuntimeError, match="power cut"):
        library.import_sheet(sheet(), "Ann")
    event.remove(library._engine, "before_cursor_execute", fail)
    assert (library.history(), library.numbers(), library.sheets()) == before
    assert library.import_sheet(sheet(), "Ann").state is ImportState.NEW


def test_foreign_or_endless_numbers_are_an_error_of_the_caller(library: Library) -> None:
    """A reading of another file, or one that is not finite, is not stored."""
    with pytest.raises(ValueError, match=r"QX-050 of other\.pdf"):
        library.import_sheet(sheet(more=(reading("other.pdf", "QX-050", Quantity.HOLD_CURRENT, 1.0),)), "Ann")
    endless = reading("qx.pdf", "QX-050", Quantity.HOLD_CURRENT, float("inf"))
    with pytest.raises(ValueError, match="not a finite number"):
        library.import_sheet(sheet(more=(endless,)), "Ann")
    assert library.sheets() == ()


def test_nobody_cannot_import(library: Library) -> None:
    """Every change has a name."""
    with pytest.raises(InputError, match="nobody's name"):
        library.import_sheet(sheet(), " ")


def test_failures_are_remembered_until_the_file_is_stored(library: Library) -> None:
    """A file that cannot be read is named with its reason, once; stored later it is a failure no more."""
    for _ in range(2):
        library.record_failure("qx.pdf", hash_of("qx.pdf"), "page 3 takes too long", "Ann")
    library.record_failure("gone.pdf", "", "damaged", "Ann")
    assert [(one.document, one.reason) for one in library.failures()] == [
        ("qx.pdf", "page 3 takes too long"), ("gone.pdf", "damaged")]
    between = datetime.now(UTC)
    library.import_sheet(sheet(), "Ann")
    assert [one.document for one in library.failures()] == ["gone.pdf"]
    assert len(library.failures(as_of=between)) == 2


def test_an_interrupted_import_knows_what_is_stored(library: Library) -> None:
    """The hashes stored tell which files of a folder can be left out."""
    library.import_sheet(sheet("a.pdf", {"A1": 1.0}), "Ann")
    library.import_sheet(sheet("b.pdf", {"B1": 1.0}), "Ann")
    assert library.stored_hashes() == {hash_of("a.pdf"), hash_of("b.pdf")}


def test_a_sheet_of_more_parts_than_one_statement_takes(library: Library) -> None:
    """Long sheets are stored in pieces without loss."""
    read = many_parts("long.pdf", 6000)
    library.import_sheet(read, "Ann")
    assert library.sheet(read.sha256) == read
    assert len(library.list_parts()) == 6000


def test_a_sheet_without_parts_is_stored(library: Library) -> None:
    """A sheet in which nothing was found is known, so that it is not read again."""
    read = SheetReading("empty.pdf", hash_of("empty.pdf"), 1, (), "", (), (), ())
    library.import_sheet(read, "Ann")
    assert library.sheet(read.sha256) == read
    assert library.parts() == ()


def test_a_library_is_reopened_as_it_was_left(address: str) -> None:
    """What is stored outlives the program."""
    with open_library(address) as first:
        first.import_sheet(sheet(), "Ann")
        parts = first.parts()
    with open_library(address, create=False) as second:
        assert second.parts() == parts


numbers = st.floats(allow_nan=False, allow_infinity=False)
texts = st.text(st.characters(), max_size=12) | st.sampled_from(["\0", "\ud800", "\ue000x", "=1+1", "'"])
places = st.builds(Place, st.integers(1, 9999), numbers, numbers, numbers, numbers)
readings = st.builds(
    Reading, st.just("made.pdf"), st.just(hash_of("made.pdf")), texts | st.just("*"),
    st.sampled_from(Quantity), st.sampled_from(Kind), st.none() | numbers, st.none() | numbers, numbers,
    st.sampled_from(Status), places, texts, texts, st.lists(texts, max_size=3).map(tuple))
part_texts = st.builds(
    PartText, st.just("made.pdf"), st.just(hash_of("made.pdf")), texts, texts, texts, places)
findings = st.builds(Finding, texts, st.sampled_from(Severity), texts, texts, texts, texts, texts,
                     st.none() | st.sampled_from(Quantity), st.none() | places)
sheets = st.builds(
    SheetReading, st.just("made.pdf"), st.just(hash_of("made.pdf")), st.integers(0, 9999),
    st.lists(st.integers(1, 9999), max_size=3).map(tuple), texts,
    st.lists(readings, max_size=6).map(tuple), st.lists(part_texts, max_size=2).map(tuple),
    st.lists(findings, max_size=2).map(tuple))


@given(read=sheets)
@settings(max_examples=40, deadline=None,
          suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
def test_any_sheet_comes_out_as_it_went_in(library: Library, read: SheetReading) -> None:
    """Whatever letters and numbers a PDF holds, the store gives back the same."""
    name = f"{len(library.sheets())}.pdf"
    mine = {"document": name, "sha256": hash_of(name)}
    read = replace(read, **mine, readings=tuple(replace(one, **mine) for one in read.readings),
                   texts=tuple(replace(one, **mine) for one in read.texts),
                   findings=tuple(replace(one, document=name) for one in read.findings))
    library.import_sheet(read, "Ann")
    assert library.sheet(read.sha256) == read


def test_places_are_kept_to_the_last_digit(library: Library) -> None:
    """Double precision in both databases."""
    fine = replace(reading("qx.pdf", "QX-050", Quantity.HOLD_CURRENT, 0.1 + 0.2),
                   place=replace(PLACE, x0=1 / 3))
    library.import_sheet(sheet(more=(fine,)), "Ann")
    assert fine in library.readings()


def test_what_stands_beside_the_ratings_is_stored(library: Library) -> None:
    """Sizes, temperatures and approvals go out with each part: its own, then those of all parts; with the
    status they were read with."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    (part,) = library.part("QX-050")
    assert [(one.name.value, one.label, one.value, one.text) for one in part.particulars] == [
        ("approval", "UL", None, "file 1"), ("operating_temperature", "", 85.0, "")]
    assert len(library.particulars()) == 3
    stored = library.sheet(sheet("qx.pdf").sha256)
    assert stored is not None
    assert stored.particulars == sheet("qx.pdf").particulars
    assert library.faults() == ()
