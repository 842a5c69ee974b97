"""Headings of neighbouring columns that touch, parted again.

Comes in: a line of a heading, the columns below it. Goes out: the line, its atoms over two columns parted.

    R1maxPower         a small letter before a capital, both sides name a quantity of their own,
    (Ohm) |  (W)       and each has a column below it
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from extract.cells.ink import Atom, Line, letter_width
from extract.cells.tables import Column
from extract.vocabulary import fold, scan

_SEAM = re.compile(r"(?<=[^\W\d_A-Z][^\W\d_A-Z])(?=[A-ZÄÖÜ][^\W\d_A-Z]{2})")

APART_EM = 0.3
"""The pieces end so far from the seam, so that no later step joins them as words of one text."""


def line_parted_at_columns(line: Line, columns: Sequence[Column]) -> Line:
    """A heading's line whose atoms over two columns are parted where a capital begins the second quantity."""
    return Line(tuple(piece for atom in line.atoms for piece in _atom_to_pieces(atom, columns)))


def _atom_to_pieces(atom: Atom, columns: Sequence[Column]) -> Iterator[Atom]:
    seam = _SEAM.search(atom.text)
    below = sum(atom.x0 < column.mid_x < atom.x1 for column in columns)
    texts = (atom.text[: seam.start()], atom.text[seam.start() :]) if seam is not None else ()
    if below < len(texts) or not texts or not all(map(_names_a_quantity, texts)):
        yield atom
        return
    at = atom.x0 + len(texts[0]) * letter_width(atom)
    apart = APART_EM * atom.size
    yield replace(atom, text=texts[0], folded=fold(texts[0]), x1=at - apart, spaced=False)
    rest = replace(atom, text=texts[1], folded=fold(texts[1]), x0=at + apart)
    yield from _atom_to_pieces(rest, columns)


def _names_a_quantity(text: str) -> bool:
    return any(hit.sense == "quantity" for hit in scan(fold(text)))
