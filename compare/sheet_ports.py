"""The sheet Ports: of a hub, one part for all ports beside a part for each port.

Comes in: ranked arrangements. Goes out: one sheet of plain values, worked out for what was stated. Judges
nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

from openpyxl import Workbook

from compare.ports import SHOWN, RankedArrangement, arrangements_to_lines
from compare.workbook_look import Column, Value, finish, put_table, put_title


def add_ports(book: Workbook, ranked: Sequence[RankedArrangement]) -> None:
    """Both arrangements beside each other, and the best parts of each."""
    sheet = book.create_sheet("Ports")
    row = put_title(sheet, "One part for all ports, or one for each",
                    "For the requirement as stated; this sheet does not follow changes of the inputs.")
    columns = (Column("Question", 28, wrap=True),
               *(Column(one.title[0].upper() + one.title[1:], 58, wrap=True) for one in ranked))
    lines: list[list[Value]] = [[name, *told] for name, told in arrangements_to_lines(ranked, SHOWN)]
    put_table(sheet, row, columns, lines)
    finish(sheet, row, len(columns), filtered=False)
