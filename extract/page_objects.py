"""What is painted on one page: characters and shapes, as pdfplumber's layout of the page holds them.

Comes in: a pdfplumber page. Goes out: Chars and Shapes in points, origin top left, as the page is
shown. Taken from the layout itself: pdfplumber's dictionaries of every attribute cost as much again
as taking the page apart. Turns nothing, joins nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from extract.boxes import Box


@dataclass(frozen=True, slots=True)
class Char:
    """A character: its text, its box (x0, top, x1, bottom), its matrix (a, b, c, d, x, y) and its font."""

    text: str
    box: Box
    matrix: tuple[float, float, float, float, float, float]
    font: str = ""


@dataclass(frozen=True, slots=True)
class Shape:
    """A painted path: its box; `is_line` and `is_rect` as pdfplumber tells them (else a curve);
    `is_square` if all its edges run along the axes."""

    box: Box
    is_line: bool
    is_rect: bool
    is_square: bool
    is_stroked: bool
    is_filled: bool


def page_to_objects(page: Any) -> tuple[list[Char], list[Shape]]:
    """Characters and shapes of a pdfplumber page, in the order they were painted."""
    from pdfminer.layout import LTChar, LTCurve, LTLine, LTRect

    left, above = page.mediabox[:2]
    floor = float(page.height) + above  # pdfminer counts upwards from the lower edge
    chars: list[Char] = []
    shapes: list[Shape] = []
    for item in _layout_to_items(page.layout):
        if isinstance(item, LTChar):
            box = (item.x0 + left, floor - item.y1, item.x1 + left, floor - item.y0)
            chars.append(Char(item.get_text(), box, item.matrix, item.fontname))
        elif isinstance(item, LTCurve):
            box = (item.x0 + left, floor - item.y1, item.x1 + left, floor - item.y0)
            is_line, is_rect = isinstance(item, LTLine), isinstance(item, LTRect)
            is_square = is_rect or _is_square(item.pts)
            shapes.append(Shape(box, is_line, is_rect, is_square, bool(item.stroke), bool(item.fill)))
    return chars, shapes


def _layout_to_items(layout: Any) -> Iterator[Any]:
    """Everything painted, forms within the page taken apart."""
    from pdfminer.layout import LTContainer

    for item in layout:
        if isinstance(item, LTContainer):
            yield from _layout_to_items(item)
        else:
            yield item


def _is_square(points: list[tuple[float, float]]) -> bool:
    """Whether a path is an axis-parallel box drawn point by point."""
    return 4 <= len(points) <= 6 and all(
        abs(ax - bx) < 0.5 or abs(ay - by) < 0.5 for (ax, ay), (bx, by) in pairwise(points)
    )
