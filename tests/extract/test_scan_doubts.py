"""What puts a recognised number in doubt: known confusions by name, headings, text laid under scans."""

from __future__ import annotations

import numpy
import pytest

from extract.page import PageContent
from extract.scans.doubts import ScannedLine, line_to_doubt, line_to_unit_doubt
from extract.scans.judged import readings_to_judged
from extract.scans.leftover_ink import ink_to_leftover_boxes
from extract.scans.lines_of_ink import ink_to_cuts
from extract.scans.ohm_sign import is_ohm, line_with_ohm
from extract.scans.pictured import boxes_to_rows, content_with_pictures, is_print
from extract.scans.recognised import ScannedPage, is_legible
from extract.scans.recognisers import SeenLine
from extract.scans.second_recogniser import grey_to_dark_on_light
from extract.schema import Kind, Place, Quantity, Reading, Status

BOX = (100.0, 100.0, 120.0, 110.0)
OHM = """
....######....
..##......##..
.##........##.
.##........##.
.##........##.
.##........##.
..##......##..
...##....##...
#####....#####
#####....#####
"""


def line(first: str, second: str, layer: str = "", confidence: float = 0.99) -> ScannedLine:
    """A line that all looks of the second recogniser read alike."""
    return ScannedLine(BOX, first, confidence, (second,) * 3, layer)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("0.15", "015"),
        ("-40", "40"),
        ("40", "-40"),
        ("100", "1O0"),
        ("1.10", "l.10"),
        ("1.10", "7.10"),
        ("0.50", "0.S0"),
        ("0.50", "0.60"),
        ("0.80", "0.30"),
        ("15", "1.5"),
        ("1.5", "1,5"),
        ("250", "25"),
    ],
    ids=["point lost", "minus lost", "minus found", "0 and O", "1 and l", "1 and 7", "5 and S", "5 and 6",
         "8 and 3", "speck taken for a point", "comma for point", "digit lost"],
)
def test_each_known_confusion_is_a_doubt(first: str, second: str) -> None:
    """Rule: whichever of the two recognisers falls for it, the number is in doubt, and both are shown."""
    for ours, theirs in ((first, second), (second, first)):
        doubt = line_to_doubt(line(ours, theirs))
        assert ours in doubt
        assert theirs in doubt


def test_one_look_that_misses_a_point_is_outvoted_by_two_that_see_it() -> None:
    """Rule: of three looks of the second recogniser one may differ; two that read the same other number
    are a doubt."""
    assert line_to_doubt(ScannedLine(BOX, "4.4", 0.99, ("44", "4.4", "4.4"))) == ""
    assert line_to_doubt(ScannedLine(BOX, "4.4", 0.99, ("44", "44", "4.4"))) != ""


def test_text_laid_under_a_scan_disputes_and_never_confirms() -> None:
    """Rule: another program's recognition that reads other digits is a doubt; one that agrees does not stand
    for the second recogniser."""
    assert "laid under" in line_to_doubt(line("0.45", "0.45", layer="0.46"))
    assert line_to_doubt(line("0.45", "0.45", layer="0.45")) == ""
    assert judged(ScannedLine(BOX, "0.45", 0.99, (), "0.45")).status is Status.SINGLE


def test_amperes_for_one_and_milliamperes_for_the_other_is_a_doubt() -> None:
    """Rule: a unit read differently by a thousand is a doubt; one that the second does not read is none."""
    assert line_to_unit_doubt(line("Ihold (A)", "Ihold (mA)")) != ""
    assert line_to_unit_doubt(line("Ihold (A)", "Ihold ()")) == ""
    assert line_to_unit_doubt(line("V max [V] I max [A]", "Vmax [ ] I max [A]")) == ""


@pytest.mark.parametrize(("first", "second"), [
    ("(A) (A) (V)", "(A) (mA) (V)"), ("Ihold (A) Itrip (A)", "Ihold (A) Itrip (mA)"), ("mA A", "A mA"),
    ("(A) (mA) (A)", "(A) (A) (A)"), ("(A)", "(V)")])
def test_a_unit_is_compared_with_the_one_in_its_place(first: str, second: str) -> None:
    """Rule: that A stands elsewhere in the heading does not settle an A that the other reads as mA."""
    for ours, theirs in ((first, second), (second, first)):
        assert theirs in line_to_unit_doubt(line(ours, theirs))


def test_a_unit_in_doubt_for_two_looks_is_in_doubt() -> None:
    """Rule: one look that reads no unit, or the same, does not outvote two that read another."""
    for first in ("Ihold ()", "Ihold (A)"):
        assert line_to_unit_doubt(ScannedLine(BOX, "Ihold (A)", 0.99, (first, "Ihold (mA)", "Ihold (mA)")))
    assert not line_to_unit_doubt(
        ScannedLine(BOX, "Ihold (A)", 0.99, ("Ihold (mA)", "Ihold (A)", "Ihold (A)")))
    assert not line_to_unit_doubt(line("(A) (mA) (V)", "(A) (V)"))


