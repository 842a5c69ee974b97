"""Headings of columns of sizes, in one text: letter or name, limits, unit; an unknown word spoils it."""

import pytest

from extract.particulars.size_columns import SizeColumn, heading_to_column
from extract.schema import Kind, ParticularName

DIMENSION, PITCH, WIRE = ParticularName.DIMENSION, ParticularName.LEAD_SPACING, ParticularName.LEAD_DIAMETER


@pytest.mark.parametrize(
    ("heading", "column"),
    [
        ("A max.", SizeColumn(DIMENSION, "A", (Kind.MAX,), "")),
        ("A ‖ Min.", SizeColumn(DIMENSION, "A", (Kind.MIN,), "")),
        ("A Inches ‖ Max", SizeColumn(DIMENSION, "A", (Kind.MAX,), "in")),
        ("Dimensions (in) ‖ B max", SizeColumn(DIMENSION, "B", (Kind.MAX,), "in")),
        ("C min/max", SizeColumn(DIMENSION, "C", (Kind.MIN, Kind.MAX), "")),
        ("Passo E", SizeColumn(PITCH, "", (), "")),
        ("Ø fio", SizeColumn(WIRE, "", (), "")),
        ("Lead dia.", SizeColumn(WIRE, "", (), "")),
    ],
)
def test_headings_of_sizes(heading: str, column: SizeColumn) -> None:
    """The forms the trade prints."""
    assert heading_to_column(heading) == column


@pytest.mark.parametrize("heading", ["R max (Ω)", "Part number", "A B", "Qty/reel", "balení ks", "max.", ""])
def test_other_headings_name_no_size(heading: str) -> None:
    """A word that is neither letter, limit, unit nor size: the column is none of sizes."""
    assert heading_to_column(heading) is None
