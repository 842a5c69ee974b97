"""What a scanned page says of its rows: part numbers, headings of a table, typewriter's places, rules."""

from __future__ import annotations

import numpy
import pytest

from extract.page import Glyph, PageContent
from extract.scans.doubts import ScannedLine, line_to_doubt, line_to_meaning_doubt
from extract.scans.glyphs import line_to_glyphs, lines_to_single
from extract.scans.judged import readings_to_judged
from extract.scans.known_words import line_to_known
from extract.scans.lines_of_ink import PT, grey_to_ruled
from extract.scans.names import line_to_other_part, part_to_doubt, parts_to_doubts
from extract.scans.recognised import ScannedPage
from extract.scans.recognisers import SeenLine
from extract.scans.typewriter import lines_to_typed
from extract.schema import Kind, Place, Quantity, Reading, Status


def line(
    first: str, *second: str, at: tuple[float, float] = (100.0, 100.0), wide: float = 40.0
) -> ScannedLine:
    """A line as both recognisers read it, at a place."""
    x, top = at
    return ScannedLine((x, top, x + wide, top + 10.0), first, 0.99, second)


def test_a_name_is_proven_where_both_read_it() -> None:
    """Rule: the title or any table proves a part number; one recogniser alone does not."""
    title = line("Type QX-045, 60 V", "Type QX-045, 60 V")
    assert part_to_doubt("QX-045", [line("QX-045", "0X-O45"), title]) == ""
    assert "QX-045" in part_to_doubt("QX-045", [line("QX-045", "QX-046"), line("QX-046", "QX-045")])


@pytest.mark.parametrize(
    ("first", "second"),
    [("QX-045", "QX-O45"), ("QI-045", "Q1-045"), ("QS-050", "Q5-050"), ("QX-045", "QX-0450"),
     ("QX-045", "AQX-045")],
    ids=["0 and O", "I and 1", "S and 5", "a digit more", "a letter more"],
)
def test_a_name_that_looks_alike_is_another_name(first: str, second: str) -> None:
    """Rule: O for 0 in a part number is another part number: it waits for a person, unless proven."""
    assert part_to_doubt(first, [line(first, second)]) != ""
    assert part_to_doubt(first, [line(first, second), line(first, second, first)]) == ""


def test_parts_made_alike_tell_digits_from_letters() -> None:
    """Rule: QXO25 is QX025 where QX110, read alike by both, has a digit in that place; a place that is 0 or O
    in every part proves nothing."""
    lines = [line("QX025", "QXO25"), line("QX110", "QX110"), line("0Z25", "OZ25"), line("0Z30", "OZ30")]
    assert set(parts_to_doubts(("QX025", "QX110", "0Z25", "0Z30"), lines)) == {"0Z25", "0Z30"}


def test_a_name_in_two_pieces_and_one_with_a_footnote_are_read() -> None:
    """Rule: a series' cell and a code make one name; "1)" behind a name is no part of it."""
    assert part_to_doubt("QX12-010", [line("QX12", "QX12"), line("010", "010")]) == ""
    assert part_to_doubt("QX12-010", [line("QX12", "QX12"), line("010", "070")]) != ""
    assert part_to_doubt("QX-600", [line("QX-6001)", "QX-6002)")]) == ""


def test_a_row_that_the_second_recogniser_names_otherwise_is_in_doubt() -> None:
    """Rule: a name proven elsewhere is no proof for a row where the second recogniser reads another part."""
    parts = ("QX-045", "QX-046")
    assert line_to_other_part("QX-045", line("QX-045", "QX-046"), parts) == "QX-046"
    assert line_to_other_part("QX-045", line("QX-045", "OX-O4S"), parts) == ""


def judged(cell: ScannedLine, *others: ScannedLine, below: tuple[float, ...] = ()) -> Status:
    """How a hold current of 0.45 A stands among lines; further readings stand at the heights `below`."""
    page = ScannedPage(PageContent(1, 600.0, 800.0, 0, (), (), ()), "", (cell, *others), 300.0)
    readings = [
        Reading("s.pdf", "0" * 64, "QX-045", Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, 0.45,
                Status.AGREED, Place(1, 100.0, top, 140.0, top + 10.0), "0.45", "A", ())
        for top in (cell.box[1], *below)
    ]
    return readings_to_judged(readings, {1: page})[0].status


def test_a_row_named_otherwise_is_disputed() -> None:
    """Rule: both recognisers must name a row alike, or its numbers wait for a person."""
    cell = line("0.45", "0.45", at=(100.0, 300.0))
    name = line("QX-045", "QX-045", at=(10.0, 300.0))
    assert judged(cell, name) is Status.AGREED
    assert judged(cell, line("QX-045", "QX-O45", at=(10.0, 300.0))) is Status.DISPUTED


def test_a_heading_counts_for_its_own_table() -> None:
    """Rule: a doubtful heading disputes the numbers below it down to the next heading, and no farther."""
    cell = line("0.45", "0.45", at=(100.0, 300.0))
    name = line("QX-045", "QX-045", at=(10.0, 300.0))
    unsure = line("Ihold (A)", "Ihold (mA)", at=(100.0, 100.0))
    nearer = line("Hold current", "Hold current", at=(100.0, 250.0))
    assert judged(cell, name, unsure) is Status.DISPUTED
    assert judged(cell, name, unsure, nearer) is Status.DISPUTED
    assert judged(cell, name, unsure, nearer, below=(130.0,)) is Status.AGREED


def test_hold_for_one_and_trip_for_the_other_is_a_doubt() -> None:
    """Rule: a heading that names another quantity for each recogniser is in doubt; a wording that the second
    does not know is not."""
    assert line_to_meaning_doubt(line("hold current", "trip current")) != ""
    assert line_to_meaning_doubt(line("hold current", "hold currcnt")) == ""


