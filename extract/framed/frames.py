"""A frame that a person drew around a table, and what stands in it.

Comes in: an opened document, a frame in points of the page as shown. Goes out: the page with only what stands
in the frame, the frame in the coordinates of its text. Reads no number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from extract.boxes import Box
from extract.cells.ink import content_to_ink
from extract.document import Document
from extract.errors import InputError
from extract.page import PageContent, Rule, place_to_box
from extract.pages import document_to_contents
from extract.schema import Kind, Quantity

SMALLEST_PT = 8.0


class Role(StrEnum):
    """What a column of a framed table is for."""

    PART = "part"
    VALUE = "value"
    TEST_CURRENT = "test_current"
    LEFT_OUT = "left_out"


@dataclass(frozen=True, slots=True)
class FrameColumn:
    """A column from `x0` to `x1` (points of the page as shown). A value names its quantity, kind, the unit
    that its numbers are printed in, and its ambient (°C) or test current (A) where it has one."""

    x0: float
    x1: float
    role: Role
    quantity: Quantity | None = None
    kind: Kind = Kind.NONE
    unit: str = ""
    ambient_c: float | None = None
    test_current_a: float | None = None
    heading: str = ""


@dataclass(frozen=True, slots=True)
class Frame:
    """A framed table: page from 1, box (x0, top, x1, bottom) and the lower edge of its heading, in points of
    the page as shown.

    Turned, the parts stand side by side: `columns` are then its rows from the height `x0` to `x1`, and
    `heading_bottom` is the right edge of the labels beside them. `part` names the only part of a table that
    does not name it."""

    page: int
    box: Box
    heading_bottom: float
    columns: tuple[FrameColumn, ...]
    turned: bool = False
    part: str = ""


def framed_content(document: Document, page: int, box: Box) -> PageContent:
    """The page with only what stands in the frame; its box in points of the page as shown."""
    if not 1 <= page <= len(document.page_texts):
        raise InputError(document.name, f"page {page}", f"1 to {len(document.page_texts)}")
    if box[2] - box[0] < SMALLEST_PT or box[3] - box[1] < SMALLEST_PT:
        raise InputError(document.name, "a frame with nothing in it", "a frame around a table")
    content = document_to_contents(document, [page])[page]
    x0, top, x1, bottom = place_to_box(content, box)
    _refuse_cut_words(content, (x0, top, x1, bottom))
    return replace(
        content,
        glyphs=tuple(g for g in content.glyphs if x0 <= g.mid_x <= x1 and top <= g.mid_y <= bottom),
        horizontals=_clipped(content.horizontals, (top, bottom), (x0, x1)),
        verticals=_clipped(content.verticals, (x0, x1), (top, bottom)),
        bands=_clipped(content.bands, (top, bottom), (x0, x1)),
        sideways=(),
    )


def _refuse_cut_words(content: PageContent, box: Box) -> None:
    """Half a part number is another part number: an edge of the frame must not run through a word."""
    for line in content_to_ink(content).lines:
        for atom in line.atoms if box[1] <= line.mid_y <= box[3] else ():
            if any(atom.x0 + 1 < edge < atom.x1 - 1 for edge in (box[0], box[2])):
                raise InputError(
                    "frame",
                    f"its edge runs through “{atom.text}”",
                    "a frame around whole words",
                    "Draw it a little wider or narrower",
                )


def _clipped(
    rules: Sequence[Rule], across: tuple[float, float], along: tuple[float, float]
) -> tuple[Rule, ...]:
    """Rules within a stretch, cut to another across it."""
    within = (rule for rule in rules if across[0] - 1 <= rule.at <= across[1] + 1)
    return tuple(
        Rule(rule.at, max(rule.start, along[0]), min(rule.end, along[1]))
        for rule in within
        if rule.start < along[1] and rule.end > along[0]
    )


def frame_to_ink(content: PageContent, frame: Frame) -> Frame:
    """The frame in the coordinates of the page's text, for a page whose text was turned upright."""
    if not content.turn and not content.tilt_deg:
        return frame
    box = place_to_box(content, frame.box)
    left, top, right, bottom = frame.box
    if frame.turned:
        labels = place_to_box(content, (left, top, frame.heading_bottom, bottom))[2]
        boxes = [place_to_box(content, (left, one.x0, right, one.x1)) for one in frame.columns]
        rows = (replace(one, x0=at[1], x1=at[3]) for one, at in zip(frame.columns, boxes, strict=True))
        return replace(frame, box=box, heading_bottom=labels, columns=tuple(rows))
    heading = place_to_box(content, (left, top, right, frame.heading_bottom))[3]
    boxes = [place_to_box(content, (one.x0, top, one.x1, bottom)) for one in frame.columns]
    columns = (replace(one, x0=at[0], x1=at[2]) for one, at in zip(frame.columns, boxes, strict=True))
    return replace(frame, box=box, heading_bottom=heading, columns=tuple(columns))
