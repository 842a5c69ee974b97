"""The new reader alone on the invented sheets: how much is right, and that nothing is silently wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.scoring import SILENTLY_WRONG, Outcome, Verdict, judge, reading_value, truth_values
from extract.document import path_to_document
from extract.model_reader import document_to_model_readings

SAMPLES = Path(__file__).parents[3] / "sample_tables"


@pytest.fixture(scope="module")
def verdicts() -> list[tuple[str, Verdict]]:
    """Every entry of every invented sheet with its sheet's name."""
    found = []
    for path in sorted(SAMPLES.glob("*.pdf")):
        truth = truth_values(path.with_suffix(".csv"))[path.name]
        readings = document_to_model_readings(path_to_document(path))
        found += [(path.name, verdict) for verdict in judge(truth, map(reading_value, readings))]
    return found


def test_nothing_is_silently_wrong(verdicts: list[tuple[str, Verdict]]) -> None:
    """No reading without a doubt differs from what the sheet says."""
    assert [f"{name}: {v}" for name, v in verdicts if v.outcome in SILENTLY_WRONG] == []


def test_most_is_right(verdicts: list[tuple[str, Verdict]]) -> None:
    """The new reader reads nearly all of the invented sheets by itself."""
    right = sum(v.outcome is Outcome.RIGHT for _, v in verdicts)
    assert right >= 0.96 * len(verdicts)
