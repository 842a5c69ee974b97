"""Lines of a table whose rows are ruled off and whose cells may hold several lines.

Comes in: runs and horizontal rules. Goes out: lines, those between two rules made one where no two
values stand below each other there. Leaves everything else as it stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from extract.heading_block import is_data_line
from extract.lines import Run, runs_to_lines
from extract.page import Rule
from extract.quantities import is_value_text

LOWEST_PT, HIGHEST_PT = 8.0, 48.0  # a row of a table is this high
SAME_END_PT = 4.0


def runs_to_banded_lines(runs: Sequence[Run], horizontals: Sequence[Rule]) -> tuple[tuple[Run, ...], ...]:
    """Lines top to bottom; the lines of one ruled-off row come as one."""
    taken: set[int] = set()
    lines: list[tuple[Run, ...]] = []
    for above, below in _bands(horizontals):
        inside = [
            run
            for run in runs
            if id(run) not in taken
            and above.at < run.mid_y < below.at
            and above.start - SAME_END_PT <= run.mid_x <= above.end + SAME_END_PT
        ]
        if _is_one_row(inside):
            taken.update(id(run) for run in inside)
            lines.append(tuple(sorted(inside, key=lambda run: run.x0)))
    lines += runs_to_lines(run for run in runs if id(run) not in taken)
    return tuple(sorted(lines, key=lambda line: sum(run.mid_y for run in line) / len(line)))


def _bands(horizontals: Sequence[Rule]) -> list[tuple[Rule, Rule]]:
    """Neighbouring rules of one length with the height of a row between them."""
    lanes = sorted(horizontals, key=lambda rule: (round(rule.start / 4), round(rule.end / 4), rule.at))
    return [
        (a, b)
        for a, b in pairwise(lanes)
        if abs(a.start - b.start) <= SAME_END_PT
        and abs(a.end - b.end) <= SAME_END_PT
        and LOWEST_PT <= b.at - a.at <= HIGHEST_PT
    ]


def _is_one_row(inside: Sequence[Run]) -> bool:
    """Several lines, one of them data, no two values below each other."""
    lines = runs_to_lines(inside)
    if len(lines) < 2 or not any(is_data_line(line) for line in lines):
        return False
    values = [run for run in inside if is_value_text(run.text) and any(c.isdigit() for c in run.text)]
    return not any(
        min(a.x1, b.x1) - max(a.x0, b.x0) > 0 for n, a in enumerate(values) for b in values[n + 1 :]
    )
