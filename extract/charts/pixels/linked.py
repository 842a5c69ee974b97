"""Pieces of lines that fall to the right, put together to whole curves by their direction.

Comes in: paths of one colour, how many pixels go to a point. Goes out: Chains: each the points of a curve,
and whether another way to go on would have been nearly as good. Where lines cross, each goes on as it came;
where dashes leave gaps, the next dash lies ahead. Names no curve.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy

from extract.charts.pixels.thinned import Path

Point = tuple[float, float]

GAPS_PT = (6.0, 14.0, 36.0)  # passes: gaps that are bridged, the short ones first
GAP_TIMES, GAP_MORE_PT = 1.1, 2.0  # of the shorter piece: no wider gap is bridged
BACK = -0.25  # cosine or sine: a curve goes to the right and down, or hardly back
ASIDE_PT, ASIDE_SHARE = 0.45, 0.035  # how far aside the next piece may begin, and of the gap
TURN, TURN_PER_PT = 0.10, 0.012  # radians that a curve may turn over a gap
MOST_COST = 9.0  # three times as much of either
OTHER_WIDTH = 0.45  # logarithm of how many times wider a piece may be; both a pixel wider than they are
FAR_COST = 0.02  # for each point of a gap
NEARLY = 2.5  # a way on that costs no more in addition is as good
WAY_PT, WAY_SHARE, MOST_WAY_PT = 4.0, 0.8, 16.0  # a direction is taken over so long a stretch
MOST_PIECES = 4000


@dataclass(frozen=True, slots=True)
class Chain:
    """One line: its points from the upper left to the lower right, the width of its ink, what share of it is
    inked, and whether it could go on in another way."""

    points: tuple[Point, ...]
    width: float
    inked: float
    is_doubtful: bool = False

    @property
    def length(self) -> float:
        """From its first point to its last, in pixels."""
        return math.dist(self.points[0], self.points[-1])


@dataclass(frozen=True, slots=True)
class _Link:
    """A way from the end of one chain to the start of another, and what it costs."""

    one: int
    other: int
    cost: float


def paths_to_chains(paths: Sequence[Path], scale: float) -> list[Chain]:
    """Lines that fall to the right, each whole. More pieces than any chart has are not put together."""
    chains = [chain for path in paths if (chain := _path_to_chain(path)) is not None]
    if len(chains) > MOST_PIECES:
        return []
    for gap in GAPS_PT:
        chains = _joined(chains, gap * scale, scale)
    return chains


def _path_to_chain(path: Path) -> Chain | None:
    """A path from the upper left to the lower right; None if it runs another way."""
    (ax, ay), (bx, by) = path.points[0], path.points[-1]
    points = path.points if (bx - ax) + (by - ay) > 0 else path.points[::-1]
    dx, dy = abs(bx - ax), abs(by - ay)
    if (bx - ax) * (by - ay) < 0 and min(dx, dy) > -BACK * max(dx, dy):
        return None
    return Chain(points, path.width, _length(points) + path.width)


def _length(points: Sequence[Point]) -> float:
    return math.dist(points[0], points[-1])


def _joined(chains: Sequence[Chain], gap: float, scale: float) -> list[Chain]:
    """Chains put together over gaps up to a length."""
    links = _chains_to_links(chains, gap, scale)
    after, doubtful = links_to_followers(links)
    firsts = set(range(len(chains))) - set(after.values())
    whole = []
    for first in sorted(firsts):
        row = [first]
        while row[-1] in after:
            row.append(after[row[-1]])
        is_doubtful = any(at in doubtful for at in row[:-1])
        whole.append(_row_to_chain([chains[at] for at in row], is_doubtful))
    return whole


def _row_to_chain(row: Sequence[Chain], is_doubtful: bool) -> Chain:
    """Chains in a row as one: where they meet, what the meeting bent is left out."""
    points = list(row[0].points)
    for one in row[1:]:
        points = _without_end(points, one.width)
        points += _without_end(list(one.points)[::-1], one.width)[::-1]
    inked = sum(one.inked for one in row)
    width = sum(one.inked * one.width for one in row) / inked
    doubt = is_doubtful or any(one.is_doubtful for one in row)
    return Chain(tuple(points), width, inked, doubt)


def _without_end(points: list[Point], reach: float) -> list[Point]:
    """Points but those within reach of the last; of a short line no more than a third."""
    keep = max(2, 2 * len(points) // 3)
    end = points[-1]
    at = len(points)
    while at > keep and math.dist(points[at - 1], end) < reach:
        at -= 1
    return points[:at]


def _chains_to_links(chains: Sequence[Chain], gap: float, scale: float) -> list[_Link]:
    """Every way to go on from one chain in another."""
    if len(chains) < 2:
        return []
    starts = numpy.array([chain.points[0] for chain in chains])
    ends = numpy.array([chain.points[-1] for chain in chains])
    away = numpy.hypot(*(ends[:, None, :] - starts[None, :, :]).transpose(2, 0, 1))
    numpy.fill_diagonal(away, math.inf)
    links = []
    for one, other in zip(*(side.tolist() for side in numpy.nonzero(away <= gap)), strict=True):
        cost = link_cost(chains[one], chains[other], scale)
        if cost is not None:
            links.append(_Link(one, other, cost))
    return links


def link_cost(one: Chain, other: Chain, scale: float) -> float | None:
    """What it costs to go on from the end of a chain in another: how far aside it begins for the bend of the
    line, and how far the line turns. None if it cannot be."""
    (ax, ay), (bx, by) = one.points[-1], other.points[0]
    gap = math.hypot(bx - ax, by - ay)
    shorter = min(one.length, other.length) + one.width  # a middle ends before its ink does
    if gap - one.width > GAP_TIMES * shorter + GAP_MORE_PT * scale:
        return None
    reach = min(MOST_WAY_PT, WAY_PT + WAY_SHARE * gap / scale) * scale
    ta, tb = end_way(one.points, reach), end_way(other.points[::-1], reach)
    tb = (-tb[0], -tb[1])
    if min(*ta, *tb) < BACK:
        return None
    ahead = min(ta[0] * (bx - ax) + ta[1] * (by - ay), tb[0] * (bx - ax) + tb[1] * (by - ay))
    if ahead < (0.0 if gap > one.width else -one.width):
        return None
    leaves = ta[0] * (by - ay) - ta[1] * (bx - ax)
    arrives = (bx - ax) * tb[1] - (by - ay) * tb[0]
    aside = abs(leaves - arrives) / 2 / (ASIDE_PT * scale + ASIDE_SHARE * gap)
    turned = math.atan2(ta[0] * tb[1] - ta[1] * tb[0], ta[0] * tb[0] + ta[1] * tb[1])
    turn = abs(turned) / (TURN + TURN_PER_PT * (gap / scale + reach / scale))
    wider = math.log((one.width + 1) / (other.width + 1)) / OTHER_WIDTH
    cost = aside * aside + turn * turn + wider * wider
    return cost + FAR_COST * gap / scale if cost <= MOST_COST else None


def end_way(points: Sequence[Point], reach: float) -> Point:
    """The direction in which a line arrives at its last point: that of the straight line through its last
    points, but the very last ones."""
    end = points[-1]
    near = [p for p in points[-int(3 * reach) - 3 :] if math.dist(p, end) <= reach]
    near = near[: max(2, len(near) - 2)] if len(near) > 6 else near
    if len(near) < 2:
        near = list(points[-2:])
    array = numpy.array(near)
    centred = array - array.mean(axis=0)
    way = numpy.linalg.svd(centred, full_matrices=False)[2][0]
    dx, dy = near[-1][0] - near[0][0], near[-1][1] - near[0][1]
    sign = 1.0 if way[0] * dx + way[1] * dy >= 0 else -1.0
    return float(sign * way[0]), float(sign * way[1])


def links_to_followers(links: Iterable[_Link]) -> tuple[dict[int, int], set[int]]:
    """For each chain the one it goes on in, the cheapest links first; and the chains for which another way,
    all in all, would have cost hardly more."""
    ordered = sorted(links, key=lambda link: link.cost)
    after: dict[int, int] = {}
    before: dict[int, int] = {}
    for link in ordered:
        if link.one not in after and link.other not in before:
            after[link.one] = link.other
            before[link.other] = link.one
    costs = {(link.one, link.other): link.cost for link in ordered}
    doubtful: set[int] = set()
    for link in ordered:
        if after.get(link.one) == link.other:
            continue
        more = _swap_cost(link, after, before, costs)
        if more < NEARLY:
            doubtful |= {one for one in (link.one, before.get(link.other)) if one in after}
    return after, doubtful


def _swap_cost(
    link: _Link, after: dict[int, int], before: dict[int, int], costs: dict[tuple[int, int], float]
) -> float:
    """What it would cost more to take a link that was not taken."""
    mine, theirs = after.get(link.one), before.get(link.other)
    spared = 0.0
    added = link.cost
    if mine is not None:
        spared += costs[link.one, mine]
    if theirs is not None:
        spared += costs[theirs, link.other]
    if mine is not None and theirs is not None:
        added += costs.get((theirs, mine), MOST_COST)
    return added - spared
