"""Pieces of one line put together: those whose ends meet, and the dashes of a dashed line.

Comes in: lines from left to right. Goes out: the same lines, whole. Where three ends meet and none goes
straight on in another, nothing is joined: which two belong together cannot be told.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from statistics import median

from extract.charts.drawn import Drawn
from extract.charts.geometry import length_of
from extract.charts.ink import Point

MEET_PT = 0.8  # ends of pieces of one curve stand no farther apart
DASH_PT = 16.0  # a dash is no longer
LEAST_DASHES = 6
GAP_SHARE = 1.3  # of a dash's length: gaps are no wider
BACK_PT, AHEAD_PT = 2.0, 25.0  # the next piece begins so far back or ahead
STRAIGHT_ON = 0.9  # cosine of the sharpest turn from dash to dash
LEAST_FORWARD = 0.5  # and of that to the gap between them
TURN = 3.0  # points: what a right angle costs where pieces meet
RIVAL_TIMES, RIVAL_PT = 1.8, 2.0  # a following piece that costs no more than this is as good
SAME_WIDTH = 1.12  # widths of one style differ by no more
ASIDE = 4.0  # what lies aside of a dash's direction counts so many times


def pieces_to_lines(lines: Sequence[Drawn]) -> list[Drawn]:
    """Lines of one look joined where exactly two of them meet, then dashes that follow each other."""
    found: list[Drawn] = []
    for group in _by_style(lines):
        met = [_chain_to_line(chain) for chain, _ in _to_chains(group, _meets)]
        short = [line for line in met if length_of(line.points) < DASH_PT]
        if len(short) < LEAST_DASHES:
            found += met
            continue
        found += [line for line in met if length_of(line.points) >= DASH_PT]
        reach = GAP_SHARE * median(length_of(line.points) for line in short) + 1.5
        for chain, is_doubtful in _to_chains(short, partial(_dashes_follow, reach)):
            if len(chain) >= LEAST_DASHES:
                found.append(
                    replace(_chain_to_line(chain), is_dashed=True, is_doubtful=is_doubtful, is_joined=True)
                )
            else:
                found += chain
    return found


def _chain_to_line(chain: Sequence[Drawn]) -> Drawn:
    return replace(chain[0], points=tuple(point for line in chain for point in line.points))


def _by_style(lines: Sequence[Drawn]) -> list[list[Drawn]]:
    """Lines of one colour and of nearly one width: the width of a filled outline is its area's, and its last
    dash is cut short."""
    groups: list[list[Drawn]] = []
    for line in sorted(lines, key=lambda item: (item.colour, item.width)):
        last = groups[-1][-1] if groups else None
        if last is not None and last.colour == line.colour and line.width <= SAME_WIDTH * last.width + 0.05:
            groups[-1].append(line)
        else:
            groups.append([line])
    return groups


def _to_chains(
    lines: Sequence[Drawn], cost: Callable[[Drawn, Drawn], float | None]
) -> list[tuple[list[Drawn], bool]]:
    """Each line with the one that follows it, where both have no better one, from left to right; and whether
    anything else could have followed nearly as well."""
    order = sorted(lines, key=lambda line: line.points[0])
    starts = [line.points[0][0] for line in order]
    after: dict[int, list[tuple[float, int]]] = {}
    before: dict[int, list[tuple[float, int]]] = {}
    for i, one in enumerate(order):
        x = one.points[-1][0]
        for j in range(bisect_left(starts, x - BACK_PT), bisect_left(starts, x + AHEAD_PT)):
            far = cost(one, order[j]) if j != i else None
            if far is not None:
                after.setdefault(i, []).append((far, j))
                before.setdefault(j, []).append((far, i))
    follows: dict[int, int] = {}
    for i, own in after.items():
        best = _best(own)
        if best is not None and _best(before[best]) == i:
            follows[i] = best
    unsure = {i for i, own in after.items() if _has_rival(own)} | {
        j for j, own in before.items() if _has_rival(own)
    }
    taken = set(follows.values())
    chains = (_follow(i, follows) for i in range(len(order)) if i not in taken)
    return [([order[at] for at in chain], not unsure.isdisjoint(chain)) for chain in chains]


def _follow(first: int, follows: Mapping[int, int]) -> list[int]:
    chain = [first]
    while chain[-1] in follows:
        chain.append(follows[chain[-1]])
    return chain


def _has_rival(own: Sequence[tuple[float, int]]) -> bool:
    """Whether the second best costs little more than the best."""
    ranked = sorted(own)
    return len(ranked) > 1 and ranked[1][0] < RIVAL_TIMES * ranked[0][0] + RIVAL_PT


def _best(own: Sequence[tuple[float, int]]) -> int | None:
    """The one with the least cost, if no other is as good."""
    ranked = sorted(own)
    if len(ranked) > 1 and ranked[1][0] < 1.3 * ranked[0][0] + 0.1:
        return None
    return ranked[0][1]


def _meets(one: Drawn, other: Drawn) -> float | None:
    """How far apart two pieces meet, and how sharply they turn there: of three ends that meet, as where a
    leader ends at a point of a curve, the two that go straight on are one line."""
    far = math.dist(one.points[-1], other.points[0])
    if far >= MEET_PT:
        return None
    end, start = one.points[-2:], other.points[:2]
    return far + TURN * (1.0 - _cosine(_direction(end), _direction(start)))


def _dashes_follow(reach: float, one: Drawn, other: Drawn) -> float | None:
    """How far a dash stands from the one before, what it lies aside counting more; None if it does not
    follow."""
    far = math.dist(one.points[-1], other.points[0])
    first, third = _direction(one.points), _direction(other.points)
    if far > reach or _cosine(first, third) < STRAIGHT_ON:
        return None
    gap = _direction((one.points[-1], other.points[0]))
    if far > 0.5 and min(_cosine(first, gap), _cosine(gap, third)) < LEAST_FORWARD:
        return None
    return far + ASIDE * (_aside(gap, first) + _aside(gap, third))


def _aside(gap: Point, way: Point) -> float:
    """How far a gap leads aside from a direction."""
    length = math.hypot(*way)
    return abs(gap[0] * way[1] - gap[1] * way[0]) / length if length else 0.0


def _direction(points: Sequence[Point]) -> Point:
    (ax, ay), (bx, by) = points[0], points[-1]
    return bx - ax, by - ay


def _cosine(one: Point, other: Point) -> float:
    lengths = math.hypot(*one) * math.hypot(*other)
    return (one[0] * other[0] + one[1] * other[1]) / lengths if lengths else 0.0
