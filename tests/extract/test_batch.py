"""Many files at once: every file has exactly one outcome, whatever it does to its reader."""

from __future__ import annotations

from pathlib import Path

from extract.batch import BatchLimits, read_sheets
from extract.sheet import ReadOptions

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
    outcomes = list(read_sheets(paths, limits=BatchLimits(workers=1, seconds=0.01)))
    assert {o.path for o in outcomes} == set(paths)
    assert all(o.reading is None and "left out" in (o.error or "") for o in outcomes)
