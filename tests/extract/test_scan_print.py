"""What a scanned page is made into before it is read: dark areas, grey rules, sizes of type, known words."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy
import pytest

from extract.document import no_page_to_error
from extract.errors import DocumentError
from extract.page import Glyph, PageContent, Rule, box_to_place
from extract.scans import recognised
from extract.scans.dark_areas import grey_to_dark_on_light_page
from extract.scans.doubts import ScannedLine, is_settled, line_to_doubt
from extract.scans.known_words import line_to_known, lines_with_zero_degrees, word_to_known
from extract.scans.lines_of_ink import PT, grey_to_ruled
from extract.scans.recognisers import SeenLine
from extract.scans.second_recogniser import grey_to_inked
from extract.scans.tall_lines import lines_to_printed
from extract.scans.type_sizes import lines_to_usual_sizes
from extract.second.page_words import content_to_second
from extract.sheet import read_sheet

SCANNED = Path(__file__).parents[2] / "sample_tables" / "scanned"
BOX = (100.0, 100.0, 120.0, 110.0)


def test_a_dark_heading_becomes_dark_on_light() -> None:
    """Rule: light letters and rules on a dark ground become ink and rules; print outside stays as it was."""
    grey = numpy.full((400, 1200), 250, numpy.uint8)
    grey[100:200, 100:1100] = 90
    grey[100:200, 600:604] = 255  # a rule between two cells
    grey[140:160, 300:305] = 255  # a letter
    grey[300:320, 300:305] = 0  # a letter of the rows
    light = grey_to_dark_on_light_page(grey)
    assert light[120, 200] > 200
    assert light[150, 302] < 60
    assert light[310, 302] == 0
    assert next(round(rule.at * PT) for rule in grey_to_ruled(light).verticals if rule.at * PT > 400) == 602


def test_bold_letters_are_no_dark_area() -> None:
    """Rule: an area is dark for the most part; letters that stand close are half paper."""
    grey = numpy.full((200, 800), 255, numpy.uint8)
    for x in range(100, 700, 16):
        grey[80:130, x : x + 8] = 0
    assert (grey_to_dark_on_light_page(grey) == grey).all()


def test_grey_rules_are_rules() -> None:
    """Rule: rules printed grey part columns as black ones do; the shading of rows is no ink."""
    grey = numpy.full((400, 400), 255, numpy.uint8)
    grey[100:300] = 225  # a shaded row
    grey[50:350, 200:203] = 165
    ruled = grey_to_ruled(grey)
    assert [round(rule.at * PT) for rule in ruled.verticals] == [202]
    assert not ruled.ink.any()


def line_of(text: str, size: float) -> list[Glyph]:
    """Glyphs of a line of a size, on the base line y = 100."""
    return [Glyph(sign, 10.0 * n, 100 - 0.78 * size, 10.0 * n + 8, 100 + 0.22 * size, size)
            for n, sign in enumerate(text)]


def test_lines_take_the_usual_size_of_their_page() -> None:
    """Rule: 7.1 and 8.2 points are one size, of the most letters; a title of 14 keeps its own; a triangle
    takes the commonest. Base lines stay."""
    lines = [line_of("0.300.450.60", 7.4), line_of("Ihold", 8.2), line_of("max", 7.1), line_of("Title", 14.0),
             line_of("△", 12.0)]
    sized = lines_to_usual_sizes(lines)
    assert [line[0].size for line in sized] == [7.4, 7.4, 7.4, 14.0, 7.4]
    assert sized[1][0].bottom - 0.22 * 7.4 == pytest.approx(100.0)


def seen(text: str, confidence: float = 0.99, top: int = 100, height: int = 30) -> SeenLine:
    """A line seen by the first recogniser."""
    return SeenLine((100, top, 200, top + height), text, confidence)


def test_a_mark_taken_for_letters_is_left_out() -> None:
    """Rule: much higher than the lines, not read surely, no digit: a drawing. A number is never left out."""
    usual = [seen("0.30", top=n) for n in range(0, 400, 40)]
    lines = [*usual, seen("cAu", 0.5, 500, 70), seen("15", 0.5, 600, 70)]
    assert [line.text for line in lines_to_printed(lines)][-2:] == ["0.30", "15"]


@pytest.mark.parametrize(
    ("word", "known"),
    [("powor", "power"), ("dissipatlon", "dissipation"), ("devices", ""), ("hollow", ""), ("maximum", "")],
)
def test_words_are_held_against_the_vocabulary(word: str, known: str) -> None:
    """Rule: an unknown word a letter or two off one known word is likely that word; another form of a word,
    and words that are like none, are left alone."""
    assert word_to_known(word) == known


def test_a_likely_word_is_evidence_and_a_word_read_twice_is_print() -> None:
    """Rule: what only likeness bears out is told; what the second recogniser reads as the known word is not;
    a word both read is printed so. I before "hold" may look like l."""
    assert line_to_known(seen("Tripped Powor (W)"), ("Tnpped P0w",)) == ("Tripped Power (W)", ("Powor",))
    assert line_to_known(seen("Tripped Powor (W)"), ("Tripped Power (W)",)) == ("Tripped Power (W)", ())
    assert line_to_known(seen("Tripped Powor (W)"), ("Tripped Powor (W)",)) == ("Tripped Powor (W)", ())
    assert line_to_known(seen("lhold (A)"), ())[0] == "Ihold (A)"
    assert line_to_known(seen("1max 10 lead"), ())[0] == "1max 10 lead"


def test_letters_in_a_row_of_temperatures_are_zero_degrees_once_the_second_reads_a_zero() -> None:
    """Rule: OC between -20 and 20 degrees is 0; it is in doubt until the second recogniser reads a zero."""
    row = [seen("-20°C"), seen("OC"), seen("20℃"), seen("40 C")]
    assert [line.text for line in lines_with_zero_degrees(row)] == ["-20°C", "0°C", "20℃", "40 C"]
    assert lines_with_zero_degrees([seen("OC"), seen("20℃")])[0].text == "OC"
    assert line_to_doubt(ScannedLine(BOX, "0°C", 0.95, ("OC", "OC", "OC"))) != ""
    assert line_to_doubt(ScannedLine(BOX, "0°C", 0.95, ("0°C", "0°C"))) == ""


def test_two_looks_settle_a_number() -> None:
    """Rule: two looks that read the same digits, point and sign are enough; a look that lost the point counts
    for nothing."""
    assert is_settled("1.25", ("1:25", "1.25", "1.25"))
    assert not is_settled("1.25", ("125", "1.25"))


def test_an_unsure_temperature_is_sure_once_two_looks_read_it() -> None:
    """Rule: of "°℃" the first recogniser is unsure for the sign; its digits count if two looks read them."""
    assert line_to_doubt(ScannedLine(BOX, "85°℃", 0.7, ("85°C", "85°C"))) == ""
    assert line_to_doubt(ScannedLine(BOX, "85℃", 0.7, ("85°C", "85°C"))) == ""
    assert line_to_doubt(ScannedLine(BOX, "85℃", 0.7, ("85°C", "35°C"))) != ""


def test_a_line_is_cut_to_its_own_ink() -> None:
    """Rule: the second recogniser sees the line alone: no feet of the line above; its point stays."""
    crop = numpy.full((60, 90), 255, numpy.uint8)
    crop[0:3, 10:60] = 0  # feet of the line above
    crop[20:44, 10:20] = crop[40:44, 30:34] = crop[20:44, 50:60] = 0
    cut = grey_to_inked(crop)
    assert cut.shape == (24, 50)
    assert (cut[20:24, 20:24] == 0).all()


def test_the_second_look_stands_on_the_level_page() -> None:
    """Rule: a place on a tilted page as shown is looked at where the level page has it."""
    glyphs: Sequence[Glyph] = [Glyph(sign, 500.0 + 6 * n, 100.0, 505.0 + 6 * n, 110.0, 10.0)
                               for n, sign in enumerate("0.45")]
    content = PageContent(1, 600.0, 800.0, 0, tuple(glyphs), (Rule(120.0, 50.0, 550.0),), (), tilt_deg=0.5)
    page = content_to_second(content)
    place = box_to_place(content, (500.0, 100.0, 523.0, 110.0))
    assert [word.text for word in page.words] == ["0.45"]
    assert page.to_upright((place.x0, place.top, place.x1, place.bottom))[1] == pytest.approx(100.0, abs=0.2)
    assert page.levels[0].y == 120.0


def test_without_the_extra_a_scan_is_refused_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """Rule: where no recogniser is installed the error says what to install."""
    monkeypatch.setattr(recognised, "neural_is_here", lambda: False)
    with pytest.raises(DocumentError, match=r"pip install '\.\[scans\]'") as error:
        read_sheet(SCANNED / "scan_plain.pdf")
    assert "\n" not in str(error.value)


def test_a_refused_file_names_the_pictures_that_were_not_read() -> None:
    """Rule: where no page can be read, what was seen on its pictures is part of the reason."""
    side = "page 1 holds a picture of a table on its side; it was not read"
    assert side in str(no_page_to_error("a.pdf", ("Approval of a fuse", "Page two"), (side,)))
