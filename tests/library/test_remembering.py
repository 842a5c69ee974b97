"""What a team tells the library to remember: silenced findings and kept comparisons."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from extract.errors import InputError
from extract.schema import Finding, Quantity, Severity
from holdtrip.library.comparisons import Comparison, JudgedPart
from holdtrip.library.records import Signature
from holdtrip.library.silences import finding_to_key
from holdtrip.library.store import Library

ANN, BEN = Signature("Ann", "page 3 prints it so"), Signature("Ben", "I was wrong")
FINDING = Finding("trend", Severity.DOUBT, "falls", found="0.5 A", part_number="QX-050",
                  quantity=Quantity.HOLD_CURRENT)
KEY = finding_to_key(FINDING)
KEPT = Comparison("board 1", "supply = 'dc'", '[{"part_number": "QX-050"}]',
                  (JudgedPart("QX-050", "0" * 64),))


def test_a_silenced_finding_is_remembered_with_who_and_why(library: Library) -> None:
    """Once, however often it is silenced."""
    library.silence(KEY, ANN)
    library.silence(KEY, BEN)
    silence, = library.silenced()
    assert (silence.key, silence.who, silence.reason) == (KEY, "Ann", ANN.reason)


def test_the_key_is_the_same_for_the_same_finding_only(library: Library) -> None:
    """Another spelling of the part is the same finding; another value, quantity or code is not."""
    library.silence(KEY, ANN)
    keys = {one.key for one in library.silenced()}
    assert finding_to_key(replace(FINDING, part_number="qx 050", message="worded otherwise")) in keys
    for other in (replace(FINDING, found="0.6 A"), replace(FINDING, code="units"),
                  replace(FINDING, quantity=None), replace(FINDING, part_number="QX-110")):
        assert finding_to_key(other) not in keys


def test_a_silence_can_be_taken_back(library: Library) -> None:
    """It stays in the history, and as of then it is in force."""
    library.silence(KEY, ANN)
    between = datetime.now(UTC)
    library.unsilence(KEY, BEN)
    assert library.silenced() == ()
    assert [one.key for one in library.silenced(as_of=between)] == [KEY]
    assert [one.subject for one in library.history()] == ["trend qx050", "trend qx050"]
    with pytest.raises(InputError, match="not silenced"):
        library.unsilence(KEY, BEN)


def test_a_silence_needs_a_reason(library: Library) -> None:
    """Who does not say why, silences nothing."""
    with pytest.raises(InputError, match="without a reason"):
        library.silence(KEY, Signature("Ann"))


def test_a_comparison_comes_back_as_kept(library: Library) -> None:
    """Requirement, result and parts are what was given."""
    version = library.save_comparison(KEPT, ANN)
    saved, = library.comparisons()
    assert (saved.comparison, saved.who, saved.version) == (KEPT, "Ann", version)


def test_a_comparison_of_the_same_name_takes_the_older_ones_place(library: Library) -> None:
    """The older one can still be shown as of its time."""
    library.save_comparison(KEPT, ANN)
    between = datetime.now(UTC)
    library.save_comparison(replace(KEPT, result="[]", parts=()), BEN)
    assert [one.comparison.result for one in library.comparisons()] == ["[]"]
    assert [one.comparison for one in library.comparisons(as_of=between)] == [KEPT]


def test_a_comparison_needs_a_name(library: Library) -> None:
    """Nobody could ask for it."""
    with pytest.raises(InputError, match="without a name"):
        library.save_comparison(replace(KEPT, name=" "), ANN)
