"""Rules of the random layouts: repeatable, sound, and drawn as their truth says."""

from __future__ import annotations

import io

import pdfplumber
import pytest

from bench.layout_sheet import made_sheet
from extract.schema import Kind, Quantity
from sample_tables.generate.__main__ import draw

NUMBERS = range(25)


@pytest.mark.parametrize("number", NUMBERS)
def test_the_same_number_gives_the_same_sheet(number: int) -> None:
    """Seed and number decide everything, so that a failure can be drawn again."""
    assert made_sheet(7, number) == made_sheet(7, number)
    sheet = made_sheet(7, number)[1]
    assert draw(sheet) == draw(sheet)


def test_truth_speaks_the_schema() -> None:
    """Every entry has a known quantity and kind and a positive value, and stands once."""
    for number in NUMBERS:
        truth = made_sheet(7, number)[1].truth
        assert len(truth) == len(set(truth)) > 0
        for entry in truth:
            assert Quantity(entry.quantity)
            assert Kind(entry.kind) in Kind
            assert float(entry.value) > 0


def test_every_part_is_printed() -> None:
    """The page names every part that the truth speaks of, unless the page is turned."""
    checked = 0
    for number in NUMBERS:
        plan, sheet = made_sheet(7, number)
        if plan.turn == "text" or plan.language in {"zh", "ja"}:
            continue
        with pdfplumber.open(io.BytesIO(draw(sheet))) as pdf:
            text = "".join("".join(page.extract_text() for page in pdf.pages).split())
        for part in {entry.part_number for entry in sheet.truth} - {"*"}:
            assert part.replace(" ", "") in text
        checked += 1
    assert checked > 5
