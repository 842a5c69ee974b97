"""Many files at once: every file has exactly one outcome, whatever it does to its reader."""

from __future__ import annotations

from pathlib import Path

import pytest

from extract.batch import BatchLimits, limits_to_shares, read_one_sheet, read_sheets
from extract.sheet import ReadOptions
from extract.workers import Limits

SAMPLES = Path(__file__).parents[2] / "sample_tables"


def test_a_bad_file_costs_one_row_and_the_rest_goes_on(tmp_path: Path) -> None:
    """A page of text named .pdf among two sheets: two readings, one reason."""
    bad = tmp_path / "bad.pdf"
    bad.write_text("nothing", encoding="utf-8")
    good = sorted(SAMPLES.glob("*.pdf"))[:2]
    outcomes = {o.path: o for o in read_sheets([good[0], bad, good[1]], ReadOptions(second_reading=False))}
    assert set(outcomes) == {bad, *good}
    assert all(outcomes[path].reading is not None for path in good)
    assert "not a PDF" in (outcomes[bad].error or "")


def test_a_file_that_takes_too_long_is_given_up() -> None:
    """With no time allowed each file is lost, is named, and nothing hangs."""
    paths = sorted(SAMPLES.glob("*.pdf"))[:2]
    limits = BatchLimits(workers=1, each=Limits(deadline_s=0.01))
    outcomes = list(read_sheets(paths, limits=limits))
    assert {o.path for o in outcomes} == set(paths)
    assert all(o.reading is None and "too slow" in (o.error or "") for o in outcomes)


def test_memory_is_shared_out_over_the_workers() -> None:
    """So many workers as the memory allowed feeds; together they never take more; one always works."""
    for workers in (1, 2, 8, 64):
        for allowed in (500_000_000, 3_000_000_000, 17_000_000_000):
            limits = BatchLimits(workers=workers, all_bytes=allowed)
            count, each = limits_to_shares(limits, 1000)
            assert 1 <= count <= workers
            assert each.max_bytes <= limits.each.max_bytes
            assert count == 1 or count * each.max_bytes <= allowed


def test_one_file_is_read_as_many_are() -> None:
    """A single named file gives the same reading as one of a folder."""
    path = SAMPLES / "quarrowick_qk.pdf"
    (of_many,) = read_sheets([path])
    assert read_one_sheet(path) == of_many
    assert of_many.reading is not None


def test_one_file_has_limits_too() -> None:
    """A single file that needs more memory than allowed is named as too large."""
    pytest.importorskip("resource")
    path = SAMPLES / "quarrowick_qk.pdf"
    outcome = read_one_sheet(path, limits=Limits(max_bytes=60_000_000))
    assert outcome.reading is None
    assert "quarrowick_qk.pdf: too large: it needed more than 0.1 GB" in (outcome.error or "")
