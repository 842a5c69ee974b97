"""A line of a chart as drawn.

Comes in: nothing. Goes out: the record that the steps from strokes to labels share.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from extract.charts.ink import Box, Point


@dataclass(frozen=True, slots=True)
class Drawn:
    """Its points on the page, its width, its colour, whether it is dashed, when it was painted; `is_doubtful`
    if its dashes could go on in another way as well, `is_joined` if it was put together from dashes;
    `dashes` how long its dashes and gaps are, where that is known."""

    points: tuple[Point, ...]
    width: float
    colour: tuple[int, int, int]
    is_dashed: bool
    order: int
    is_doubtful: bool = False
    is_joined: bool = False
    dashes: tuple[float, ...] = ()
    box: Box = field(init=False, compare=False)

    def __post_init__(self) -> None:
        """Its box, which is asked for many times: x0, top, x1, bottom."""
        xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
        object.__setattr__(self, "box", (min(xs), min(ys), max(xs), max(ys)))
