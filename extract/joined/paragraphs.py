"""Running text as paragraphs: up to four lines of one column, or of the whole width, one below the other.

Comes in: the Inks of the pages. Goes out: Sentences that hold several lines each, begun at every line. What a
line says by itself stands in the sheet's sentences; here a sentence is whole that goes on over lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from extract.cells.ink import Atom, Ink, atoms_to_text
from extract.cells.tables import atoms_to_box
from extract.joined.drafts import Sentence

MOST_LINES = 4
LEAST_WORDS = 3
"""A line of text holds so many words."""
JUSTIFIED_EM = 3.0
"""Words of a typed line that is filled up with blanks stand no farther apart."""
INDENT_EM = 16.0
"""The lines below the first begin behind its number or label: "ALL TYPES:  Maximum voltage"."""
HANGING_EM = 1.0
STEP = (0.5, 2.0)
"""From line to line, middle to middle, in heights of the letters."""
Atoms = Sequence[Atom]


def inks_to_paragraphs(inks: Sequence[Ink]) -> tuple[Sentence, ...]:
    """The paragraphs of a sheet, page by page; each line of text begins one."""
    found: list[Sentence] = []
    for ink in inks:
        columns = [chunk for line in ink.lines for chunk in line.chunks]
        whole = [line.atoms for line in ink.lines if not _is_gapped(line.atoms)]
        found += [_lines_to_sentence(lines, ink) for lines in (*_chains(columns), *_chains(whole))]
    return tuple(dict.fromkeys(found))


def _is_text(atoms: Atoms) -> bool:
    return sum(atom.word for atom in atoms) >= LEAST_WORDS or any(atom.text[-1:] > "\u2e80" for atom in atoms)


def _is_gapped(atoms: Atoms) -> bool:
    """Whether a line has a gap as between columns."""
    return any(b.x0 - a.x1 > JUSTIFIED_EM * a.size for a, b in pairwise(atoms))


def _chains(lines: Sequence[Atoms]) -> list[list[Atoms]]:
    """Each line with those that go on with it."""
    chains = []
    for number, line in enumerate(lines):
        if not _is_text(line):
            continue
        chain = [line]
        for other in lines[number + 1 :]:
            if other[0].mid_y - chain[-1][0].mid_y > STEP[1] * line[0].size:
                break
            if len(chain) < MOST_LINES and _goes_on(chain, other):
                chain.append(other)
        chains.append(chain)
    return chains


def _goes_on(chain: Sequence[Atoms], line: Atoms) -> bool:
    """Whether a line stands right below the last of some lines, begins where it begins, or where the second
    line of a numbered paragraph may begin."""
    last = chain[-1]
    size, step = last[0].size, line[0].mid_y - last[0].mid_y
    reach = INDENT_EM if len(chain) == 1 else HANGING_EM
    alike = abs(line[0].size - size) < 0.15 * size
    return alike and STEP[0] * size < step < STEP[1] * size and abs(line[0].x0 - last[0].x0) < reach * size


def _lines_to_sentence(lines: Sequence[Atoms], ink: Ink) -> Sentence:
    atoms = [atom for line in lines for atom in line]
    return Sentence(" ".join(map(atoms_to_text, lines)), ink.content, atoms_to_box(atoms))