def judged(cell: ScannedLine, *others: ScannedLine, dpi: float = 300.0, ambient_c: float = 23.0) -> Reading:
    """A reading of 0.45 A in a cell recognised so, with further lines on its page."""
    name = ScannedLine((10.0, 100.0, 60.0, 110.0), "QX-045", 0.99, ("QX-045",))
    page = ScannedPage(PageContent(1, 600.0, 800.0, 0, (), (), ()), "", (name, cell, *others), dpi)
    reading = Reading("s.pdf", "0" * 64, "QX-045", Quantity.HOLD_CURRENT, Kind.NONE, ambient_c, None, 0.45,
                      Status.AGREED, Place(1, *BOX), "0.45", "A", ())
    return readings_to_judged([reading], {1: page})[0]


def test_a_minus_lost_in_the_heading_disputes_the_column() -> None:
    """Rule: a temperature that one recogniser reads as 40 and the other as -40 disputes what stands below
    it, and nothing in other columns."""
    above = ScannedLine((98.0, 60.0, 122.0, 70.0), "40", 0.99, ("-40",) * 3)
    beside = ScannedLine((298.0, 60.0, 322.0, 70.0), "40", 0.99, ("-40",) * 3)
    cell = line("0.45", "0.45")
    assert judged(cell, above, ambient_c=40.0).status is Status.DISPUTED
    assert judged(cell, beside, ambient_c=40.0).status is Status.AGREED


def _rows_below(text: str) -> list[Status]:
    """Two rows below a heading that is A for one and mA for the other, with a text between both."""
    def at(top: float, text: str, second: str = "") -> ScannedLine:
        return ScannedLine((98.0, top, 122.0, top + 8), text, 0.99, (second or text,) * 3)

    name = ScannedLine((10.0, 100.0, 60.0, 108.0), "QX-045", 0.99, ("QX-045",) * 3)
    lines = (name, at(60, "(A)", "(mA)"), at(80, "0.45"), at(100, text), at(120, "0.50"))
    page = ScannedPage(PageContent(1, 600.0, 800.0, 0, (), (), ()), "", lines, 300.0)
    readings = [
        Reading("s.pdf", "0" * 64, "QX-045", Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, value,
                Status.AGREED, Place(1, 98.0, top, 122.0, top + 8), f"{value:.2f}", "A", ())
        for value, top in ((0.45, 80.0), (0.5, 120.0))]
    return [one.status for one in readings_to_judged(readings, {1: page})]


@pytest.mark.parametrize("text", ["Blorn", "series QX 60 V", "note 2", "23 °C"])
def test_a_text_between_rows_ends_no_doubt_of_their_heading(text: str) -> None:
    """Rule: a title, a note, a condition between rows leaves the heading above in force, and its doubt."""
    assert _rows_below(text) == [Status.DISPUTED, Status.DISPUTED]


@pytest.mark.parametrize("text", ["[A]", "Ihold", "hold current (A)"])
def test_a_heading_between_rows_begins_a_table_of_its_own(text: str) -> None:
    """Rule: below another heading with its unit or its quantity, the doubt of the first is none."""
    assert _rows_below(text) == [Status.DISPUTED, Status.AGREED]


def test_a_share_taken_for_hold_and_trip_alike_is_disputed() -> None:
    """Rule: on a picture the caption that says whose share it is may not have been recognised: one number
    under both quantities waits for a person."""
    name = ScannedLine((10.0, 100.0, 60.0, 110.0), "QX-045", 0.99, ("QX-045",))
    page = ScannedPage(PageContent(1, 600.0, 800.0, 0, (), (), ()), "", (name, line("84 %", "84 %")), 300.0)
    both = [
        Reading("s.pdf", "0" * 64, "QX-045", quantity, Kind.NONE, 40.0, None, 0.84, Status.AGREED,
                Place(1, *BOX), "84 %")
        for quantity in (Quantity.HOLD_RATIO, Quantity.TRIP_RATIO)
    ]
    assert {r.status for r in readings_to_judged(both, {1: page})} == {Status.DISPUTED}
    assert readings_to_judged(both[:1], {1: page})[0].status is Status.AGREED


def test_a_cell_over_several_rows_that_was_not_looked_at_twice_is_disputed() -> None:
    """Rule: rules of a picture may not have been recognised: which rows a cell spans is then a guess."""
    name = ScannedLine((10.0, 100.0, 60.0, 110.0), "QX-045", 0.99, ("QX-045",))
    page = ScannedPage(PageContent(1, 600.0, 800.0, 0, (), (), ()), "", (name, line("20", "20")), 300.0)
    once, twice = (
        Reading("s.pdf", "0" * 64, "QX-045", Quantity.MAX_CURRENT, Kind.NONE, None, None, 20.0, status,
                Place(1, *BOX), "20", "A", ("one cell over several rows",))
        for status in (Status.SINGLE, Status.AGREED)
    )
    found = [reading.status for reading in readings_to_judged((once, twice), {1: page})]
    assert found == [Status.DISPUTED, Status.AGREED]


def test_a_coarse_scan_agrees_on_nothing() -> None:
    """Rule: below 300 dots per inch two recognisers that read the same are single at best."""
    cell = line("0.45", "0.45")
    assert judged(cell, dpi=300.0).status is Status.AGREED
    assert judged(cell, dpi=200.0).status is Status.SINGLE


