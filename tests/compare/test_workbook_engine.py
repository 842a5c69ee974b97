"""The workbook's formulas against the program, calculated by LibreOffice Calc, an independent engine.

bench/workbook_engine.py measures the same over 200 requirements.
"""

import random
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "bench"))

import workbook_engine  # noqa: E402 - after its folder is on the path

REQUIREMENTS = 8


@pytest.mark.skipif(workbook_engine.engine() is None,
                    reason="LibreOffice (soffice) is not installed: apt-get install libreoffice-calc")
def test_another_engine_gets_what_the_program_says() -> None:
    """Values, limits, margins, verdicts, ranks and reasons agree for inputs typed over the stated ones."""
    parts = workbook_engine.read_parts(ROOT / "sample_tables", random.Random(5))
    found, counted = workbook_engine.measure(parts, REQUIREMENTS, 5, workbook_engine.engine() or "")
    assert found == []
    assert counted["numbers"] > 1000
