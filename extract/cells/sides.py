"""Blocks of rows that stand side by side on a page.

Comes in: the data lines of a block, what floats between them, the page's rules. Goes out: the sides between
which its parts stand. Does not know columns.
"""

from __future__ import annotations

from collections.abc import Sequence

from extract.cells.data_lines import LEAST_VALUES, is_mixed
from extract.cells.ink import Ink, Line

APART_PT = 5.0
"""Rules and stripes of one table do not leave wider gaps."""
LONG_PT = 30.0
CHANNEL_EM = 2.2


def block_to_sides(
    data: Sequence[Line], floats: Sequence[Line], ink: Ink, x0: float, x1: float
) -> tuple[tuple[float, float], ...]:
    """The parts of a block that stand side by side; none if it is one table."""
    ruled = _rules_to_sides(data, ink, x0, x1)
    if ruled:
        return ruled
    channel = _channel_between_tables(data, floats, x0, x1)
    return ((x0, channel), (channel, x1)) if channel is not None else ()


def _rules_to_sides(data: Sequence[Line], ink: Ink, x0: float, x1: float) -> tuple[tuple[float, float], ...]:
    """Where the rules and stripes of a block's height end, with what stands right and left of them."""
    top, bottom = data[0].top - 30, data[-1].bottom + 4
    cut = [(max(r.start, x0), min(r.end, x1)) for r in ink.horizontals if top <= r.at <= bottom]
    rules = sorted((start, end) for start, end in cut if end - start > LONG_PT)
    spans = [
        span
        for span in _rules_to_spans(rules)
        if any(_values_within(line, *span) >= LEAST_VALUES for line in data)
    ]
    if not spans or len(rules) < 2:
        return ()
    if len(spans) < 2 and not _stands_beside_prose(data, *spans[0]):
        return ()
    return tuple((start - 3, end + 3) for start, end in spans)


def _rules_to_spans(rules: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """What rules cover, from left to right: those of one table leave no wide gap."""
    spans: list[tuple[float, float]] = []
    for start, end in rules:
        if spans and start - spans[-1][1] < APART_PT:
            spans[-1] = (spans[-1][0], max(spans[-1][1], end))
        else:
            spans.append((start, end))
    return spans


def _stands_beside_prose(data: Sequence[Line], left: float, right: float) -> bool:
    """Whether what the lines have outside the rules is words for the most part: a text beside a table."""
    if not (min(line.x0 for line in data) < left - 8 or max(line.x1 for line in data) > right + 8):
        return False
    beside = [a for line in data for a in line.atoms if a.x1 < left - 2 or a.x0 > right + 2]
    return sum(atom.word for atom in beside) > 0.5 * len(beside)


def _values_within(line: Line, x0: float, x1: float) -> int:
    return sum(x0 - 2 <= atom.mid_x <= x1 + 2 for atom in line.lone_values)


def _channel_between_tables(
    data: Sequence[Line], floats: Sequence[Line], x0: float, x1: float
) -> float | None:
    """A channel that no data line crosses, with values on both sides and texts that head rows right of it.

    AB-010  0.10  0.20        AB-110  1.10  2.20
    AB-020  0.20  0.40        AB-160  1.60  3.20
    """
    if len(data) < 2:
        return None
    for channel, width in _open_channels(data):
        size = data[0].size
        left, right = _parted(data, channel, x0, x1)
        if width < 0.6 * size or len(left) < 0.4 * len(data):
            continue
        if all(len(line.lone_values) >= 2 for line in (*left, *right)) and _heads_rows(left, right):
            return channel
        beside = sum(line.x1 < channel for line in floats)
        if width > CHANNEL_EM * size and beside > 0.5 * len(data) and _is_prose(left):
            return channel
    return None


def _parted(data: Sequence[Line], channel: float, x0: float, x1: float) -> tuple[list[Line], list[Line]]:
    """The left and right halves of the lines that have ink on both sides of a channel."""
    halves = ((line.within(x0, channel), line.within(channel, x1)) for line in data)
    both = [(left, right) for left, right in halves if left is not None and right is not None]
    return [left for left, _ in both], [right for _, right in both]


def _open_channels(data: Sequence[Line]) -> list[tuple[float, float]]:
    """Middle and width of every channel that no data line crosses."""
    edges = sorted((atom.x0, atom.x1) for line in data for atom in line.atoms)
    channels, end = [], edges[0][1]
    for start, stop in edges[1:]:
        if start > end:
            channels.append(((start + end) / 2, start - end))
        end = max(end, stop)
    return channels


def _heads_rows(left: Sequence[Line], right: Sequence[Line]) -> bool:
    """Whether the right side begins with names as the left one does: codes that differ and look alike."""
    first_left, first_right = [line.atoms[0] for line in left], [line.atoms[0] for line in right]
    names = [atom for atom in first_right if is_mixed(atom.folded)]
    alike = [atom for atom in first_left if is_mixed(atom.folded)]
    unequal = len({atom.folded for atom in names}) > 0.8 * len(names)
    return (
        len(names) > 0.7 * len(right)
        and len(alike) > 0.7 * len(left)
        and unequal
        and len(right) >= 2
        and (_prefix(names[0].folded) == _prefix(alike[0].folded))
    )


def _prefix(text: str) -> str:
    return "".join(c for c in text if c.isalpha())[:2]


def _is_prose(lines: Sequence[Line]) -> bool:
    atoms = [atom for line in lines for atom in line.atoms]
    return sum(atom.word for atom in atoms) > 0.6 * len(atoms) and len(atoms) > 3 * len(lines)
