"""Which lines of a framed table are one row, where no rule parts its rows and a part number may be wrapped.

Comes in: the lines between two rules, from top to bottom. Goes out: stretches of them, one for each row, with
a doubt where a text above or below may be a part of its name, or a number another part's. Reads no number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from extract.cells.ink import Atom, Line

TIGHT = 0.85
"""The lines of one cell stand closer than the rows: by so much of their distance, ..."""
LEADING_EM = 1.35
"""... or as close as the lines of a paragraph."""
NEARER = 1.6
"""A line stands so many times closer to its own row than to the next, or may belong to either."""
_GLUE = ("-", "‐", "‑", "/")


@dataclass(frozen=True, slots=True)
class FramedLine:
    """A line, its text in the column of part numbers, and the atoms of each column of values."""

    line: Line
    name: str
    values: tuple[tuple[Atom, ...], ...]

    @property
    def numbered(self) -> tuple[bool, ...]:
        """Which columns of values hold a number, or a mark that there is none."""
        return tuple(any(atom.number or atom.blank for atom in cell) for cell in self.values)

    @property
    def filled(self) -> bool:
        """Whether more than a unit stands in a column of values."""
        return any(not atom.unit for cell in self.values for atom in cell)

    @property
    def whole(self) -> bool:
        """Whether it may be a row by itself: a name, and a number or a mark that there is none."""
        return bool(self.name) and any(self.numbered)

    @property
    def bare_unit(self) -> bool:
        """Whether nothing but a unit stands in it."""
        return not self.name and not self.filled and any(self.values)


@dataclass(frozen=True, slots=True)
class _Gap:
    """Between two lines: how high, whether as close as lines of one cell, whether the name above ends in a
    hyphen, whether a row may end there at all."""

    height: float
    close: bool
    glued: bool
    parts: bool


def lines_to_stretches(lines: Sequence[FramedLine]) -> list[tuple[list[Line], str]]:
    """The lines of each row, and why its numbers are in doubt."""
    if _are_one_row(lines):
        doubt = _scattered_to_doubt(lines) or names_to_doubt([one.name for one in lines if one.name])
        return [([one.line for one in lines], doubt)]
    gaps = _lines_to_gaps(lines)
    cuts = _gaps_to_cuts(lines, gaps)
    starts = [0, *(cut + 1 for cut in cuts), len(lines)]
    return [
        ([one.line for one in lines[start:end]], _stretch_to_doubt(lines, gaps, start, end))
        for start, end in pairwise(starts)
    ]


def names_to_doubt(names: Sequence[str]) -> str:
    """Why a part number may be another; empty for one line, and where each line says that it goes on."""
    if names and names[-1].endswith(_GLUE):
        return f"its part number “{names[-1]}” may go on in another line"
    if all(text.endswith(_GLUE) for text in names[:-1]):
        return ""
    return f"its part number is printed in {len(names)} lines: “{'” “'.join(names)}”"


def _are_one_row(lines: Sequence[FramedLine]) -> bool:
    """Whether no column of values is filled in two of the lines, and some is in one."""
    counts = [sum(column) for column in zip(*(one.numbered for one in lines), strict=True)]
    return len(lines) == 1 or max(counts, default=0) == 1


def _scattered_to_doubt(lines: Sequence[FramedLine]) -> str:
    """Why the numbers of lines taken for one row may be of several: they stand in more than one line."""
    texts = [
        " ".join(atom.text for cell in one.values for atom in cell) for one in lines if any(one.numbered)
    ]
    return f"its numbers stand in {len(texts)} lines: “{'” “'.join(texts)}”" if len(texts) > 1 else ""


def _lines_to_gaps(lines: Sequence[FramedLine]) -> list[_Gap]:
    heights = [one.line.mid_y for one in lines if one.filled]
    pitch = median(b - a for a, b in pairwise(heights)) if len(heights) > 1 else float("inf")
    last = ""
    gaps = []
    for one, other in pairwise(lines):
        last = one.name or last
        height = other.line.mid_y - one.line.mid_y
        near = max(TIGHT * pitch, LEADING_EM * min(one.line.size, other.line.size))
        gaps.append(_Gap(height, height < near, last.endswith(_GLUE), not other.bare_unit))
    return gaps


def _gaps_to_cuts(lines: Sequence[FramedLine], gaps: Sequence[_Gap]) -> list[int]:
    """After which lines a row ends: between two lines with values, somewhere; elsewhere, where lines do not
    stand close."""
    filled = [n for n, one in enumerate(lines) if one.filled]
    edges = [0, *filled, len(lines) - 1]
    cuts: list[int] = []
    for start, end in pairwise(edges):
        between = [n for n in range(start, end) if gaps[n].parts]
        far = [n for n in between if not gaps[n].close]
        must = bool(between) and lines[start].filled and lines[end].filled
        cuts += far or ([_loosest(gaps, between)] if must else [])
    return cuts


def _loosest(gaps: Sequence[_Gap], among: Sequence[int]) -> int:
    """The highest gap, of those after which no name goes on if there are any."""
    return max([n for n in among if not gaps[n].glued] or among, key=lambda n: gaps[n].height)


def _stretch_to_doubt(lines: Sequence[FramedLine], gaps: Sequence[_Gap], start: int, end: int) -> str:
    """Why a row from one line to another may hold half a name, or lack a part of it."""
    names = [one.name for one in lines[start:end] if one.name]
    return names_to_doubt(names) or _above_to_doubt(lines, gaps, start) or _below_to_doubt(lines, gaps, end)


def _above_to_doubt(lines: Sequence[FramedLine], gaps: Sequence[_Gap], start: int) -> str:
    """Why the name of a row may begin in the line above it: that ends in a hyphen, or is a text that stands
    about as close as to the line above itself, and goes on nothing."""
    if start == 0:
        return ""
    gap, above = gaps[start - 1], lines[start - 1]
    own = gaps[start - 2] if start > 1 else None
    loose = above.name and not above.filled and _is_rival(gap, own) and not (own and own.glued)
    return f"its part number may begin in the line above: “{above.name}”" if gap.glued or loose else ""


def _below_to_doubt(lines: Sequence[FramedLine], gaps: Sequence[_Gap], end: int) -> str:
    """Why a row may go on in the line below it: that is no row by itself, and stands about as close as to
    the line below itself."""
    if end == len(lines):
        return ""
    gap, below = gaps[end - 1], lines[end]
    own = gaps[end] if end < len(gaps) and not below.filled else None
    if below.whole or not _is_rival(gap, own) or (own and own.glued):
        return ""
    return f"its row may go on in the line below: “{' '.join(atom.text for atom in below.line.atoms)}”"


def _is_rival(gap: _Gap, own: _Gap | None) -> bool:
    """Whether a line may belong across a gap where a row was ended, for all that stands on its own side."""
    return gap.close and (own is None or gap.height < NEARER * own.height)
