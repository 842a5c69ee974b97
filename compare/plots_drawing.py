"""A drawing of lines, boxes, dots and texts, written as SVG.

Comes in: shapes in points, origin at the top left. Goes out: SVG text that needs nothing else. Knows nothing
of parts; `plots` draws with it, and `report_pdf` draws the same shapes on its page.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape


@dataclass(frozen=True, slots=True)
class Line:
    """Joined straight lines through points (x, y); dashes as in SVG, empty for a solid line."""

    points: tuple[tuple[float, float], ...]
    colour: str
    width: float = 1.0
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Box:
    """A filled rectangle with an outline."""

    x: float
    y: float
    width: float
    height: float
    fill: str
    outline: str = ""


@dataclass(frozen=True, slots=True)
class Dot:
    """A circle, filled or hollow (then `fill` is the paper's colour)."""

    x: float
    y: float
    radius: float
    fill: str
    outline: str


@dataclass(frozen=True, slots=True)
class Label:
    """A text on its base line; anchor: start, middle or end."""

    x: float
    y: float
    text: str
    size: float = 8.0
    colour: str = "#22384a"
    anchor: str = "start"
    bold: bool = False


Shape = Line | Box | Dot | Label


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes on a sheet of a size in points; `says` tells in words what is drawn."""

    width: float
    height: float
    says: str
    shapes: tuple[Shape, ...]


def drawing_to_svg(drawing: Drawing) -> str:
    """The drawing as one SVG element to stand inside a page."""
    inside = "".join(map(_shape_to_svg, drawing.shapes))
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {drawing.width:g} {drawing.height:g}" '
            f'role="img" aria-label="{escape(drawing.says)}" font-family="inherit">{inside}</svg>')


def _shape_to_svg(shape: Shape) -> str:
    if isinstance(shape, Line):
        points = " ".join(f"{x:.2f},{y:.2f}" for x, y in shape.points)
        dashes = f' stroke-dasharray="{" ".join(f"{d:g}" for d in shape.dashes)}"' if shape.dashes else ""
        return (f'<polyline points="{points}" fill="none" stroke="{shape.colour}" '
                f'stroke-width="{shape.width:g}"{dashes}/>')
    if isinstance(shape, Box):
        outline = f' stroke="{shape.outline}"' if shape.outline else ""
        return (f'<rect x="{shape.x:.2f}" y="{shape.y:.2f}" width="{shape.width:.2f}" '
                f'height="{shape.height:.2f}" fill="{shape.fill}"{outline}/>')
    if isinstance(shape, Dot):
        return (f'<circle cx="{shape.x:.2f}" cy="{shape.y:.2f}" r="{shape.radius:g}" fill="{shape.fill}" '
                f'stroke="{shape.outline}"/>')
    weight = ' font-weight="bold"' if shape.bold else ""
    return (f'<text x="{shape.x:.2f}" y="{shape.y:.2f}" font-size="{shape.size:g}" fill="{shape.colour}" '
            f'text-anchor="{shape.anchor}"{weight}>{escape(shape.text)}</text>')
