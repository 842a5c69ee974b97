"""A picture page becomes the content of a page: glyphs, rules, and what a second recogniser reads of each
line.

Comes in: a pdfium page that is a picture. Goes out: a ScannedPage whose PageContent is read like any other.
Raises DocumentError for pictures too coarse, and where no recogniser is installed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import Any

import numpy

from extract.boxes import Box
from extract.errors import DocumentError
from extract.page import Glyph, PageContent, Rule, box_to_place
from extract.scans.dark_areas import grey_to_dark_on_light_page
from extract.scans.doubts import ScannedLine, has_number, is_settled, line_to_doubt
from extract.scans.glyphs import box_to_inked, line_to_glyphs, lines_to_parted, lines_to_single
from extract.scans.known_words import line_to_known, lines_with_zero_degrees
from extract.scans.layers import page_to_layers
from extract.scans.leftover_ink import ink_to_leftover_boxes
from extract.scans.lines_of_ink import DARK, RuledPage, grey_to_ruled, ink_to_cuts, ink_to_printed_box
from extract.scans.ohm_sign import line_with_ohm
from extract.scans.picture import DPI, LEAST_DPI, Grey, page_to_grey, page_to_picture
from extract.scans.recognisers import (
    Dots,
    SeenLine,
    boxes_to_seen_lines,
    grey_to_boxes,
    neural_is_here,
)
from extract.scans.round_signs import line_to_shaped, lines_to_shapes
from extract.scans.second_recogniser import lines_to_second_texts
from extract.scans.straight import grey_to_straight
from extract.scans.tall_lines import lines_to_halved, lines_to_printed
from extract.scans.type_sizes import lines_to_usual_sizes
from extract.scans.typewriter import lines_to_typed

PT = DPI / 72
ADVICE = "pip install '.[scans]', and the package tesseract-ocr of your system"
TALL = 1.3  # most boxes this much higher than wide: the page lies on its side
SAMPLE = 10  # lines tried to tell which way is up
COARSE = 0.3  # of the page's fineness: enough to tell which way is up
WORDS_EM = 6.0  # lines so many times as long as high are tried
UPRIGHT = 0.8  # read so surely, they are
SIDEWAYS, SIDEWAYS_PT = 2.5, 24.0  # a box so much higher than wide, and so high, is a line on its side
FEW_NUMBERS = 10  # lines with numbers: fewer say nothing of a page
MOST_DOUBTED = 0.6  # of them: more, and nothing of the page can be trusted


@dataclass(frozen=True, slots=True)
class ScannedPage:
    """A picture page as recognised: its content for the reader, its text, its lines, its resolution.
    `pictures`: boxes, in points of the page, of the pictures on a page with text of its own; none where the
    whole page is one. `remarks`: what was not read of it, and why."""

    content: PageContent
    text: str
    lines: tuple[ScannedLine, ...]
    dpi: float
    pictures: tuple[Box, ...] = ()
    remarks: tuple[str, ...] = ()


def page_to_scanned(page: Any, number: int, name: str) -> ScannedPage:
    """Recognise a picture page. Raises DocumentError naming the page, what is wrong and what to do."""
    if not neural_is_here():
        wanted = "text, or the packages that recognise it"
        raise DocumentError(name, f"page {number} is a picture", wanted, ADVICE)
    picture = page_to_picture(page)
    dpi = picture.dpi if picture is not None else 0.0
    if dpi < LEAST_DPI - 0.5:
        found = f"page {number} is a picture of {dpi:.0f} dots per inch"
        raise DocumentError(name, found, f"at least {LEAST_DPI}, better {DPI}", "Scan the sheet again, finer")
    upright, turn = _grey_to_upright(page_to_grey(page))
    level, tilt_deg = grey_to_straight(upright)
    ink = grey_to_recognised(level)
    if not is_legible(ink.lines):
        raise DocumentError(
            name,
            f"page {number} is a picture that can hardly be read (handwriting, or a bad scan)",
            "printed numbers",
            "Scan it again, or type its numbers into a parts table",
        )
    content = PageContent(
        number,
        level.shape[1] / PT,
        level.shape[0] / PT,
        turn,
        ink.glyphs,
        ink.ruled.horizontals,
        ink.verticals,
        tilt_deg=tilt_deg,
    )
    layers = page_to_layers(page, [box_to_place(content, line.box) for line in ink.lines])
    lines = tuple(replace(line, layer=layer) for line, layer in zip(ink.lines, layers, strict=True))
    return ScannedPage(content, lines_to_text(lines), lines, dpi, (), _to_remarks(number, ink.sideways))


def lines_to_text(lines: Sequence[ScannedLine]) -> str:
    """What the first recogniser reads, a line each."""
    return "\n".join(line.text for line in lines)


def _to_remarks(number: int, sideways: int) -> tuple[str, ...]:
    return (f"page {number} holds {sideways} lines on their side; they were not read",) if sideways else ()


@dataclass(frozen=True, slots=True)
class InkRead:
    """A level picture as recognised, in points from its top left; `sideways` counts lines that stand on
    their side."""

    lines: tuple[ScannedLine, ...]
    glyphs: tuple[Glyph, ...]
    ruled: RuledPage
    verticals: tuple[Rule, ...]
    sideways: int


def grey_to_recognised(level: Grey) -> InkRead:
    """Everything on a level picture, recognised twice."""
    level = grey_to_dark_on_light_page(level)
    ruled = grey_to_ruled(level)
    found = _printed_to_boxes(level, ruled)
    boxes = [box for box in found if not is_sideways(box)]
    inked = [own for box in boxes if (own := box_to_inked(box, ruled.ink)) is not None]
    lines_seen = lines_to_halved(level, ruled.ink, boxes_to_seen_lines(level, boxes))
    left = ink_to_leftover_boxes(ruled.ink, level < DARK, [*inked, *filter(is_sideways, found)])
    rest = [line for line in boxes_to_seen_lines(level, left) if not _is_read(line, lines_seen)]
    return seen_to_read(level, ruled, [*lines_seen, *rest], len(found) - len(boxes))


def _printed_to_boxes(level: Grey, ruled: RuledPage) -> list[Dots]:
    """Where lines are found on the part of a page that holds ink."""
    x, y, right, lower = ink_to_printed_box(ruled.ink)
    found = grey_to_boxes(level[y:lower, x:right], cuts=ink_to_cuts(ruled.ink[y:lower, x:right]))
    return [(x0 + x, top + y, x1 + x, bottom + y) for x0, top, x1, bottom in found]


def seen_to_read(level: Grey, ruled: RuledPage, first: Sequence[SeenLine], sideways: int) -> InkRead:
    """What the first recogniser saw of a level picture, looked at a second time and set as glyphs."""
    printed = lines_with_zero_degrees(lines_to_printed(first))
    seen = [line_with_ohm(line, ruled.ink) for line in printed]
    second = lines_to_second_texts(_without_rules(level, ruled), seen, is_settled)
    shapes = lines_to_shapes(seen, second, ruled.ink)
    known = [line_to_known(line, texts) for line, texts in zip(seen, second, strict=True)]
    lines = tuple(
        ScannedLine(
            _to_points(line.box),
            line.text,
            line.confidence,
            texts,
            taken=taken,
            shaped=line_to_shaped(line, ruled.ink, shapes),
        )
        for line, texts, (_, taken) in zip(seen, second, known, strict=True)
    )
    worded = [replace(line, text=text) for line, (text, _) in zip(seen, known, strict=True)]
    set_lines = [line_to_glyphs(line, ruled.ink) for line in lines_to_parted(worded)]
    glyphs = lines_to_single(lines_to_typed(lines_to_usual_sizes(set_lines)))
    verticals = tuple(
        rule
        for rule in ruled.verticals  # a stem of a large letter is no rule
        if not any(
            b[0] <= rule.at <= b[2] and b[1] - 1 <= rule.start and rule.end <= b[3] + 1
            for b in (line.box for line in lines)
        )
    )
    return InkRead(lines, glyphs, ruled, verticals, sideways)


def is_legible(lines: Sequence[ScannedLine]) -> bool:
    """Whether the numbers of a page are printed as recognisers know print: of handwriting they are unsure,
    or each reads another number."""
    numbers = [line for line in lines if has_number(line.text)]
    doubted = sum(bool(line_to_doubt(line)) for line in numbers)
    return len(numbers) < FEW_NUMBERS or doubted <= MOST_DOUBTED * len(numbers)


def is_sideways(box: Dots) -> bool:
    """Whether a found line stands on its side: much higher than wide, and longer than one large letter."""
    x0, top, x1, bottom = box
    return bottom - top > SIDEWAYS * (x1 - x0) and bottom - top > SIDEWAYS_PT * PT


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
    sure = 0.0 if sideways else _confidence(grey, boxes)
    if sure > UPRIGHT:
        return grey, 0
    best = grey, 0
    for turn in (90, 270) if sideways else (180,):
        turned = numpy.ascontiguousarray(numpy.rot90(grey, -turn // 90))
        other = _confidence(turned, grey_to_boxes(turned, COARSE))
        if other > sure:
            best, sure = (turned, turn), other
    return best


def _height(box: Dots) -> int:
    return max(1, box[3] - box[1])


def _is_tall(box: Dots) -> bool:
    x0, top, x1, bottom = box
    return bottom - top > TALL * (x1 - x0)


def _confidence(grey: Grey, boxes: Sequence[Dots]) -> float:
    """How surely lines of a few words are read, on the middle: long ones take much longer to read, in short
    ones there is little to tell, and some boxes hold a drawing or two lines."""
    worded = sorted(boxes, key=lambda box: abs(math.log(max(1, box[2] - box[0]) / (WORDS_EM * _height(box)))))
    lines = boxes_to_seen_lines(grey, worded[:SAMPLE])
    return median([line.confidence for line in lines]) if lines else 0.0


def _without_rules(grey: Grey, ruled: RuledPage) -> Grey:
    """The page with its rules painted out: the second recogniser takes them for letters."""
    bare = grey.copy()
    bare[ruled.drawn] = 255
    return bare


def _to_points(box: Dots) -> tuple[float, float, float, float]:
    x0, top, x1, bottom = box
    return x0 / PT, top / PT, x1 / PT, bottom / PT
