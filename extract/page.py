"""The glyphs and rules of one page, in one coordinate system: points, origin top left (pdfplumber).

Comes in: a PDF page. Goes out: a PageContent whose glyphs are upright and left to right, whatever
way the page or its text is turned. Does not form words or tables.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from extract.schema import Place

THIN_PT = 2.2  # a filled box thinner than this is drawn as a rule
SHORT_PT = 3.0  # a rule shorter than this is a dot or a dash


@dataclass(frozen=True, slots=True)
class Glyph:
    """One printed character and its box."""

    text: str
    x0: float
    top: float
    x1: float
    bottom: float
    size: float

    @property
    def mid_x(self) -> float:
        """Horizontal middle."""
        return (self.x0 + self.x1) / 2

    @property
    def mid_y(self) -> float:
        """Vertical middle."""
        return (self.top + self.bottom) / 2


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight rule. Horizontal: `at` is y, from x `start` to x `end`; vertical the other way."""

    at: float
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class PageContent:
    """What stands on one page.

    `width`, `height` in points after turning; `turn` is how far (0, 90, 180, 270 degrees clockwise)
    the page as shown was turned to make its text upright; `sideways` are the glyphs of the second
    most used direction, in coordinates of a page turned by `sideways_turn`; `bands` are the upper
    and lower edges of shaded areas; `hidden` are glyphs nobody can see.
    """

    number: int
    width: float
    height: float
    turn: int
    glyphs: tuple[Glyph, ...]
    horizontals: tuple[Rule, ...]
    verticals: tuple[Rule, ...]
    bands: tuple[Rule, ...] = ()
    sideways: tuple[Glyph, ...] = ()
    sideways_turn: int = 0
    hidden: tuple[Glyph, ...] = ()


def page_to_content(
    page: Any, number: int, hidden: Mapping[tuple[str, int, int], int] | None = None
) -> PageContent:
    """Glyphs and rules of a pdfplumber page. `hidden` counts glyphs to set apart (hidden.py)."""
    chars = [char for char in page.chars if _is_on_page(char, page)]
    turn, sideways_turn = _chars_to_turns(chars)
    width, height = float(page.width), float(page.height)
    kept = [char for char in chars if _char_to_turn(char) == turn]
    seen, unseen = _part_hidden(kept, hidden or {})
    horizontals, verticals = _page_to_rules(page, turn)
    if turn in (90, 270):
        width, height = height, width
    return PageContent(
        number,
        width,
        height,
        turn,
        _without_doubles(_chars_to_glyphs(seen, turn, page)),
        horizontals,
        verticals,
        _page_to_bands(page, turn),
        tuple(_chars_to_glyphs([c for c in chars if _char_to_turn(c) == sideways_turn], sideways_turn, page))
        if sideways_turn != turn
        else (),
        sideways_turn,
        tuple(_chars_to_glyphs(unseen, turn, page)),
    )


def glyph_key(text: str, x: float, y: float) -> tuple[str, int, int]:
    """A glyph's name for matching between two libraries: its text and its origin in PDF points."""
    return text, round(x), round(y)


