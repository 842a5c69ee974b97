"""Charts whose lines are drawn and whose texts are outlines, as programs for drawings print them.

Comes in: the ink of a page. Goes out: the same ink with letters that two recognisers read from the outlines
around its frames, and which texts are not sure; curves of such a page, in doubt where their texts are. Looks
only at frames with shapes like letters around them and no number along any axis.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from extract.charts.frames import Frame
from extract.charts.geometry import Box, is_within
from extract.charts.ink import Ink
from extract.charts.loose_frames import ink_to_any_frames
from extract.charts.numbers import words_to_ticks
from extract.charts.pixels import can_read_pixels
from extract.charts.wording import letters_to_words
from extract.schema import Curve, Status

AROUND_PT, ABOVE_PT = 90.0, 60.0  # texts of a chart stand no farther from its frame
LEAST_SHAPES, LARGEST_PT = 12, 16.0  # fewer shapes are no numbers along two axes; a letter is no larger
FROM_OUTLINES = "the texts of this chart are outlines, and were read by recognisers"


@dataclass(frozen=True, slots=True)
class Worded:
    """The ink of a page; `unsure` are texts that one recogniser alone read, `outlined` whether any text was
    read from outlines."""

    ink: Ink
    unsure: frozenset[str] = frozenset()
    outlined: bool = False


def ink_to_worded(ink: Ink) -> Worded:
    """The ink with the texts that are outlines, if it has frames that lack numbers."""
    boxes = [_around(frame.box, ink) for frame in ink_to_any_frames(ink) if _lacks_numbers(frame, ink)]
    boxes = [box for box in boxes if _count_shapes(ink, box) >= LEAST_SHAPES]
    if not boxes or not can_read_pixels():
        return Worded(ink)
    from extract.charts.pixels.outlined import ink_to_outlined_letters

    box = (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )
    letters, unsure = ink_to_outlined_letters(ink, box)
    return Worded(replace(ink, letters=(*ink.letters, *letters)), unsure, bool(letters))


def curves_in_doubt(curves: Sequence[Curve], worded: Worded) -> list[Curve]:
    """Curves of such a page: single at best, disputed where one recogniser alone read their label."""
    if not worded.outlined:
        return list(curves)
    found = []
    for curve in curves:
        is_unsure = curve.label in worded.unsure
        doubts = [f"label '{curve.label}' was read by one recogniser only"] if is_unsure else []
        status = Status.DISPUTED if curve.notes or doubts else Status.SINGLE
        found.append(replace(curve, status=status, notes=(*curve.notes, *doubts, FROM_OUTLINES)))
    return found


def _lacks_numbers(frame: Frame, ink: Ink) -> bool:
    """Whether no number stands along either axis of a frame."""
    return not any(words_to_ticks(letters_to_words(ink.letters), frame.box))


def _count_shapes(ink: Ink, box: Box) -> int:
    """How many filled shapes of the size of letters stand in a box."""
    return sum(
        stroke.is_filled
        and stroke.width == 0
        and len(stroke.points) > 5
        and max(stroke.box[2] - stroke.box[0], stroke.box[3] - stroke.box[1]) < LARGEST_PT
        and is_within(stroke.box, box)
        for stroke in ink.strokes
    )


def _around(box: Box, ink: Ink) -> Box:
    """A frame's box with the room of its texts, within the page."""
    x0, top, x1, bottom = box
    return (
        max(0.0, x0 - AROUND_PT), max(0.0, top - ABOVE_PT),
        min(ink.width, x1 + AROUND_PT), min(ink.height, bottom + ABOVE_PT),
    )  # fmt: skip
