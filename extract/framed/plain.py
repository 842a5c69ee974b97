"""The columns or rows of a frame by nothing but the gaps in its ink: where the model sees no table.

Comes in: a page with only what stands in a frame. Goes out: columns or rows with their headings, the first
naming the parts. Tells no meaning.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from extract.cells.ink import Line, content_to_ink
from extract.cells.tables import lines_to_text
from extract.framed.frames import Frame, FrameColumn, Role
from extract.page import PageContent, box_to_place, place_to_box

COLUMN_EM = 0.8


def content_to_plain(content: PageContent, frame: Frame) -> Frame | None:
    """The frame with its columns, or turned with its rows; None without two lines and two columns."""
    lines = content_to_ink(content).lines
    spans = _lines_to_spans(lines)
    if len(lines) < 2 or len(spans) < 2:
        return None
    x0, top, x1, bottom = place_to_box(content, frame.box)
    between = [(one[1] + other[0]) / 2 for one, other in pairwise(spans)]
    if frame.turned:
        heights = [top, *lines_to_gaps(lines), bottom]
        edge = box_to_place(content, (x0, top, between[0], bottom)).x1
        return replace(frame, heading_bottom=edge, columns=heights_to_rows(content, heights, between[0]))
    columns = []
    for index, (left, right) in enumerate(pairwise([x0, *between, x1])):
        place = box_to_place(content, (left, top, right, bottom))
        heading = lines_to_text([[a for a in lines[0].atoms if left <= a.mid_x < right]])
        role = Role.PART if index == 0 else Role.LEFT_OUT
        columns.append(FrameColumn(place.x0, place.x1, role, heading=heading))
    level = box_to_place(content, (x0, top, x1, lines_to_gaps(lines)[0])).bottom
    return replace(frame, heading_bottom=level, columns=tuple(columns))


def heights_to_rows(content: PageContent, heights: Sequence[float], right: float) -> tuple[FrameColumn, ...]:
    """A row between each two heights: the first names the parts, with what stands right of the labels (which
    end at `right`) as heading; the others have their labels."""
    rows = []
    for index, (top, bottom) in enumerate(pairwise(heights)):
        place = box_to_place(content, (0.0, top, right, bottom))
        lines = [line.atoms for line in content_to_ink(content).lines if top <= line.mid_y < bottom]
        heading = lines_to_text([[a for a in line if (a.mid_x < right) == (index > 0)] for line in lines])
        role = Role.LEFT_OUT if index else Role.PART
        rows.append(FrameColumn(place.top, place.bottom, role, heading=heading))
    return tuple(rows)


def lines_to_gaps(lines: Sequence[Line]) -> list[float]:
    """The heights in the middle between each two lines."""
    return [
        (max(a.bottom for a in line.atoms) + min(a.top for a in below.atoms)) / 2
        for line, below in pairwise(lines)
    ]


def _lines_to_spans(lines: Sequence[Line]) -> list[tuple[float, float]]:
    """Where ink stands from left to right, of all lines together."""
    spans: list[tuple[float, float]] = []
    for atom in sorted((atom for line in lines for atom in line.atoms), key=lambda one: one.x0):
        if spans and atom.x0 - spans[-1][1] < COLUMN_EM * atom.size:
            spans[-1] = spans[-1][0], max(spans[-1][1], atom.x1)
        else:
            spans.append((atom.x0, atom.x1))
    return spans