def _part_hidden(
    chars: Iterable[dict[str, Any]], hidden: Mapping[tuple[str, int, int], int]
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Seen and hidden glyphs; of equal glyphs at one origin only as many go as are hidden."""
    left = dict(hidden)
    seen: list[dict[str, Any]] = []
    unseen: list[dict[str, Any]] = []
    for char in chars:
        x, y = char["matrix"][4], char["matrix"][5]
        key = (
            next(
                (
                    k
                    for dx in (0, -0.3, 0.3)
                    for dy in (0, -0.3, 0.3)
                    if left.get(k := glyph_key(char["text"], x + dx, y + dy), 0) > 0
                ),
                None,
            )
            if left
            else None
        )
        if key is None:
            seen.append(char)
        else:
            left[key] -= 1
            unseen.append(char)
    return seen, unseen


def box_to_place(content: PageContent, box: tuple[float, float, float, float]) -> Place:
    """The place on the page as shown of a box in turned coordinates (x0, top, x1, bottom)."""
    shown = _turn_box(box, -content.turn % 360, content.width, content.height)
    return Place(content.number, *(round(edge, 1) for edge in shown))


def sideways_box(
    content: PageContent, box: tuple[float, float, float, float]
) -> tuple[float, float, float, float]:
    """A box in the coordinates of the sideways glyphs, in those of the upright ones."""
    turn = (content.turn - content.sideways_turn) % 360
    width, height = (content.height, content.width) if turn in (90, 270) else (content.width, content.height)
    return _turn_box(box, turn, width, height)


def _turn_box(
    box: tuple[float, float, float, float], turn: int, width: float, height: float
) -> tuple[float, float, float, float]:
    """A box on a page of the given size, after turning that page clockwise.

    Text running upwards (turn 90) becomes left to right when the page is turned clockwise.
    """
    x0, top, x1, bottom = box
    if turn == 90:
        return height - bottom, x0, height - top, x1
    if turn == 180:
        return width - x1, height - bottom, width - x0, height - top
    if turn == 270:
        return top, width - x1, bottom, width - x0
    return box


def _is_on_page(char: dict[str, Any], page: Any) -> bool:
    x0, top, x1, bottom = page.bbox
    return bool(
        x0 - 1 <= char["x0"]
        and char["x1"] <= x1 + 1
        and top - 1 <= char["top"]
        and char["bottom"] <= bottom + 1
    )


def _char_to_turn(char: dict[str, Any]) -> int:
    """How far the page must be turned clockwise for this glyph to read left to right."""
    a, b = char["matrix"][0], char["matrix"][1]
    angle = math.degrees(math.atan2(b, a))
    return round(angle / 90) % 4 * 90


def _chars_to_turns(chars: Iterable[dict[str, Any]]) -> tuple[int, int]:
    """The directions of most and of second most glyphs (the same twice if there is only one)."""
    turns = Counter(_char_to_turn(char) for char in chars if char["text"].isalnum())
    ranked = [turn for turn, _ in turns.most_common(2)] or [0]
    return ranked[0], ranked[-1]


def _chars_to_glyphs(chars: Iterable[dict[str, Any]], turn: int, page: Any) -> list[Glyph]:
    """Glyphs in turned coordinates; their size is their height there (pdfplumber gives the width of
    turned ones)."""
    width, height = float(page.width), float(page.height)
    glyphs = []
    for char in chars:
        box = _turn_box((char["x0"], char["top"], char["x1"], char["bottom"]), turn, width, height)
        glyphs.append(Glyph(char["text"], *box, box[3] - box[1]))
    return glyphs


def _without_doubles(glyphs: list[Glyph]) -> tuple[Glyph, ...]:
    """Drop a glyph printed twice at one place (poor man's bold)."""
    places: dict[tuple[str, int, int], list[Glyph]] = {}
    kept: list[Glyph] = []
    for glyph in glyphs:
        column, row = round(glyph.x0), round(glyph.top)
        near = (
            other
            for dx in (-1, 0, 1)
            for dy in (-1, 0, 1)
            for other in places.get((glyph.text, column + dx, row + dy), ())
        )
        if glyph.text.strip() and any(
            abs(o.x0 - glyph.x0) < 0.2 * glyph.size and abs(o.top - glyph.top) < 0.2 * glyph.size
            for o in near
        ):
            continue
        places.setdefault((glyph.text, column, row), []).append(glyph)
        kept.append(glyph)
    return tuple(kept)


def _page_to_rules(page: Any, turn: int) -> tuple[tuple[Rule, ...], tuple[Rule, ...]]:
    """Horizontal and vertical rules: lines, thin filled boxes, edges of stroked boxes."""
    boxes: list[tuple[float, float, float, float]] = []
    for line in page.lines:
        boxes.append((line["x0"], line["top"], line["x1"], line["bottom"]))
    for rect in (*page.rects, *page.curves):
        boxes += _rect_to_edges(rect)
    width, height = float(page.width), float(page.height)
    horizontals: list[Rule] = []
    verticals: list[Rule] = []
    for box in boxes:
        x0, top, x1, bottom = _turn_box(box, turn, width, height)
        if bottom - top <= THIN_PT and x1 - x0 >= SHORT_PT:
            horizontals.append(Rule((top + bottom) / 2, x0, x1))
        elif x1 - x0 <= THIN_PT and bottom - top >= SHORT_PT:
            verticals.append(Rule((x0 + x1) / 2, top, bottom))
    return join_rules(horizontals), join_rules(verticals)


def _page_to_bands(page: Any, turn: int) -> tuple[Rule, ...]:
    """Upper and lower edges of filled areas: they part rows where no rule does."""
    width, height = float(page.width), float(page.height)
    edges: list[Rule] = []
    for rect in page.rects:
        x0, top, x1, bottom = _turn_box(
            (rect["x0"], rect["top"], rect["x1"], rect["bottom"]), turn, width, height
        )
        if rect.get("fill") and bottom - top > 5.0 and x1 - x0 > 10.0:
            edges += [Rule(top, x0, x1), Rule(bottom, x0, x1)]
    return join_rules(edges)


def _rect_to_edges(rect: dict[str, Any]) -> list[tuple[float, float, float, float]]:
    x0, top, x1, bottom = rect["x0"], rect["top"], rect["x1"], rect["bottom"]
    if min(x1 - x0, bottom - top) <= THIN_PT:
        return [(x0, top, x1, bottom)] if max(x1 - x0, bottom - top) >= SHORT_PT else []
    if not rect.get("stroke") or (rect["object_type"] == "curve" and not _is_box(rect)):
        return []
    return [(x0, top, x1, top), (x0, bottom, x1, bottom), (x0, top, x0, bottom), (x1, top, x1, bottom)]


def _is_box(curve: dict[str, Any]) -> bool:
    """Whether a path is an axis-parallel box drawn point by point."""
    points = curve.get("pts") or ()
    return 4 <= len(points) <= 6 and all(
        abs(ax - bx) < 0.5 or abs(ay - by) < 0.5 for (ax, ay), (bx, by) in pairwise(points)
    )


def join_rules(rules: list[Rule], gap: float = 3.0, off: float = 0.8) -> tuple[Rule, ...]:
    """Rules on one line that touch or nearly touch become one; sorted by place, then start."""
    lanes: list[list[Rule]] = []
    for rule in sorted(rules, key=lambda r: r.at):
        if lanes and rule.at - lanes[-1][0].at <= off:
            lanes[-1].append(rule)
        else:
            lanes.append([rule])
    joined: list[Rule] = []
    for lane in lanes:
        at = sum(rule.at for rule in lane) / len(lane)
        pieces = sorted((rule.start, rule.end) for rule in lane)
        start, end = pieces[0]
        for next_start, next_end in pieces[1:]:
            if next_start - end <= gap:
                end = max(end, next_end)
            else:
                joined.append(Rule(at, start, end))
                start, end = next_start, next_end
        joined.append(Rule(at, start, end))
    return tuple(joined)
