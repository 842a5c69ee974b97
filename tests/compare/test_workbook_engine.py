"""The workbook's formulas against the program, calculated by LibreOffice Calc, an independent engine.

bench/workbook_engine.py measures the same over 200 requirements.
"""

import random
import sys
from pathlib import Path

import pytest
from openpyxl import load_workbook

from compare.ranking import parts_to_ranking
from compare.requirement import Requirement
from compare.workbook import ranking_to_workbook
from compare.workbook_inputs import input_name

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "bench"))

import workbook_engine  # noqa: E402 - after its folder is on the path

REQUIREMENTS = 6


@pytest.mark.skipif(workbook_engine.engine() is None,
                    reason="LibreOffice (soffice) is not installed: apt-get install libreoffice-calc")
def test_another_engine_gets_what_the_program_says() -> None:
    """Values, limits, margins, verdicts, ranks and reasons agree for inputs typed over the stated ones."""
    parts = workbook_engine.read_parts(ROOT / "sample_tables", random.Random(5))
    found, counted = workbook_engine.measure(parts, REQUIREMENTS, 5, workbook_engine.engine() or "")
    assert found == []
    assert counted["numbers"] > 1000


@pytest.mark.skipif(workbook_engine.engine() is None,
                    reason="LibreOffice (soffice) is not installed: apt-get install libreoffice-calc")
def test_an_input_that_cannot_be_used_leaves_no_verdict(tmp_path: Path) -> None:
    """A blank cell, a text, a value out of range or against another one: every verdict says recompute."""
    spoilt = {"blank": ("normal_current_a", None), "text": ("normal_current_a", "much"),
              "range": ("hold_factor", 0.5), "order": ("ambient_cold_c", 80.0),
              "switching": ("switching_temperature_c", 50.0)}
    made, results = tmp_path / "made", tmp_path / "results"
    made.mkdir()
    results.mkdir()
    parts = workbook_engine.read_parts(ROOT / "sample_tables", random.Random(7))[:5]
    requirement = Requirement("dc", 12.0, 0.3, 0.0, 60.0, fault_current_min_a=5.0, fault_current_max_a=20.0)
    for name, (field, value) in spoilt.items():
        path = made / f"{name}.xlsx"
        ranking_to_workbook(parts_to_ranking(parts, requirement), path)
        book = load_workbook(path)
        sheet, cell = book.defined_names[input_name(field)].attr_text.split("!")
        book[sheet][cell.replace("$", "")].value = value
        book.save(path)
    workbook_engine.recalculate(made, results, workbook_engine.engine() or "")
    for name in spoilt:
        book = load_workbook(results / f"{name}.xlsx", data_only=True)
        margins = list(book["Margins"].iter_rows(min_row=5, max_col=10, values_only=True))
        assert {row[9] for row in margins} == {"recompute"}, name
        assert {row[8] for row in margins} <= {None, ""}, name
        assert "not usable" in book["Summary"]["E4"].value, name
