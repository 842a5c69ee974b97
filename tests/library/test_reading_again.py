"""Stored sheets read again: what nobody decided on may change, what somebody decided on never does."""

from dataclasses import replace

from extract.schema import SheetReading, Status
from holdtrip.library.records import PartState, Signature, Target
from holdtrip.library.store import Library
from tests.library.made_up_sheets import HOLD, sheet

ANN = Signature("Ann")


def _changed(read: SheetReading, factor: float, part: str) -> SheetReading:
    """The sheet with the hold currents of one part read otherwise."""
    return replace(read, readings=tuple(
        replace(one, value=one.value * factor) if one.quantity is HOLD and one.part_number == part else one
        for one in read.readings))


def test_a_sheet_read_as_before_changes_nothing(library: Library) -> None:
    """The same numbers: no change, no version."""
    library.import_sheet(sheet(), "Ann")
    version = library.version()
    assert library.take_again(sheet(), "Ann").is_same
    assert library.version() == version


def test_looking_changes_nothing(library: Library) -> None:
    """Without taking, only the outcome tells what would change."""
    library.import_sheet(sheet(), "Ann")
    outcome = library.compare_again(_changed(sheet(), 2.0, "QX-050"))
    assert (outcome.changed, outcome.parts, outcome.kept) == (1, ("QX-050",), ())
    assert library.sheet(sheet().sha256) == sheet()


def test_what_nobody_decided_on_is_taken(library: Library) -> None:
    """The part is as read now; the past shows it as it was; all is sound."""
    library.import_sheet(sheet(), "Ann")
    before = library.history()[-1].at
    again = _changed(sheet(), 2.0, "QX-050")
    library.take_again(again, "Bo")
    stored = library.sheet(sheet().sha256)
    assert stored is not None
    assert sorted(map(str, stored.readings)) == sorted(map(str, again.readings))
    (part,) = library.part("QX-050")
    assert [one.value for one in part.readings if one.quantity is HOLD] == [1.0]
    (past,) = library.part("QX-050", before)
    assert [one.value for one in past.readings if one.quantity is HOLD] == [0.5]
    assert len(library.list_parts()) == 2
    assert library.faults() == ()
    assert library.sheets()[0].readings == len(again.readings)


def test_what_somebody_decided_on_stays(library: Library) -> None:
    """An accepted part is left as it is and named; the other one is taken."""
    library.import_sheet(sheet(), "Ann")
    library.accept(Target("QX-050"), ANN, singles=True)
    again = _changed(_changed(sheet(), 2.0, "QX-050"), 2.0, "QX-110")
    outcome = library.take_again(again, "Bo")
    assert (outcome.parts, outcome.kept) == (("QX-110",), ("QX-050",))
    values = {one.part_number: [r.value for r in one.readings if r.quantity is HOLD]
              for one in library.parts()}
    assert values == {"QX-050": [0.5], "QX-110": [2.2]}
    assert {one.part_number: one.state for one in library.list_parts()}["QX-050"] is PartState.ACCEPTED


def test_a_settled_doubt_and_a_part_gone_are_told(library: Library) -> None:
    """Counts say what became of each number; a part that is read no more is gone from the list."""
    read = sheet()
    doubted = replace(read, readings=tuple(
        replace(one, status=Status.DISPUTED) if one.part_number == "QX-110" else one
        for one in read.readings))
    library.import_sheet(doubted, "Ann")
    again = replace(read, readings=tuple(one for one in read.readings if one.part_number != "QX-050"),
                    texts=tuple(one for one in read.texts if one.part_number != "QX-050"))
    outcome = library.take_again(again, "Bo")
    assert (outcome.settled, outcome.gone) == (4, 4)
    assert [one.part_number for one in library.list_parts()] == ["QX-110"]
    assert library.faults() == ()


def test_a_sheet_read_again_travels_to_another_library(library: Library, tmp_path: object) -> None:
    """Export and import carry what is in force, with its decisions on the right numbers."""
    from holdtrip.library.store import open_library

    library.import_sheet(sheet(), "Ann")
    library.take_again(_changed(sheet(), 2.0, "QX-050"), "Bo")
    library.accept(Target("QX-050", quantity=HOLD, ambient_c=23.0), ANN)
    with open_library(f"{tmp_path}/other.sqlite") as other:
        other.import_records(library.export_records(), ANN)
        (part,) = other.part("QX-050")
        assert [(one.value, one.status) for one in part.readings if one.quantity is HOLD] == [
            (1.0, Status.ACCEPTED)]
        assert other.faults() == ()


def test_a_withdrawn_sheet_stays_withdrawn(library: Library) -> None:
    """Read again, it does not begin to count."""
    library.import_sheet(sheet(), "Ann")
    library.withdraw("qx.pdf", Signature("Ann", "a draft"))
    library.take_again(_changed(sheet(), 2.0, "QX-050"), "Bo")
    assert library.list_parts() == ()
