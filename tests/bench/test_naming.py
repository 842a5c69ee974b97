"""Rules of the ways to name parts: each is read under the right part numbers."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.naming import STYLES, style_to_sheet, style_to_verdicts
from bench.scoring import Outcome


@pytest.mark.parametrize("name", STYLES)
def test_every_way_to_name_parts_is_read(name: str, tmp_path: Path) -> None:
    """However a table names its parts, all numbers stand under the names that the truth gives them, and none
    under another."""
    verdicts = style_to_verdicts(name, "reportlab", tmp_path, both=False)
    assert {verdict.outcome for verdict in verdicts} == {Outcome.RIGHT}
    assert len(verdicts) == len(style_to_sheet(name).truth)
