"""Dots that lead the eye from a label to its value: "Trip current ........ 1.5 A".

Comes in: the glyphs of a page. Goes out: the same, with blanks in the place of such dots. Knows no words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from extract.page import Glyph

_LEADER = frozenset(".·․‥…")
LEAST_LEADER, NEAR_EM = 4, 1.0
"""So many dots in a row lead the eye from a label to its value."""


def glyphs_without_leaders(glyphs: Sequence[Glyph]) -> list[Glyph]:
    """The glyphs, with blanks for dots that lead from a label to its value."""
    kept: list[Glyph] = []
    run: list[Glyph] = []
    for glyph in (*glyphs, None):
        if glyph is not None and _goes_on(run, glyph):
            run.append(glyph)
            continue
        dots = sum(1 + 2 * (other.text in "…‥") for other in run if other.text in _LEADER)
        kept += run if dots < LEAST_LEADER else [replace(other, text=" ") for other in run]
        run = []
        if glyph is not None:
            (run if glyph.text in _LEADER else kept).append(glyph)
    return kept


def _goes_on(run: Sequence[Glyph], glyph: Glyph) -> bool:
    """Whether a glyph is the next dot of a row of dots, or a blank in it."""
    if glyph.text not in _LEADER and not glyph.text.isspace():
        return False
    near = [
        glyph.x0 - before.x1 < NEAR_EM * before.size and abs(glyph.mid_y - before.mid_y) < 1.0
        for before in run[-1:]
    ]
    return near == [True]
