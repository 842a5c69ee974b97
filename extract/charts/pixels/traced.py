"""The curves of a painted chart: lines of one colour that fall from the upper left to the lower right.

Comes in: the masks of colours within a frame, the rules of its grid. Goes out: Traces: each curve as points
in pixels, and how many stretches of colour were too tangled to follow. Where a line has another of its colour
beside it in its own rows and columns nothing is followed: whose ink is whose cannot be told.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy
from numpy.typing import NDArray

from extract.charts.pixels.hues import Colour, Painting
from extract.charts.pixels.ruled import Rule

Mask = NDArray[numpy.uint8]
Box = tuple[int, int, int, int]
Point = tuple[float, float]

LEAST_PART = 0.12  # of the frame's width or height: a curve reaches so far
OWN_SHARE = 0.4  # of a line of the grid is painted in a colour that is its own
SLIM = 1.7  # a row or column that is inked over more widths of the line tells nothing of its middle
FORKED = 0.04  # of rows and of columns at most show the line twice
GAP_WIDTHS = 5.0  # a line followed leaves no wider gap
BACK_WIDTHS = 0.8  # it steps back no farther: at its ends rows and columns differ in their middles
STEP_PX = 3.0  # points of a trace stand so far apart at least
MAIN_SHARE, LEAST_POINTS = 0.85, 8  # so much of a stretch of ink is one line, or none is followed
LEAST_PIECE_PX = 12  # of a line
REACH_WIDTHS = 6.0  # pieces of one line stand no farther apart
STRAIGHT_ON, WAY_PX = 0.9, 14.0  # cosine of their turn; a direction is taken over so many pixels
DASH_TIMES, LEAST_DASHES = 1.5, 6  # a dash is so many times longer than wide; a dashed curve has so many
SMOOTH = 5  # neighbours taken together


@dataclass(frozen=True, slots=True)
class Trace:
    """One curve: its points in pixels from left to right, its colour, its width."""

    points: tuple[Point, ...]
    colour: Colour
    width: float


@dataclass(frozen=True, slots=True)
class Traces:
    """The curves of a frame, and the boxes of ink that could hold curves and could not be followed."""

    curves: tuple[Trace, ...]
    tangled: tuple[Box, ...]


def without_rules(mask: Mask, levels: Sequence[Rule], uprights: Sequence[Rule]) -> Mask:
    """A mask without the lines of a grid in its colour: their bands are cut out and bridged where ink goes
    on."""
    free = numpy.ascontiguousarray(_without_levels(_without_levels(mask, levels).T, uprights).T)
    cut = [int(r.width) + 4 for r, own in _own(mask, levels) if own]
    cut += [int(r.width) + 4 for r, own in _own(mask.T, uprights) if own]
    if not cut:
        return mask
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (max(cut) + 3, max(cut) + 3))
    return numpy.asarray(cv2.morphologyEx(free, cv2.MORPH_CLOSE, kernel), dtype=numpy.uint8) & mask


def _own(mask: Mask, levels: Sequence[Rule]) -> list[tuple[Rule, bool]]:
    """Level lines, each with whether it is painted in the colour of a mask."""
    return [(r, bool(mask[int(r.at), r.start : r.end].mean() > OWN_SHARE)) for r in levels]


def _without_levels(mask: Mask, levels: Sequence[Rule]) -> Mask:
    free = mask.copy()
    for rule, is_own in _own(mask, levels):
        if is_own:
            half = int(rule.width / 2 + 1.5)
            free[max(0, int(rule.at) - half) : int(rule.at) + half + 1, rule.start : rule.end] = 0
    return free


def paintings_to_traces(paintings: Sequence[Painting], frame: Box) -> Traces:
    """The curves of each colour within a frame."""
    x0, top, x1, bottom = frame
    least = (LEAST_PART * (x1 - x0), LEAST_PART * (bottom - top))
    curves: list[Trace] = []
    tangled: list[Box] = []
    for painting in paintings:
        pieces, lost = _painting_to_pieces(painting, frame, least)
        whole = pieces_to_whole(pieces)
        long = [trace for trace in whole if _reaches(trace, least)]
        dashes = [t for t in whole if not _reaches(t, least) and _is_dash(t)]
        is_dashed = bool(long) and len(dashes) >= LEAST_DASHES  # without a curve they are rests of the grid
        curves += long
        tangled += lost + ([frame] if is_dashed else [])
    return Traces(tuple(curves), tuple(tangled))


def _painting_to_pieces(
    painting: Painting, frame: Box, least: tuple[float, float]
) -> tuple[list[Trace], list[Box]]:
    """The lines of one colour within a frame, and the boxes of large ones that cannot be followed."""
    x0, top, x1, bottom = frame
    pieces: list[Trace] = []
    lost: list[Box] = []
    inside = painting.mask[top:bottom, x0:x1]
    closed = cv2.morphologyEx(inside, cv2.MORPH_CLOSE, numpy.ones((5, 5), numpy.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(closed, connectivity=8)
    for number in range(1, count):
        x, y, wide, high, _ = (int(v) for v in stats[number])
        if max(wide, high) < LEAST_PIECE_PX:
            continue
        traced = part_to_points((labels[y : y + high, x : x + wide] == number).astype(numpy.uint8))
        if traced is not None:
            moved = tuple((x0 + x + px, top + y + py) for px, py in traced[0])
            pieces.append(Trace(moved, painting.colour, traced[1]))
        elif wide >= least[0] or high >= least[1]:
            lost.append((x0 + x, top + y, x0 + x + wide, top + y + high))
    return pieces, lost


def _is_dash(trace: Trace) -> bool:
    """Whether a short line could be a dash of a curve: slim, and falling as a curve does."""
    (ax, ay), (bx, by) = trace.points[0], trace.points[-1]
    return math.dist((ax, ay), (bx, by)) > DASH_TIMES * trace.width and by - ay > 1.0


def _reaches(trace: Trace, least: tuple[float, float]) -> bool:
    (ax, ay), (bx, by) = trace.points[0], trace.points[-1]
    return bx - ax >= least[0] or by - ay >= least[1]


def pieces_to_whole(pieces: Sequence[Trace]) -> list[Trace]:
    """Pieces of one colour whose ends face each other, put together where each has no other to go on with."""
    after: dict[int, list[int]] = {}
    before: dict[int, list[int]] = {}
    for i, one in enumerate(pieces):
        for j, other in enumerate(pieces):
            if i != j and one.colour == other.colour and _faces(one, other):
                after.setdefault(i, []).append(j)
                before.setdefault(j, []).append(i)
    follows = {i: own[0] for i, own in after.items() if len(own) == 1 and len(before[own[0]]) == 1}
    whole = []
    for first in range(len(pieces)):
        if first in follows.values():
            continue
        chain = [first]
        while chain[-1] in follows:
            chain.append(follows[chain[-1]])
        points = tuple(point for at in chain for point in pieces[at].points)
        whole.append(replace(pieces[first], points=points))
    return whole


def _faces(one: Trace, other: Trace) -> bool:
    """Whether a piece goes on in another: near, and straight on from both."""
    (ax, ay), (bx, by) = one.points[-1], other.points[0]
    gap = math.hypot(bx - ax, by - ay)
    if gap > REACH_WIDTHS * one.width:
        return False
    ways = _end_way(one.points), _end_way(other.points[::-1])
    straight = ways[0][0] * -ways[1][0] + ways[0][1] * -ways[1][1]
    if gap < one.width:
        return straight > STRAIGHT_ON
    across = ((bx - ax) / gap, (by - ay) / gap)
    return straight > STRAIGHT_ON and across[0] * ways[0][0] + across[1] * ways[0][1] > STRAIGHT_ON


def _end_way(points: Sequence[Point]) -> Point:
    """The direction in which a line arrives at its last point."""
    (bx, by) = points[-1]
    ax, ay = next((p for p in reversed(points) if math.dist(p, (bx, by)) > WAY_PX), points[0])
    length = math.hypot(bx - ax, by - ay) or 1.0
    return (bx - ax) / length, (by - ay) / length


def part_to_points(part: Mask) -> tuple[list[Point], float] | None:
    """The middle of one line from left to right, and its width; None where it forks, turns back or gapes."""
    depth = cv2.distanceTransform(numpy.pad(part, 1), cv2.DIST_L2, 5)[1:-1, 1:-1]
    ridge = depth[(depth >= cv2.dilate(depth, numpy.ones((3, 3), numpy.uint8))) & (depth > 0)]
    width = max(1.0, 2 * float(numpy.median(ridge)) - 0.5)
    by_row, twice_row = _rows_to_middles(part, SLIM * width)
    by_column, twice_column = _rows_to_middles(numpy.ascontiguousarray(part.T), SLIM * width)
    if twice_row > FORKED or twice_column > FORKED:
        return None
    points = sorted([*((x, y) for y, x in by_row), *by_column], key=lambda p: p[0] + p[1])
    main = _main_stretch(points, GAP_WIDTHS * width, BACK_WIDTHS * width)
    if len(main) < LEAST_POINTS or _length(main) < MAIN_SHARE * math.hypot(*part.shape):
        return None
    return _thinned(main), width


def _length(points: Sequence[Point]) -> float:
    return math.dist(points[0], points[-1])


def _main_stretch(points: Sequence[Point], gap: float, back: float) -> Sequence[Point]:
    """The longest stretch of a line without a gap and without a step back: a text that touches its end is cut
    off."""
    best: Sequence[Point] = ()
    start = 0
    right, low = -math.inf, -math.inf
    for at in range(len(points) + 1):
        is_end = at == len(points)
        breaks = (
            not is_end
            and at > start
            and (
                math.dist(points[at - 1], points[at]) > gap
                or right - points[at][0] > back
                or low - points[at][1] > back
            )
        )
        if is_end or breaks:
            if at > start and (not best or _length(points[start:at]) > _length(best)):
                best = points[start:at]
            start, right, low = at, -math.inf, -math.inf
        if not is_end:
            right, low = max(right, points[at][0]), max(low, points[at][1])
    return best


def _rows_to_middles(part: Mask, widest: float) -> tuple[list[tuple[float, float]], float]:
    """For each row with one slim run of ink its middle, as (row, column); and the share of rows with more
    than one run."""
    edges = numpy.diff(numpy.pad(part.astype(numpy.int8), ((0, 0), (1, 1))), axis=1)
    runs = (edges == 1).sum(axis=1)
    starts, ends = edges.argmax(axis=1), part.shape[1] - part[:, ::-1].argmax(axis=1)
    found = [
        (row + 0.5, (int(starts[row]) + int(ends[row])) / 2)
        for row in range(part.shape[0])
        if runs[row] == 1 and ends[row] - starts[row] <= widest
    ]
    return found, float((runs > 1).mean())


def _thinned(points: Sequence[Point]) -> list[Point]:
    """Fewer points, each the mean of its neighbours."""
    array = numpy.array(points)
    kernel = numpy.ones(SMOOTH) / SMOOTH
    inner = numpy.column_stack([numpy.convolve(array[:, k], kernel, mode="valid") for k in (0, 1)])
    smooth = numpy.vstack([array[:1], inner, array[-1:]])
    kept = [smooth[0]]
    for point in smooth[1:]:
        if numpy.hypot(*(point - kept[-1])) >= STEP_PX:
            kept.append(point)
    return [(float(x), float(y)) for x, y in kept]
