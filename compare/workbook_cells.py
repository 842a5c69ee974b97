"""One row of the sheet Margins as the formulas see it: addresses, and texts of formulas.

Comes in: a margin as judged and where it shall stand. Goes out: addresses and pieces of formulas. Knows no
margin (see `workbook_margins`, `workbook_timed`).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from compare.corners import Case
from compare.judging import JUST_MET
from compare.records import Margin, Sense
from compare.sheet_lines import line_cell
from compare.workbook_corners import Corners


@dataclass(frozen=True, slots=True)
class Row:
    """One margin of one candidate: as judged, its case, its row in Margins, its candidate's number."""

    margin: Margin
    case: Case
    corners: Corners
    row: int
    candidate: int

    def at(self, key: str) -> str:
        """Address of one of the candidate's corners."""
        return self.corners.cell(key, self.candidate)

    def line(self, column: str, key: str) -> str:
        """Formula text for what Lines says in the row that a corner names."""
        return line_cell(column, self.at(key))

    @property
    def value(self) -> str:
        """Address of the value."""
        return f"$E{self.row}"

    @property
    def limit(self) -> str:
        """Address of the limit."""
        return f"$H{self.row}"


@dataclass(frozen=True, slots=True)
class Cells:
    """What follows the inputs in a row: texts of formulas without equals sign, or plain values.

    verdict, margin: empty where value and limit decide by themselves; note and basis empty where the value is
    plain data.
    """

    value: str
    limit: str
    verdict: str = ""
    margin: str = ""
    basis: str = ""
    note: str = ""
    unit: str = ""
    source: str = ""
    assumed: str = ""


Build = Callable[[Row], Cells]


def met(value: str, limit: str, sense: Sense) -> str:
    """Formula text: whether a value meets its limit, as `judging.judged` has it."""
    have, need = (value, limit) if sense is Sense.AT_LEAST else (limit, value)
    return f"{have}>={need}*{number_text(JUST_MET)}"


def text(words: str) -> str:
    """A text of this program's own as it stands in a formula; never a text of a datasheet."""
    assert len(words) < 255, "Excel allows no longer text in a formula"
    return '"' + words.replace('"', '""') + '"'


def number_text(value: float) -> str:
    """A number as it stands in a formula, with every digit."""
    return repr(value).upper()


def rounded(cell: str, digits: int) -> str:
    """Formula text that rounds a value to a number of digits."""
    return f"IF({cell}=0,0,ROUND({cell},{digits - 1}-INT(LOG10(ABS({cell})))))"


def finite_or_blank(value: float | None) -> str | float:
    """A number as a cell can hold it; empty where there is none, or no end to it."""
    return value if value is not None and math.isfinite(value) else ""
