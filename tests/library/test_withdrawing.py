"""Sheets that stop counting, and what a team has settled: nothing is deleted, all stands in the history."""

from pathlib import Path

import pytest

from extract.errors import InputError
from holdtrip.library.records import Action, BulkChoice, PartFilter, PartState, Signature, Target
from holdtrip.library.settings import IN_DATABASE, Settings
from holdtrip.library.store import Library, open_library
from tests.library.made_up_sheets import HOLD, hash_of, sheet

ANN = Signature("Ann", "a draft, never published")


def _holds(library: Library) -> dict[str, list[float]]:
    return {one.part_number: [r.value for r in one.readings if r.quantity is HOLD]
            for one in library.parts()}


def test_a_withdrawn_sheet_counts_no_longer(library: Library) -> None:
    """Its parts leave lists and comparisons; the past shows them; put back, they are as they were."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    library.accept(Target("QX-050"), ANN, singles=True)
    before = library.version()
    assert library.withdraw("qx.pdf", ANN) == ("qx.pdf", 3)
    assert library.list_parts() == ()
    assert library.parts() == ()
    assert len(library.parts(as_of=before)) == 2
    withdrawn = library.list_parts(PartFilter(states=(PartState.WITHDRAWN,)), live_only=False)
    assert [one.part_number for one in withdrawn] == ["QX-050", "QX-110"]
    library.put_back(hash_of("qx.pdf")[:8], Signature("Ben", "it was published after all"))
    states = {one.part_number: one.state for one in library.list_parts()}
    assert states["QX-050"] is PartState.ACCEPTED
    assert [one.action for one in library.history()][-2:] == [Action.WITHDRAW, Action.PUT_BACK]
    assert library.history()[-1].subject == "qx.pdf"
    assert library.faults() == ()


def test_an_older_revision_is_in_force_again(library: Library) -> None:
    """Of two revisions the newer is withdrawn: the older counts, and nobody is told of a newer one."""
    library.import_sheet(sheet("a.pdf", {"QX-050": 0.5}, "Rev. A"), "Ann")
    library.import_sheet(sheet("b.pdf", {"QX-050": 0.6}, "Rev. B"), "Ann")
    assert _holds(library) == {"QX-050": [0.6]}
    library.withdraw("b.pdf", ANN)
    assert _holds(library) == {"QX-050": [0.5]}
    assert library.newer() == ()
    library.put_back("b.pdf", ANN)
    assert [one.subject for one in library.history()[-2:]] == ["b.pdf", "b.pdf"]


def test_what_is_decided_on_a_withdrawn_sheet_does_not_bring_it_back(library: Library) -> None:
    """A decision by the sheet's hash is kept; the part stays withdrawn."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    library.withdraw("qx.pdf", ANN)
    library.accept(Target("QX-050", sha256=hash_of("qx.pdf")), ANN, singles=True)
    assert library.list_parts() == ()


@pytest.mark.parametrize(("named", "reason", "found"), [
    ("qx.pdf", "", "without a reason"), ("zz.pdf", "why", "0 datasheets"), ("", "why", "2 datasheets")])
def test_a_withdrawal_that_is_not_clear_is_refused(
    library: Library, named: str, reason: str, found: str
) -> None:
    """One sheet, with a reason, and once only."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    library.import_sheet(sheet("rx.pdf", {"RX-1": 1.0}), "Ann")
    with pytest.raises(InputError, match=found):
        library.withdraw(named, Signature("Ann", reason))
    library.withdraw("qx.pdf", ANN)
    with pytest.raises(InputError, match="withdrawn already"):
        library.withdraw("qx.pdf", ANN)


def test_a_withdrawn_sheet_stays_so_in_another_library(library: Library, tmp_path: Path) -> None:
    """Exchanged, it does not begin to count there, and its reason comes along."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    library.withdraw("qx.pdf", ANN)
    records = library.export_records()
    with open_library(tmp_path / "other.sqlite") as other:
        other.import_records(records, Signature("Eve"))
        assert other.list_parts() == ()
        assert other.export_records() == records


def test_only_those_named_may_accept_and_correct(library: Library) -> None:
    """Once acceptors are settled, others are refused in one line; the change stands in the history."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    assert library.settings() == Settings()
    library.settle(Signature("Ann", "two of us review"), acceptors=("Ann", "Ben"))
    for refused in (lambda by: library.accept(Target("QX-050"), by),
                    lambda by: library.accept_in_bulk(BulkChoice(like="QX"), by),
                    lambda by: library.correct(Target("QX-050", quantity=HOLD), 0.6, by)):
        with pytest.raises(InputError, match="Eve may not accept"):
            refused(Signature("Eve", "why"))
    assert library.accept(Target("QX-050"), Signature("Ben")).decided
    library.settle(Signature("Ann"), acceptors=())
    assert library.accept(Target("QX-110"), Signature("Eve")).decided
    assert library.history()[1].action is Action.SETTING


def test_copies_may_be_kept_in_the_database(library: Library) -> None:
    """The same bytes come back; kept again, nothing changes."""
    library.settle(ANN, copies=IN_DATABASE)
    assert library.settings().copies == IN_DATABASE
    assert not library.has_copy("a" * 64)
    for _ in range(2):
        library.keep_copy("a" * 64, b"%PDF-1.7 \x00\xff")
    assert library.copy_of("a" * 64) == b"%PDF-1.7 \x00\xff"


def test_a_past_state_is_named_by_its_version(library: Library) -> None:
    """As of a version shows what held then; version 0 is before the beginning."""
    library.import_sheet(sheet("qx.pdf"), "Ann")
    library.import_sheet(sheet("rx.pdf", {"RX-1": 1.0}), "Ann")
    assert [len(library.list_parts(as_of=version)) for version in (0, 1, 2, 99)] == [0, 2, 3, 3]
