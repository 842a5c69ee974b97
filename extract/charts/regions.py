"""Which boxes of a page are charts, and of what kind.

Comes in: a pdfium page. Goes out: ChartRegions: the box that holds a chart with its labels and axis titles.
Numbers in such a box belong to no table. Reads no curve.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from extract.charts.frames import Frame, ink_to_frames
from extract.charts.ink import Box, Ink, page_to_drawing, with_letters
from extract.charts.kinds import (
    ChartKind,
    Surroundings,
    box_to_surroundings,
    names,
    surroundings_to_kind,
)
from extract.charts.quick_look import could_hold_curve
from extract.charts.wording import Word, is_level, letters_to_words, words_to_phrases

PICTURE_WIDE, PICTURE_HIGH = 110.0, 80.0  # a chart that is a picture is no smaller, in points
_GAP_PT = 9.0  # texts of a chart follow each other so closely, from its frame outwards
_NAME_PT = 110.0  # a name beside the sample of a legend reaches no farther
_LEFT_PT, _RIGHT_PT, _HEAD_PT, _FOOT_PT = 75.0, 150.0, 90.0, 45.0  # and reach no farther from it


@dataclass(frozen=True, slots=True)
class ChartRegion:
    """A chart on a page (from 1): the box of its axes and the box with all its texts, both (x0, top, x1,
    bottom) in points from the top left of the page as shown."""

    page: int
    kind: ChartKind
    frame: Box
    box: Box


def page_to_chart_regions(page: Any, number: int) -> tuple[ChartRegion, ...]:
    """The charts of a pdfium page: frames with a curve in them, and pictures named as charts."""
    ink = page_to_drawing(page, number)
    frames = ink_to_frames(ink) if could_hold_curve(page) else ()
    pictures = [
        box for box in ink.pictures if box[2] - box[0] > PICTURE_WIDE and box[3] - box[1] > PICTURE_HIGH
    ]
    if not frames and not pictures:
        return ()
    return ink_to_regions(with_letters(ink, page), frames, pictures)


def ink_to_regions(ink: Ink, frames: Sequence[Frame], pictures: Sequence[Box]) -> tuple[ChartRegion, ...]:
    """The charts among the frames and pictures of a page."""
    phrases = words_to_phrases(letters_to_words(ink.letters))
    boxes = [frame.box for frame in frames]
    found = []
    for frame in frames:
        around = box_to_surroundings(frame.box, phrases, boxes)
        box = _grown(frame.box, phrases)
        found.append(ChartRegion(ink.number, surroundings_to_kind(around), frame.box, box))
    for box in pictures:
        kind = _picture_to_kind(box_to_surroundings(box, phrases, boxes))
        if kind is not None and not any(_within(region.frame, box) for region in found):
            found.append(ChartRegion(ink.number, kind, box, box))
    return tuple(found)


def _picture_to_kind(around: Surroundings) -> ChartKind | None:
    """PICTURE where the texts around a picture speak of a chart; None for a photograph or a logo."""
    kind = surroundings_to_kind(around)
    texts = " ".join(phrase.text for phrase in around.above[:6])
    named = names("title", "time_to_trip", texts) or names("title", "derating", texts)
    return ChartKind.PICTURE if named or kind is not ChartKind.OTHER else None


def _within(inner: Box, outer: Box) -> bool:
    return (
        outer[0] - 2 <= inner[0]
        and inner[2] <= outer[2] + 2
        and outer[1] - 2 <= inner[1]
        and inner[3] <= outer[3] + 2
    )


def frame_to_region_box(
    frame: Box, words: Sequence[Word], leaders: Sequence[Box], samples: Sequence[Box] = ()
) -> Box:
    """The box of a frame with the texts that follow each other from it outwards, along leaders too, and from
    the samples of a legend beside it."""
    return _grown(frame, words_to_phrases(words), leaders, samples)


def _grown(
    frame: Box, phrases: Sequence[Word], leaders: Sequence[Box] = (), samples: Sequence[Box] = ()
) -> Box:
    """The box of a frame with the texts that follow each other from it outwards; whole lines of prose or of a
    table are left outside."""
    x0, top, x1, bottom = frame
    limits = (x0 - _LEFT_PT, top - _HEAD_PT, x1 + _RIGHT_PT, bottom + _FOOT_PT)
    for a0, b0, a1, b1 in samples:
        limits = _around(limits, (a0 - _NAME_PT, b0 - _GAP_PT, a1 + _NAME_PT, b1 + _GAP_PT))
    near = [
        p.box for p in phrases if _within(p.box, limits) and not (is_level(p.angle) and _is_prose(p, frame))
    ]
    near += [box for box in leaders if _within(box, limits)]
    box, grown = frame, True
    for sample in samples:
        a0, b0, a1, b1 = sample
        box = _around(box, (a0 - _GAP_PT, b0, a1 + _GAP_PT, b1)) if _within(sample, limits) else box
    while grown:
        grown = False
        for other in list(near):
            if _touches(box, other):
                box = _around(box, other)
                near.remove(other)
                grown = True
    return box


def _around(one: Box, other: Box) -> Box:
    return min(one[0], other[0]), min(one[1], other[1]), max(one[2], other[2]), max(one[3], other[3])


def _is_prose(phrase: Word, frame: Box) -> bool:
    """A line of many words that reaches over much of the frame's width; a row of letters is none."""
    words = phrase.text.count(" ") + 1
    return (
        words >= 8
        and len(phrase.text) > 3.5 * words
        and phrase.box[2] - phrase.box[0] > 0.5 * (frame[2] - frame[0])
    )


def _touches(one: Box, other: Box) -> bool:
    return (
        one[0] - _GAP_PT <= other[2]
        and other[0] <= one[2] + _GAP_PT
        and one[1] - _GAP_PT <= other[3]
        and other[1] <= one[3] + _GAP_PT
    )