def test_every_number_of_a_picture_is_marked_as_recognised() -> None:
    """Rule: the mark and how sure the recogniser was reach whoever looks at the number."""
    assert judged(line("0.45", "0.45", confidence=0.97)).notes[-1] == "recognised from a picture, 97 % sure"
    assert judged(line("0.45", "0.46")).notes[-1].startswith("recognised from a picture")


def test_handwriting_is_not_legible() -> None:
    """Rule: a page on which most numbers are unsure, or read differently, is refused; print is not."""
    written = [line("0.45", "0.4S", confidence=0.4)] * 8 + [line("1.1", "17")] * 4
    printed = [line("0.45", "0.45")] * 12
    assert not is_legible(written)
    assert is_legible(printed + written[:4])


def sign(drawn: str) -> numpy.ndarray:
    """A drawn sign as ink."""
    return numpy.array([[dot == "#" for dot in row] for row in drawn.split()])


def test_the_ohm_sign_is_told_by_its_shape() -> None:
    """Rule: round above, open below, on two feet: Ω. A zero, an A, an n are not."""
    omega = sign(OHM)
    zero, letter_n = omega.copy(), omega.copy()
    zero[8:, :] = zero[1::-1, :]
    letter_n[:, 0:2] = True
    assert is_ohm(omega)
    assert not is_ohm(zero)
    assert not is_ohm(letter_n)


@pytest.mark.parametrize(("text", "mended"), [("[]", "[Ω]"), ("[Q]", "[Ω]"), ("[0]", "[Ω]"), ("Q.5", "Q.5")])
def test_an_ohm_sign_is_put_where_its_ink_stands(text: str, mended: str) -> None:
    """Rule: between brackets the sign stands in for what it was taken for; elsewhere nothing changes."""
    ink = numpy.zeros((30, 60), bool)
    ink[8:22, 5:7] = ink[8:22, 40:42] = True
    ink[10:20, 15:29] = sign(OHM)
    assert line_with_ohm(SeenLine((0, 0, 60, 30), text, 0.9), ink).text == mended


def test_pieces_of_a_drawing_are_no_letters() -> None:
    """Rule: ink that hangs on a rule is not given to the recogniser; a lone letter is."""
    whole = numpy.zeros((200, 400), bool)
    whole[100:103, 10:390] = True  # a rule
    whole[80:103, 50:54] = True  # a curve that crosses it
    whole[30:60, 200:204] = True  # a lone I
    ink = whole.copy()
    ink[99:104] = False
    boxes = ink_to_leftover_boxes(ink, whole, [])
    assert [box[0] // 10 * 10 for box in boxes] == [190]


def test_a_page_is_cut_between_its_lines() -> None:
    """Rule: the bands given to the recogniser part at rows without ink."""
    ink = numpy.zeros((3300, 500), bool)
    for top in range(20, 3280, 40):
        ink[top : top + 25] = True
    cuts = ink_to_cuts(ink)
    assert len(cuts) == 2
    assert not ink[list(cuts)].any()


def test_white_print_on_dark_is_turned_dark_on_white() -> None:
    """Rule: the second recogniser sees dark ink on white, however a heading is printed."""
    dark = numpy.full((20, 60), 40, numpy.uint8)
    dark[5:15, 10:14] = 220
    seen = grey_to_dark_on_light(dark)
    assert seen[0, 0] == 255
    assert seen[10, 12] == 0


def test_a_table_has_rows_of_several_words_and_a_chart_one() -> None:
    """Rule: pictures are read where several lines hold three words or more at one height."""
    table = [(x, y, x + 40, y + 12) for y in range(0, 100, 20) for x in (0, 60, 120)]
    below = [(x, 200, x + 20, 212) for x in range(0, 200, 30)]
    chart = below + [(0, y, 20, y + 12) for y in range(0, 190, 30)]
    assert boxes_to_rows(table) == 5
    assert boxes_to_rows(chart) == 1


def test_a_photograph_is_no_print() -> None:
    """Rule: ink on paper is mostly light and a little dark; a photograph is neither."""
    paper = numpy.full((100, 100), 250, numpy.uint8)
    paper[10:14] = 20
    assert is_print(paper)
    assert not is_print(numpy.full((100, 100), 128, numpy.uint8))


def test_pictures_are_laid_into_upright_pages_only() -> None:
    """Rule: what was recognised joins the text of its page; a page whose text stands on its side keeps its
    own text alone."""
    upright, turned = (PageContent(1, 600.0, 800.0, turn, (), (), ()) for turn in (0, 90))
    from extract.page import Glyph

    own = PageContent(1, 0.0, 0.0, 0, (Glyph("5", 10, 10, 15, 20, 10),), (), ())
    scanned = ScannedPage(own, "5", (), 300.0, ((0.0, 0.0, 100.0, 100.0),))
    assert [g.text for g in content_with_pictures(upright, scanned).glyphs] == ["5"]
    assert content_with_pictures(turned, scanned).glyphs == ()
