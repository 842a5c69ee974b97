"""The sizes of type on a recognised page: lines that differ by a stroke of ink are of one size.

Comes in: the glyphs of each line, as high as their own ink says. Goes out: the same, each line in the size
that is usual among those near its own. Readers tell titles from headings, and gaps from blanks, by the size
of type; ink alone says it to a sixth only. Moves no glyph off its base line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from extract.page import Glyph
from extract.scans.glyphs import ASCENT, DESCENT

ALIKE = 1.3  # sizes that differ by a smaller factor are one: blur and boxes change a size by so much
NEAR = 2.0  # signs that are no letters (an arrow) take the page's commonest size within this factor


def lines_to_usual_sizes(lines: Sequence[Sequence[Glyph]]) -> list[list[Glyph]]:
    """The lines in the usual sizes of their page."""
    usual = _weights_to_sizes([(line[0].size, _letters(line)) for line in lines if line])
    return [line_in_size(line, _nearest(line, usual)) for line in lines if line]


def _weights_to_sizes(weighed: Sequence[tuple[float, int]]) -> list[float]:
    """The sizes that stand for many letters each, those of most letters first; each takes its neighbours
    away."""
    left = [(size, weight) for size, weight in weighed if weight]
    sizes: list[float] = []
    while left:
        best = max(left, key=lambda one: _about(one[0], left))[0]
        near = sorted(size for size, weight in left for _ in range(weight) if _is_alike(size, best))
        sizes.append(near[len(near) // 2])
        left = [one for one in left if not _is_alike(one[0], best)]
    return sizes


def _about(size: float, weighed: Sequence[tuple[float, int]]) -> int:
    return sum(weight for other, weight in weighed if _is_alike(other, size))


def _is_alike(size: float, other: float) -> bool:
    return max(size, other) < ALIKE * min(size, other)


def _nearest(line: Sequence[Glyph], usual: Sequence[float]) -> float:
    """The size nearest to a line's own, for signs the page's commonest; its own where none is near."""
    own = line[0].size
    if not _letters(line):
        return next((size for size in usual[:1] if max(size, own) < NEAR * min(size, own)), own)
    alike = (size for size in usual if _is_alike(size, own))
    return min(alike, key=lambda size: abs(size - own), default=own)


def _letters(line: Sequence[Glyph]) -> int:
    return sum(glyph.text.isalnum() for glyph in line)


def line_in_size(line: Sequence[Glyph], size: float) -> list[Glyph]:
    """The glyphs of a line in another size of type, on the same base line."""
    base = line[0].bottom - DESCENT * line[0].size
    top, bottom = base - ASCENT * size, base + DESCENT * size
    return [replace(glyph, top=top, bottom=bottom, size=size) for glyph in line]
