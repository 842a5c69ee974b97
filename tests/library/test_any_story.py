"""Whatever people do in whatever order, the library stays true to its own rules."""

import tempfile
from collections.abc import Callable
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from extract.errors import HoldtripError
from extract.schema import Status
from holdtrip.library.backup import restore_library
from holdtrip.library.part_states import numbers_to_counts
from holdtrip.library.records import BulkChoice, PartState, Signature, StoredNumber, Target
from holdtrip.library.store import Library, open_library
from tests.library.conftest import new_schema
from tests.library.made_up_sheets import HOLD, TRIP, reading, sheet

SHEETS = [
    sheet("a.pdf", {"QX-1": 0.5, "QX-2": 1.1}, "Rev. A", more=(
        reading("a.pdf", "QX-1", HOLD, 0.52, ambient_c=23.0, status=Status.DISPUTED),)),
    sheet("b.pdf", {"QX-1": 0.5, "QX-2": 1.2}, "Rev. B"),
    sheet("c.pdf", {"QX-1": 0.5, "QX-2": 1.2, "QX-3": 2.0}, "Rev. C"),
    sheet("other.pdf", {"QX-2": 1.0, "RX-1": 1.0, "RX-2": 2.0, "RX-3": 3.0}, "Rev. A"),
]

Act = Callable[[Library], object]


def _acts() -> st.SearchStrategy[Act]:
    names = st.sampled_from(["Ann", "Ben"])
    targets = st.builds(
        Target, st.sampled_from(["QX-1", "QX-2", "QX-3", "RX-1", "*"]),
        sha256=st.sampled_from(["", *(one.sha256 for one in SHEETS)]),
        quantity=st.sampled_from([None, HOLD, TRIP]))
    values = st.sampled_from([0.4, 0.6])
    by = names.map(lambda who: Signature(who, "seen"))
    return st.one_of(
        st.sampled_from(SHEETS).map(lambda read: lambda library: library.import_sheet(read, "Ann")),
        st.tuples(targets, by, st.booleans()).map(lambda told: lambda library: library.accept(*told)),
        st.tuples(st.builds(BulkChoice, like=st.sampled_from(["Q", "RX"]), singles=st.booleans()), by)
        .map(lambda told: lambda library: library.accept_in_bulk(*told)),
        st.tuples(targets, values, by).map(lambda told: lambda library: library.correct(*told)),
        st.tuples(targets, by).map(lambda told: lambda library: library.reject(*told)),
        st.tuples(targets, by).map(lambda told: lambda library: library.reopen(*told)),
        st.tuples(targets, by).map(lambda told: lambda library: library.start_review(*told)),
        st.tuples(st.sampled_from([one.sha256 for one in SHEETS]), by)
        .map(lambda told: lambda library: library.withdraw(*told)),
        st.tuples(st.sampled_from([one.sha256 for one in SHEETS]), by)
        .map(lambda told: lambda library: library.carry_unchanged(*told)),
        st.tuples(st.sampled_from([one.sha256 for one in SHEETS]), by)
        .map(lambda told: lambda library: library.put_back(*told)),
        st.tuples(by, st.sampled_from([1, 2]))
        .map(lambda told: lambda library: library.settle(told[0], signatures=told[1])))


def look(library: Library, as_of: datetime | None = None) -> tuple[object, ...]:
    """All that can be seen of a library at a time."""
    return (library.list_parts(live_only=False, as_of=as_of), library.parts(as_of=as_of),
            library.parts(accepted_only=True, as_of=as_of), library.numbers(as_of=as_of),
            library.sheets(as_of=as_of), library.changes(as_of=as_of), library.history(as_of=as_of),
            library.export_records(as_of=as_of))


def check_rules(library: Library) -> None:
    """Counts follow from decisions, one sheet of a family is in force for a part, only decided numbers go out
    as accepted, and no rejected one does."""
    numbers: dict[tuple[str, str], list[StoredNumber]] = {}
    for one in library.numbers():
        numbers.setdefault((one.reading.sha256, one.reading.part_number), []).append(one)
    for row in library.list_parts(live_only=False):
        mine = numbers[row.sha256, row.part_number]
        counts = numbers_to_counts(mine)
        assert (row.undecided, row.disputed, row.accepted, row.rejected, row.single, row.in_bulk) == (
            counts.undecided, counts.disputed, counts.accepted, counts.rejected, counts.single,
            counts.in_bulk)
        assert (row.state is PartState.ACCEPTED) <= (row.undecided == 0 and row.accepted > 0)
        assert (row.state is PartState.SUPERSEDED) <= (not row.live)
    live = [(row.part_number, row.sha256 == SHEETS[3].sha256) for row in library.list_parts()]
    assert len(live) == len(set(live))
    for part in library.parts(accepted_only=True):
        assert part.readings
        assert {one.status for one in part.readings} <= {
            Status.ACCEPTED, Status.CORRECTED, Status.BULK, Status.SINGLE}


@given(acts=st.lists(_acts(), max_size=12))
@settings(max_examples=30, deadline=None)
def test_the_past_stays_and_the_rules_hold(acts: list[Act]) -> None:
    """After every act the rules hold; in the end the library verifies itself as sound, each past state looks
    as it did then, and a restored backup shows the same past and present."""
    with tempfile.TemporaryDirectory() as folder:
        check_story(acts, str(Path(folder) / "library.sqlite"))


@given(acts=st.lists(_acts(), max_size=12))
@settings(max_examples=6, deadline=None)
def test_the_same_on_postgresql(acts: list[Act]) -> None:
    """Fewer stories: each makes a library of its own on the server."""
    with contextmanager(new_schema)() as address:
        check_story(acts, address)


def check_story(acts: list[Act], address: str) -> None:
    """Tell the story to a new library, and hold it against the rules."""
    with tempfile.TemporaryDirectory() as folder, open_library(address) as library:
        past = []
        for act in acts:
            try:
                act(library)
            except HoldtripError:
                continue
            check_rules(library)
            past.append((datetime.now(UTC), look(library)))
        assert library.faults() == ()
        for time, seen in past:
            assert look(library, time) == seen
        library.backup(Path(folder) / "library.backup")
        restore_library(Path(folder) / "library.backup", Path(folder) / "restored.sqlite")
        with open_library(Path(folder) / "restored.sqlite") as restored:
            for time, seen in past:
                assert look(restored, time) == seen
