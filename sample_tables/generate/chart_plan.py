"""What an invented chart shows and how it is drawn: plain records, no drawing.

Comes in: nothing. Goes out: ChartPlan, the curves of parts on it, and what each truly says at some currents.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class PlannedCurve:
    """A curve of trip times: the parts it stands for, its label, hold current in A, and its shape: time =
    `scale` divided by ((I / (`trip` x hold)) ^ `power` - 1), drawn up to `last` times the hold current."""

    parts: tuple[str, ...]
    label: str
    hold_a: float
    scale: float = 8.0
    trip: float = 1.7
    power: float = 2.2
    last: float = 30.0
    colour: tuple[float, float, float] = (0.0, 0.0, 0.0)
    is_drawn: bool = True

    def time_s(self, current_a: float) -> float:
        """The time at a current above the trip current."""
        return self.scale / ((current_a / (self.trip * self.hold_a)) ** self.power - 1.0)

    def first_a(self, longest_s: float) -> float:
        """The current that trips in the longest time shown."""
        return self.trip * self.hold_a * (1.0 + self.scale / longest_s) ** (1.0 / self.power)


@dataclass(frozen=True, slots=True)
class ChartPlan:
    """A chart of trip times on log paper. `decades`: first and last power of ten of both axes; `corner` and
    `size` in points from the foot of the page.

    grid: minor, major, none; jitter: largest displacement of a grid line in decades; wrong_line: one line
    stands so many decades off; tick_shift: how far labels stand off their lines, in points; labels: the way
    curves are named (see chart_labels); stroke: line, bezier, pieces, dashed, dashes, outline; reversed,
    twice, hook: how curves are drawn; curve_width, grid_width in points; x_unit, y_unit: A, mA, xIh and s,
    ms; missing_ticks: decades without number.
    """

    curves: tuple[PlannedCurve, ...]
    x_decades: tuple[int, int] = (-1, 2)
    y_decades: tuple[int, int] = (-3, 2)
    corner: tuple[float, float] = (110.0, 330.0)
    size: tuple[float, float] = (330.0, 330.0)
    title: str = "Typical time to trip at 23 °C"
    x_title: str = "Fault current (A)"
    y_title: str = "Time to trip (s)"
    grid: str = "minor"
    jitter: float = 0.0
    wrong_line: float = 0.0
    tick_shift: tuple[float, float] = (0.0, 0.0)
    labels: str = "top_names"
    stroke: str = "line"
    reversed: bool = False
    twice: bool = False
    hook: bool = False
    masks: bool = False
    phantom: bool = False
    vertices: int = 30
    curve_width: float = 1.1
    grid_width: float = 0.3
    grid_grey: float = 0.6
    x_unit: str = "A"
    y_unit: str = "s"
    missing_ticks: tuple[int, ...] = ()
    comma: bool = False
    seed: int = 1
    truth_points: int = 6
    letters: dict[str, str] = field(default_factory=dict)

    def to_point(self, current_a: float, time_s: float) -> tuple[float, float]:
        """Where a current and a time stand on the page."""
        (x0, y0), (wide, high) = self.corner, self.size
        (first_x, last_x), (first_y, last_y) = self.x_decades, self.y_decades
        return (
            x0 + wide * (math.log10(current_a) - first_x) / (last_x - first_x),
            y0 + high * (math.log10(time_s) - first_y) / (last_y - first_y),
        )

    def curve_to_values(self, curve: PlannedCurve) -> list[tuple[float, float]]:
        """The vertices of a curve that lie within the chart: currents in A, times in s."""
        longest, shortest = 0.9 * 10.0 ** self.y_decades[1], 10.0 ** self.y_decades[0]
        first = max(curve.first_a(longest), 10.0 ** self.x_decades[0])
        last = min(curve.last * curve.hold_a, 0.97 * 10.0 ** self.x_decades[1])
        values = []
        for step in range(self.vertices):
            share = (step / (self.vertices - 1)) ** 1.6
            current = first * (last / first) ** share
            time = curve.time_s(current)
            if shortest <= time <= 10.0 ** self.y_decades[1]:
                values.append((current, time))
        return values

    def curve_to_truth(self, curve: PlannedCurve) -> list[tuple[float, float]]:
        """What a curve says at some of the currents it is drawn for, on the line as drawn between its
        vertices."""
        values = [(math.log(x), math.log(y)) for x, y in self.curve_to_values(curve)]
        found = []
        for step in range(self.truth_points):
            at = values[0][0] + (values[-1][0] - values[0][0]) * (step + 0.5) / self.truth_points
            for (ax, ay), (bx, by) in pairwise(values):
                if ax <= at <= bx and bx > ax:
                    found.append((math.exp(at), math.exp(ay + (by - ay) * (at - ax) / (bx - ax))))
                    break
        return found
