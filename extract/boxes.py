"""Boxes on a page, in points from its top left corner.

Comes in: boxes. Goes out: the box around them; `Boxed` gives whatever has four edges its middles. Knows no
page.
"""

from __future__ import annotations

from collections.abc import Iterable

Box = tuple[float, float, float, float]
"""x0, top, x1, bottom."""


class Boxed:
    """Something with four edges."""

    __slots__ = ()
    x0: float
    top: float
    x1: float
    bottom: float

    @property
    def mid_x(self) -> float:
        """Horizontal middle."""
        return (self.x0 + self.x1) / 2

    @property
    def mid_y(self) -> float:
        """Vertical middle."""
        return (self.top + self.bottom) / 2

    @property
    def box(self) -> Box:
        """x0, top, x1, bottom."""
        return self.x0, self.top, self.x1, self.bottom


def box_around(boxes: Iterable[Box]) -> Box:
    """The smallest box around some boxes, at least one."""
    x0, top, x1, bottom = zip(*boxes, strict=True)
    return min(x0), min(top), max(x1), max(bottom)
