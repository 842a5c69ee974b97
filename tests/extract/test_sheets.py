"""Whole sheets: the invented ones against their truth, and what a sheet does wrong."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest

from bench.scoring import Outcome, judge, reading_value, truth_values
from extract.errors import DocumentError
from extract.schema import Kind, Quantity, Reading, SheetReading, Status
from extract.sheet import ReadOptions, read_sheet

SAMPLES = Path(__file__).parents[2] / "sample_tables"
NAMES = sorted(path.name for path in SAMPLES.glob("*.pdf"))
HEADING = (
    "Part number",
    "Ihold (A)",
    "Itrip (A)",
    "Vmax (V)",
    "Imax (A)",
    "Rmin (Ohm)",
    "R1max (Ohm)",
    "Pd typ. (W)",
)
ROW = ("TQ050", "0.50", "1.00", "24", "40", "0.15", "0.70", "0.70")
OTHER_ROW = ("TQ075", "0.75", "1.50", "24", "40", "0.09", "0.40", "0.80")
STILL_AIR = "All ratings in still air at 23 C."


@pytest.mark.parametrize("name", NAMES)
def test_every_number_of_an_invented_sheet_is_right(
    name: str, sample_readings: dict[str, SheetReading]
) -> None:
    """Nothing missing, nothing flagged, nothing silently wrong, whoever's program made the PDF."""
    truth = truth_values(SAMPLES / name.replace(".pdf", ".csv"))[name]
    verdicts = judge(truth, [reading_value(reading) for reading in sample_readings[name].readings])
    assert [str(verdict) for verdict in verdicts if verdict.outcome is not Outcome.RIGHT] == []


def test_most_numbers_are_agreed_by_two_readings(sample_readings: dict[str, SheetReading]) -> None:
    """The second reading finds the tables by itself: nine in ten numbers are borne out."""
    readings = [r for sheet in sample_readings.values() for r in sheet.readings]
    agreed = sum(reading.status is Status.AGREED for reading in readings)
    assert agreed >= 0.9 * len(readings)


def test_every_number_shows_its_place_on_the_page(sample_readings: dict[str, SheetReading]) -> None:
    """pdfium, asked what stands in the box of a reading, gives the printed text (upright sheets)."""
    for name in ("quarrowick_qk.pdf", "tarnhollow_th.pdf", "mirrelby_mr.pdf"):
        pdf = pypdfium2.PdfDocument(SAMPLES / name)
        for reading in sample_readings[name].readings:
            page = pdf[reading.place.page - 1]
            box, height = reading.place, page.get_height()
            text = page.get_textpage().get_text_bounded(
                box.x0 - 0.5, height - box.bottom, box.x1 + 0.5, height - box.top
            )
            assert reading.raw.replace(" ", "") in "".join(text.split())
        pdf.close()


def _value(sheet: SheetReading, part: str, quantity: Quantity, kind: Kind = Kind.NONE) -> list[Reading]:
    return [r for r in sheet.readings if (r.part_number, r.quantity, r.kind) == (part, quantity, kind)]


QUICK = ReadOptions(second_reading=False)


def test_a_contradiction_keeps_both_values_and_disputes_them(make_sheet: Callable[..., Path]) -> None:
    """A part listed twice with two voltages: neither is chosen, both are disputed."""
    changed = (*ROW[:3], "30", *ROW[4:])
    sheet = read_sheet(make_sheet([HEADING, ROW, OTHER_ROW, changed], [STILL_AIR]), QUICK)
    readings = _value(sheet, "TQ050", Quantity.MAX_VOLTAGE)
    assert {r.value for r in readings} == {24.0, 30.0}
    assert {r.status for r in readings} == {Status.DISPUTED}


def test_without_a_stated_ambient_hold_is_disputed(make_sheet: Callable[..., Path]) -> None:
    """No heading, title, note or derating column names the reference ambient: it is not made up."""
    sheet = read_sheet(make_sheet([HEADING, ROW, OTHER_ROW]), QUICK)
    hold = _value(sheet, "TQ050", Quantity.HOLD_CURRENT)[0]
    assert hold.ambient_c is None
    assert hold.status is Status.DISPUTED


def test_a_cell_with_two_numbers_is_never_sure(make_sheet: Callable[..., Path]) -> None:
    """ "0.15 - 0.20" under one heading gives no number that nobody has to look at."""
    broken = (*ROW[:5], "0.15 - 0.20", *ROW[6:])
    sheet = read_sheet(make_sheet([HEADING, broken, OTHER_ROW], [STILL_AIR]), QUICK)
    found = _value(sheet, "TQ050", Quantity.RESISTANCE, Kind.MIN)
    assert {reading.status for reading in found} <= {Status.DISPUTED}


