"""Blocks of rows that stand side by side on a page.

Comes in: the data lines of a block, what floats between them, the page's rules. Goes out: the sides between
which its parts stand. Does not know columns.
"""

from __future__ import annotations

from collections.abc import Sequence

from extract.cells.data_lines import LEAST_VALUES
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
    rules = [
        (max(rule.start, x0), min(rule.end, x1))
        for rule in ink.horizontals
        if top <= rule.at <= bottom and min(rule.end, x1) - max(rule.start, x0) > LONG_PT
    ]
    spans: list[list[float]] = []
    for start, end in sorted(rules):
        if spans and start - spans[-1][1] < APART_PT:
            spans[-1][1] = max(spans[-1][1], end)
        else:
            spans.append([start, end])
    spans = [span for span in spans if sum(_values_within(line, *span) >= LEAST_VALUES for line in data) >= 1]
    if not spans or len(rules) < 2:
        return ()
    reach = min(line.x0 for line in data), max(line.x1 for line in data)
    outside = reach[0] < spans[0][0] - 8 or reach[1] > spans[-1][1] + 8
    beside = [a for line in data for a in line.atoms if a.x1 < spans[0][0] - 2 or a.x0 > spans[-1][1] + 2]
    prose = outside and sum(atom.word for atom in beside) > 0.5 * len(beside)
    if len(spans) < 2 and not prose:
        return ()
    return tuple((start - 3, end + 3) for start, end in spans)


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
        left = [line.within(x0, channel) for line in data]
        right = [line.within(channel, x1) for line in data]
        both = [(a, b) for a, b in zip(left, right, strict=True) if a is not None and b is not None]
        if width < 0.6 * size or len(both) < 0.4 * len(data):
            continue
        if all(len(a.lone_values) >= 2 and len(b.lone_values) >= 2 for a, b in both) and _heads_rows(
            [a for a, _ in both], [b for _, b in both]
        ):
            return channel
        beside = sum(line.x1 < channel for line in floats)
        if width > CHANNEL_EM * size and beside > 0.5 * len(data) and _is_prose([a for a, _ in both]):
            return channel
    return None


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
    names = [atom for atom in first_right if _is_code(atom.folded)]
    alike = [atom for atom in first_left if _is_code(atom.folded)]
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


def _is_code(text: str) -> bool:
    return any(c.isdigit() for c in text) and any(c.isalpha() for c in text)


def _is_prose(lines: Sequence[Line]) -> bool:
    atoms = [atom for line in lines for atom in line.atoms]
    return sum(atom.word for atom in atoms) > 0.6 * len(atoms) and len(atoms) > 3 * len(lines)
