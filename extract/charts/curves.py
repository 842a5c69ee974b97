"""The strokes of a chart that are curves, and those that lead to labels.

Comes in: a frame and the strokes of its page. Goes out: Lines as drawn: curves from left to right, each whole
and once, and leaders. Names no curve.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice

from extract.charts.dotted import strokes_to_dotted
from extract.charts.drawn import Drawn
from extract.charts.frames import Frame, is_square, runs_along_axes
from extract.charts.geometry import bend_of, length_of, to_polyline
from extract.charts.ink import Box, Point, Stroke
from extract.charts.markers import without_markers
from extract.charts.outlines import outline_to_middle
from extract.charts.pieces import pieces_to_lines

WITHIN_PT = 2.5  # a curve reaches no farther beyond its frame
SAME_PT = 0.35  # two lines drawn over each other
SAME_END_PT = 1.0  # ends of a piece drawn twice
TWICE_SHARE = 0.9  # of a line's length: a shorter one that lies on it is a piece of another
BEND_PT = 1.2  # a line that bends no more is straight
LEAST_PART = 0.12  # of the frame's width or height: a curve reaches so far
STRAIGHT_SHARE = 0.4  # of the frame's width: a straight line that is a curve reaches so far
THINNER = 0.62  # leaders are thinner than this share of the curves' width
WHITE = 245
DOT_PT = 0.4  # shorter strokes are dots
BOX_PT = 12.0  # a line of level and upright pieces that is wider and higher is a box or a pair of axes
STRAIGHT_PT, GRID_SHARE = 0.5, 0.85  # a line along an axis strays no more; of the grid's it is so long
TICK_PT = 9.0  # ticks are shorter
FLAT_PT = 3.0  # a line that rises less is a rule
BACK_PT = 0.4  # a curve steps no farther back


@dataclass(frozen=True, slots=True)
class ChartLines:
    """What is drawn in and around a frame: curves, from left to right; leaders; and notes of what was cut."""

    curves: tuple[Drawn, ...]
    leaders: tuple[Drawn, ...]


def strokes_to_chart_lines(
    frame: Frame, strokes: Sequence[Stroke], may_be_straight: bool = False
) -> ChartLines:
    """Curves, from the upper left to the lower right, and leaders of a frame. `may_be_straight`: a straight
    line beside bent ones is a curve too."""
    close = [stroke for stroke in strokes if _is_near(stroke.box, frame)]
    drawn = [line for stroke in close if (line := _stroke_to_drawn(stroke)) is not None]
    drawn += strokes_to_dotted(close)
    near = without_markers(_without_grid(drawn, frame))
    inside = [line for line in near if _share_inside(line, frame) > 0.9]
    joined = pieces_to_lines(_without_doubles(inside, SAME_END_PT))
    tall = [line for line in joined if _is_tall(line, frame) and _runs_down(line)]
    curves = _tell_curves(tall, frame, may_be_straight)
    chosen, within = {id(line) for line in curves}, {id(line) for line in inside}
    rest = [line for line in joined if id(line) not in chosen]
    rest += [line for line in near if id(line) not in within]
    functions = [cut for line in curves if len((cut := _as_function(line)).points) > 1]
    return ChartLines(tuple(_without_doubles(functions)), tuple(rest))


def _stroke_to_drawn(stroke: Stroke) -> Drawn | None:
    """A stroke, or the middle of a filled outline, as a line; None for areas, white ones and boxes."""
    x0, top, x1, bottom = stroke.box
    if min(stroke.colour) >= WHITE or (is_square(stroke) and min(x1 - x0, bottom - top) > BOX_PT):
        return None
    if stroke.width == 0 and stroke.is_filled:
        middle = outline_to_middle(stroke.points)
        if middle is None:
            return None
        return _to_the_right(Drawn(tuple(middle[0]), middle[1], stroke.colour, False, stroke.order))
    points = _there_and_back(stroke.points) if stroke.is_closed else stroke.points
    if points is None or stroke.is_filled or length_of(points) < DOT_PT:
        return None
    line = Drawn(points, stroke.width, stroke.colour, stroke.is_dashed, stroke.order)
    return _to_the_right(replace(line, dashes=stroke.dashes))


def _there_and_back(points: tuple[Point, ...]) -> tuple[Point, ...] | None:
    """The way out of a closed line that comes back as it went: some programs close each piece of a curve."""
    return points[: len(points) // 2 + 1] if len(points) % 2 and points == points[::-1] else None


def _without_grid(lines: Sequence[Drawn], frame: Frame) -> list[Drawn]:
    """The lines that are neither grid, nor frame, nor ticks, nor pieces of these."""
    places = [(line, _along_axis(line)) for line in lines]
    grid = {place for line, place in places if place is not None and _runs_through(line, place[0], frame)}
    return [
        line
        for line, place in places
        if place not in grid and not _is_tick(line, place, frame) and not _is_outline(line, frame)
    ]


_Along = tuple[str, int, tuple[int, int, int]]


def _along_axis(line: Drawn) -> _Along | None:
    """Where a level or an upright line stands, in its colour; None for a slanted one."""
    a0, b0, a1, b1 = line.box
    if b1 - b0 < STRAIGHT_PT:
        return "level", round(b0), line.colour
    return ("upright", round(a0), line.colour) if a1 - a0 < STRAIGHT_PT else None


def _runs_through(line: Drawn, way: str, frame: Frame) -> bool:
    """Whether a line along an axis runs through the frame."""
    a0, b0, a1, b1 = line.box
    return a1 - a0 > GRID_SHARE * frame.width if way == "level" else b1 - b0 > GRID_SHARE * frame.height


def _is_tick(line: Drawn, place: _Along | None, frame: Frame) -> bool:
    """Whether a short line along one axis stands on the edge of the other."""
    if place is None:
        return False
    (x0, top, x1, bottom), (a0, b0, a1, b1) = frame.box, line.box
    low, high, edges = (a0, a1, (x0, x1)) if place[0] == "level" else (b0, b1, (top, bottom))
    return high - low < TICK_PT and any(low - 1 <= edge <= high + 1 for edge in edges)


def _is_outline(line: Drawn, frame: Frame) -> bool:
    """A frame or a pair of axes drawn as one path."""
    x0, top, x1, bottom = line.box
    return (
        runs_along_axes(line.points) and x1 - x0 > 0.85 * frame.width and bottom - top > 0.85 * frame.height
    )


def _to_the_right(line: Drawn) -> Drawn:
    (ax, ay), (bx, by) = line.points[0], line.points[-1]
    return line if (ax, ay) <= (bx, by) else replace(line, points=line.points[::-1])


def _is_near(box: Box, frame: Frame) -> bool:
    x0, top, x1, bottom = frame.box
    a0, b0, a1, b1 = box
    return x0 - 90 < a1 and a0 < x1 + 90 and top - 120 < b1 and b0 < bottom + 140


def _share_inside(line: Drawn, frame: Frame) -> float:
    """The share of a line's vertices within the frame."""
    x0, top, x1, bottom = frame.box
    inside = [
        x0 - WITHIN_PT <= x <= x1 + WITHIN_PT and top - WITHIN_PT <= y <= bottom + WITHIN_PT
        for x, y in line.points
    ]
    return sum(inside) / len(inside)