def test_a_cell_that_is_no_number_is_reported(make_sheet: Callable[..., Path]) -> None:
    """A word in a column of ratings gives no reading and a finding with the printed text."""
    broken = (*ROW[:5], "see note", *ROW[6:])
    third = ("TQ110", "1.10", "2.20", "24", "40", "0.05", "0.20", "1.00")
    sheet = read_sheet(make_sheet([HEADING, broken, OTHER_ROW, third], [STILL_AIR]), QUICK)
    assert _value(sheet, "TQ050", Quantity.RESISTANCE, Kind.MIN) == []
    assert any(f.code == "cell-unreadable" and "see note" in f.found for f in sheet.findings)


def test_a_table_without_known_headings_is_reported(make_sheet: Callable[..., Path]) -> None:
    """Numbers under unknown headings are named in a finding with their page, never guessed."""
    path = make_sheet(
        [("Alpha", "Beta", "Gamma"), ("1.0", "2.0", "3.0"), ("1.5", "2.5", "3.5")],
        [
            "Hold current and trip current, maximum voltage: see the list of 2024, 6 types, 3 sizes.",
            STILL_AIR,
        ],
    )
    sheet = read_sheet(path, QUICK)
    assert sheet.readings == ()
    assert any(f.code == "numbers-not-read" and "page 1" in f.message for f in sheet.findings)


def test_a_unit_printed_nowhere_is_not_assumed_for_resistance(make_sheet: Callable[..., Path]) -> None:
    """Bare resistances that ohms and milliohms both fit are disputed."""
    heading = tuple(text.replace(" (Ohm)", "") for text in HEADING)
    rows = [(*row[:5], low, high, row[7]) for row, low, high in ((ROW, "15", "40"), (OTHER_ROW, "9", "30"))]
    sheet = read_sheet(make_sheet([heading, *rows], [STILL_AIR]), QUICK)
    assert {r.status for r in _value(sheet, "TQ050", Quantity.RESISTANCE, Kind.MIN)} == {Status.DISPUTED}


def test_a_wrong_unit_in_the_heading_is_doubted(make_sheet: Callable[..., Path]) -> None:
    """Hold currents of 0.5 "mA" are beyond the trade's range: the numbers are disputed, not believed."""
    heading = ("Part number", "Ihold (mA)", *HEADING[2:])
    sheet = read_sheet(make_sheet([heading, ROW, OTHER_ROW], [STILL_AIR]), QUICK)
    assert {r.status for r in _value(sheet, "TQ050", Quantity.HOLD_CURRENT)} == {Status.DISPUTED}


def _encrypted(tmp_path: Path) -> Path:
    from reportlab.lib.pdfencrypt import StandardEncryption
    from reportlab.pdfgen.canvas import Canvas

    path = tmp_path / "locked.pdf"
    canvas = Canvas(str(path), encrypt=StandardEncryption("secret", canPrint=0))
    canvas.drawString(100, 700, "hold current 0.5 A")
    canvas.save()
    return path


def _blank(tmp_path: Path) -> Path:
    from reportlab.pdfgen.canvas import Canvas

    path = tmp_path / "scan.pdf"
    canvas = Canvas(str(path))
    canvas.rect(100, 100, 200, 200, fill=1)
    canvas.save()
    return path


def _cut(tmp_path: Path) -> Path:
    path = tmp_path / "cut.pdf"
    path.write_bytes((SAMPLES / NAMES[0]).read_bytes()[:900])
    return path


def _page_of_html(tmp_path: Path) -> Path:
    path = tmp_path / "page.pdf"
    path.write_text("<html>not found</html>", encoding="utf-8")
    return path


def _empty(tmp_path: Path) -> Path:
    path = tmp_path / "empty.pdf"
    path.touch()
    return path


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (_encrypted, "password"),
        (_blank, "no text layer"),
        (_cut, "damaged"),
        (_page_of_html, "not a PDF"),
        (_empty, "empty"),
        (lambda folder: folder / "nowhere.pdf", "no such file"),
    ],
)
def test_a_file_that_cannot_be_read_says_which_and_why_in_one_line(
    make: Callable[[Path], Path], says: str, tmp_path: Path
) -> None:
    """Encrypted, scanned, truncated, wrong, empty and absent files each get their own one-line reason."""
    path = make(tmp_path)
    with pytest.raises(DocumentError, match=says) as caught:
        read_sheet(path, QUICK)
    assert path.name in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_sheet_in_words_nobody_knows_is_opened_by_its_decimals(make_sheet: Callable[..., Path]) -> None:
    """Words are a witness, not the door: a page full of decimals is looked at; where nothing of the trade is
    found on it, the file is refused in the same one line."""
    rows = [(f"W{n}", f"{n}.25", f"{n}.5") for n in range(1, 12)]
    with pytest.raises(DocumentError, match="no page names hold, trip or limits"):
        read_sheet(make_sheet([("Qelph", "Vrax (kg)", "Blon (kg)"), *rows]))
