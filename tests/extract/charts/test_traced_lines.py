"""Lines of pictures followed through crossings, gaps and grids: each as it came, or in doubt."""

from __future__ import annotations

import math

import cv2
import numpy
import pytest
from numpy.typing import NDArray

from extract.charts.pixels.hues import Painting, colours_to_told
from extract.charts.pixels.lettered import HIGH_PX, crop_to_tile
from extract.charts.pixels.linked import Chain, paths_to_chains
from extract.charts.pixels.named import grey_to_names, text_to_known
from extract.charts.pixels.ruled import Rule
from extract.charts.pixels.straight import paths_to_straight
from extract.charts.pixels.thinned import mask_to_paths, mask_to_thin
from extract.charts.pixels.traced import paintings_to_traces, without_rules

Mask = NDArray[numpy.uint8]
SCALE = 4.0  # pixels to a point
BLACK = (0, 0, 0)


def blank(high: int = 600, wide: int = 800) -> Mask:
    """A mask without ink."""
    return numpy.zeros((high, wide), numpy.uint8)


def line(mask: Mask, start: tuple[int, int], end: tuple[int, int], width: int = 4) -> None:
    """A straight line of ink."""
    cv2.line(mask, start, end, (1,), width)


def chains(mask: Mask) -> list[Chain]:
    """The lines of a mask that fall to the right, longest first."""
    found = paths_to_chains(mask_to_paths(mask, 1.8 * SCALE), SCALE)
    return sorted(found, key=lambda chain: -chain.length)


def test_a_line_is_thinned_to_its_middle_one_pixel_wide() -> None:
    """A bar of five rows leaves its middle row; no pixel of a slanted line has more than two neighbours."""
    bar = blank(60, 200)
    bar[20:25, 30:170] = 1
    rows = numpy.nonzero(mask_to_thin(bar))[0]
    assert set(rows.tolist()) == {22}
    slanted = blank(200, 200)
    line(slanted, (20, 20), (180, 150))
    thin = mask_to_thin(slanted)
    ring = numpy.ones((3, 3), numpy.float32)
    ring[1, 1] = 0
    beside = cv2.filter2D(thin, cv2.CV_8U, ring, borderType=cv2.BORDER_CONSTANT)
    assert int(beside[thin > 0].max()) <= 2


def test_lines_that_cross_go_on_as_they_came() -> None:
    """Two lines that cross under ten degrees are two whole lines after it, neither in doubt."""
    mask = blank()
    line(mask, (100, 50), (500, 550))
    line(mask, (140, 50), (420, 550))
    first, second = chains(mask)[:2]
    ends = sorted(round(chain.points[-1][0] / 10) * 10 for chain in (first, second))
    starts = {round(c.points[0][0] / 10) * 10: round(c.points[-1][0] / 10) * 10 for c in (first, second)}
    assert ends == [420, 500]
    assert starts == {100: 500, 140: 420}


def test_dashes_are_one_line() -> None:
    """Dashes of 5 pt with gaps of 2.5 pt are put together from end to end."""
    mask = blank()
    way = math.hypot(400, 500)
    for at in range(0, int(way), 30):
        share, end = at / way, min(1.0, (at + 20) / way)
        line(
            mask,
            (round(100 + 400 * share), round(50 + 500 * share)),
            (round(100 + 400 * end), round(50 + 500 * end)),
        )
    assert chains(mask)[0].length > 0.95 * way


def test_two_ways_on_that_are_as_good_leave_a_line_in_doubt() -> None:
    """A line ends, and two begin behind the gap to the left and to the right of its way: none is given
    silently."""
    mask = blank()
    line(mask, (100, 50), (250, 250))
    line(mask, (260, 273), (401, 461))
    line(mask, (269, 266), (410, 454))
    joined = [chain for chain in chains(mask) if chain.length > 350]
    assert joined
    assert all(chain.is_doubtful for chain in joined)


def test_a_curve_survives_the_grid_in_its_own_colour() -> None:
    """The lines of a black grid are cut out of a black curve and the curve is followed across all of them."""
    mask = blank()
    levels = tuple(Rule(y + 0.5, 50, 750, 2.0) for y in range(60, 580, 40))
    uprights = tuple(Rule(x + 0.5, 20, 580, 2.0) for x in range(60, 760, 50))
    line(mask, (100, 40), (520, 560))
    inked = mask.copy()
    for rule in levels:
        inked[int(rule.at) : int(rule.at) + 2, rule.start : rule.end] = 1
    for rule in uprights:
        inked[rule.start : rule.end, int(rule.at) : int(rule.at) + 2] = 1
    free = without_rules(inked, levels, uprights)
    white = numpy.full((600, 800, 3), 255, numpy.uint8)
    traces = paintings_to_traces([Painting(BLACK, free, inked)], white, (50, 20, 750, 580), SCALE)
    assert len(traces.curves) == 1
    points = traces.curves[0].points
    assert math.dist(points[0], (100, 40)) < 12
    assert math.dist(points[-1], (520, 560)) < 12


