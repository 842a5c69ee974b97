"""Headings of tables of sizes: letters of a drawing or words, over min and max, over mm and inches.

Comes in: lines of words. Goes out: `Head`: for each column its name, letter, kind and unit, and where it
stands. A heading that does not part evenly gives nothing. Does not read rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from extract.boxes import Boxed
from extract.lines import Run
from extract.particulars.wording import word_to_kind, word_to_length_unit, word_to_size
from extract.schema import Kind, ParticularName

REACH_LEFT = 0.6  # so far left of the first name its first column may stand, in steps between names
NEXT_LINE = 2.6  # a lower level of a heading stands no farther below, in text heights


@dataclass(frozen=True, slots=True)
class Spot(Boxed):
    """A word, or a run, where it stands."""

    text: str
    x0: float
    top: float
    x1: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Leaf:
    """One column of sizes; `unit` is empty where the heading names none."""

    name: ParticularName
    letter: str
    kind: Kind
    unit: str
    mid_x: float


@dataclass(frozen=True, slots=True)
class Head:
    """A heading: its columns from left to right, and where it begins and ends."""

    leaves: tuple[Leaf, ...]
    top: float
    bottom: float
    left: float


Lines = Sequence[Sequence[Spot]]


def runs_to_spots(runs: Sequence[Run]) -> list[Spot]:
    """Every word of runs, with the height of its run."""
    return [Spot(word.text, word.x0, run.top, word.x1, run.bottom) for run in runs for word in run.words]


def lines_to_heads(lines: Lines) -> tuple[Head, ...]:
    """Every heading of sizes on a page, top to bottom."""
    found = (_line_to_head(lines, number) for number in range(len(lines)))
    return tuple(head for head in found if head is not None)


def _line_to_head(lines: Lines, number: int) -> Head | None:
    """The heading whose names stand in this line."""
    names = _lettered(
        [(spot, size) for spot in lines[number] if (size := word_to_size(spot.text)) is not None]
    )
    if not _are_names([size for _, size in names]):
        return None
    spots = [spot for spot, _ in names]
    parted = _part_below(
        [Leaf(name, letter, Kind.NONE, "", spot.mid_x) for spot, (name, letter) in names],
        spots,
        lines[number + 1 : number + 6],
    )
    if parted is None:
        return None
    leaves, bottom = parted
    if len({(leaf.name, leaf.letter, leaf.kind, leaf.unit) for leaf in leaves}) != len(leaves):
        return None
    left = min(*(s.x0 for s in spots), *(leaf.mid_x - 8 for leaf in leaves))
    return Head(tuple(leaves), min(s.top for s in spots), bottom, left)


def _part_below(leaves: list[Leaf], names: Sequence[Spot], lines: Lines) -> tuple[list[Leaf], float] | None:
    """The columns parted by the lines of limits and units close below their names, and where these end; None
    where one does not part evenly."""
    left_edge = names[0].mid_x - max(REACH_LEFT * (names[1].mid_x - names[0].mid_x), 60)
    bottom, height = max(s.bottom for s in names), max(s.bottom - s.top for s in names)
    for line in lines:
        level = [spot for spot in line if spot.mid_x > left_edge]
        if not level:
            continue
        if min(s.top for s in level) - bottom > NEXT_LINE * height:
            break
        deeper = _deepen(leaves, level)
        if deeper is None:
            return None
        if deeper:
            leaves, bottom = deeper, max(bottom, *(s.bottom for s in level))
    return leaves, bottom


def _lettered(
    names: list[tuple[Spot, tuple[ParticularName, str]]],
) -> list[tuple[Spot, tuple[ParticularName, str]]]:
    """Names of which the first is A: the single letters after it are letters too, H no height."""
    if not names or names[0][1][1] != "A":
        return names
    bare = [(spot, size, spot.text.strip("().: ")) for spot, size in names]
    return [(spot, (ParticularName.DIMENSION, text) if len(text) == 1 else size) for spot, size, text in bare]


def _are_names(sizes: Sequence[tuple[ParticularName, str]]) -> bool:
    """Whether names of one line are those of a table: two or more, all different; letters from A in order."""
    if len(sizes) < 2 or len(set(sizes)) != len(sizes):
        return False
    letters = [letter for _, letter in sizes if letter]
    if letters and (letters[0] != "A" or any(b <= a for a, b in pairwise(letters))):
        return False
    return not letters or len(letters) == len(sizes)


def _deepen(leaves: Sequence[Leaf], level: Sequence[Spot]) -> list[Leaf] | None:
    """The leaves parted by a line of limits or of units below; empty where the line is neither; None where
    its words cannot be shared out among the names above."""
    marks: list[tuple[Spot, Kind | None, str | None]] = [
        (spot, word_to_kind(spot.text), word_to_length_unit(spot.text)) for spot in level
    ]
    marked = [mark for mark in marks if mark[1] is not None or mark[2] is not None]
    if len(marked) < len(leaves) or len(marked) * 2 < len(level):
        return [] if len(marked) < 2 else None
    homes = _share_out([leaf.mid_x for leaf in leaves], [spot.mid_x for spot, _, _ in marked])
    if homes is None:
        return None
    return [
        replace(
            leaves[home], mid_x=spot.mid_x, kind=kind or leaves[home].kind, unit=unit or leaves[home].unit
        )
        for home, (spot, kind, unit) in zip(homes, marked, strict=True)
    ]


def _nearest(places: Sequence[float], x: float) -> int:
    return min(range(len(places)), key=lambda n: abs(places[n] - x))


def _share_out(above: Sequence[float], below: Sequence[float]) -> list[int] | None:
    """Which of the names above each mark belongs to: so many for each that the middle of its marks stands
    nearest below it; None where a name would get none or they do not stand under their names."""
    if len(below) == len(above):
        return list(range(len(above)))
    share, left_over = divmod(len(below), len(above))
    if left_over == 0:
        groups = [list(range(n * share, (n + 1) * share)) for n in range(len(above))]
    else:
        nearest = [_nearest(above, x) for x in below]
        groups = [[i for i, home in enumerate(nearest) if home == n] for n in range(len(above))]
    steps = [right - left for left, right in pairwise(below)]
    reach = 0.75 * min(steps)
    for place, group in zip(above, groups, strict=True):
        if not group:
            return None
        middle = (below[group[0]] + below[group[-1]]) / 2
        if abs(middle - place) > max(reach, 6.0):
            return None
    return [n for n, group in enumerate(groups) for _ in group]