def test_a_digit_in_a_word_and_a_long_dash_are_no_other_number() -> None:
    """Rule: "lamp6tilassa" is a letter misread, and every dash before a number is its minus."""
    assert line_to_doubt(line("lämpötilassa +20", "lamp6tilassa +20", "lamp6tilassa +20")) == ""
    assert line_to_doubt(line("-40", "—40", "40")) == ""
    assert line_to_doubt(line("bei 6A", "bei6A", "bei6A")) == ""


@pytest.mark.parametrize(
    ("printed", "read"),
    [("la 20 °C", "la 20 °C"), ("Ia 20 °C", "la 20 °C"), ("la (A)", "la (A)"), ("lhold (A)", "Ihold (A)"),
     ("lH (A)", "IH (A)")],
)
def test_an_article_is_no_current(printed: str, read: str) -> None:
    """Rule: "la 20 °C" says where a number holds; taken for Ia it made a hold current a trip current."""
    assert line_to_known(SeenLine((0, 0, 100, 20), printed, 0.99), ())[0] == read


def test_two_thin_letters_of_one_line_are_two() -> None:
    """Rule: a sign read in two found boxes is one; "ll" in one box is two."""
    double = [Glyph("l", 10.0, 0.0, 12.0, 10.0, 10.0), Glyph("l", 12.0, 0.0, 14.0, 10.0, 10.0)]
    assert len(lines_to_single([double])) == 2
    assert len(lines_to_single([double, [double[1]]])) == 2


def typed_line(text: str, x: float, top: float) -> list[Glyph]:
    """A line of places 6 points wide; its ink is narrower, and lower than that of other types."""
    return [Glyph(sign, x + 6 * n + 1.5, top, x + 6 * n + 4.5, top + 7.7, 7.7)
            for n, sign in enumerate(text) if sign != " "]


def test_a_typewriters_signs_have_places() -> None:
    """Rule: an even pitch is a typewriter's: type of 10 points, each sign 6 wide, a blank where a place is
    left out, within a line and between two that were found apart."""
    lines = [typed_line("QX 24-030", 0.0, 20.0 * n) for n in range(8)]
    lines += [typed_line("Hold current", 200.0, 20.0 * n) for n in range(8)]
    lines += [typed_line("QX", 0.0, 300.0), typed_line("24-030", 18.0, 300.0)]
    typed = lines_to_typed(lines)
    assert "".join(g.text for g in typed[0]) == "QX 24-030"
    assert "".join(g.text for g in typed[-2]) == "QX "
    assert {round(g.size, 1) for line in typed for g in line} == {10.0}
    assert {round(g.x1 - g.x0, 1) for line in typed for g in line} == {6.0}


def test_other_types_keep_their_ink() -> None:
    """Rule: letters that stand unevenly are of no typewriter, however evenly digits stand: nothing moves."""
    uneven = [[Glyph(s, x, 20.0 * n, x + w, 20.0 * n + 9, 9.0) for s, x, w in
               (("i", 0, 2), ("m", 2, 8), ("l", 10, 2), ("w", 12, 7), ("e", 19, 5))] for n in range(20)]
    assert lines_to_typed(uneven) == uneven
    digits = [typed_line("0.300.450.60", 0.0, 500.0 + 20 * n) for n in range(40)]
    assert lines_to_typed([*uneven, *digits]) == [*uneven, *digits]


def test_a_raised_mark_is_told_though_letters_before_it_touch() -> None:
    """Rule: "600" with a raised 1) is not 6001)."""
    ink = numpy.zeros((60, 200), bool)
    for left, right in ((10, 45), (50, 70), (75, 95)):  # two letters that touch, two digits
        ink[20:50, left:right] = True
    ink[8:24, 98:106] = ink[8:24, 108:114] = True
    glyphs = line_to_glyphs(SeenLine((5, 4, 120, 54), "PJ601)", 0.99), ink)
    assert "".join(g.text for g in glyphs) == "PJ60¹)"


def test_a_grey_rule_broken_by_grain_is_one_rule() -> None:
    """Rule: a rule near the limit of darkness, cut by grain, parts rows along its whole length; the edge of a
    shading does not."""
    grey = numpy.full((400, 1200), 250, numpy.uint8)
    grey[100:103, 50:1150] = 180
    grey[100:103, 300:500] = 200
    grey[200:300, 50:1150] = 205
    rules = grey_to_ruled(grey).horizontals
    assert len(rules) == 1
    assert (rules[0].start * PT, rules[0].end * PT) == pytest.approx((50, 1150), abs=2)


def test_a_number_that_no_line_holds_is_disputed() -> None:
    """Rule: a digit taken for a footnote's mark, because a stamp made it stand high, was read by nobody: 2.0
    of "2.04" waits for a person. A mark that was recognised as one is no digit."""
    page_of = PageContent(1, 600.0, 800.0, 0, (), (), ())
    name = line("QX-045", "QX-045", at=(10.0, 300.0))

    def status(text: str, raw: str) -> Status:
        page = ScannedPage(page_of, "", (line(text, text, at=(100.0, 300.0)), name), 300.0)
        place = Place(1, 100.0, 300.0, 140.0, 310.0)
        reading = Reading("s.pdf", "0" * 64, "QX-045", Quantity.TRIP_CURRENT, Kind.NONE, 23.0, None, 2.0,
                          Status.AGREED, place, raw, "A", ())
        return readings_to_judged([reading], {1: page})[0].status

    assert status("2.04", "2.0⁴") is Status.DISPUTED
    assert status("2.0⁴", "2.0⁴") is Status.AGREED
    assert status("2.0 / 4.0", "2.0") is Status.AGREED