def _without_doubles(lines: Sequence[Drawn], ends: float = math.inf) -> list[Drawn]:
    """Lines drawn twice over each other, once (the wider one stays). Their ends stand no farther apart than
    `ends`: a piece of a curve may lie on a longer piece of its neighbour."""
    kept: dict[tuple[int, int, int], list[_Sized]] = {}
    sized = [_Sized(line, line.box, length_of(line.points)) for line in lines]
    for one in sorted(sized, key=lambda item: (-item.length, -item.line.width)):
        own = kept.setdefault(one.line.colour, [])
        first = bisect_left(own, -one.length / TWICE_SHARE, key=lambda item: -item.length)
        as_long = islice(own, first, None)  # what is kept comes longest first
        if not any(_covers(other, one) and _ends_apart(other.line, one.line) <= ends for other in as_long):
            own.append(one)
    return sorted((one.line for own in kept.values() for one in own), key=lambda item: item.order)


@dataclass(frozen=True, slots=True)
class _Sized:
    """A line with its box and its length."""

    line: Drawn
    box: Box
    length: float


def _ends_apart(one: Drawn, other: Drawn) -> float:
    """How far the ends of two lines stand apart, whichever way they run."""
    (a, b), (c, d) = (one.points[0], one.points[-1]), (other.points[0], other.points[-1])
    return min(max(math.dist(a, c), math.dist(b, d)), max(math.dist(a, d), math.dist(b, c)))


