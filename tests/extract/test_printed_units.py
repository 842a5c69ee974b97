"""The unit of a number is kept as the sheet prints it; values stay SI."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest

from extract.meanings.series import text_to_spelled_units
from extract.schema import Quantity, Reading
from extract.sheet import ReadOptions, read_sheet

HEADING = ("Part No.", "Ihold (Amps)", "Itrip (A)", "Vmax [Vdc]", "Imax (A)", "Rmin (mOhm)", "R1max (Ohms)")
ROW = ("TQ050", "500 mA", "1.00", "24", "40", "150", "0.70")
OTHER_ROW = ("TQ075", "0.75", "1.50", "24", "40", "90", "0.40")


def _without_blanks(text: str) -> str:
    return "".join(unicodedata.normalize("NFKC", text).split())


def _page_texts(path: Path) -> list[str]:
    pdf = pypdfium2.PdfDocument(path)
    texts = [page.get_textpage().get_text_range() for page in pdf]
    pdf.close()
    return [_without_blanks(text) for text in texts]


@pytest.mark.parametrize(
    ("heading", "spelling"),
    [("R1max. (Ω)", "Ω"), ("Rmin mOhm", "mOhm"), ("Umax [V DC/AC]", "V DC/AC"), ("动作时间 (秒)", "秒"),
     ("Time to trip, sec.", "sec."), ("Rated voltage (V / A)", "V"), ("Ihold Amps", "Amps")],
)  # fmt: skip
def test_a_heading_gives_its_unit_as_printed(heading: str, spelling: str) -> None:
    """No letter of the spelling is changed."""
    assert text_to_spelled_units(heading)[0][1] == spelling


def test_each_number_keeps_the_spelling_of_its_cell_or_heading(make_sheet: Callable[..., Path]) -> None:
    """Its cell goes first ("500 mA" under Amps); the value is SI all the same."""
    path = make_sheet([HEADING, ROW, OTHER_ROW], ["All ratings in still air at 23 C."])
    readings = read_sheet(path, ReadOptions(second_reading=False)).readings
    found = {(r.part_number, r.quantity): r for r in readings}

    def told(part: str, quantity: Quantity) -> tuple[str, float]:
        reading: Reading = found[part, quantity]
        return reading.unit, reading.value

    assert told("TQ050", Quantity.HOLD_CURRENT) == ("mA", 0.5)
    assert told("TQ075", Quantity.HOLD_CURRENT) == ("Amps", 0.75)
    assert told("TQ050", Quantity.TRIP_CURRENT) == ("A", 1.0)
    assert told("TQ050", Quantity.MAX_VOLTAGE) == ("Vdc", 24.0)
    row = [r for r in readings if r.part_number == "TQ050"]
    resistances = {(r.unit, r.value) for r in row if r.raw in ("150", "0.70")}
    assert resistances == {("mOhm", 0.15), ("Ohms", 0.7)}


@pytest.mark.parametrize("name", ["trosnavik_tnv.pdf", "dachselried_dxr.pdf"])
def test_a_unit_told_as_printed_stands_on_the_page(name: str) -> None:
    """Another library's text of the page holds every unit, letter by letter."""
    path = Path(__file__).parents[2] / "sample_tables" / name
    texts = _page_texts(path)
    readings = read_sheet(path, ReadOptions(second_reading=False)).readings
    assert readings
    for reading in readings:
        assert _without_blanks(reading.unit) in texts[reading.place.page - 1]
        assert reading.unit
