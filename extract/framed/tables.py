"""A framed table, read as its columns were named, by two readers and a third voice on the digits.

Comes in: an opened document, a Frame. Goes out: readings and what was not read, each with its reason. A
number counts as read once at best: a person named its column, nobody its digits. Checks nothing: the caller
does.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from extract.cells.ink import content_to_ink
from extract.document import Document
from extract.errors import InputError
from extract.framed.frames import Frame, Role, frame_to_ink, framed_content
from extract.framed.lines import lines_to_rows
from extract.framed.names import is_printed
from extract.framed.rows import NAMED_BY, FramedNumber, RowReader, rows_to_style
from extract.framed.witness import document_to_others
from extract.schema import Reading


@dataclass(frozen=True, slots=True)
class FramedTable:
    """What was read, and a sentence for each number that was not."""

    readings: tuple[Reading, ...]
    not_read: tuple[str, ...]


def document_to_framed(document: Document, frame: Frame, named_on: str) -> FramedTable:
    """Read a framed table; `named_on` is the day (ISO) on which its columns were named.

    Raises InputError where not one column names the parts, or none holds values.
    """
    _refuse_unreadable(document, frame)
    content = framed_content(document, frame.page, frame.box)
    turned = frame_to_ink(content, frame)
    rows = lines_to_rows(content_to_ink(content).lines, turned, content.horizontals)
    reader = RowReader(document, content, turned, rows_to_style(rows), f"{NAMED_BY} on {named_on}")
    found = [one for row in rows for one in reader.row_to_numbers(row)]
    numbers = [one for one in found if isinstance(one, FramedNumber)]
    others = document_to_others(document, content, turned, numbers)
    not_read = tuple(one for one in found if isinstance(one, str))
    return FramedTable(tuple(map(others.judge, numbers)), not_read)


def _refuse_unreadable(document: Document, frame: Frame) -> None:
    roles = Counter(column.role for column in frame.columns)
    values = sum(column.role is Role.VALUE and column.quantity is not None for column in frame.columns)
    if roles[Role.PART] != (not frame.part) or not values or values != roles[Role.VALUE]:
        raise InputError(
            "framed table",
            f"{roles[Role.PART]} columns of part numbers and {values} of named values",
            "one column that names the parts, and one or more with values",
            "Of a table that names no part choose the part it is for, and no column of parts",
        )
    if frame.part and not is_printed(document, frame.part):
        raise InputError("framed table", f"the part “{frame.part}”", "a part number that the sheet prints")
