"""The curves of a painted chart: lines of one colour that fall from the upper left to the lower right.

Comes in: the masks of colours within a frame, the rules of its grid. Goes out: Traces: each curve as points
in pixels, and the straight lines that could lead from a label to one. Names none.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median

import cv2
import numpy
from numpy.typing import NDArray

from extract.charts.geometry import bend_of, to_polyline
from extract.charts.pixels.hues import HUELESS, Colour, Painting, colours_to_told, line_to_colour
from extract.charts.pixels.linked import Chain, end_way, paths_to_chains
from extract.charts.pixels.painted import Pixels
from extract.charts.pixels.ruled import Rule
from extract.charts.pixels.straight import paths_to_straight
from extract.charts.pixels.thinned import Path, mask_to_paths

Mask = NDArray[numpy.uint8]
Box = tuple[int, int, int, int]
Point = tuple[float, float]

LEAST_PART = 0.12  # of the frame's width or height: a curve reaches so far
OWN_SHARE = 0.4  # of a line of the grid is painted in a colour that is its own
BACK_WIDTHS = 0.8  # a curve steps back no farther: at its ends its middles are those of its ends
STEP_PX = 3.0  # points of a trace stand so far apart at least
LEAST_PIECE_PT = 1.8  # of a line
LEAST_INKED = 0.4  # of a curve's length
BEND_PT, THINNER = 1.2, 0.72  # a line that bends no more is straight; a leader is thinner than most curves
TWICE_SHARE = 0.7  # of a curve lies on a longer one: it is no other
END_WIDTHS = 4.0  # the middle of a line ends no more widths before its ink
WEDGE_PT, WEDGE_SLOPE, WEDGE_INK = 12.0, 0.15, 1.5  # how far ink is looked for behind an end, how far aside
# for each dot of the way, and how much (squared widths) is a lost piece
MERGED_PT = 2.5  # a curve that ends so near another may run on in it
REST_PX, EDGE_PX = 4, 4  # ink so near a curve is its own; so near the frame it is the frame's
FLAT = 0.02  # a line that rises or runs less of its length is the grid's


@dataclass(frozen=True, slots=True)
class Trace:
    """One curve: its points in pixels from left to right, its colour, its width, and whether it could go on
    in another line."""

    points: tuple[Point, ...]
    colour: Colour
    width: float
    is_doubtful: bool = False


@dataclass(frozen=True, slots=True)
class Traces:
    """The curves of a frame, and the straight lines that could lead to them."""

    curves: tuple[Trace, ...]
    leaders: tuple[Trace, ...]


def without_rules(mask: Mask, levels: Sequence[Rule], uprights: Sequence[Rule]) -> Mask:
    """A mask without the lines of a grid in its colour: their bands are cut out and bridged where ink goes
    on."""
    own_levels, own_uprights = _own(mask, levels), _own(mask.T, uprights)
    rules = [*own_levels, *own_uprights]
    if not rules:
        return mask
    free = mask.copy()
    _cut(free, own_levels)
    _cut(free.T, own_uprights)
    wide = max(int(rule.width) for rule in rules) + 7
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (wide, wide))
    return numpy.asarray(cv2.morphologyEx(free, cv2.MORPH_CLOSE, kernel), dtype=numpy.uint8) & mask


def _own(mask: Mask, levels: Sequence[Rule]) -> list[Rule]:
    """The level lines that are painted in the colour of a mask."""
    return [
        rule
        for rule in levels
        if max(
            mask[row, rule.start : rule.end].mean()
            for row in range(max(0, int(rule.at) - 1), min(len(mask), int(rule.at) + 2))
        )
        > OWN_SHARE
    ]


def _cut(mask: Mask, levels: Sequence[Rule]) -> None:
    """Takes the bands of level lines out of a mask."""
    for rule in levels:
        half = int(rule.width / 2 + 1.5)
        mask[max(0, int(rule.at) - half) : int(rule.at) + half + 1, rule.start : rule.end] = 0


def paintings_to_traces(paintings: Sequence[Painting], rgb: Pixels, frame: Box, scale: float) -> Traces:
    """The curves of each colour within a frame, and the straight lines in and around it; `scale` is how many
    pixels go to a point."""
    x0, top, x1, bottom = frame
    least = (LEAST_PART * (x1 - x0), LEAST_PART * (bottom - top))
    curves: list[Trace] = []
    leaders: list[Trace] = []
    for painting in paintings:
        paths = mask_to_paths(painting.mask, LEAST_PIECE_PT * scale)
        falling = paths_to_chains([path for path in paths if _is_inside(path, frame)], scale)
        long = [chain for chain in falling if _is_curve(chain, least)]
        own = [chain for chain in long if not _is_leader(chain, long, scale)]
        lines = [_to_ends(painting.mask, _forward(chain.points, chain.width), chain.width) for chain in own]
        colours = colours_to_told([line_to_colour(rgb, line) for line in lines])
        for chain, line, colour in zip(own, lines, colours, strict=True):
            curves.append(Trace(tuple(line), colour, chain.width, chain.is_doubtful))
        straight = paths_to_straight(paths, own, painting.inked, scale)
        leaders += [Trace(one.ends, painting.colour, one.width) for one in straight]
    if not curves:
        return Traces((), tuple(leaders))
    kept = _without_doubles(curves, paintings[0].mask.shape)
    told = _merged_to_doubtful(_cut_short_to_doubtful(kept, paintings, frame, scale), scale)
    return Traces(tuple(told), tuple(leaders))


def _merged_to_doubtful(curves: Sequence[Trace], scale: float) -> list[Trace]:
    """Curves, those in doubt that end at another or at which another ends: it may run on in that one."""
    near = MERGED_PT * scale
    met: set[int] = set()
    for one, trace in enumerate(curves):
        for other, long in enumerate(curves):
            ends = (trace.points[0], trace.points[-1])
            if one != other and any(to_polyline(end, long.points) < near for end in ends):
                met |= {one, other}
    return [replace(c, is_doubtful=c.is_doubtful or at in met) for at, c in enumerate(curves)]


def _cut_short_to_doubtful(
    curves: Sequence[Trace], paintings: Sequence[Painting], frame: Box, scale: float
) -> list[Trace]:
    """Curves, those in doubt before or behind whose ends ink lies that no curve has: they may have been lost
    there. Ink with a hue counts for curves with one, black ink for black ones."""
    found = {trace: trace for trace in curves}
    for is_vivid in (True, False):
        alike = [p.mask for p in paintings if _is_vivid(p.colour) == is_vivid]
        if not alike:
            continue
        rest = numpy.bitwise_or.reduce(alike)
        for trace in curves:
            line = numpy.array(trace.points, dtype=numpy.int32)
            cv2.polylines(rest, [line], False, (0,), math.ceil(trace.width) + REST_PX)
        for trace in curves:
            ends = (trace.points, trace.points[::-1])
            if _is_vivid(trace.colour) == is_vivid and any(
                _has_ink_ahead(rest, points, trace.width, frame, scale) for points in ends
            ):
                found[trace] = replace(found[trace], is_doubtful=True)
    return list(found.values())


def _is_vivid(colour: Colour) -> bool:
    return max(colour) - min(colour) >= HUELESS


def _has_ink_ahead(rest: Mask, points: Sequence[Point], width: float, frame: Box, scale: float) -> bool:
    """Whether ink lies in a wedge straight on from the end of a line, within the frame."""
    (dx, dy), (x, y) = end_way(points, WEDGE_PT * scale), points[-1]
    wedge = numpy.zeros_like(rest)
    far, near_half = WEDGE_PT * scale, width
    far_half = width + WEDGE_SLOPE * far
    corners = [
        (x - dy * near_half, y + dx * near_half), (x + dy * near_half, y - dx * near_half),
        (x + far * dx + dy * far_half, y + far * dy - dx * far_half),
        (x + far * dx - dy * far_half, y + far * dy + dx * far_half),
    ]  # fmt: skip
    cv2.fillConvexPoly(wedge, numpy.array(corners, dtype=numpy.int32), (1,))
    x0, top, x1, bottom = frame
    inside = (wedge & rest)[top + EDGE_PX : bottom - EDGE_PX, x0 + EDGE_PX : x1 - EDGE_PX]
    return int(inside.sum()) > WEDGE_INK * width * width


def _without_doubles(curves: Sequence[Trace], shape: tuple[int, ...]) -> list[Trace]:
    """Curves without those that lie on longer ones: the dark middle of a coloured line is black."""
    taken = numpy.zeros(shape[:2], numpy.uint8)
    kept = []
    for trace in sorted(curves, key=lambda one: -math.dist(one.points[0], one.points[-1])):
        at = numpy.array(trace.points, dtype=numpy.int32)
        columns, rows = at[:, 0].clip(0, shape[1] - 1), at[:, 1].clip(0, shape[0] - 1)
        if taken[rows, columns].mean() < TWICE_SHARE:
            kept.append(trace)
            cv2.polylines(taken, [at], False, (1,), math.ceil(trace.width) + 1)
    return kept


def _is_inside(path: Path, frame: Box) -> bool:
    x0, top, x1, bottom = frame
    return all(x0 <= x <= x1 and top <= y <= bottom for x, y in (path.points[0], path.points[-1]))


def _is_curve(chain: Chain, least: tuple[float, float]) -> bool:
    """Whether a line is long and inked enough, and no rest of the grid."""
    (ax, ay), (bx, by) = chain.points[0], chain.points[-1]
    wide, high = bx - ax, by - ay
    is_long = wide >= least[0] or high >= least[1]
    return is_long and min(wide, high) > FLAT * chain.length and chain.inked > LEAST_INKED * chain.length


def _is_leader(chain: Chain, others: Sequence[Chain], scale: float) -> bool:
    """Whether a straight line is thinner than the bent ones, which are curves."""
    bent = [one.width for one in others if bend_of(one.points) > BEND_PT * scale]
    is_straight = bend_of(chain.points) < BEND_PT * scale
    return is_straight and bool(bent) and chain.width < THINNER * median(bent)


def _forward(points: Sequence[Point], width: float) -> list[Point]:
    """Points that go to the right and down, fewer of them."""
    kept = [points[0]]
    right, low = points[0]
    for x, y in points[1:]:
        if right - x > BACK_WIDTHS * width or low - y > BACK_WIDTHS * width:
            continue
        right, low = max(right, x), max(low, y)
        if math.dist((x, y), kept[-1]) >= STEP_PX:
            kept.append((x, y))
    return kept


def _to_ends(mask: Mask, points: Sequence[Point], width: float) -> list[Point]:
    """A line drawn on to where its ink ends: a middle ends before."""
    first = _on_ink(mask, points[::-1], width)
    last = _on_ink(mask, points, width)
    return [*([first] if first else []), *points, *([last] if last else [])]


def _on_ink(mask: Mask, points: Sequence[Point], width: float) -> Point | None:
    """The last inked place straight on from the end of a line, if there is one."""
    (dx, dy), (x, y) = end_way(points, max(END_WIDTHS * width, STEP_PX * 4)), points[-1]
    reach = 0
    while reach < END_WIDTHS * width:
        column, row = int(x + (reach + 1) * dx), int(y + (reach + 1) * dy)
        if not (0 <= row < mask.shape[0] and 0 <= column < mask.shape[1]) or not mask[row, column]:
            break
        reach += 1
    return (x + reach * dx, y + reach * dy) if reach else None
