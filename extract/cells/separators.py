"""Where columns part: channels that the rows leave open, weighed with all that speaks for and against them.

Comes in: a Region and the page's rules. Goes out: the Columns of its data lines. Does not look at headings.

    for      width of the channel, a drawn rule in it, numbers on both sides, wide gaps row by row
    against  rows that cross it, a unit right of a number, a sign that joins two values, words of one text

The best set of separators is the one with the largest sum of evidence; since what two separators leave
between them must be a column (no lone unit, no lone sign), it is found by dynamic programming over the
candidates."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median

from extract.cells.data_lines import is_mixed
from extract.cells.ink import TYPED_BLANK, Atom, Line, letter_width
from extract.cells.regions import Region
from extract.cells.tables import Column
from extract.page import Rule

CROSSED = 0.2
"""Share of rows that may cross a channel."""
NARROW_PT = 0.6
SENTENCE = 4
"""A float of so many words is a sentence across the columns: it makes no column."""
RULE = 4.0
CUT = 4.0
RANGE_EM = 6.0
DASHES = ("-", "–", "—")
NAME_JOINTS = ("-", "–", "/")
WORD_EM = 0.55
"""Words of one text stand closer."""


@dataclass(frozen=True, slots=True)
class Channel:
    """A place where columns may part: from `x0` to `x1`; `weight` sums up what speaks for it."""

    x0: float
    x1: float
    weight: float

    @property
    def at(self) -> float:
        """Its middle."""
        return (self.x0 + self.x1) / 2


def region_to_columns(region: Region, verticals: Sequence[Rule]) -> tuple[Column, ...]:
    """Columns of a region's data lines."""
    lines = region.data
    channels = [_weigh(channel, lines, region, verticals) for channel in _open_channels(lines)]
    kept = _best_separators([c for c in channels if c.weight > -2.0], lines)
    kept = [_beside_floats(channel, region) for channel in kept]
    edges = [min(line.x0 for line in lines) - 1, *(c.at for c in kept), max(line.x1 for line in lines) + 1]
    columns = []
    for left, right in itertools.pairwise(edges):
        inside = [atom for line in lines for atom in line.atoms if left <= atom.mid_x < right]
        if inside:
            columns.append(Column(left, right, min(a.x0 for a in inside), max(a.x1 for a in inside)))
    return _with_float_columns(_with_dittos(columns, lines), region)


def _beside_floats(channel: Channel, region: Region) -> Channel:
    """The widest stretch of a channel that texts between the rows leave free: they belong to the cell they
    begin in, however far they reach.

        AB-100                 80 mA        the channel is wide in the rows, and narrow
        fuse, radial, 5 mm                  beside what stands below the part number
    """
    texts = [(chunk[0].x0, max(atom.x1 for atom in chunk)) for line in region.floats for chunk in line.chunks]
    inside = [
        (x0, x1)
        for x0, x1 in texts
        if (channel.x0 < x0 or x1 < channel.x1) and x0 < channel.x1 and channel.x0 < x1
    ]
    free, at = [], channel.x0
    for x0, x1 in sorted(inside):
        free.append((at, x0))
        at = max(at, x1)
    free.append((at, channel.x1))
    x0, x1 = max(free, key=lambda span: span[1] - span[0])
    return replace(channel, x0=x0, x1=x1) if x1 - x0 >= NARROW_PT else channel


def _with_dittos(columns: Sequence[Column], lines: Sequence[Line]) -> list[Column]:
    """Columns joined where one of two neighbours holds nothing but signs "as above" and dashes, each in a row
    where the other is empty: the signs stand in the middle of a cell whose numbers stand at its end; or where
    the signs stand below the beginning of a name whose end stands beside them.

        TQ60-010
          "  -017
    """
    joined: list[Column] = []
    for column in columns:
        before = joined[-1] if joined else None
        if before is not None and _are_one(before, column, lines):
            joined[-1] = Column(before.left, column.right, before.x0, column.x1)
        else:
            joined.append(column)
    return joined


