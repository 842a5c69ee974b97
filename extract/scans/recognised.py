"""A picture page becomes the content of a page: glyphs, rules, and what a second recogniser reads of each
line.

Comes in: a pdfium page that is a picture. Goes out: a ScannedPage whose PageContent is read like any other.
Raises DocumentError for pictures too coarse, and where no recogniser is installed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy

from extract.errors import DocumentError
from extract.page import Glyph, PageContent
from extract.scans.glyphs import box_to_inked, line_to_glyphs, lines_to_parted
from extract.scans.leftover_ink import ink_to_leftover_boxes
from extract.scans.lines_of_ink import DARK, RuledPage, grey_to_ruled, ink_to_cuts
from extract.scans.picture import DPI, LEAST_DPI, Grey, page_to_grey, page_to_picture
from extract.scans.recognisers import (
    Dots,
    SeenLine,
    boxes_to_seen_lines,
    grey_to_boxes,
    lines_to_second_texts,
    neural_is_here,
)
from extract.scans.straight import grey_to_straight

PT = DPI / 72
ADVICE = "pip install '.[scans]', and the package tesseract-ocr of your system"
TALL = 1.3  # most boxes this much higher than wide: the page lies on its side
SAMPLE = 10  # lines tried to tell which way is up
COARSE = 0.4  # of the page's fineness: enough to tell which way is up
UPRIGHT = 0.8  # read so surely, they are


@dataclass(frozen=True, slots=True)
class ScannedLine:
    """A line as the first recogniser read it, its box in points of the level page, and what the second
    read."""

    box: tuple[float, float, float, float]
    text: str
    confidence: float
    second: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ScannedPage:
    """A picture page as recognised: its content for the reader, its text, its lines, its resolution."""

    content: PageContent
    text: str
    lines: tuple[ScannedLine, ...]
    dpi: float


def page_to_scanned(page: Any, number: int, name: str) -> ScannedPage:
    """Recognise a picture page. Raises DocumentError naming the page, what is wrong and what to do."""
    if not neural_is_here():
        wanted = "text, or the packages that recognise it"
        raise DocumentError(name, f"page {number} is a picture", wanted, ADVICE)
    picture = page_to_picture(page)
    dpi = picture.dpi if picture is not None else 0.0
    if dpi < LEAST_DPI:
        found = f"page {number} is a picture of {dpi:.0f} dots per inch"
        raise DocumentError(name, found, f"at least {LEAST_DPI}, better {DPI}", "Scan the sheet again, finer")
    upright, turn = _grey_to_upright(page_to_grey(page))
    level, tilt_deg = grey_to_straight(upright)
    ruled = grey_to_ruled(level)
    boxes = grey_to_boxes(level, cuts=ink_to_cuts(ruled.ink))
    inked = [own for box in boxes if (own := box_to_inked(box, ruled.ink)) is not None]
    lines_seen = boxes_to_seen_lines(level, boxes)
    left = boxes_to_seen_lines(level, ink_to_leftover_boxes(ruled.ink, inked))
    seen = [*lines_seen, *(line for line in left if not _is_read(line, lines_seen))]
    second = lines_to_second_texts(_without_rules(level, ruled), seen)
    lines = tuple(
        ScannedLine(_to_points(line.box), line.text, line.confidence, texts)
        for line, texts in zip(seen, second, strict=True)
    )
    content = _to_content(number, level, (turn, tilt_deg), ruled, seen)
    return ScannedPage(content, "\n".join(line.text for line in lines), lines, dpi)


def _to_content(
    number: int, level: Grey, turned: tuple[int, float], ruled: RuledPage, seen: list[SeenLine]
) -> PageContent:
    glyphs: list[Glyph] = [
        glyph for line in lines_to_parted(seen) for glyph in line_to_glyphs(line, ruled.ink)
    ]
    height, width = (side / PT for side in level.shape)
    boxes = [_to_points(line.box) for line in seen]
    verticals = tuple(
        rule
        for rule in ruled.verticals  # a stem of a large letter is no rule
        if not any(b[0] <= rule.at <= b[2] and b[1] - 1 <= rule.start and rule.end <= b[3] + 1 for b in boxes)
    )
    return PageContent(
        number, width, height, turned[0], tuple(glyphs), ruled.horizontals, verticals, tilt_deg=turned[1]
    )


def _is_read(left: SeenLine, lines: Sequence[SeenLine]) -> bool:
    """Whether what was left over stands in a line that already holds its text: a subscript below its line."""
    x, y = (left.box[0] + left.box[2]) / 2, (left.box[1] + left.box[3]) / 2
    return any(
        b[0] <= x <= b[2] and b[1] <= y <= b[3] and left.text.strip() in line.text
        for line in lines
        for b in (line.box,)
    )


def _grey_to_upright(grey: Grey) -> tuple[Grey, int]:
    """The page turned until its text reads left to right, and by how much, degrees clockwise. Told by the
    shape of
    its lines, and by which way up the longest of them are read more surely."""
    boxes = grey_to_boxes(grey, COARSE)
    sideways = sum(map(_is_tall, boxes)) > len(boxes) / 2
    if not sideways and _confidence(grey, boxes) > UPRIGHT:
        return grey, 0
    turns = (90, 270) if sideways else (0, 180)
    turned = [(numpy.ascontiguousarray(numpy.rot90(grey, -turn // 90)), turn) for turn in turns]
    return max(turned, key=lambda one: _confidence(one[0], grey_to_boxes(one[0], COARSE)))


def _is_tall(box: Dots) -> bool:
    x0, top, x1, bottom = box
    return bottom - top > TALL * (x1 - x0)


def _confidence(grey: Grey, boxes: Sequence[Dots]) -> float:
    """How surely the longest lines are read."""
    longest = sorted(boxes, key=lambda box: box[0] - box[2])[:SAMPLE]
    lines = boxes_to_seen_lines(grey, longest)
    return sum(line.confidence for line in lines) / max(1, len(longest))


def _without_rules(grey: Grey, ruled: RuledPage) -> Grey:
    """The page with its rules painted out: the second recogniser takes them for letters."""
    bare = grey.copy()
    bare[(grey < DARK) & ~ruled.ink] = 255
    return bare


def _to_points(box: Dots) -> tuple[float, float, float, float]:
    x0, top, x1, bottom = box
    return x0 / PT, top / PT, x1 / PT, bottom / PT
