"""The glyphs and rules of one page, in one coordinate system: points, origin top left (pdfplumber).

Comes in: a PDF page. Goes out: a PageContent whose glyphs are upright and left to right, whatever
way the page or its text is turned. Does not form words or tables.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from extract.boxes import Box, Boxed
from extract.page_objects import Char, Shape, page_to_objects
from extract.raised_digits import chars_to_raised
from extract.schema import Place

THIN_PT = 2.2  # a filled box thinner than this is drawn as a rule
SHORT_PT = 3.0  # a rule shorter than this is a dot or a dash
ASKEW = 0.1  # of a right angle: text turned farther from the axes belongs to no table
DOUBLE_EM, DOUBLE_PT = 0.2, 2.0  # one glyph printed twice stands no farther apart
ROW_PT = 4.0


@dataclass(frozen=True, slots=True)
class Glyph(Boxed):
    """One printed character and its box."""

    text: str
    x0: float
    top: float
    x1: float
    bottom: float
    size: float


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
    and lower edges of shaded areas; `hidden` are glyphs nobody can see; `off_page` counts those outside
    the page as shown; `tilt_deg` is how far a scanned page
    was turned clockwise, besides, to set it level (after `turn`).
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
    off_page: int = 0
    tilt_deg: float = 0.0


def page_to_content(
    page: Any,
    number: int,
    hidden: Mapping[tuple[str, int, int], int] | None = None,
    decode: Callable[[list[Char]], list[Char]] = list,
) -> PageContent:
    """Glyphs and rules of a pdfplumber page. `hidden` counts glyphs to set apart (hidden.py); `decode` mends
    characters (decoding.py)."""
    chars, shapes = page_to_objects(page)
    chars = chars_to_raised(decode(chars))
    size = float(page.width), float(page.height)
    shapes = [shape for shape in shapes if _touches_page(shape.box, size)]
    by_turn: dict[int, list[Char]] = {}
    off_page = 0
    for char in chars:
        turn = _char_to_turn(char)
        if not _is_on_page(char.box, page.bbox):
            off_page += not char.text.isspace()
        elif turn is not None:
            by_turn.setdefault(turn, []).append(char)
    turn, sideways_turn = _chars_to_turns(by_turn)
    seen, unseen = _part_hidden(by_turn.get(turn, []), hidden or {})
    sideways = by_turn[sideways_turn] if sideways_turn != turn else []
    horizontals, verticals = _shapes_to_rules(shapes, turn, size)
    width, height = (size[1], size[0]) if turn in (90, 270) else size
    return PageContent(
        number,
        width,
        height,
        turn,
        _without_doubles(_chars_to_glyphs(seen, turn, size)),
        horizontals,
        verticals,
        _shapes_to_bands(shapes, turn, size),
        tuple(_chars_to_glyphs(sideways, sideways_turn, size)),
        sideways_turn,
        tuple(_chars_to_glyphs(unseen, turn, size)),
        off_page,
    )


def glyph_key(text: str, x: float, y: float) -> tuple[str, int, int]:
    """A glyph's name for matching between two libraries: its text and its origin in PDF points."""
    return text, round(x), round(y)


