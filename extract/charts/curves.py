"""The strokes of a chart that are curves, and those that lead to labels.

Comes in: a frame and the strokes of its page. Goes out: Lines as drawn: curves from left to right, each whole
and once, and leaders. Names no curve.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from extract.charts.drawn import Drawn
from extract.charts.frames import Frame, is_square, runs_along_axes
from extract.charts.geometry import bend_of, length_of, to_polyline
from extract.charts.ink import Box, Stroke
from extract.charts.outlines import outline_to_middle
from extract.charts.pieces import pieces_to_lines

WITHIN_PT = 2.5  # a curve reaches no farther beyond its frame
SAME_PT = 0.35  # two lines drawn over each other
TWICE_SHARE = 0.9  # of a line's length: a shorter one that lies on it is a piece of another
BEND_PT = 1.2  # a line that bends no more is straight
LEAST_PART = 0.12  # of the frame's width or height: a curve reaches so far
STRAIGHT_SHARE = 0.4  # of the frame's width: a straight line that is a curve reaches so far
THINNER = 0.62  # leaders are thinner than this share of the curves' width
WHITE = 245
DOT_PT = 0.4  # shorter strokes are dots
BOX_PT = 12.0  # a line of level and upright pieces that is wider and higher is a box or a pair of axes
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
    near = _without_grid(drawn, frame)
    inside = [line for line in near if _share_inside(line, frame) > 0.9]
    joined = pieces_to_lines(_without_doubles(inside))
    tall = [line for line in joined if _is_tall(line, frame) and _runs_down(line)]
    curves = _tell_curves(tall, frame, may_be_straight)
    chosen = {id(line) for line in curves}
    rest = [line for line in joined if id(line) not in chosen] + [
        line for line in near if _share_inside(line, frame) <= 0.9
    ]
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
    if stroke.is_closed or stroke.is_filled or length_of(stroke.points) < DOT_PT:
        return None
    return _to_the_right(Drawn(stroke.points, stroke.width, stroke.colour, stroke.is_dashed, stroke.order))


def _without_grid(lines: Sequence[Drawn], frame: Frame) -> list[Drawn]:
    """The lines that are neither grid, nor frame, nor ticks, nor pieces of these."""
    x0, top, x1, bottom = frame.box
    grid = set()
    for line in lines:
        a0, b0, a1, b1 = line.box
        if b1 - b0 < 0.5 and a1 - a0 > 0.85 * frame.width:
            grid.add(("level", round(b0), line.colour))
        elif a1 - a0 < 0.5 and b1 - b0 > 0.85 * frame.height:
            grid.add(("upright", round(a0), line.colour))
    kept = []
    for line in lines:
        a0, b0, a1, b1 = line.box
        level, upright = b1 - b0 < 0.5, a1 - a0 < 0.5
        on_grid = (level and ("level", round(b0), line.colour) in grid) or (
            upright and ("upright", round(a0), line.colour) in grid
        )
        is_tick = (level and a1 - a0 < TICK_PT and any(a0 - 1 <= edge <= a1 + 1 for edge in (x0, x1))) or (
            upright and b1 - b0 < TICK_PT and any(b0 - 1 <= edge <= b1 + 1 for edge in (top, bottom))
        )
        if not on_grid and not is_tick and not _is_outline(line, frame):
            kept.append(line)
    return kept


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
    return x0 - 90 < a1 and a0 < x1 + 90 and top - 120 < b1 and b0 < bottom + 60


def _share_inside(line: Drawn, frame: Frame) -> float:
    """The share of a line's vertices within the frame."""
    x0, top, x1, bottom = frame.box
    inside = [
        x0 - WITHIN_PT <= x <= x1 + WITHIN_PT and top - WITHIN_PT <= y <= bottom + WITHIN_PT
        for x, y in line.points
    ]
    return sum(inside) / len(inside)


def _without_doubles(lines: Sequence[Drawn]) -> list[Drawn]:
    """Lines drawn twice over each other, once (the wider one stays)."""
    kept: list[Drawn] = []
    for line in sorted(lines, key=lambda item: (-length_of(item.points), -item.width)):
        if not any(_covers(other, line) for other in kept):
            kept.append(line)
    return sorted(kept, key=lambda item: item.order)


def _covers(one: Drawn, other: Drawn) -> bool:
    """Whether a line lies on another of its colour all along."""
    if one.colour != other.colour or length_of(other.points) < TWICE_SHARE * length_of(one.points):
        return False
    a, b = one.box, other.box
    if b[0] < a[0] - SAME_PT or b[1] < a[1] - SAME_PT or b[2] > a[2] + SAME_PT or b[3] > a[3] + SAME_PT:
        return False
    return all(to_polyline(point, one.points) < SAME_PT for point in other.points)


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
        widest = max((line.width for line in straight), default=0.0)
        return [line for line in straight if line.width > THINNER * widest]
    styles: dict[float, float] = {}
    for line in bent:
        styles[round(line.width, 1)] = styles.get(round(line.width, 1), 0.0) + length_of(line.points)
    main = max(styles, key=styles.__getitem__)
    curves = [line for line in bent if line.width > THINNER * main and not _is_leader_like(line, main)]
    looks = {(line.colour, round(line.width, 1)) for line in curves}
    as_wide = [line for line in straight if may_be_straight and line.width > THINNER * main]
    return curves + [
        line
        for line in lines
        if line not in bent and (line in as_wide or (line.colour, round(line.width, 1)) in looks)
    ]


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
