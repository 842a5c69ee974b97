"""Pieces of one line put together: those whose ends meet, and the dashes of a dashed line.

Comes in: lines from left to right. Goes out: the same lines, whole. Where three ends meet nothing is joined:
which two belong together cannot be told.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from statistics import median

from extract.charts.drawn import Drawn
from extract.charts.geometry import length_of
from extract.charts.ink import Point

MEET_PT = 0.8  # ends of pieces of one curve stand no farther apart
DASH_PT = 16.0  # a dash is no longer
LEAST_DASHES = 6
STRAIGHT_ON = 0.9  # cosine of the sharpest turn from dash to dash
LEAST_FORWARD = 0.5  # and of that to the gap between them
ASIDE = 4.0  # what lies aside of a dash's direction counts so many times

_Style = tuple[tuple[int, int, int], float]


def pieces_to_lines(lines: Sequence[Drawn]) -> list[Drawn]:
    """Lines of one look joined where exactly two of them meet, then dashes that follow each other."""
    found: list[Drawn] = []
    for group in _by_style(lines).values():
        met = _chain(group, _meets)
        short = [line for line in met if length_of(line.points) < DASH_PT]
        if len(short) < LEAST_DASHES:
            found += met
            continue
        reach = 2.5 * median(length_of(line.points) for line in short) + 1.5
        chains = _chain(short, partial(_dashes_follow, reach))
        found += [line for line in met if length_of(line.points) >= DASH_PT]
        found += [replace(line, is_dashed=True) if len(line.points) > 6 else line for line in chains]
    return found


def _by_style(lines: Sequence[Drawn]) -> dict[_Style, list[Drawn]]:
    groups: dict[_Style, list[Drawn]] = {}
    for line in lines:
        groups.setdefault((line.colour, round(line.width, 1)), []).append(line)
    return groups


def _chain(lines: Sequence[Drawn], cost: Callable[[Drawn, Drawn], float | None]) -> list[Drawn]:
    """Each line with the one that follows it, where both have no better one; from left to right."""
    order = sorted(lines, key=lambda line: line.points[0])
    after: dict[int, list[tuple[float, int]]] = {}
    before: dict[int, list[tuple[float, int]]] = {}
    for i, one in enumerate(order):
        for j, other in _near(order, one, i):
            far = cost(one, other)
            if far is not None:
                after.setdefault(i, []).append((far, j))
                before.setdefault(j, []).append((far, i))
    follows: dict[int, int] = {}
    for i, own in after.items():
        best = _best(own)
        if best is not None and _best(before[best]) == i:
            follows[i] = best
    taken = set(follows.values())
    chains = []
    for i in range(len(order)):
        if i in taken:
            continue
        points, at = list(order[i].points), i
        while at in follows:
            at = follows[at]
            points += order[at].points
        chains.append(replace(order[i], points=tuple(points)))
    return chains


def _near(order: Sequence[Drawn], one: Drawn, own: int) -> list[tuple[int, Drawn]]:
    """The lines that begin near where another ends."""
    x, y = one.points[-1]
    return [
        (j, line)
        for j, line in enumerate(order)
        if j != own and -2.0 <= line.points[0][0] - x <= 30.0 and abs(line.points[0][1] - y) <= 30.0
    ]


def _best(own: Sequence[tuple[float, int]]) -> int | None:
    """The one with the least cost, if no other is as good."""
    ranked = sorted(own)
    if len(ranked) > 1 and ranked[1][0] < 1.3 * ranked[0][0] + 0.1:
        return None
    return ranked[0][1]


def _meets(one: Drawn, other: Drawn) -> float | None:
    far = math.dist(one.points[-1], other.points[0])
    return far if far < MEET_PT else None


def _dashes_follow(reach: float, one: Drawn, other: Drawn) -> float | None:
    """How far a dash stands from the one before, what it lies aside counting more; None if it does not follow."""
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
