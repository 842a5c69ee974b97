"""A table as its ink shows it: columns, headings over them, rows told once, cells with their boxes.

Comes in: the stages of this folder. Goes out: records that meanings/ reads. Understands nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from extract.boxes import Box, box_around
from extract.cells.ink import Atom, atoms_to_text
from extract.page import PageContent

PARTED = "‖"


class Source(StrEnum):
    """How a cell came to its text: printed in it, over several rows, by a sign "as above"."""

    OWN = "own"
    MERGED = "merged"
    DITTO = "ditto"
    GUESSED = "guessed"


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its printed text, its atoms, and how it came to them; `content` the page it stands on, where
    that is not the table's first; `signs` what is printed in its own place, where that says "as above"."""

    text: str
    atoms: tuple[Atom, ...]
    source: Source = Source.OWN
    content: PageContent | None = None
    signs: tuple[Atom, ...] = ()

    @property
    def box(self) -> Box:
        """The box of its ink."""
        return atoms_to_box(self.atoms)


@dataclass(frozen=True, slots=True)
class Column:
    """A column between two separators; `x0`, `x1` bound its ink, `left`, `right` are the separators."""

    left: float
    right: float
    x0: float
    x1: float

    @property
    def mid_x(self) -> float:
        """Middle of its ink."""
        return (self.x0 + self.x1) / 2


@dataclass(frozen=True, slots=True)
class Head:
    """A text of the heading over columns `first` to `last`; `level` counts its lines from the top."""

    text: str
    level: int
    first: int
    last: int
    atoms: tuple[Atom, ...]
    sure: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """A row of data: one cell (or None) for each column, the group lines it stands under."""

    cells: tuple[Cell | None, ...]
    groups: tuple[str, ...]
    top: float
    bottom: float
    mid_y: float


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """A table: `captions` stand above it, nearest first; `notes` right below; it may go on over several
    pages: `content` and `box` are of the first."""

    content: PageContent
    columns: tuple[Column, ...]
    heads: tuple[Head, ...]
    rows: tuple[Row, ...]
    captions: tuple[str, ...]
    notes: tuple[str, ...]
    box: Box

    @property
    def page(self) -> int:
        """Number of the page, from 1."""
        return self.content.number

    def heading(self, column: int) -> str:
        """All heading texts over a column, top to bottom, as one; a sign parts what stands over several
        columns from what stands over this one alone, so that no wording is made of both."""
        heads = self.heads_over(column)
        shared = join_texts([head.text for head in heads if head.first < head.last])
        own = join_texts([head.text for head in heads if head.first == head.last])
        return f"{shared} {PARTED} {own}" if shared and own else shared or own

    def heads_over(self, column: int) -> tuple[Head, ...]:
        """The heading texts over a column, top to bottom."""
        return tuple(head for head in self.heads if head.first <= column <= head.last)

    def texts(self, column: int) -> tuple[str, ...]:
        """The printed texts of a column, top to bottom; empty where nothing stands."""
        return tuple(cell.text if (cell := row.cells[column]) is not None else "" for row in self.rows)


def atoms_to_box(atoms: Sequence[Atom]) -> Box:
    """The box around atoms."""
    return box_around(atom.box for atom in atoms)


def lines_to_text(lines: Sequence[Sequence[Atom]]) -> str:
    """Lines of one cell as one text; a word broken by a hyphen is joined."""
    return join_texts([atoms_to_text(sorted(line, key=lambda atom: atom.x0)) for line in lines if line])


def join_texts(texts: Sequence[str]) -> str:
    """Texts one below the other as one: "Halte-" + "strom" is one word, signs of Han and kana need no
    blank."""
    joined = ""
    for text in texts:
        if not joined:
            joined = text
        elif joined[-1] in "-‐‑" and text[:1].islower() and joined[-2:-1].isalpha():
            joined = joined[:-1] + text
        elif (joined[-1] in "-‐‑/" and any(c.isdigit() for c in joined + text)) or (
            joined[-1] > "\u2e80" and text[:1] > "\u2e80"
        ):
            joined += text
        else:
            joined += " " + text
    return joined
