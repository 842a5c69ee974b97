"""Over which columns the texts of one heading line stand.

Comes in: the texts of a line, Columns, rules. Goes out: a span of columns for each text: between the rules
beside it, above the rule below it, else by sharing the columns out. Knows no words.
"""

from __future__ import annotations

from collections.abc import Sequence

from extract.cells.ink import Atom, Ink, Line
from extract.cells.tables import Column
from extract.cells.temperatures import atoms_to_ambients

ORPHAN, EXTRA, MANY, MISSED, EDGE, SHARED, WITHIN, SHORT = 0.2, 0.15, 0.4, 2.0, 2.0, 1.0, 0.5, 1.0
NEAR_PT, EDGE_PT = 60.0, 1.5
"""A column whose middle stands on a rule (a text between the rows widened it) is beside the cell."""


def drawn_span(
    phrase: Sequence[Atom], line: Line, columns: Sequence[Column], ink: Ink
) -> tuple[int, int] | None:
    """The columns between the rules on both sides of a text, or above the rule drawn under it."""
    x0, x1, size = phrase[0].x0, max(atom.x1 for atom in phrase), phrase[0].size
    beside = _rules_beside(x0, x1, line, ink)
    if beside is not None:
        left, right = beside
        span = _columns_between(left, right, columns)
        off = abs((x0 + x1) - (columns[0].x0 + columns[-1].x1)) / 2
        centred = off < 0.1 * (right - left)
        if span != (0, len(columns) - 1) or (centred and _is_parted_below(line, columns, ink)):
            return span
    width = columns[-1].x1 - columns[0].x0
    near = [rule for rule in ink.content.horizontals if 0 < rule.at - line.mid_y < 1.5 * size]
    under = [r for r in near if r.start <= x0 + 2 and r.end >= x1 - 2 and r.end - r.start < 0.85 * width]
    if not under:
        return None
    shortest = min(under, key=lambda rule: rule.end - rule.start)
    return _columns_between(shortest.start, shortest.end, columns)


def _rules_beside(x0: float, x1: float, line: Line, ink: Ink) -> tuple[float, float] | None:
    """The nearest upright rules on both sides of a text, at its height."""
    upright = [rule.at for rule in ink.verticals if rule.start - 1 < line.mid_y < rule.end + 1]
    left, right = [x for x in upright if x <= x0 + 2], [x for x in upright if x >= x1 - 2]
    return (max(left), min(right)) if left and right else None


def _is_parted_below(line: Line, columns: Sequence[Column], ink: Ink) -> bool:
    """Whether upright rules between the columns begin just below a line: the cell above them reaches over
    all."""
    low, high = line.mid_y, line.mid_y + NEAR_PT
    return any(columns[0].x1 < r.at < columns[-1].x0 and low < r.start < high for r in ink.verticals)


def _columns_between(left: float, right: float, columns: Sequence[Column]) -> tuple[int, int] | None:
    inside = [n for n, column in enumerate(columns) if left + EDGE_PT <= column.mid_x <= right - EDGE_PT]
    inside = inside or [n for n, column in enumerate(columns) if left - 1 <= column.mid_x <= right + 1]
    return (inside[0], inside[-1]) if inside else None


def share_out(
    phrases: Sequence[tuple[Atom, ...]],
    sure: Sequence[tuple[int, int] | None],
    columns: Sequence[Column],
    headed: set[int],
) -> list[tuple[int, int]]:
    """The cheapest sharing of columns among the texts of a line, in order, by dynamic programming.

    A text costs what its middle is off the middle of its columns, or its edge off their edge; a column that
    stays without text costs a little if it has one below.
    """
    count = len(columns)
    best: list[tuple[float, list[tuple[int, int]]]] = [
        (sum(ORPHAN for c in range(k) if c in headed), []) for k in range(count + 1)
    ]
    for phrase, drawn in zip(phrases, sure, strict=True):
        extended: list[tuple[float, list[tuple[int, int]]]] = [(best[0][0] + 50.0, [*best[0][1], (0, -1)])]
        for end in range(1, count + 1):
            skip_cost, skip_spans = extended[end - 1]
            options = [(skip_cost + (ORPHAN if end - 1 in headed else 0.0), skip_spans)]
            starts = range(end) if drawn is None else [drawn[0]] if drawn[0] < end == drawn[1] + 1 else []
            for start in starts:
                cost = 0.0 if drawn else _misfit(phrase, columns, start, end - 1)
                options.append((best[start][0] + cost, [*best[start][1], (start, end - 1)]))
            options.append((best[end][0] + 50.0, [*best[end][1], (0, -1)]))
            before = best[end][1][-1] if best[end][1] else (0, -1)
            if before[0] <= before[1] == end - 1 and not drawn:
                again = SHARED + _misfit(phrase, columns, *before)
                options.append((best[end][0] + again, [*best[end][1], before]))
            extended.append(min(options, key=lambda option: option[0]))
        best = extended
    return best[count][1]


def _misfit(phrase: Sequence[Atom], columns: Sequence[Column], first: int, last: int) -> float:
    """How badly a text stands over columns, in em, with what columns it overlaps and does not take."""
    x0, x1, size = phrase[0].x0, max(atom.x1 for atom in phrase), phrase[0].size
    left, right = columns[first].x0, columns[last].x1
    off = abs((x0 + x1) / 2 - (left + right) / 2)
    if first == last:
        off = min(off, abs(x0 - left) + 1.0, abs(x1 - right) + 1.0)
        if columns[first].left < (x0 + x1) / 2 < columns[first].right:
            off *= WITHIN
    elif atoms_to_ambients(phrase):
        return 50.0
    off = min(off, abs(x0 - left) + EDGE * size)
    missed = sum(
        min(x1, c.x1) - max(x0, c.x0) > 0.5 * (c.x1 - c.x0)
        for n, c in enumerate(columns)
        if not first <= n <= last
    )
    outside = max(0.0, left - x1, x0 - right)
    short = SHORT if last > first and sum(len(atom.text) for atom in phrase) <= 5 else 0.0
    extra = short + EXTRA * min(last - first, 2) + MANY * max(0, last - first - 2)
    return (1.5 * off + 3 * outside) / size + MISSED * missed + extra