def _are_one(one: Column, other: Column, lines: Sequence[Line]) -> bool:
    cells = [[[a for a in line.atoms if c.left <= a.mid_x < c.right] for c in (one, other)] for line in lines]
    if any(first and second for first, second in cells):
        return _are_signs_below_a_name(one, cells)
    signs = [all(a.ditto or a.blank for pair in cells for a in pair[n]) for n in (0, 1)]
    filled = sum(bool(first or second) for first, second in cells)
    return any(signs) and filled >= 0.8 * len(lines)


def _are_signs_below_a_name(column: Column, cells: Sequence[Sequence[Sequence[Atom]]]) -> bool:
    """Whether a column holds signs "as above" alone, beside ends of names, and the rows without a sign have a
    text that reaches over the column."""
    signs = all(atom.ditto for first, _ in cells for atom in first)
    bare = [second[0] for first, second in cells if second and not first]
    ends = all(second and second[0].text[:1] in NAME_JOINTS for first, second in cells if first)
    return signs and ends and bool(bare) and all(atom.x0 < column.x1 for atom in bare)


def _with_float_columns(columns: Sequence[Column], region: Region) -> tuple[Column, ...]:
    """The columns, with those whose every cell stands between rows: merged over rows, or wrapped.

        | 0.30 | 0.60 |          texts of floats that no column's ink overlaps stand in a column
    16V | 0.50 | 1.00 |          of their own, where the gap has room for them
        | 1.10 | 2.20 |
    """
    added: list[Column] = []
    for line in region.floats:
        for chunk in line.chunks if sum(atom.word for atom in line.atoms) < SENTENCE else ():
            x0, x1 = chunk[0].x0, max(atom.x1 for atom in chunk)
            if not any(x0 < c.x1 + 1 and c.x0 - 1 < x1 for c in columns):
                _add_float(added, x0, x1)
    ordered = sorted((*columns, *added), key=lambda c: c.x0)
    if not added:
        return tuple(ordered)
    middles = ((before.x1 + after.x0) / 2 for before, after in itertools.pairwise(ordered))
    edges = itertools.pairwise((ordered[0].left, *middles, ordered[-1].right))
    return tuple(Column(left, right, c.x0, c.x1) for c, (left, right) in zip(ordered, edges, strict=True))


def _add_float(added: list[Column], x0: float, x1: float) -> None:
    """Add a column for a text from x0 to x1, or widen the first one that it stands over."""
    for number, column in enumerate(added):
        if x0 < column.x1 and column.x0 < x1:
            x0, x1 = min(x0, column.x0), max(x1, column.x1)
            added[number] = Column(x0 - 1, x1 + 1, x0, x1)
            return
    added.append(Column(x0 - 1, x1 + 1, x0, x1))


def _open_channels(lines: Sequence[Line]) -> list[tuple[float, float, float]]:
    """(x0, x1, share of rows that cross) of every place that few rows cross: within each, the stretches that
    the fewest cross (two of them where a few rows have ink of their own between)."""
    steps: dict[float, int] = {}
    for line in lines:
        for x0, x1 in _line_to_spans(line):
            steps[x0] = steps.get(x0, 0) + 1
            steps[x1] = steps.get(x1, 0) - 1
    allowed = int(CROSSED * len(lines))
    found: list[list[tuple[float, float, int]]] = [[]]
    depth, places = 0, sorted(steps)
    for here, there in itertools.pairwise(places):
        depth += steps[here]
        if depth <= allowed:
            found[-1].append((here, there, depth))
        elif found[-1]:
            found.append([])
    channels = []
    for stretch in found:
        if not stretch:
            continue
        fewest = min(d for _, _, d in stretch)
        channels += [
            (x0, x1, crossed / len(lines))
            for x0, x1, crossed in stretch
            if crossed == fewest and x1 - x0 >= NARROW_PT
        ]
    return channels


