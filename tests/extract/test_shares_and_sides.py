"""Derating tables as sheets print them: units said once or not at all, shares of two currents, part numbers
beside pairs of rows."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from extract.decoding import chars_to_decoded
from extract.headings import heading_to_meaning
from extract.lines import Run, Word
from extract.page_objects import Char
from extract.schema import WHOLE_SERIES, Kind, Quantity, SheetReading, Status
from extract.sheet import ReadOptions, read_sheet

HEADING = ("Part number", "Hold current (mA)", "Trip current (mA)", "Vmax (V)", "Imax (A)", "Rmin (Ω)")
ROWS = [
    ("LM080", "80", "160", "60", "3", "9.7"),
    ("LM110", "110", "220", "60", "3", "6.3"),
    ("LM160", "160", "320", "60", "3", "3.3"),
]
AMBIENTS = ("-20 °C", "0 °C", "25 °C", "40 °C", "60 °C")
MILLIAMPS = [
    ("Part number", *AMBIENTS),
    ("LM080", "111", "97", "80", "70", "56"),
    ("LM110", "152", "133", "110", "96", "77"),
    ("LM160", "221", "194", "160", "140", "112"),
]


def _draw(folder: Path, title: str, derating: Sequence[Sequence[str]]) -> SheetReading:
    """Ratings in mA and one derating table below its title, read by the first reading alone."""
    from reportlab.lib.pagesizes import A4
    from reportlab.lib.styles import getSampleStyleSheet
    from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Spacer, Table

    styles, path = getSampleStyleSheet(), folder / "sheet.pdf"
    story: list[Flowable] = [Paragraph("All ratings at 25 °C in still air.", styles["BodyText"])]
    for heading, rows in (("Ratings", [HEADING, *ROWS]), (title, derating)):
        table = Table([list(row) for row in rows], style=[("GRID", (0, 0), (-1, -1), 0.5, "black")])
        story += [Spacer(1, 14), Paragraph(heading, styles["Heading3"]), table]
    SimpleDocTemplate(str(path), pagesize=A4).build(story)
    return read_sheet(path, ReadOptions(second_reading=False))


@pytest.mark.parametrize(
    "title",
    ["Hold current at ambient temperature", "Hold current in mA at ambient temperature",
     "Thermal derating (hold current, mA)"],
)
def test_milliamps_are_told_by_the_title_or_proven_by_the_ratings(tmp_path: Path, title: str) -> None:
    """Rows of bare 80, 110, 160 whose 25 °C column repeats ratings of 80, 110, 160 mA are in mA."""
    sheet = _draw(tmp_path, title, MILLIAMPS)
    hold = {(r.part_number, r.ambient_c): r for r in sheet.readings if r.quantity is Quantity.HOLD_CURRENT}
    assert {key: reading.value for key, reading in hold.items() if key[1] == 60} == {
        ("LM080", 60.0): 0.056, ("LM110", 60.0): 0.077, ("LM160", 60.0): 0.112}
    assert Status.DISPUTED not in {reading.status for reading in hold.values()}


def test_bare_numbers_that_no_rating_repeats_stay_in_doubt(tmp_path: Path) -> None:
    """The same rows with another 25 °C column prove no unit: each number waits for a person."""
    rows = [MILLIAMPS[0], *((row[0], row[1], row[2], "99", row[4], row[5]) for row in MILLIAMPS[1:])]
    sheet = _draw(tmp_path, "Hold current at ambient temperature", rows)
    at_60 = [r for r in sheet.readings if r.quantity is Quantity.HOLD_CURRENT and r.ambient_c == 60]
    assert {reading.status for reading in at_60} == {Status.DISPUTED}


SHARES = [("Series", *AMBIENTS), ("LM", "138", "121", "100", "87", "70")]


@pytest.mark.parametrize(
    ("title", "quantities"),
    [
        ("Derating of hold and trip current, per cent of value at 25 °C",
         {Quantity.HOLD_RATIO, Quantity.TRIP_RATIO}),
        ("Derating of hold current, percent", {Quantity.HOLD_RATIO}),
    ],
)
def test_shares_are_of_the_currents_their_title_names(
    tmp_path: Path, title: str, quantities: set[Quantity]
) -> None:
    """One row of shares under "hold and trip" is of both; under "hold" of hold alone."""
    sheet = _draw(tmp_path, title, SHARES)
    shares = [r for r in sheet.readings if r.part_number == WHOLE_SERIES and r.ambient_c == 60]
    assert {(r.quantity, r.value) for r in shares} == {(quantity, 0.7) for quantity in quantities}


@pytest.mark.parametrize("levels", [("at", "(A)"), ("at (A)",), ("@", "A")])
def test_a_bare_at_heads_the_test_current(levels: tuple[str, ...]) -> None:
    """Beside a time to trip stands "at (A)": the current of its test."""
    assert heading_to_meaning(levels).is_test_current


def test_a_word_broken_at_a_hyphen_is_one_word() -> None:
    """German headings break long words: "Verlust-leistung" is the tripped power."""
    meaning = heading_to_meaning(("Verlust-leistung typ. [W]",))
    assert (meaning.quantity, meaning.kind) == (Quantity.TRIPPED_POWER, Kind.TYP)


def test_a_letter_of_the_symbol_font_is_the_greek_one_and_has_a_width() -> None:
    """A font that the PDF only names gives W without a width where Ω is seen; W of other fonts stays."""
    matrix = (1.0, 0.0, 0.0, 1.0, 10.0, 10.0)
    symbol, latin = Char("W", (10, 0, 10, 8), matrix, "Symbol"), Char("W", (30, 0, 36, 8), matrix, "Serif")
    greek, same = chars_to_decoded([symbol, latin], None, "W")
    assert greek.text == "Ω"
    assert greek.box[2] > greek.box[0]
    assert same == latin


def _label(text: str, middle: float) -> Run:
    return Run(text, 20, middle - 4, 60, middle + 4, 8, (), (Word(text, 20, 60),))


