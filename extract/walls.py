"""Vertical rules part what stands left and right of them, however close.

Comes in: runs and vertical rules. Goes out: runs cut between words where a rule stands, or where the
rules of a heading go on in thought through the rows below. Finds no table.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from extract.lines import Run, Word
from extract.page import Rule

NEAR_PT = 3.0  # a rule this far above the first row still belongs to its heading
SAME_START_PT = 1.0
MOST = 0.5  # of the rows begin a run there
CLEAR = 0.9  # of the rows must leave a heading's wall clear


def split_at_rules(runs: Sequence[Run], verticals: Sequence[Rule]) -> tuple[Run, ...]:
    """Runs cut where a vertical rule stands between two of their words."""
    if not verticals:
        return tuple(runs)
    return tuple(
        piece
        for run in runs
        for piece in _cut(run, [v.at for v in verticals if v.start <= run.mid_y <= v.end])
    )


def heading_to_walls(block: Sequence[Sequence[Run]], verticals: Sequence[Rule]) -> tuple[float, ...]:
    """x of the rules that part the headings over a block of rows and that no row's words cross."""
    top = min(run.top for run in block[0])
    size = max(run.size for run in block[0])
    found = []
    for rule in verticals:
        if not top - NEAR_PT - size <= rule.end <= top + NEAR_PT or rule.end - rule.start < 0.8 * size:
            continue
        clear = sum(not any(_crosses(word, rule.at) for run in line for word in run.words) for line in block)
        if clear >= CLEAR * len(block):
            found.append(rule.at)
    return tuple(sorted(found))


def split_at_walls(
    runs: Sequence[Run], walls: Sequence[float], top: float, bottom: float
) -> tuple[Run, ...]:
    """Runs between two heights cut where a wall stands between two of their words."""
    return tuple(
        piece for run in runs for piece in (_cut(run, walls) if top <= run.mid_y <= bottom else [run])
    )


def block_to_starts(
    block: Sequence[Sequence[Run]], is_free: Callable[[Run, int], bool]
) -> tuple[float, ...]:
    """x just left of where most rows begin a run, or a word that is free to be a cell: text before it in the
    other rows is a column's own (the size that names a group, beside a part number)."""
    starts = sorted(
        x
        for line in block
        for run in line
        for x in (run.x0, *(word.x0 for n, word in enumerate(run.words) if n and is_free(run, n)))
    )
    groups: list[list[float]] = []
    for x in starts:
        if groups and x - groups[-1][0] <= SAME_START_PT:
            groups[-1].append(x)
        else:
            groups.append([x])
    return tuple(group[0] - 0.1 for group in groups if len(group) >= MOST * len(block))


def _crosses(word: Word, at: float) -> bool:
    return word.x0 + 0.5 < at < word.x1 - 0.5


def _cut(run: Run, walls: Sequence[float]) -> list[Run]:
    inside = [at for at in walls if run.x0 < at < run.x1]
    if not inside:
        return [run]
    groups: list[list[Word]] = [[run.words[0]]]
    for before, word in zip(run.words, run.words[1:], strict=False):
        if any(before.x1 - 0.5 <= at <= word.x0 + 0.5 for at in inside):
            groups.append([])
        groups[-1].append(word)
    return [words_to_run(run, group, group is groups[-1]) for group in groups] if len(groups) > 1 else [run]


def words_to_run(run: Run, words: Sequence[Word], is_last: bool) -> Run:
    """A piece of a run; its footnote marks stay with the last piece."""
    text = " ".join(word.text for word in words)
    marks = run.marks if is_last else ()
    return replace(run, text=text, x0=words[0].x0, x1=words[-1].x1, words=tuple(words), marks=marks)
