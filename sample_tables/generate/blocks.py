"""What stands on an invented sheet: paragraphs, tables, drawings, in reading order.

Comes in: nothing. Goes out: frozen records that each producer's module draws in its own way.
Does not draw. Texts may hold `_{low}` and `^{high}` for small lowered and raised glyphs, `|` for a
line break inside a cell and `~` for a gap inside a number (drawn, not a space).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from sample_tables.generate.chart_plan import ChartPlan
from sample_tables.generate.columns import Entry

MARKUP = re.compile(r"_\{(?P<low>[^}]*)\}|\^\{(?P<high>[^}]*)\}|(?P<line>\|)")


@dataclass(frozen=True, slots=True)
class Cell:
    """A table cell; `across` and `down` are the columns and rows it spans; `turned` text runs upwards."""

    text: str
    across: int = 1
    down: int = 1
    bold: bool = False
    align: str = "center"
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Grid:
    """A table: heading rows and body rows of cells, written as in HTML (spanned places left out).

    `rules` is full, horizontal, outer, labels (around heading and body, inside at the first column only;
    drawn by reportlab) or none; `widths` in points, empty for automatic; `fit` makes columns as narrow as
    their words ("tight") or shares out the room that is left ("spread"); `repeat_head` prints the heading
    again where the table continues on another page; `underlay` names a hidden text under it.
    """

    head: tuple[tuple[Cell, ...], ...]
    body: tuple[tuple[Cell, ...], ...]
    rules: str = "full"
    zebra: bool = False
    widths: tuple[float, ...] = ()
    size: float = 8
    repeat_head: bool = True
    underlay: str = ""
    fit: str = ""


@dataclass(frozen=True, slots=True)
class Heading:
    """A section title."""

    text: str


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph; `small` for notes."""

    text: str
    small: bool = False


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list of short lines."""

    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Curves:
    """A log-log drawing of typical trip times: one line of (A, s) points for each label."""

    labels: tuple[str, ...]
    lines: tuple[tuple[tuple[float, float], ...], ...]


@dataclass(frozen=True, slots=True)
class PageBreak:
    """The rest goes on the next page."""


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart of trip times whose curves are stated as truth."""

    plan: ChartPlan


Block = Heading | Text | Bullets | Grid | Curves | Chart | PageBreak


@dataclass(frozen=True, slots=True)
class Look:
    """How a sheet looks: font, page, colour; `turn` is "", "rotate" (page turned) or "text" (text turned)."""

    font: str = ""
    page: str = "a4"
    colour: str = "#1f3a5f"
    turn: str = ""
    lang: str = "en"


@dataclass(frozen=True, slots=True)
class SaidTruly:
    """One thing a sheet truly says beside its ratings: lengths in mm, temperatures in °C, hours, counts."""

    part_number: str
    name: str
    label: str = ""
    kind: str = ""
    value: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One invented datasheet: what it shows, what it truly says and which difficulty it stands for."""

    name: str
    producer: str
    vendor: str
    title: str
    difficulty: str
    blocks: tuple[Block, ...]
    truth: tuple[Entry, ...]
    look: Look = field(default_factory=Look)
    said: tuple[SaidTruly, ...] = ()

    @property
    def document(self) -> str:
        """File name of the PDF."""
        return f"{self.name}.pdf"


def markup_pieces(text: str) -> list[tuple[str, str]]:
    """Split a text into (style, piece): style is plain, low, high or line."""
    pieces, end = [], 0
    for match in MARKUP.finditer(text):
        if match.start() > end:
            pieces.append(("plain", text[end : match.start()]))
        style = str(match.lastgroup)
        pieces.append((style, match.group(style) if style != "line" else ""))
        end = match.end()
    if end < len(text):
        pieces.append(("plain", text[end:]))
    return pieces


def cells(*texts: str, bold: bool = False) -> tuple[Cell, ...]:
    """A row of plain cells."""
    return tuple(Cell(text, bold=bold) for text in texts)


def placed(rows: tuple[tuple[Cell, ...], ...]) -> list[tuple[int, int, Cell]]:
    """Row and column of every cell, leaving out the places that spans cover."""
    taken: set[tuple[int, int]] = set()
    found = []
    for row, line in enumerate(rows):
        column = 0
        for cell in line:
            while (row, column) in taken:
                column += 1
            found.append((row, column, cell))
            taken |= {(row + d, column + a) for d in range(cell.down) for a in range(cell.across)}
    return found
