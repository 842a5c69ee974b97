"""What looks like a table on a page: lines of bare numbers that follow each other, and the columns they make.

Comes in: the runs of a page and its atoms. Goes out: Blocks with their columns and the texts above them.
Reads no quantity.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log10

from extract.account.atoms import Atom, atom_to_value, count_words, is_bare_run
from extract.boxes import Box, box_around
from extract.lines import Run, runs_to_lines

LEAST_NUMBERS = 3  # bare numbers that make a line one of a table, ...
FEW_NUMBERS, FEW_WORDS = 2, 3  # ... or two of them beside so few words
GAP_LINES = 2.6  # lines of a table are no farther apart, in line heights
HEADING_GAP = 1.7  # lines of a heading are no farther apart, nor from the numbers
PROSE_WORDS = 7  # a line with so many words is prose
HEADING_PT = 90.0  # a heading reaches no farther above its table
TITLE_LINES = 7  # and a title is among so many lines above


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a block: left and right edge, its atoms (by index), the words over it."""

    x0: float
    x1: float
    atoms: tuple[int, ...]
    heading: str


@dataclass(frozen=True, slots=True)
class Block:
    """Lines of numbers that belong together. `box` is that of the numbers; `atoms` all numbers within;
    `titles` the lines above it, nearest first; `heading_atoms` the numbers in its heading; `is_axis`: the
    labels of an axis, powers of ten and nothing else."""

    box: Box
    atoms: tuple[int, ...]
    columns: tuple[Column, ...]
    titles: tuple[str, ...]
    heading_atoms: tuple[int, ...]
    is_axis: bool = False


def runs_to_blocks(runs: Iterable[Run], atoms: Sequence[Atom], read: frozenset[int]) -> tuple[Block, ...]:
    """The blocks of a page, top to bottom. `read`: atoms that were read; their lines are lines of tables."""
    index_of = _atoms_by_run(atoms)
    lines = runs_to_lines(runs)
    groups: list[list[int]] = []
    for number, line in enumerate(lines):
        if not _is_data(line, index_of, read):
            continue
        if groups and _goes_on(lines, groups[-1][-1], number):
            groups[-1].append(number)
        else:
            groups.append([number])
    kept = [group for group in groups if len(_numbers_in([lines[n] for n in group], index_of)) > 1]
    blocks, floor = [], 0.0
    for group in kept:
        block = _group_to_block(lines, group, atoms, index_of, floor)
        floor = block.box[3]
        blocks.append(block)
    return tuple(blocks)


def is_prose(line: Sequence[Run]) -> bool:
    """Whether a line is words rather than cells."""
    return count_words(line) >= PROSE_WORDS and len(line) <= 3


def _atoms_by_run(atoms: Sequence[Atom]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    for index, atom in enumerate(atoms):
        found.setdefault(id(atom.run), []).append(index)
    return found


def _is_data(line: Sequence[Run], index_of: dict[int, list[int]], read: frozenset[int]) -> bool:
    if not read.isdisjoint(_numbers_in([line], index_of)):
        return True
    bare = sum(len(index_of.get(id(run), ())) for run in line if is_bare_run(run))
    return bare >= LEAST_NUMBERS or (bare >= FEW_NUMBERS and count_words(line) <= FEW_WORDS)


def _goes_on(lines: Sequence[Sequence[Run]], last: int, number: int) -> bool:
    """Whether a line of numbers belongs to the block that ended at `last`: near, and no prose between."""
    above, below = lines[last], lines[number]
    height = max(run.bottom - run.top for run in (*above, *below))
    gap = min(run.top for run in below) - max(run.bottom for run in above)
    return gap <= GAP_LINES * height and not any(map(is_prose, lines[last + 1 : number]))


def _numbers_in(lines: Iterable[Sequence[Run]], index_of: dict[int, list[int]]) -> list[int]:
    """The numbers of some lines, in reading order."""
    return [index for line in lines for run in line for index in index_of.get(id(run), ())]


def _group_to_block(
    lines: Sequence[Sequence[Run]],
    group: Sequence[int],
    atoms: Sequence[Atom],
    index_of: dict[int, list[int]],
    floor: float,
) -> Block:
    """A block of the lines of a group and of those between them; `floor` is where the block above ends."""
    own = _numbers_in(lines[group[0] : group[-1] + 1], index_of)
    box = box_around(atoms[index].box for index in own)
    above = [
        line
        for line in lines[: group[0]]
        if min(r.top for r in line) >= max(floor - 1, box[1] - HEADING_PT) and line
    ]
    titles = tuple(" ".join(run.text for run in line) for line in reversed(above))[:TITLE_LINES]
    heading = _lines_close_above(above, box[1])
    columns = _atoms_to_columns(own, atoms, heading)
    in_heading = tuple(_numbers_in(heading, index_of))
    return Block(box, tuple(own), columns, titles, in_heading, _is_axis([atoms[i].text for i in own]))


def _is_axis(texts: Sequence[str]) -> bool:
    """Whether numbers are the powers of ten along an axis."""
    values = [atom_to_value(text) for text in texts]
    powers = {v for v in values if v is not None and v > 0 and abs(log10(v) - round(log10(v))) < 1e-9}
    return len(powers) >= LEAST_NUMBERS and all(v in powers for v in values)


def _lines_close_above(above: Sequence[Sequence[Run]], top: float) -> list[Sequence[Run]]:
    """The lines above a block that follow each other without a gap or prose: its heading."""
    close: list[Sequence[Run]] = []
    for line in reversed(above):
        height = max(run.bottom - run.top for run in line)
        if is_prose(line) or top - max(run.bottom for run in line) > HEADING_GAP * height:
            break
        close.append(line)
        top = min(top, *(run.top for run in line))
    return close[::-1]


def _atoms_to_columns(
    own: Sequence[int], atoms: Sequence[Atom], heading: Sequence[Sequence[Run]]
) -> tuple[Column, ...]:
    """Atoms of data lines whose widths overlap stand in one column."""
    spans: list[tuple[float, float, list[int]]] = []
    for index in sorted(own, key=lambda i: atoms[i].box[0]):
        x0, _, x1, _ = atoms[index].box
        if spans and x0 < spans[-1][1] - 0.5:
            low, high, members = spans[-1]
            spans[-1] = (low, max(high, x1), [*members, index])
        else:
            spans.append((x0, x1, [index]))
    runs = [run for line in heading for run in line]
    return tuple(Column(x0, x1, tuple(members), _heading_over(x0, x1, runs)) for x0, x1, members in spans)


def _heading_over(x0: float, x1: float, runs: Sequence[Run]) -> str:
    over = [
        run for run in runs if run.x0 - 3 <= x1 and run.x1 + 3 >= x0 and run.x1 - run.x0 < 4 * (x1 - x0) + 60
    ]
    return " ".join(run.text for run in over)
