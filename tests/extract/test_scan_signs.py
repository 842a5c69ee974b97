"""Signs of a scanned line: zeros told from letters O, blanks before units, rules painted out."""

from __future__ import annotations

import cv2
import numpy
import pytest

from extract.scans import recognised
from extract.scans.doubts import ScannedLine
from extract.scans.glyphs import line_to_glyphs
from extract.scans.lines_of_ink import grey_to_ruled, ink_to_cuts, ink_to_printed_box
from extract.scans.names import part_to_doubt
from extract.scans.recognisers import Dots, SeenLine
from extract.scans.round_signs import RoundShapes, line_to_shaped, lines_to_shapes

ZERO, LETTER, BAR = 20, 32, 6  # dots wide, of signs 32 high
Read = tuple[SeenLine, tuple[str, ...]]


def rings_on(ink: numpy.ndarray, top: int, widths: list[int]) -> Dots:
    """Round signs of a line drawn so wide, and the box about them; a narrow one is a bar."""
    x = 20
    for wide in widths:
        drawn = ink[top : top + 32, x : x + wide].view(numpy.uint8)
        if wide <= BAR:
            drawn[:] = 1
        else:
            cv2.ellipse(drawn, (wide // 2, 16), (wide // 2 - 2, 14), 0, 0, 360, 1, 3)
        x += wide + 8
    return 16, top - 4, x, top + 36


def page(name: list[int], letters: list[int]) -> tuple[numpy.ndarray, list[Read], SeenLine]:
    """A page with six zeros in numbers, letters O in words, and a part number, each as read twice."""
    ink = numpy.zeros((600, 600), bool)
    zeros = [SeenLine(rings_on(ink, top, [ZERO, BAR, ZERO]), "010", 0.99) for top in (20, 80, 140)]
    words = [SeenLine(rings_on(ink, 200 + 60 * n, [wide, BAR, BAR]), "Oil", 0.99)
             for n, wide in enumerate(letters)]
    part = SeenLine(rings_on(ink, 500, name), "0I10", 0.99)
    return ink, [(line, (line.text,)) for line in (*zeros, *words)], part


def shaped(name: list[int], letters: list[int]) -> str:
    """A part number read "0I10" as the shapes of its page tell it."""
    ink, read, part = page(name, letters)
    shapes = lines_to_shapes([line for line, _ in read], [texts for _, texts in read], ink)
    return line_to_shaped(part, ink, shapes)


def test_a_zero_is_told_from_a_letter_by_its_shape() -> None:
    """Rule: a sign as wide for its height as the page's zeros is a zero, one as wide as its letters O a
    letter; one zero that both took for a letter does not change how letters look."""
    assert shaped([ZERO, BAR, BAR, ZERO], [LETTER, LETTER, ZERO]) == "0I10"
    assert shaped([LETTER, BAR, BAR, ZERO], [LETTER, LETTER]) == "OI10"


def test_shapes_tell_nothing_where_a_type_makes_both_alike() -> None:
    """Rule: letters as narrow as zeros, too few letters, or a sign between the two: nothing is told."""
    assert shaped([ZERO, BAR, BAR, ZERO], [ZERO + 2, ZERO + 2]) == ""
    assert shaped([ZERO, BAR, BAR, ZERO], [LETTER]) == ""
    assert shaped([ZERO + 5, BAR, BAR, ZERO], [LETTER, LETTER]) == ""


def test_signs_that_touch_are_not_measured() -> None:
    """Rule: where ink and signs differ in number no shape is told."""
    ink, _, part = page([ZERO, BAR, ZERO], [])
    assert line_to_shaped(part, ink, RoundShapes(0.62, 1.0)) == ""


@pytest.mark.parametrize(
    ("second", "by_shape", "doubted"),
    [("OX-O45", "0X-045", False), ("OX-O45", "OX-045", True), ("OX-O45", "", True),
     ("OX-O46", "0X-045", True), ("OX-O4S", "0X-045", True)],
    ids=["told a zero", "told a letter", "not told", "another digit", "a letter for a digit"],
)
def test_shapes_bear_out_a_name_that_is_read_twice_but_for_its_zeros(
    second: str, by_shape: str, doubted: bool
) -> None:
    """Rule: O for 0 is no doubt where the shapes of the signs tell zeros; all other signs are read twice."""
    name = ScannedLine((10.0, 100.0, 60.0, 110.0), "0X-045", 0.99, (second,), shaped=by_shape)
    assert bool(part_to_doubt("0X-045", [name])) is doubted


def spans_of(spans: list[tuple[int, int]]) -> numpy.ndarray:
    """A line of ink: each span as high as the line."""
    ink = numpy.zeros((50, 200), bool)
    for left, right in spans:
        ink[10:40, left:right] = True
    return ink


def test_a_unit_that_stands_apart_is_printed_apart() -> None:
    """Rule: "5A" for a number and a unit with a blank's width between them is "5 A"; letters as close as
    letters stand are one word, and so are the digits of a number."""
    box = (10, 5, 150, 45)
    assert [g.text for g in line_to_glyphs(SeenLine(box, "5A", 0.99), spans_of([(20, 40), (53, 75)]))] == [
        "5", " ", "A"]
    assert [g.text for g in line_to_glyphs(SeenLine(box, "5A", 0.99), spans_of([(20, 40), (46, 70)]))] == [
        "5", "A"]
    assert [g.text for g in line_to_glyphs(SeenLine(box, "11", 0.99), spans_of([(20, 26), (40, 46)]))] == [
        "1", "1"]


def test_a_grey_rule_is_painted_out_whole() -> None:
    """Rule: what the second recogniser sees holds nothing of a rule, however grey: it read "|" beside
    names."""
    grey = numpy.full((400, 400), 255, numpy.uint8)
    grey[50:350, 200:203] = 175
    grey[100:130, 210:214] = 0
    bare = recognised._without_rules(grey, grey_to_ruled(grey))
    assert bare[200, 201] == 255
    assert bare[110, 212] == 0


def test_margins_are_not_looked_at() -> None:
    """Rule: the part of a page that holds ink, with paper about it; all of an empty page."""
    ink = numpy.zeros((3000, 2000), bool)
    assert ink_to_printed_box(ink) == (0, 0, 2000, 3000)
    ink[500:1500, 300:1600] = True
    x0, top, x1, bottom = ink_to_printed_box(ink)
    assert (x0, top, x1, bottom) == (260, 460, 1639, 1539)
    assert len(ink_to_cuts(ink[top:bottom, x0:x1])) < len(ink_to_cuts(ink))
