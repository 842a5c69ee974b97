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
from extract.charts.numbers import words_to_ticks
from extract.charts.pixels import can_read_pixels
from extract.charts.wording import letters_to_words
from extract.schema import Curve, Status

AROUND_PT, ABOVE_PT = 90.0, 60.0  # texts of a chart stand no farther from its frame
AROUND_SHARE = 0.2  # or of its size, if it is a large one
LEAST_LINES, LEAST_SHAPES = 3, 4  # of each axis: fewer lines, or shapes like digits, are no scale
BAND_PT, LARGEST_PT = 50.0, 16.0  # numbers stand no farther from their axis; a letter is no larger
FROM_OUTLINES = "the texts of this chart are outlines, and were read by recognisers"


@dataclass(frozen=True, slots=True)
class Worded:
    """The ink of a page; `frames` are its frames, `unsure` the texts that one recogniser alone read,
    `outlined` whether any text was read from outlines."""

    ink: Ink
    frames: tuple[Frame, ...] = ()
    unsure: frozenset[str] = frozenset()
    outlined: bool = False


def ink_to_worded(ink: Ink, frames: tuple[Frame, ...]) -> Worded:
    """The ink with the texts that are outlines, if it has frames that lack numbers."""
    bare = [frame.box for frame in frames if _is_ruled(frame) and _bears_shapes(ink, frame.box)]
    words = letters_to_words(ink.letters) if bare else ()
    boxes = [_around(box, ink) for box in bare if not any(words_to_ticks(words, box))]
    if not boxes or not can_read_pixels():
        return Worded(ink, frames)
    from extract.charts.pixels.outlined import ink_to_outlined_letters

    box = (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )
    letters, unsure = ink_to_outlined_letters(ink, box)
    return Worded(replace(ink, letters=(*ink.letters, *letters)), frames, unsure, bool(letters))


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


def _is_ruled(frame: Frame) -> bool:
    """Whether lines or ticks stand along both axes, as a scale has them."""
    return min(len(frame.columns) + len(frame.ticks_x), len(frame.rows) + len(frame.ticks_y)) >= LEAST_LINES


def _bears_shapes(ink: Ink, box: Box) -> bool:
    """Whether shapes of the size of letters stand along both axes: at the left of a frame and below it, or
    at its right and above it."""
    x0, top, x1, bottom = box
    beside = ((x0 - BAND_PT, top, x0, bottom + 5), (x1, top, x1 + BAND_PT, bottom + 5))
    across = ((x0 - 15, bottom, x1 + 15, bottom + BAND_PT), (x0 - 15, top - BAND_PT, x1 + 15, top))
    return all(max(_count_shapes(ink, band) for band in bands) >= LEAST_SHAPES for bands in (beside, across))


def _count_shapes(ink: Ink, box: Box) -> int:
    """How many shapes of the size of letters stand in a box."""
    return sum(
        (not stroke.is_filled or stroke.width == 0)
        and (len(stroke.points) > 5 or not stroke.is_filled)
        and max(stroke.box[2] - stroke.box[0], stroke.box[3] - stroke.box[1]) < LARGEST_PT
        and is_within(stroke.box, box)
        for stroke in ink.strokes
    )


def _around(box: Box, ink: Ink) -> Box:
    """A frame's box with the room of its texts, within the page."""
    x0, top, x1, bottom = box
    aside = max(AROUND_PT, AROUND_SHARE * max(x1 - x0, bottom - top))
    above = max(ABOVE_PT, AROUND_SHARE * max(x1 - x0, bottom - top))
    return (
        max(0.0, x0 - aside), max(0.0, top - above),
        min(ink.width, x1 + aside), min(ink.height, bottom + above),
    )  # fmt: skip
