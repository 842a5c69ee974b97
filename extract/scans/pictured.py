"""Tables that are pictures on a page with text of its own.

Comes in: a pdfium page. Goes out: a ScannedPage of its pictures that look like tables, to be laid into what
the page's text says. Charts and photographs are told apart by their rows: a table has several lines of
several words at one height, a chart one. A table that stands on its side is named, not read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy

from extract.boxes import Box
from extract.hidden import page_to_hidden_glyphs
from extract.page import Glyph, PageContent, Rule
from extract.scans.doubts import ScannedLine
from extract.scans.picture import DPI, LEAST_DPI, Grey, Picture, page_to_grey, page_to_pictures
from extract.scans.recognised import (
    InkRead,
    ScannedPage,
    grey_to_recognised,
    is_legible,
    is_sideways,
    lines_to_text,
)
from extract.scans.recognisers import Dots, grey_to_boxes, neural_is_here
from extract.scans.straight import grey_to_straight

PT = DPI / 72
LEAST_WIDE_PT, LEAST_HIGH_PT = 90.0, 30.0  # a smaller picture holds no table
LIGHT, DARK = 170, 110  # of 255: paper and ink
PAPER, INK = 0.5, 0.35  # of a table's picture at least so much is paper, at most so much is ink
COARSE = 0.4  # of the page's fineness: enough to tell a table from a chart
ROWS, ACROSS = 3, 3  # a table has so many rows of so many words
OFF_EM = 0.4  # words of one row differ in height by less
COVERED = 30  # letters of text over a picture: more, and the picture is a background
MARGIN_PX = 24  # of paper set around a picture


def page_to_pictured(page: Any, number: int) -> ScannedPage | None:
    """The tables among the pictures of a page recognised; None where there are none."""
    if page.get_rotation():
        return None
    wanted = [p for p in page_to_pictures(page) if is_wanted(p) and _box_to_letters(page, p.box) <= COVERED]
    if not wanted:
        return None
    grey = page_to_grey(page)
    printed = [(p, crop) for p in wanted if is_print(crop := _crop(grey, p.box))]
    if not printed:
        return None
    if not neural_is_here():
        return _remarked(number, [f"page {number} holds a picture that may be a table; it was not read"])
    return _crops_to_page(number, [(p, crop, _look(crop)) for p, crop in printed])


def _crops_to_page(number: int, looked: Sequence[tuple[Picture, Grey, str]]) -> ScannedPage | None:
    remarks: list[str] = []
    tables: list[tuple[Picture, InkRead]] = []
    for picture, crop, look in looked:
        if look == "sideways":
            remarks.append(f"page {number} holds a picture of a table on its side; it was not read")
        elif look == "table" and picture.dpi < LEAST_DPI - 0.5:
            fine = f"{picture.dpi:.0f} dots per inch; at least {LEAST_DPI} are needed"
            remarks.append(f"page {number} holds a picture of a table of {fine}; it was not read")
        elif look == "table":
            ink = grey_to_recognised(grey_to_straight(crop)[0])
            if is_legible(ink.lines):
                tables.append((picture, ink))
            else:
                hard = "that can hardly be read (handwriting, or a bad scan)"
                remarks.append(f"page {number} holds a picture of a table {hard}; it was not read")
    if not tables:
        return _remarked(number, remarks) if remarks else None
    return _tables_to_page(number, tables, remarks)


def _tables_to_page(
    number: int, tables: Sequence[tuple[Picture, InkRead]], remarks: Sequence[str]
) -> ScannedPage:
    lines: list[ScannedLine] = []
    glyphs: list[Glyph] = []
    rules: tuple[list[Rule], list[Rule]] = ([], [])
    for picture, ink in tables:
        x, y = picture.box[0] - MARGIN_PX / PT, picture.box[1] - MARGIN_PX / PT
        lines += [replace(line, box=_moved(line.box, x, y)) for line in ink.lines]
        glyphs += [
            replace(g, x0=g.x0 + x, x1=g.x1 + x, top=g.top + y, bottom=g.bottom + y) for g in ink.glyphs
        ]
        rules[0].extend(Rule(r.at + y, r.start + x, r.end + x) for r in ink.ruled.horizontals)
        rules[1].extend(Rule(r.at + x, r.start + y, r.end + y) for r in ink.verticals)
    content = PageContent(number, 0.0, 0.0, 0, tuple(glyphs), tuple(rules[0]), tuple(rules[1]))
    pictures = tuple(picture.box for picture, _ in tables)
    dpi = min(picture.dpi for picture, _ in tables)
    return ScannedPage(content, lines_to_text(lines), tuple(lines), dpi, pictures, tuple(remarks))


def content_with_pictures(content: PageContent, scanned: ScannedPage) -> PageContent:
    """What a page's text says, and what was recognised on its pictures. Nothing is laid into a page whose
    text stands on its side."""
    if content.turn:
        return content
    own = scanned.content
    return replace(
        content,
        glyphs=content.glyphs + own.glyphs,
        horizontals=tuple(sorted(content.horizontals + own.horizontals, key=lambda r: (r.at, r.start))),
        verticals=tuple(sorted(content.verticals + own.verticals, key=lambda r: (r.at, r.start))),
    )


def is_wanted(picture: Picture) -> bool:
    """Whether a picture is large enough to hold a table."""
    x0, top, x1, bottom = picture.box
    return x1 - x0 >= LEAST_WIDE_PT and bottom - top >= LEAST_HIGH_PT


def is_print(grey: Grey) -> bool:
    """Whether a picture is ink on paper: mostly light, little dark. A photograph is not."""
    if grey.size == 0:
        return False
    paper, ink = float(numpy.mean(grey > LIGHT)), float(numpy.mean(grey < DARK))
    return paper >= PAPER and 0.002 < ink <= INK


def _look(grey: Grey) -> str:
    """What a picture looks like: "table", "sideways" (a table on its side), or "" (a chart, a drawing)."""
    boxes = grey_to_boxes(grey, COARSE)
    if boxes_to_rows(boxes) >= ROWS:
        return "table"
    turned = [(top, x0, bottom, x1) for x0, top, x1, bottom in boxes]
    lying = sum(map(is_sideways, boxes)) > len(boxes) / 2
    return "sideways" if lying and boxes_to_rows(turned) >= ROWS else ""


def boxes_to_rows(boxes: Sequence[Dots]) -> int:
    """How many rows have several words at one height."""
    rows: list[list[Dots]] = []
    for box in sorted(boxes, key=lambda b: b[1] + b[3]):
        middle = (box[1] + box[3]) / 2
        last = rows[-1][-1] if rows else None
        if last is not None and abs(middle - (last[1] + last[3]) / 2) <= OFF_EM * (last[3] - last[1]):
            rows[-1].append(box)
        else:
            rows.append([box])
    return sum(len(row) >= ACROSS for row in rows)


def _remarked(number: int, remarks: Sequence[str]) -> ScannedPage:
    content = PageContent(number, 0.0, 0.0, 0, (), (), ())
    return ScannedPage(content, "", (), 0.0, ((0.0, 0.0, 0.0, 0.0),), tuple(remarks))


def _crop(grey: Grey, box: Box) -> Grey:
    """The picture's part of the page, with a margin of paper, so that its edges are no ink."""
    x0, top, x1, bottom = (max(0, round(edge * PT)) for edge in box)
    return numpy.pad(grey[top:bottom, x0:x1], MARGIN_PX, constant_values=255)


def _moved(box: Box, x: float, y: float) -> Box:
    return box[0] + x, box[1] + y, box[2] + x, box[3] + y


def _box_to_letters(page: Any, box: Box) -> int:
    """How many letters of text can be seen over a picture."""
    left, _, _, upper = page.get_cropbox()
    edges = left + box[0], upper - box[3], left + box[2], upper - box[1]
    letters = sum(sign.isalnum() for sign in str(page.get_textpage().get_text_bounded(*edges)))
    if letters <= COVERED:
        return letters
    hidden = page_to_hidden_glyphs(page)
    return letters - sum(
        count
        for (sign, x, y), count in hidden.items()
        if sign.isalnum() and edges[0] <= x <= edges[2] and edges[1] <= y <= edges[3]
    )