def _covers(one: _Sized, other: _Sized) -> bool:
    """Whether a line lies on another, hardly longer one of its colour all along."""
    a, b = one.box, other.box
    if b[0] < a[0] - SAME_PT or b[1] < a[1] - SAME_PT or b[2] > a[2] + SAME_PT or b[3] > a[3] + SAME_PT:
        return False
    return all(to_polyline(point, one.line.points) < SAME_PT for point in other.line.points)


def _is_tall(line: Drawn, frame: Frame) -> bool:
    x0, top, x1, bottom = line.box
    is_level = min(bottom - top, x1 - x0) < FLAT_PT or runs_along_axes(line.points)
    return not is_level and (bottom - top > LEAST_PART * frame.height or x1 - x0 > LEAST_PART * frame.width)


def _runs_down(line: Drawn) -> bool:
    """Whether a line runs as a curve does: from the upper left to the lower right."""
    (ax, ay), (bx, by) = line.points[0], line.points[-1]
    return by > ay and bx > ax


def _tell_curves(lines: Sequence[Drawn], frame: Frame, may_be_straight: bool) -> list[Drawn]:
    """The curves among the long lines: those that bend and are as wide as the widest style that bends;
    straight ones only if they look like them, if they may be straight, or if nothing bends."""
    bent = [line for line in lines if bend_of(line.points) > BEND_PT and len(line.points) > 3]
    straight = [line for line in lines if line.box[2] - line.box[0] > STRAIGHT_SHARE * frame.width]
    if not bent:
        return _wide(straight, max((line.width for line in straight), default=0.0))
    main = _main_width(bent)
    curves = [line for line in _wide(bent, main) if not _is_leader_like(line, main)]
    looks = {_look(line) for line in curves}
    as_wide = _wide(straight, main) if may_be_straight else []
    others = [line for line in lines if line not in bent]
    return curves + [line for line in others if line in as_wide or _look(line) in looks]


def _wide(lines: Sequence[Drawn], main: float) -> list[Drawn]:
    """The lines that are not much thinner than a width."""
    return [line for line in lines if line.width >= THINNER * main]


def _main_width(bent: Sequence[Drawn]) -> float:
    """The width of most of the way that bent lines go."""
    ways: dict[float, float] = {}
    for line in bent:
        ways[round(line.width, 1)] = ways.get(round(line.width, 1), 0.0) + length_of(line.points)
    return max(ways, key=ways.__getitem__)


def _look(line: Drawn) -> tuple[tuple[int, int, int], float]:
    return line.colour, round(line.width, 1)


def _is_leader_like(line: Drawn, main: float) -> bool:
    """A line of few pieces, thinner than the curves: underline, slope and tip."""
    return len(line.points) <= 4 and line.width < 0.9 * main


def _as_function(line: Drawn) -> Drawn:
    """The longest stretch of a line that goes to the right only: a hook at its end is cut off."""
    best: tuple[int, int] = (0, 0)
    start = 0
    points = line.points
    for index in range(1, len(points) + 1):
        if index == len(points) or points[index][0] < points[index - 1][0] - BACK_PT:
            if length_of(points[start:index]) > length_of(points[best[0] : best[1]]):
                best = (start, index)
            start = index
    return replace(line, points=points[best[0] : best[1]])