def test_a_leader_is_followed_across_the_curves_it_crosses() -> None:
    """A thin line that crosses three curves is one line, from the first ink to the last."""
    mask = blank()
    for x in (200, 300, 400):
        line(mask, (x, 50), (x + 250, 550), 5)
    line(mask, (700, 100), (360, 330), 2)
    paths = mask_to_paths(mask, 1.8 * SCALE)
    curves = [chain for chain in paths_to_chains(paths, SCALE) if chain.length > 400]
    found = paths_to_straight(paths, curves, mask, SCALE)
    assert len(found) == 1
    ends = sorted(found[0].ends)
    assert math.dist(ends[0], (360, 330)) < 8
    assert math.dist(ends[1], (700, 100)) < 8


def test_colours_of_one_hue_are_told_apart_by_their_middles() -> None:
    """Brown and orange lines are two colours, two brown ones are one; black and grey ones are one, since a
    thin black line is grey."""
    brown, also_brown, orange = (140, 88, 74), (150, 96, 80), (240, 128, 30)
    told = colours_to_told([brown, orange, also_brown])
    assert told[0] == told[2] != told[1]
    assert len(set(colours_to_told([(20, 20, 22), (110, 108, 112)]))) == 1
    assert colours_to_told([]) == []


@pytest.mark.parametrize(("is_lost", "is_doubtful"), [(True, True), (False, False)])
def test_a_curve_behind_whose_end_a_piece_lies_is_in_doubt(is_lost: bool, is_doubtful: bool) -> None:
    """A dash that was not joined tells that the curve goes on where it was lost."""
    mask = blank()
    line(mask, (100, 60), (300, 300))
    if is_lost:
        line(mask, (318, 326), (321, 329))  # ahead of its end, too short for a dash
    white = numpy.full((600, 800, 3), 255, numpy.uint8)
    traces = paintings_to_traces([Painting(BLACK, mask, mask)], white, (50, 20, 750, 580), SCALE)
    assert [trace.is_doubtful for trace in traces.curves] == [is_doubtful]


def test_a_curve_that_ends_at_another_is_in_doubt_with_it() -> None:
    """Two lines run together: one seems to end there and may run on in the other."""
    mask = blank()
    line(mask, (100, 60), (460, 540))
    line(mask, (200, 60), (330, 360))
    white = numpy.full((600, 800, 3), 255, numpy.uint8)
    traces = paintings_to_traces([Painting(BLACK, mask, mask)], white, (50, 20, 750, 580), SCALE)
    assert len(traces.curves) == 2
    assert all(trace.is_doubtful for trace in traces.curves)


def test_a_mark_a_hundred_times_higher_than_wide_is_drawn() -> None:
    """A sliver is a tile like any other: it costs no sheet its reading."""
    tile = crop_to_tile(numpy.zeros((300, 1), numpy.uint8))
    assert tile.shape[0] > HIGH_PX
    assert int(tile.min()) == 0


NAMES = ("QVL-110", "QVL-110/24", "QVL-800", "QVL-300")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("QVL-110", "QVL-110"),
        ("-QVL-110.", "QVL-110"),
        ("QVL-110, QVL-110/24", "QVL-110, QVL-110/24"),
        ("QVL-80O", "QVL-800"),
        ("QVL-801", ""),
        ("QVL-11", ""),
        ("QVL-110, x", ""),
        ("", ""),
    ],
)
def test_only_a_name_of_the_sheet_is_a_name(text: str, said: str) -> None:
    """A text is taken if each piece of it is a name, letters that look like digits apart; never the nearest
    one."""
    assert text_to_known(text, NAMES) == said


def test_names_are_read_over_lines_and_upwards() -> None:
    """A name over the lines of a grid and one that is read upwards are found with their places and
    directions; a name that is not printed is not."""
    grey = numpy.full((500, 700), 255, numpy.uint8)
    for y in range(100, 400, 30):
        grey[y : y + 2, 50:650] = 150
    cv2.putText(grey, "QVL-110", (300, 210), cv2.FONT_HERSHEY_SIMPLEX, 0.9, (0,), 2)
    side = numpy.full((40, 200), 255, numpy.uint8)
    cv2.putText(side, "QVL-800", (10, 30), cv2.FONT_HERSHEY_SIMPLEX, 0.9, (0,), 2)
    grey[150:350, 20:60] = numpy.rot90(side)
    found = {name.text: name for name in grey_to_names(grey, grey, NAMES, (0.0, 90.0))}
    assert set(found) == {"QVL-110", "QVL-800"}
    assert abs(found["QVL-800"].angle - 90) < 8
    assert math.dist(found["QVL-110"].start, (300, 200)) < 20