def _line_to_spans(line: Line) -> list[tuple[float, float]]:
    """The stretches of a line that are covered by ink."""
    spans: list[tuple[float, float]] = []
    for atom in line.atoms:
        if spans and atom.x0 <= spans[-1][1]:
            spans[-1] = (spans[-1][0], max(spans[-1][1], atom.x1))
        else:
            spans.append((atom.x0, atom.x1))
    return spans


def _weigh(
    place: tuple[float, float, float], lines: Sequence[Line], region: Region, verticals: Sequence[Rule]
) -> Channel:
    """The evidence for a channel, in sum."""
    x0, x1, crossed = place
    at, size = (x0 + x1) / 2, lines[0].size
    pairs = [pair for line in lines if (pair := _neighbours(line, at)) is not None]
    weight = min((x1 - x0) / size, 2.0) - 4.0 * crossed
    if pairs and sum(_is_in_range(line, at) for line in lines) > 0.5 * len(pairs):
        return Channel(x0, x1, -CUT)
    if _is_ruled(x0, x1, region, verticals):
        return Channel(x0, x1, weight + RULE)
    if pairs:
        gap = median(right.x0 - left.x1 for left, right in pairs) / size
        weight += max(-1.0, min(2.0, 2.0 * (gap - 0.35)))
        weight += sum(_pair_weight(left, right) for left, right in pairs) / len(pairs)
        weight -= CUT * _is_cutting(pairs)
    return Channel(x0, x1, weight)


def _is_in_range(line: Line, at: float) -> bool:
    """Whether a place stands beside the dash of a range, a blank away from both its numbers: "6,0 – 9,7"; the
    dash of an empty cell has its column's gaps on both sides."""
    near = [atom for atom in line.atoms if abs(atom.mid_x - at) < RANGE_EM * atom.size]
    return any(
        a.number
        and dash.text in DASHES
        and b.number
        and max(dash.x0 - a.x1, b.x0 - dash.x1) < WORD_EM * dash.size
        and a.x1 <= at <= b.x0
        for a, dash, b in zip(near, near[1:], near[2:], strict=False)
    )


def _is_cutting(pairs: Sequence[tuple[Atom, Atom]]) -> bool:
    """Whether the channel runs between the words of a text, or a number and its unit, in the rows that have
    ink close to it: in the others it is no more than the blank beside their cells."""
    near = [(a, b) for a, b in pairs if b.x0 - a.x1 < 2.0 * a.size]
    if near and sum(_is_typed_blank(a, b) for a, b in near) > 0.5 * len(near):
        return True
    if not near or 2 * len(near) >= len(pairs) or 10 * len(near) < len(pairs):
        return False
    cut = sum(a.spaced and not a.value and not b.value and b.x0 - a.x1 < 0.5 * a.size for a, b in near)
    return cut > 0.5 * len(near) or sum(_pair_weight(a, b) for a, b in near) / len(near) < -2.0


def _is_typed_blank(left: Atom, right: Atom) -> bool:
    """Whether two words stand one letter of a typewriter apart: in its text columns of blanks come about by
    chance."""
    width, gap = letter_width(left), right.x0 - left.x1
    alike = abs(letter_width(right) - width) < 0.05 * width and 0.85 * width < gap < TYPED_BLANK * width
    return left.spaced and alike and left.word and right.word


def _is_ruled(x0: float, x1: float, region: Region, verticals: Sequence[Rule]) -> bool:
    """Whether a rule runs through the channel along at least half of the rows."""
    top, bottom = region.data[0].top, region.data[-1].bottom
    inside = sum(
        max(0.0, min(rule.end, bottom) - max(rule.start, top))
        for rule in verticals
        if x0 - 1.5 <= rule.at <= x1 + 1.5
    )
    return inside > 0.5 * (bottom - top)


