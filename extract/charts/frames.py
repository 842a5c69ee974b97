"""Boxes that could be charts: a grid, a frame or a pair of axes, with something drawn in it.

Comes in: Ink. Goes out: Frames: the box of the axes and the lines that run through it or stand as ticks at
its edges. Tables are frames too at first; only those with a stroke that follows no axis are kept. Names no
scale.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from extract.charts.ink import Box, Ink, Stroke

LEAST_WIDE, LEAST_HIGH = 60.0, 45.0  # a chart is no smaller, in points
THIN_PT = 1.6  # a filled area thinner than this is a line
STRAIGHT_PT = 0.6  # a line along an axis strays no more
LONG_PT = 2.0  # a line is no shorter
SAME_PT = 2.5  # ends of lines of one frame agree so well
EDGE_PT = 10.5  # ticks reach no farther beyond a frame
WHOLE_PAGE = 0.98  # of its width and height: a box so large is no chart's
TRIM_PT = 10.5  # the outermost line stands no farther inside the extent of the others
MOST_AREAS = 40  # shaded areas of a page that could be the ground of a chart
LEAST_LINES = 2  # so many each way run through the shaded ground of a chart
LEAST_GRID = 4  # so many lines each way are a grid, with a frame around it or without
JOINT_PT, SAME_LINE_PT = 1.5, 0.25  # pieces of one line leave no wider gap and stand no farther aside
LEAST_DASHES = 8  # a dashed curve has so many
LEAST_CURVE = 0.12  # a curve reaches over this share of a frame's width or height


@dataclass(frozen=True, slots=True)
class Line:
    """A line along an axis. Horizontal: `at` is y, from x `start` to `end`; vertical the other way."""

    at: float
    start: float
    end: float
    width: float
    colour: tuple[int, int, int]
    order: int

    @property
    def length(self) -> float:
        """In points."""
        return self.end - self.start


@dataclass(frozen=True, slots=True)
class Frame:
    """The box of a chart's axes. `columns` are the x of vertical lines through it, `rows` the y of horizontal
    ones; `ticks_x`, `ticks_y` short lines at its edges."""

    box: Box
    columns: tuple[float, ...]
    rows: tuple[float, ...]
    ticks_x: tuple[float, ...] = ()
    ticks_y: tuple[float, ...] = ()

    @property
    def width(self) -> float:
        """In points."""
        return self.box[2] - self.box[0]

    @property
    def height(self) -> float:
        """In points."""
        return self.box[3] - self.box[1]


def ink_to_frames(ink: Ink) -> tuple[Frame, ...]:
    """The frames of a page with something drawn in them, from the top left on."""
    slanted = [stroke for stroke in ink.strokes if is_slanted(stroke)]
    if not slanted:
        return ()
    horizontals, verticals = strokes_to_lines(ink.strokes)
    boxes = [
        box
        for box in (*_lines_to_boxes(horizontals, verticals), *_areas_to_boxes(ink, horizontals, verticals))
        if holds_curve(box, slanted) and not _is_page(box, ink)
    ]
    frames = [
        box_to_frame(box, horizontals, verticals) for box in _without_nested(boxes, horizontals, verticals)
    ]
    return tuple(sorted(frames, key=lambda f: (round(f.box[1] / 20), f.box[0])))


def _is_page(box: Box, ink: Ink) -> bool:
    """Whether a box is the edge of the page."""
    x0, top, x1, bottom = box
    return x1 - x0 > WHOLE_PAGE * ink.width > 0 and bottom - top > WHOLE_PAGE * ink.height


def is_slanted(stroke: Stroke) -> bool:
    """A stroke that follows no axis and is no small closed shape."""
    if stroke.is_filled and stroke.is_closed and len(stroke.points) < 8:
        return False
    return not is_square(stroke)


def is_square(stroke: Stroke) -> bool:
    """Whether all its pieces run along the axes."""
    return runs_along_axes(stroke.points)


def runs_along_axes(points: Sequence[tuple[float, float]]) -> bool:
    """Whether a polyline has level and upright pieces only."""
    ax, ay = points[0]
    for bx, by in points[1:]:
        less, more = sorted((abs(ax - bx), abs(ay - by)))
        if more < 1.0 and (bx, by) != points[-1]:
            continue  # too near to tell a direction
        if less > 0.4 or less > 0.1 * max(more, 1.0):
            return False
        ax, ay = bx, by
    return True


def strokes_to_lines(strokes: Iterable[Stroke]) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """Horizontal and vertical lines: strokes along an axis, edges of boxes, thin areas; pieces joined."""
    horizontals: list[Line] = []
    verticals: list[Line] = []
    for stroke in strokes:
        x0, top, x1, bottom = stroke.box
        wide, high = x1 - x0, bottom - top
        thin = THIN_PT if stroke.is_filled else STRAIGHT_PT
        if max(wide, high) < LONG_PT:
            continue
        if high <= STRAIGHT_PT or (high <= thin and wide > high):
            horizontals.append(
                Line((top + bottom) / 2, x0, x1, stroke.width or high, stroke.colour, stroke.order)
            )
        elif wide <= thin:
            verticals.append(
                Line((x0 + x1) / 2, top, bottom, stroke.width or wide, stroke.colour, stroke.order)
            )
        elif _is_drawn_box(stroke):
            for is_level, line in _edges(stroke):
                (horizontals if is_level else verticals).append(line)
    return join_lines(horizontals), join_lines(verticals)


def _is_drawn_box(stroke: Stroke) -> bool:
    """Whether a stroke draws the edges of a box."""
    is_area = stroke.is_filled and stroke.width == 0
    return not is_area and len(stroke.points) <= 6 and is_square(stroke)


def _edges(stroke: Stroke) -> Iterator[tuple[bool, Line]]:
    """The edges of a box, each with whether it is level."""
    for (ax, ay), (bx, by) in pairwise(stroke.points):
        is_level = abs(ay - by) < 0.4
        start, end = sorted((ax, bx) if is_level else (ay, by))
        at = (ay + by) / 2 if is_level else (ax + bx) / 2
        yield is_level, Line(at, start, end, stroke.width, stroke.colour, stroke.order)


def join_lines(lines: Sequence[Line]) -> tuple[Line, ...]:
    """Pieces of one line, drawn one after the other or twice, as one."""
    levels: list[list[Line]] = []
    for line in sorted(lines, key=lambda item: item.at):
        if levels and line.at - levels[-1][-1].at < SAME_LINE_PT:
            levels[-1].append(line)
        else:
            levels.append([line])
    joined: list[Line] = []
    for level in levels:
        lane: list[Line] = []
        reach = 0.0
        for line in sorted(level, key=lambda item: item.start):
            if lane and line.start - reach > JOINT_PT:
                joined.append(_lane_to_line(lane))
                lane = []
            reach = max(reach, line.end) if lane else line.end
            lane.append(line)
        joined.append(_lane_to_line(lane))
    return tuple(joined)


def _lane_to_line(lane: Sequence[Line]) -> Line:
    widest = max(lane, key=lambda line: line.length)
    start, end = min(line.start for line in lane), max(line.end for line in lane)
    return Line(widest.at, start, end, widest.width, widest.colour, widest.order)


def _lines_to_boxes(horizontals: Sequence[Line], verticals: Sequence[Line]) -> list[Box]:
    """Boxes that lines of like extent form with lines across them, or two axes that meet in a corner."""
    rows = lines_to_spans([line for line in horizontals if line.length >= LEAST_WIDE])
    columns = lines_to_spans([line for line in verticals if line.length >= LEAST_HIGH])
    boxes: list[Box] = []
    for x0, x1, ys in rows:
        for y0, y1, xs in columns:
            if any(y0 - EDGE_PT <= y <= y1 + EDGE_PT for y in ys) and any(
                x0 - EDGE_PT <= x <= x1 + EDGE_PT for x in xs
            ):
                box = _trimmed((x0, y0, x1, y1), horizontals, verticals)
                if box is None and min(len(xs), len(ys)) >= LEAST_GRID:
                    box = (x0, y0, x1, y1)  # a grid without a frame
                boxes += [box] if box is not None else []
    return list(dict.fromkeys(boxes))


def _areas_to_boxes(ink: Ink, horizontals: Sequence[Line], verticals: Sequence[Line]) -> list[Box]:
    """Shaded areas that lines run through both ways: the ground of a chart without a frame. Only the largest
    are looked at: a page may paint thousands."""
    areas = {
        stroke.box
        for stroke in ink.strokes
        if stroke.is_filled and stroke.width == 0 and len(stroke.points) == 5 and is_square(stroke)
    }
    large = [box for box in areas if box[2] - box[0] >= LEAST_WIDE and box[3] - box[1] >= LEAST_HIGH]
    largest = sorted(large, key=lambda box: (box[0] - box[2]) * (box[3] - box[1]))[:MOST_AREAS]
    frames = [box_to_frame(box, horizontals, verticals) for box in largest]
    return [frame.box for frame in frames if min(len(frame.columns), len(frame.rows)) >= LEAST_LINES]


def _trimmed(box: Box, horizontals: Sequence[Line], verticals: Sequence[Line]) -> Box | None:
    """A box cut back to its outermost lines (ticks reach beyond); None if lines do not close it at its left
    and its foot at least."""
    frame = box_to_frame(box, horizontals, verticals)
    x0, top, x1, bottom = box
    left = min((x for x in frame.columns if abs(x - x0) <= TRIM_PT), default=None)
    foot = max((y for y in frame.rows if abs(y - bottom) <= TRIM_PT), default=None)
    if left is None or foot is None:
        return None
    right = max((x for x in frame.columns if abs(x - x1) <= TRIM_PT), default=x1)
    head = min((y for y in frame.rows if abs(y - top) <= TRIM_PT), default=top)
    return left, head, right, foot


def lines_to_spans(lines: Sequence[Line]) -> list[tuple[float, float, list[float]]]:
    """Groups of lines of like extent: where they start, where they end, at which places they stand."""
    groups: list[list[Line]] = []
    for line in sorted(lines, key=lambda item: item.start):
        for group in reversed(groups):
            if abs(group[0].start - line.start) <= SAME_PT and abs(group[0].end - line.end) <= SAME_PT:
                group.append(line)
                break
        else:
            groups.append([line])
    return [
        (_middle([g.start for g in group]), _middle([g.end for g in group]), sorted(g.at for g in group))
        for group in groups
    ]


def _middle(values: Sequence[float]) -> float:
    return sorted(values)[len(values) // 2]


def holds_curve(box: Box, slanted: Sequence[Stroke]) -> bool:
    """Whether a stroke within a box could be a curve, or many of one colour could be its dashes."""
    x0, top, x1, bottom = box
    wide, high = x1 - x0, bottom - top
    dashes: dict[tuple[int, int, int], list[Box]] = {}
    for stroke in slanted:
        a0, b0, a1, b1 = stroke.box
        if not (x0 - 3 <= a0 and a1 <= x1 + 3 and top - 3 <= b0 and b1 <= bottom + 3):
            continue
        large = a1 - a0 > 6 and b1 - b0 > 6
        if large and (a1 - a0 > LEAST_CURVE * wide or b1 - b0 > LEAST_CURVE * high):
            return True
        dashes.setdefault(stroke.colour, []).append(stroke.box)
    return any(
        len(own) >= LEAST_DASHES and max(b[3] for b in own) - min(b[1] for b in own) > 2 * LEAST_CURVE * high
        for own in dashes.values()
    )


def _without_nested(
    boxes: Sequence[Box], horizontals: Sequence[Line], verticals: Sequence[Line]
) -> list[Box]:
    """Of boxes within each other the one with the most lines through it and ticks at its edges (the box of a
    legend has none); of equal ones the inner."""

    def rank(box: Box) -> tuple[int, float]:
        frame = box_to_frame(box, horizontals, verticals)
        marks = (frame.columns, frame.rows, frame.ticks_x, frame.ticks_y)
        return sum(map(len, marks)), -(frame.width * frame.height)

    kept: list[Box] = []
    for box in sorted(boxes, key=rank, reverse=True):
        if not any(_share(box, other) > 0.3 for other in kept):
            kept.append(box)
    return kept


def _share(one: Box, other: Box) -> float:
    """How much of the smaller box both have in common."""
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    smaller = min((b[2] - b[0]) * (b[3] - b[1]) for b in (one, other))
    return max(0.0, wide) * max(0.0, high) / smaller if smaller > 0 else 0.0


def box_to_frame(box: Box, horizontals: Sequence[Line], verticals: Sequence[Line]) -> Frame:
    x0, top, x1, bottom = box
    return Frame(
        box,
        _merged(line.at for line in verticals if _runs_through(line, top, bottom, x0, x1)),
        _merged(line.at for line in horizontals if _runs_through(line, x0, x1, top, bottom)),
        _merged(line.at for line in verticals if _is_tick(line, top, bottom, x0, x1)),
        _merged(line.at for line in horizontals if _is_tick(line, x0, x1, top, bottom)),
    )


def _runs_through(line: Line, start: float, end: float, low: float, high: float) -> bool:
    """Whether a line runs through the frame from edge to edge, or nearly (a label may hide its end)."""
    covered = min(line.end, end) - max(line.start, start)
    beyond = max(start - line.start, line.end - end)
    return low - 1.5 <= line.at <= high + 1.5 and covered >= 0.85 * (end - start) and beyond <= EDGE_PT


def _is_tick(line: Line, start: float, end: float, low: float, high: float) -> bool:
    """Whether a short line stands at an edge of the frame, across it."""
    if line.length > 0.08 * (end - start) + 2 or not low - 1.5 <= line.at <= high + 1.5:
        return False
    return any(line.start - 1.0 <= edge <= line.end + 1.0 for edge in (start, end))


def _merged(places: Iterable[float]) -> tuple[float, ...]:
    """Places sorted, those closer than a line's width as one."""
    found: list[list[float]] = []
    for place in sorted(places):
        if found and place - found[-1][-1] < 0.35:
            found[-1].append(place)
        else:
            found.append([place])
    return tuple(sum(group) / len(group) for group in found)
