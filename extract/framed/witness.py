"""Other readers of a framed table: what camelot and pdfium see where its numbers stand.

Comes in: the document, the page, the frame in the coordinates of the ink. Goes out: each reading, disputed
where another reader sees other digits. Raises nothing's standing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

from extract.cells.tables import Cell
from extract.document import Document, open_pdfium
from extract.framed.frames import Frame
from extract.framed.rows import FramedNumber
from extract.page import PageContent
from extract.schema import Reading, Status
from extract.second.generic import Asked, GenericCell, ask_here

LOST = "the second reading failed: one reader saw this number"


@dataclass(frozen=True, slots=True)
class OtherReaders:
    """What the others saw: camelot's cells, pdfium's text of each number's box by id of its cell; `lost` says
    that camelot could not read the page."""

    cells: tuple[GenericCell, ...]
    texts: dict[int, str]
    lost: bool = False

    def judge(self, number: FramedNumber) -> Reading:
        """The reading, with a doubt for each reader that sees other digits."""
        doubts = []
        third = self.texts.get(id(number.cell), "")
        if _contradicts(number.cell.text, third):
            doubts.append(f"another text reader sees '{' '.join(third.split())}'")
        theirs = _cell_at(self.cells, number.cell)
        if theirs is not None and _contradicts(number.cell.text, theirs.text):
            doubts.append(f"the second reading sees '{' '.join(theirs.text.split())}'")
        read = number.reading
        if doubts:
            return replace(read, status=Status.DISPUTED, notes=(*read.notes, *doubts))
        return replace(read, notes=(*read.notes, LOST)) if self.lost else read


def document_to_others(
    document: Document, content: PageContent, frame: Frame, numbers: list[FramedNumber]
) -> OtherReaders:
    """Ask both readers; none on pages whose text was turned or recognised from a picture."""
    if content.turn or content.hidden or frame.page in document.scanned:
        return OtherReaders((), {}, lost=True)
    answer = ask_here(document.source, [Asked(frame.page, content.height, is_ruled=False)])
    cells, lost = answer.cells, bool(answer.lost)
    with open_pdfium(document.source, document.name) as pdf:
        page = pdf[frame.page - 1]
        if page.get_rotation():
            return OtherReaders(cells, {}, lost)
        textpage = page.get_textpage()
        texts = {id(one.cell): _text_in(textpage, one.cell, content.height) for one in numbers}
    return OtherReaders(cells, texts, lost)


def _text_in(textpage: Any, cell: Cell, height: float) -> str:
    x0, top, x1, bottom = cell.box
    return str(textpage.get_text_bounded(x0 - 0.3, height - bottom, x1 + 0.3, height - top))


def _cell_at(cells: tuple[GenericCell, ...], cell: Cell) -> GenericCell | None:
    """The witness's cell in which the middle of ours lies."""
    x, y = (cell.box[0] + cell.box[2]) / 2, (cell.box[1] + cell.box[3]) / 2
    return next(
        (one for one in cells if one.box[0] <= x <= one.box[2] and one.box[1] <= y <= one.box[3]), None
    )


def _contradicts(ours: str, theirs: str) -> bool:
    """Whether another text of the same place cannot be ours with its neighbours."""
    digits = re.sub(r"[^\d]", "", theirs)
    return bool(digits) and re.sub(r"[^\d]", "", ours) not in digits