def _neighbours(line: Line, at: float) -> tuple[Atom, Atom] | None:
    """The atoms left and right of a place."""
    left = [atom for atom in line.atoms if atom.mid_x < at]
    right = [atom for atom in line.atoms if atom.mid_x >= at]
    return (left[-1], right[0]) if left and right else None


def _pair_weight(left: Atom, right: Atom) -> float:
    """What the two neighbours of a channel say in one row."""
    gap = (right.x0 - left.x1) / left.size
    joint = _joint_weight(left, right, gap)
    if joint is not None:
        return joint
    if left.value and right.value:
        return 1.5
    if left.value or right.value:
        return 0.5 if gap > (0.25 if is_mixed(left.text) and not left.spaced else 0.33) else -1.5
    return -1.0 if gap < 0.55 else 0.3


def _joint_weight(left: Atom, right: Atom, gap: float) -> float | None:
    """What speaks against parting two pieces of one value, `gap` in em: a sign, a number's unit, digits that
    kerning parted ("3.3 0"); None where they are no such pieces."""
    if left.connector or right.connector or _is_sign(left):
        return -4.0 if gap < 1.0 else 0.0
    if left.number and (right.unit or right.folded.rstrip(",;.") in ("°c", "℃", "°", "k")):
        return -6.0 if gap < 1.0 else -1.0
    is_digit = len(right.text) == 1 and right.text.isdigit()
    return -3.0 if gap < 0.33 and is_digit and "." in left.text else None


SIGNS = ("<", ">", "≤", "≥", "<=", ">=", "≦", "≧", "~", "≈", "(", "-", "+", "max.", "max", "min.")
"""They belong to the value on their right."""


def _is_sign(atom: Atom) -> bool:
    return atom.folded in SIGNS


def _best_separators(channels: Sequence[Channel], lines: Sequence[Line]) -> list[Channel]:
    """The set with the largest sum of weights and of what stands between two neighbours, by dynamic
    programming."""
    best: list[tuple[float, list[Channel]]] = [(0.0, [])]
    for number, channel in enumerate(channels):
        options = []
        for before in range(number + 1):
            total, chosen = best[before]
            left = chosen[-1].at if chosen else -1.0
            options.append((total + channel.weight + _between(lines, left, channel.at), [*chosen, channel]))
        best.append(max(options, key=lambda option: option[0]))
    closing = [(t + _between(lines, c[-1].at if c else -1.0, 1e9), c) for t, c in best]
    return max(closing, key=lambda option: option[0])[1]


def _between(lines: Sequence[Line], left: float, right: float) -> float:
    """What speaks against a column between two separators: it holds lone units or signs only, or nothing;
    or its rows hold two values that no sign joins."""
    inside = [[atom for atom in line.atoms if left <= atom.mid_x < right] for line in lines]
    filled = [atoms for atoms in inside if atoms]
    if all(atom.unit or atom.connector or _is_sign(atom) for atoms in filled for atom in atoms):
        return -3.0
    if len(filled) <= CROSSED * len(lines) and all(_is_end_of_text(line, left, right) for line in lines):
        return -CUT
    double = sum(_is_double(atoms) for atoms in filled)
    return -2.5 * double / len(filled)


def _is_end_of_text(line: Line, left: float, right: float) -> bool:
    """Whether what a line has between two separators goes on with the text on its left, a blank away; or it
    has nothing there."""
    before, after = None, None
    for atom in line.atoms:
        if atom.mid_x < left:
            before = atom
        elif atom.mid_x < right and after is None:
            after = atom
    if after is None:
        return True
    if before is None:
        return False
    typed = TYPED_BLANK * letter_width(before) if before.spaced else 0.0
    return after.x0 - before.x1 < max(WORD_EM * after.size, typed)


def _is_double(atoms: Sequence[Atom]) -> bool:
    """Two numbers side by side with no unit or sign between them."""
    return any(a.number and b.value and a.x1 < b.x0 for a, b in itertools.pairwise(atoms))