def _part_hidden(
    chars: list[Char], hidden: Mapping[tuple[str, int, int], int]
) -> tuple[list[Char], list[Char]]:
    """Seen and hidden glyphs; of equal glyphs at one origin only as many go as are hidden."""
    left = dict(hidden)
    seen: list[Char] = []
    unseen: list[Char] = []
    for char in chars:
        x, y = char.matrix[4:]
        key = (
            next(
                (
                    k
                    for dx in (0, -0.3, 0.3)
                    for dy in (0, -0.3, 0.3)
                    if left.get(k := glyph_key(char.text, x + dx, y + dy), 0) > 0
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


def box_to_place(content: PageContent, box: Box) -> Place:
    """The place on the page as shown of a box in turned coordinates (x0, top, x1, bottom)."""
    if content.tilt_deg:
        box = _tilt_box(box, -content.tilt_deg, (content.width / 2, content.height / 2))
    shown = _turn_box(box, -content.turn % 360, content.width, content.height)
    return Place(content.number, *(round(edge, 1) for edge in shown))


def place_to_box(content: PageContent, box: Box) -> Box:
    """A box of the page as shown in turned coordinates: the way back from `box_to_place`."""
    size = (content.height, content.width) if content.turn in (90, 270) else (content.width, content.height)
    turned = _turn_box(box, content.turn, *size)
    if content.tilt_deg:
        return _tilt_box(turned, content.tilt_deg, (content.width / 2, content.height / 2))
    return turned


def sideways_box(content: PageContent, box: Box) -> Box:
    """A box in the coordinates of the sideways glyphs, in those of the upright ones."""
    turn = (content.turn - content.sideways_turn) % 360
    width, height = (content.height, content.width) if turn in (90, 270) else (content.width, content.height)
    return _turn_box(box, turn, width, height)


def _turn_box(box: Box, turn: int, width: float, height: float) -> Box:
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


def _tilt_box(box: Box, tilt_deg: float, middle: tuple[float, float]) -> Box:
    """A box turned clockwise about a point; its sides stay level, its middle and size stay."""
    x, y = (box[0] + box[2]) / 2 - middle[0], (box[1] + box[3]) / 2 - middle[1]
    across, down = math.cos(math.radians(tilt_deg)), math.sin(math.radians(tilt_deg))
    dx = x * across - y * down - x
    dy = x * down + y * across - y
    return box[0] + dx, box[1] + dy, box[2] + dx, box[3] + dy


def _is_on_page(box: Box, page_box: Box) -> bool:
    x0, top, x1, bottom = page_box
    return x0 - 1 <= box[0] and box[2] <= x1 + 1 and top - 1 <= box[1] and box[3] <= bottom + 1


def _touches_page(box: Box, size: tuple[float, float]) -> bool:
    return box[2] >= -1 and box[3] >= -1 and box[0] <= size[0] + 1 and box[1] <= size[1] + 1


def _char_to_turn(char: Char) -> int | None:
    """How far the page must be turned clockwise for this glyph to read left to right; None for a glyph
    that stands askew: a watermark, a seal, a label on a curve."""
    a, b = char.matrix[:2]
    if b == 0 and a > 0:
        return 0
    quarters = math.degrees(math.atan2(b, a)) / 90
    return round(quarters) % 4 * 90 if abs(quarters - round(quarters)) < ASKEW else None


def _chars_to_turns(by_turn: Mapping[int, list[Char]]) -> tuple[int, int]:
    """The directions of most and of second most glyphs (the same twice if there is only one)."""
    counts = {turn: sum(char.text.isalnum() for char in chars) for turn, chars in by_turn.items()}
    ranked = sorted((turn for turn in counts if counts[turn]), key=lambda turn: -counts[turn])[:2] or [0]
    return ranked[0], ranked[-1]


def _chars_to_glyphs(chars: list[Char], turn: int, size: tuple[float, float]) -> list[Glyph]:
    """Glyphs in turned coordinates; their size is their height there (pdfplumber gives the width of
    turned ones)."""
    glyphs = []
    for char in chars:
        box = _turn_box(char.box, turn, *size)
        glyphs.append(Glyph(char.text, *box, box[3] - box[1]))
    return glyphs


def _without_doubles(glyphs: list[Glyph]) -> tuple[Glyph, ...]:
    """Drop a glyph printed twice at one place (poor man's bold)."""
    rows: dict[tuple[str, int], list[Glyph]] = {}
    kept: list[Glyph] = []
    for glyph in glyphs:
        text, near = glyph.text, min(DOUBLE_EM * glyph.size, DOUBLE_PT)
        x0, top = glyph.x0, glyph.top
        first, last = int((top - near) / ROW_PT), int((top + near) / ROW_PT)
        printed = not text.isspace()
        if printed and any(
            -near < other.x0 - x0 < near and -near < other.top - top < near
            for row in range(first, last + 1)
            for other in rows.get((text, row), ())
        ):
            continue
        rows.setdefault((text, int(top / ROW_PT)), []).append(glyph)
        kept.append(glyph)
    return tuple(kept)


def _shapes_to_rules(
    shapes: list[Shape], turn: int, size: tuple[float, float]
) -> tuple[tuple[Rule, ...], tuple[Rule, ...]]:
    """Horizontal and vertical rules: lines, thin filled boxes, edges of stroked boxes."""
    horizontals: list[Rule] = []
    verticals: list[Rule] = []
    for edge in (edge for shape in shapes for edge in _shape_to_edges(shape)):
        x0, top, x1, bottom = _turn_box(edge, turn, *size)
        if bottom - top <= THIN_PT and x1 - x0 >= SHORT_PT:
            horizontals.append(Rule((top + bottom) / 2, x0, x1))
        elif x1 - x0 <= THIN_PT and bottom - top >= SHORT_PT:
            verticals.append(Rule((x0 + x1) / 2, top, bottom))
    return join_rules(horizontals), join_rules(verticals)


def _shapes_to_bands(shapes: list[Shape], turn: int, size: tuple[float, float]) -> tuple[Rule, ...]:
    """Upper and lower edges of filled areas: they part rows where no rule does."""
    edges: list[Rule] = []
    for shape in shapes:
        x0, top, x1, bottom = _turn_box(shape.box, turn, *size)
        if shape.is_rect and shape.is_filled and bottom - top > 5.0 and x1 - x0 > 10.0:
            edges += [Rule(top, x0, x1), Rule(bottom, x0, x1)]
    return join_rules(edges)


def _shape_to_edges(shape: Shape) -> list[Box]:
    x0, top, x1, bottom = shape.box
    if shape.is_line:
        return [shape.box]
    if min(x1 - x0, bottom - top) <= THIN_PT:
        return [shape.box] if max(x1 - x0, bottom - top) >= SHORT_PT else []
    if not shape.is_stroked or not shape.is_square:
        return []
    return [(x0, top, x1, top), (x0, bottom, x1, bottom), (x0, top, x0, bottom), (x1, top, x1, bottom)]


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
