"""A picture page becomes the content of a page: glyphs, rules, and what a second recogniser reads of each line.

Comes in: a pdfium page that is a picture. Goes out: a ScannedPage whose PageContent is read like any other.
Raises DocumentError for pictures too coarse, and where no recogniser is installed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy

from extract.errors import DocumentError
from extract.page import Glyph, PageContent
from extract.scans.glyphs import line_to_glyphs
from extract.scans.lines_of_ink import RuledPage, grey_to_ruled
from extract.scans.picture import DPI, LEAST_DPI, Grey, page_to_grey, page_to_picture
from extract.scans.recognisers import (
    SeenLine,
    grey_to_seen_lines,
    lines_to_second_texts,
    neural_is_here,
)
from extract.scans.straight import grey_to_straight

PT = DPI / 72
ADVICE = "pip install '.[scans]', and the package tesseract-ocr of your system"
TALL = 1.3  # most boxes this much higher than wide: the page lies on its side
SAMPLE = 10  # lines tried to tell which way is up


@dataclass(frozen=True, slots=True)
class ScannedLine:
    """A line as the first recogniser read it, its box in points of the level page, and what the second read."""

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
        raise DocumentError(name, f"page {number} is a picture", "text, or the packages that recognise it", ADVICE)
    picture = page_to_picture(page)
    dpi = picture.dpi if picture is not None else 0.0
    if dpi < LEAST_DPI:
        found = f"page {number} is a picture of {dpi:.0f} dots per inch"
        raise DocumentError(name, found, f"at least {LEAST_DPI}, better {DPI}", "Scan the sheet again, finer")
    upright, turn = _grey_to_upright(page_to_grey(page))
    level, tilt_deg = grey_to_straight(upright)
    ruled = grey_to_ruled(level)
    seen = grey_to_seen_lines(level)
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
    glyphs: list[Glyph] = [glyph for line in seen for glyph in line_to_glyphs(line, ruled.ink)]
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


def _grey_to_upright(grey: Grey) -> tuple[Grey, int]:
    """The page turned until its text reads left to right, and by how much, degrees clockwise."""
    lines = grey_to_seen_lines(grey)
    long = [line for line in lines if len(line.text) >= 3 or _is_tall(line)]
    sideways = sum(map(_is_tall, long)) > len(long) / 2
    if not sideways and _confidence(long) > 0.8:
        return grey, 0
    turns = (90, 270) if sideways else (0, 180)
    return max(
        ((numpy.ascontiguousarray(numpy.rot90(grey, -turn // 90)), turn) for turn in turns),
        key=lambda turned: _confidence(grey_to_seen_lines(turned[0])),
    )


def _is_tall(line: SeenLine) -> bool:
    x0, top, x1, bottom = line.box
    return bottom - top > TALL * (x1 - x0)


def _confidence(lines: list[SeenLine]) -> float:
    wide = sorted(lines, key=lambda line: line.box[0] - line.box[2])[:SAMPLE]
    return sum(line.confidence for line in wide) / max(1, len(wide))


def _without_rules(grey: Grey, ruled: RuledPage) -> Grey:
    """The page with its rules painted out: the second recogniser takes them for letters."""
    from extract.scans.lines_of_ink import DARK

    bare = grey.copy()
    bare[(grey < DARK) & ~ruled.ink] = 255
    return bare


def _to_points(box: tuple[int, int, int, int]) -> tuple[float, float, float, float]:
    x0, top, x1, bottom = box
    return x0 / PT, top / PT, x1 / PT, bottom / PT
