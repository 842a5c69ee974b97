"""The plot of the decision record that shows times to trip on log paper.

Comes in: cases of the best candidates, the chosen one first. Goes out: a `Drawing`: the drawn curve of each,
the band of the chosen one at the coldest ambient, the tabulated longest times, what the requirement asks.
Draws nothing beyond the ends of a curve and nothing that was not read, tabulated, asked or answered.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import chain

from compare.corners import Case
from compare.plots_drawing import Box, Dot, Drawing, Label, Line, Shape
from extract.schema import Curve

INK, GREY, PAPER, BAND = "#22384a", "#aab6be", "#ffffff", "#7d95a6"
LOOKS: tuple[tuple[str, tuple[float, ...]], ...] = (
    ("#1f6f5c", ()), ("#9c3d22", (6.0, 3.0)), ("#5b4a8a", (2.0, 2.0)))
"""Colour and dashes of each candidate, so that a grey print says the same."""
MOST = len(LOOKS)
WIDTH, HEIGHT = 340.0, 215.0
LEFT, RIGHT, TOP, BOTTOM = 40.0, 12.0, 26.0, 44.0
STEPS = 24
"""The band is asked at so many currents."""
Point = tuple[float, float]


class _Paper:
    """From current, A, and time, s, to points of the drawing: whole decades both ways."""

    def __init__(self, points: Sequence[Point]) -> None:
        xs, ys = ([math.log10(point[axis]) for point in points] for axis in (0, 1))
        self.low_x, self.low_y = math.floor(min(xs)), math.floor(min(ys))
        self.high_x = max(math.ceil(max(xs)), self.low_x + 1)
        self.high_y = max(math.ceil(max(ys)), self.low_y + 1)

    def at(self, current_a: float, time_s: float) -> Point:
        """Where a point stands."""
        across = (math.log10(current_a) - self.low_x) / (self.high_x - self.low_x)
        up = (math.log10(time_s) - self.low_y) / (self.high_y - self.low_y)
        return LEFT + across * (WIDTH - LEFT - RIGHT), HEIGHT - BOTTOM - up * (HEIGHT - TOP - BOTTOM)

    def line(self, points: Sequence[Point], colour: str, width: float, dashes: tuple[float, ...]) -> Line:
        """A line through points, given in A and s."""
        return Line(tuple(self.at(*point) for point in points), colour, width, dashes)

    def shapes(self) -> Iterator[Shape]:
        """Lines of the decades, and their numbers."""
        bottom_s, top_s = 10.0**self.low_y, 10.0**self.high_y
        left_a, right_a = 10.0**self.low_x, 10.0**self.high_x
        for power in range(self.low_x, self.high_x + 1):
            foot, head = self.at(10.0**power, bottom_s), self.at(10.0**power, top_s)
            yield Line((foot, head), GREY, 0.4)
            yield Label(foot[0], foot[1] + 11.0, f"{10.0**power:g}", anchor="middle")
        for power in range(self.low_y, self.high_y + 1):
            start, end = self.at(left_a, 10.0**power), self.at(right_a, 10.0**power)
            yield Line((start, end), GREY, 0.4)
            yield Label(start[0] - 4.0, start[1] + 3.0, f"{10.0**power:g}", anchor="end")
        yield Label(LEFT, TOP - 6.0, "s")
        yield Label(WIDTH - RIGHT, HEIGHT - BOTTOM + 22.0, "fault current, A", anchor="end")


def cases_to_trip_plot(cases: Sequence[Case]) -> Drawing | None:
    """Times to trip of up to three candidates; None where the first has no usable drawn curve."""
    drawn = [case for case in cases[:MOST] if case_to_lines(case)]
    if not drawn or drawn[0] is not cases[0]:
        return None
    chosen = drawn[0]
    told, asked = _tabulated(chosen), _asked(chosen)
    band = case_to_band(chosen)
    curves = [(line.points, look) for case, look in zip(drawn, LOOKS, strict=False)
              for line in case_to_lines(case)]
    edges = [edge for edge in band if len(edge) > 1]
    paper = _Paper([*chain(*(points for points, _ in curves), *band), *told, *(point for point, _ in asked)])
    shapes: list[Shape] = [*paper.shapes()]
    shapes += [paper.line(edge, BAND, 0.7, (1.5, 1.5)) for edge in edges]
    shapes += [paper.line(points, colour, 1.4, dashes) for points, (colour, dashes) in curves]
    shapes += _marks(paper, told, asked)
    names = [case.numbers.part.part_number for case in drawn]
    shapes += _legend(names, chosen.requirement.coldest_c, bool(band[0]), bool(told))
    says = f"Typical times to trip against current of {', '.join(names)}, with what is asked"
    return Drawing(WIDTH, HEIGHT, says, tuple(shapes))


def case_to_lines(case: Case) -> tuple[Curve, ...]:
    """The drawn curves of a candidate that may be used."""
    return () if case.trip_times.drawn is None else case.trip_times.drawn.lines


def _tabulated(case: Case) -> list[Point]:
    return [(point.current_a, point.time_s) for point in case.trip_times.points]


def _asked(case: Case) -> list[tuple[Point, str]]:
    """Must trip by, must not trip before."""
    asked, fault_a = case.requirement, case.lowest_fault.value
    found = []
    if fault_a is not None and asked.trip_time_max_s is not None:
        found.append(((fault_a, asked.trip_time_max_s), f"must trip by {asked.trip_time_max_s:.3g} s"))
    if asked.peak_current_a is not None and asked.peak_duration_s is not None:
        found.append(((asked.peak_current_a, asked.peak_duration_s),
                      f"must not trip before {asked.peak_duration_s:.3g} s"))
    return found


def case_to_band(case: Case) -> tuple[list[Point], list[Point]]:
    """Low and high edge of the typical time at the coldest ambient, along the drawn curve."""
    lines = case_to_lines(case)
    first = min(line.points[0][0] for line in lines)
    last = max(line.points[-1][0] for line in lines)
    low: list[Point] = []
    high: list[Point] = []
    for step in range(STEPS + 1):
        current_a = first * (last / first) ** (step / STEPS)
        time = case.trip_times.at(current_a, case.requirement.coldest_c).drawn
        if time is None or time.low_s is None or time.high_s is None or not math.isfinite(time.high_s):
            continue
        low.append((current_a, time.low_s))
        high.append((current_a, time.high_s))
    return low, high


def _marks(paper: _Paper, told: Sequence[Point], asked: Sequence[tuple[Point, str]]) -> Iterator[Shape]:
    """Dots of the table, boxes of what is asked."""
    for point in told:
        yield Dot(*paper.at(*point), 2.6, PAPER, LOOKS[0][0])
    for point, words in asked:
        yield from _asked_shapes(paper.at(*point), words)


def _asked_shapes(at: Point, words: str) -> Iterator[Shape]:
    x, y = at
    yield Box(x - 3.5, y - 3.5, 7.0, 7.0, INK)
    left = x > WIDTH / 2.0
    below = y < HEIGHT - BOTTOM - 14.0
    yield Label(x + (-7.0 if left else 7.0), y + (10.0 if below else -5.0), words, 8.0, INK,
                "end" if left else "start", True)


def _legend(names: Sequence[str], coldest_c: float, with_band: bool, with_table: bool) -> Iterator[Shape]:
    x, y = LEFT, HEIGHT - 14.0
    for name, (colour, dashes) in zip(names, LOOKS, strict=False):
        yield Line(((x, y - 3.0), (x + 18.0, y - 3.0)), colour, 1.4, dashes)
        yield Label(x + 21.0, y, name, 8.0, colour)
        x += 30.0 + 5.0 * len(name)
    words = ["typical curves, no limits"]
    words += [f"dotted: band of {names[0]} at {coldest_c:g} °C"] if with_band else []
    words += ["ring: table"] if with_table else []
    yield Label(LEFT, HEIGHT - 3.0, "; ".join(words), 7.0, INK)
