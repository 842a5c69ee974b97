"""Numbers on their way to readings: what each is of, and every doubt met on the way.

Comes in: nothing. Goes out: the records that the stages of this folder hand on.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from extract.boxes import Box
from extract.cells.tables import Cell, Grid
from extract.meanings.tables import Table
from extract.page import PageContent
from extract.schema import Kind, Quantity

SAME = 0.003
"""Values that differ by less are the same number in another unit or rounding."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """A line of text of one column of a page, or two lines of a paragraph, with its box."""

    text: str
    content: PageContent
    box: Box


@dataclass(frozen=True)
class SheetText:
    """What the readings of a sheet have in common: its file, and its sentences, page by page; `others` the
    lines of its pages without ratings, such as a cover; `paragraphs` sentences that go on over lines."""

    document: str
    sha256: str
    sentences: tuple[Sentence, ...]
    others: tuple[str, ...] = ()
    paragraphs: tuple[Sentence, ...] = ()

    @cached_property
    def lines(self) -> tuple[str, ...]:
        """The texts of all sentences."""
        return tuple(sentence.text for sentence in self.sentences)

    def lines_above(self, grid: Grid) -> tuple[str, ...]:
        """The texts above a table on its page, one for each line over all columns, nearest first."""
        above = [s for s in self.sentences if s.content is grid.content and s.box[3] <= grid.box[1]]
        heights: dict[tuple[int, int], list[Sentence]] = {}
        for sentence in above:
            heights.setdefault((round(sentence.box[1]), round(sentence.box[3])), []).append(sentence)
        lines = [
            (end, " ".join(s.text for s in sorted(found, key=lambda s: s.box[0])))
            for (start, end), found in heights.items()
            if not any(start <= a and b <= end and (a, b) != (start, end) for a, b in heights)
        ]
        return tuple(text for _, text in sorted(lines, key=lambda line: -line[0]))

    def where(self, text: str, page: int) -> Sentence | None:
        """The sentence that is a text or a part of it, on a page if there is one there; else the paragraph
        that holds it."""
        found = [s for s in self.sentences if s.text == text or (len(s.text) > 5 and s.text in text)]
        found = found or [s for s in self.paragraphs if text in s.text][:1]
        here = [s for s in found if s.content.number == page]
        return max(here or found, key=lambda s: len(s.text), default=None)


@dataclass(frozen=True, slots=True)
class Draft:
    """A number on its way to a reading: what it is of, and every doubt met on the way; `at` where it stands
    in a sentence and no cell."""

    table: Table
    part: str
    quantity: Quantity
    kind: Kind
    value: float
    cell: Cell
    unit: str
    ambient_c: float | None = None
    test_current_a: float | None = None
    doubts: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    at: Sentence | None = None


@dataclass(frozen=True)
class Named:
    """A table with the parts of its items: for each item the part numbers it stands for, and doubts of
    naming."""

    table: Table
    items: tuple[tuple[str, ...], ...]
    doubts: tuple[str, ...] = ()
    further: bool = False
    holds: dict[str, float] = field(default_factory=dict)
