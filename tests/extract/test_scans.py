"""Picture pages: set straight, recognised twice, and never sure of what only one recogniser reads."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy
import pypdfium2
import pytest

from bench.scoring import SILENTLY_WRONG, Outcome, judge, reading_value, truth_values
from extract.errors import DocumentError
from extract.page import PageContent, box_to_place
from extract.scans.glyphs import line_to_glyphs
from extract.scans.judged import readings_to_judged
from extract.scans.lines_of_ink import PT, grey_to_ruled
from extract.scans.picture import page_to_grey
from extract.scans.recognised import ScannedLine, ScannedPage, _grey_to_upright
from extract.scans.recognisers import SeenLine, neural_is_here
from extract.scans.second_recogniser import tesseract_data
from extract.scans.straight import grey_to_straight
from extract.schema import Kind, Place, Quantity, Reading, SheetReading, Status
from extract.sheet import read_sheet

SCANNED = Path(__file__).parents[2] / "sample_tables" / "scanned"
needs_recognisers = pytest.mark.skipif(
    not (neural_is_here() and tesseract_data()), reason="needs the extra `scans` and tesseract-ocr"
)


def page_of_lines(tilt_deg: float) -> numpy.ndarray:
    """A page with a dark line every 40 dots, falling to the right by a tilt."""
    grey = numpy.full((900, 900), 255, numpy.uint8)
    for x in range(60, 840):
        for y in range(80, 840, 40):
            at = y + round((x - 450) * float(numpy.tan(numpy.radians(tilt_deg))))
            grey[at : at + 4, x] = 0
    return grey


@pytest.mark.parametrize("tilt_deg", [-1.5, -0.4, 0.0, 0.7, 2.0])
def test_a_tilted_page_is_set_level(tilt_deg: float) -> None:
    """Rule: the tilt is found within 0.1 degrees: over a page's width that is less than half a row."""
    level, found_deg = grey_to_straight(page_of_lines(tilt_deg))
    assert found_deg == pytest.approx(-tilt_deg, abs=0.1)
    rows = (level < 128).sum(axis=1)
    assert rows.max() > 700  # lines lie along rows again


def test_a_place_on_a_tilted_page_is_that_of_the_page_as_shown() -> None:
    """Rule: a box of the level page is turned back about the middle: 300 pt right of it and one degree, 5.2
    pt."""
    content = PageContent(1, 800.0, 600.0, 0, (), (), (), tilt_deg=1.0)
    place = box_to_place(content, (690.0, 295.0, 710.0, 305.0))
    assert (place.x0 + place.x1) / 2 == pytest.approx(700.0, abs=0.1)
    assert (place.top + place.bottom) / 2 == pytest.approx(300.0 - 5.2, abs=0.1)


def test_rules_are_parted_from_text() -> None:
    """Rule: a long thin run of ink is a rule; a short one, or a thick one, is not."""
    grey = numpy.full((400, 400), 255, numpy.uint8)
    grey[100:103, 20:380] = 0  # a rule
    grey[50:300, 200:203] = 0  # a rule downwards
    grey[150:152, 30:60] = 0  # a dash
    grey[310:360, 30:300] = 0  # a bar
    ruled = grey_to_ruled(grey)
    assert [round(rule.at * PT) for rule in ruled.horizontals] == [102]
    assert [round(rule.at * PT) for rule in ruled.verticals] == [202]
    assert ruled.ink[150:152, 30:60].all()


def ink_of(spans: Sequence[tuple[int, int]], height: int = 30) -> numpy.ndarray:
    """A line of ink: each span from left to right is as high as the line."""
    ink = numpy.zeros((height + 20, 400), bool)
    for left, right in spans:
        ink[10 : 10 + height, left:right] = True
    return ink


def test_each_character_stands_where_its_ink_stands() -> None:
    """Rule: as many pieces of ink as characters: each gets its own, neighbours meet halfway; a little paper
    beside the first and the last is theirs."""
    ink = ink_of([(20, 30), (36, 40), (46, 66)])
    glyphs = line_to_glyphs(SeenLine((10, 5, 90, 45), "1.5", 0.99), ink)
    assert [g.text for g in glyphs] == ["1", ".", "5"]
    assert [round(g.x0 * PT) for g in glyphs] == [18, 33, 43]


def test_a_wide_gap_is_not_a_printed_blank() -> None:
    """Rule: two cells in one recognised line stay apart: the blank between them is not kept."""
    ink = ink_of([(20, 40), (45, 65), (200, 220)])
    glyphs = line_to_glyphs(SeenLine((10, 5, 240, 45), "16 4", 0.99), ink)
    assert "".join(g.text for g in glyphs) == "164"
    assert glyphs[2].x0 * PT == pytest.approx(200, abs=2)


def test_a_small_digit_that_stands_high_is_a_footnote_mark() -> None:
    """Rule: 24 with a raised 2 is not 242."""
    ink = ink_of([(20, 40), (46, 66)])
    ink[10:24, 70:80] = True
    glyphs = line_to_glyphs(SeenLine((10, 5, 100, 45), "242", 0.99), ink)
    assert "".join(g.text for g in glyphs) == "24²"


def judged(first: str, second: tuple[str, ...], confidence: float = 0.99) -> Reading:
    """A reading of 0.45 A whose cell was recognised so."""
    box = (100.0, 100.0, 120.0, 110.0)
    name = ScannedLine((10.0, 100.0, 60.0, 110.0), "QX-045", 0.99, ("QX-045",))
    content = PageContent(1, 600.0, 800.0, 0, (), (), ())
    page = ScannedPage(content, "", (name, ScannedLine(box, first, confidence, second)), 300.0)
    reading = Reading("s.pdf", "0" * 64, "QX-045", Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, 0.45,
                      Status.AGREED, Place(1, *box), first, "A", ())
    return readings_to_judged([reading], {1: page})[0]


def test_two_recognisers_that_read_the_same_agree() -> None:
    """Rule: the same digits, point and sign, read twice from the picture, are agreed."""
    assert judged("0.45", ("0.45", "0.45", "0.45")).status is Status.AGREED


@pytest.mark.parametrize(
    "second",
    ["045", "0.46", "-0.45", "0.4", "0.450", "4.5", "O.4S", "0,45"],
    ids=["point lost", "digit", "minus", "digit lost", "digit more", "point moved", "letters", "comma"],
)
def test_known_confusions_are_disputed(second: str) -> None:
    """Rule: a lost point, a lost or found minus, one digit taken for another: a person must look, and sees
    both."""
    reading = judged("0.45", (second, second, second))
    assert reading.status is Status.DISPUTED
    assert any(second in note for note in reading.notes)


def test_what_one_recogniser_reads_is_single() -> None:
    """Rule: without the second recogniser nothing of a picture page is agreed."""
    assert judged("0.45", ()).status is Status.SINGLE


def test_an_unsure_recogniser_is_no_witness() -> None:
    """Rule: what the first recogniser itself is unsure of is disputed."""
    assert judged("0.45", ("0.45",) * 3, confidence=0.6).status is Status.DISPUTED


def test_a_coarse_picture_is_refused_with_its_resolution() -> None:
    """Rule: below 150 dots per inch nothing is recognised, and the error says how fine the scan should be."""
    with pytest.raises(DocumentError, match="110 dots per inch"):
        read_sheet(SCANNED / "scan_coarse.pdf")


@pytest.fixture(scope="module")
def scans() -> dict[str, SheetReading]:
    """The scanned samples, read."""
    names = ("scan_plain", "scan_turned", "scan_false_text", "scan_stamped", "scan_pasted")
    return {name: read_sheet(SCANNED / f"{name}.pdf") for name in names}


@needs_recognisers
def test_nothing_of_a_scan_is_silently_wrong(scans: dict[str, SheetReading]) -> None:
    """Rule: level, on its side, over a text layer that lies, stamped, pasted on a page of text: each number
    is right or marked, most are read."""
    for name, sheet in scans.items():
        truth = truth_values(SCANNED / f"{name}.csv")[f"{name}.pdf"]
        verdicts = judge(truth, [reading_value(reading) for reading in sheet.readings], complete=True)
        assert [str(v) for v in verdicts if v.outcome in SILENTLY_WRONG] == []
        right = sum(v.outcome is Outcome.RIGHT for v in verdicts)
        assert right > 0.8 * len(verdicts), name


@needs_recognisers
def test_most_of_a_plain_scan_is_agreed(scans: dict[str, SheetReading]) -> None:
    """Rule: at 300 dots per inch two recognisers agree on 85 in 100 numbers."""
    readings = scans["scan_plain"].readings
    assert sum(r.status is Status.AGREED for r in readings) >= 0.85 * len(readings)


@needs_recognisers
@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_page_is_turned_until_it_reads_left_to_right(turn: int) -> None:
    """Rule: whichever edge of a page went into the scanner first, it is turned upright, and by how much is
    told."""
    with pypdfium2.PdfDocument(SCANNED / "scan_plain.pdf") as pdf:
        upright = page_to_grey(pdf[0])
    lying = numpy.ascontiguousarray(numpy.rot90(upright, turn // 90))
    found, found_turn = _grey_to_upright(lying)
    assert found_turn == turn
    assert (found == upright).all()


def test_glyphs_are_as_high_as_their_type() -> None:
    """Rule: digits are 0.72 of their type size high; gaps between words are measured by the type, so that a
    row of a table does not fall apart."""
    glyphs = line_to_glyphs(SeenLine((10, 5, 90, 45), "1.5", 0.99), ink_of([(20, 30), (36, 40), (46, 66)]))
    assert glyphs[0].size * PT == pytest.approx(30 / 0.72, abs=0.1)
    assert glyphs[0].bottom - glyphs[0].top == pytest.approx(glyphs[0].size)
