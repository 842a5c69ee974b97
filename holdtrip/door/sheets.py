"""A datasheet for Python: read under the limits of every sheet, its numbers as a data frame.

Comes in: the path of a PDF. Goes out: a Sheet. Stores nothing: `open_library` and its import do.
"""

from __future__ import annotations

import base64
import html
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from extract.schema import AccountRow, Cause, Curve, Finding, Particular, Reading, SheetReading, Status
from holdtrip.counted import counted

if TYPE_CHECKING:
    import pandas as pd

SHOWN_PAGES = 3
"""Pages drawn in a notebook; `page_picture` draws any."""
_COLOURS = {Status.DISPUTED: "#c22f2f", Status.SINGLE: "#b07a00"}
_OTHER_COLOUR = "#1f6f5c"


@dataclass(frozen=True, slots=True)
class Sheet:
    """What was read from one datasheet. `path` is the file, `reading` the whole record."""

    path: Path
    reading: SheetReading

    @property
    def numbers(self) -> tuple[Reading, ...]:
        """Every number read: SI values with status, place on the page and printed text."""
        return self.reading.readings

    @property
    def curves(self) -> tuple[Curve, ...]:
        """The curves read from its charts; typical ones, no limits."""
        return self.reading.curves

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What reading and checking noticed."""
        return self.reading.findings

    @property
    def questions(self) -> tuple[Cause, ...]:
        """What a person is asked, each once for all the numbers that wait for it."""
        return self.reading.causes

    @property
    def particulars(self) -> tuple[Particular, ...]:
        """Sizes, temperatures, approvals and the like, if they were asked for."""
        return self.reading.particulars

    @property
    def account(self) -> tuple[AccountRow, ...]:
        """Every number printed on the pages that hold ratings: read, doubted, or why it was not read."""
        return self.reading.account

    def to_frame(self) -> pd.DataFrame:
        """The numbers as a tidy pandas data frame, one row each; see `holdtrip.door.frames`."""
        from holdtrip.door.frames import readings_to_frame

        return readings_to_frame(self.numbers)

    def curves_to_frame(self) -> pd.DataFrame:
        """The curves as a tidy pandas data frame, one row for each vertex."""
        from holdtrip.door.frames import curves_to_frame

        return curves_to_frame(self.curves)

    def findings_to_frame(self) -> pd.DataFrame:
        """The findings as a pandas data frame."""
        from holdtrip.door.frames import findings_to_frame

        return findings_to_frame(self.findings)

    def page_picture(self, page: int, dots: int = 2) -> bytes:
        """A page counted from 1 as PNG, `dots` for each point (1/72 inch). Raises InputError for a page that
        there is not."""
        from holdtrip.web.page_pictures import PagePictures

        pictures = PagePictures()
        try:
            return pictures.picture(self.path, self.reading.sha256, page, dots).png
        finally:
            pictures.close()

    def __repr__(self) -> str:
        disputed = sum(number.status is Status.DISPUTED for number in self.numbers)
        return (f"<Sheet {self.reading.document}: {counted(len(self.numbers), 'number')}, "
                f"{disputed} disputed, {counted(len(self.questions), 'question')}, "
                f"{counted(len(self.curves), 'curve')}>")  # fmt: skip

    def _repr_html_(self) -> str:
        """For notebooks: the pages with every number framed in the colour of its status."""
        pages = sorted({number.place.page for number in self.numbers})
        shown = "".join(self._page_to_html(page) for page in pages[:SHOWN_PAGES])
        more = f"<p>and {len(pages) - SHOWN_PAGES} more pages</p>" if len(pages) > SHOWN_PAGES else ""
        return f"<p>{html.escape(repr(self))}</p>{shown}{more}"

    def _page_to_html(self, page: int) -> str:
        picture = base64.b64encode(self.page_picture(page)).decode("ascii")
        boxes = "".join(_number_to_box(number) for number in self.numbers if number.place.page == page)
        return (
            '<div style="position:relative;display:inline-block">'
            f'<img alt="page {page}" src="data:image/png;base64,{picture}" style="zoom:0.5">{boxes}</div>'
        )


def read_sheet(path: str | Path, *, particulars: bool = False, one_reading: bool = False) -> Sheet:
    """Read one datasheet, in processes with limits of time and memory.

    particulars: sizes, temperatures and approvals too; one_reading: without the second reading, so that no
    number is agreed. Raises InputError where the file cannot be read as a datasheet; a number that cannot be
    told is disputed, never an error.
    """
    from holdtrip.sheets import paths_to_pdfs, read_batch

    (pdf,) = paths_to_pdfs([Path(path)])
    batch = read_batch([pdf], one_reading=one_reading, particulars=particulars)
    return Sheet(pdf, batch.sheets[0])


def _number_to_box(number: Reading) -> str:
    place, colour = number.place, _COLOURS.get(number.status, _OTHER_COLOUR)
    said = f"{number.part_number} {number.quantity.value} {number.value:g} ({number.status.value})"
    return (
        f'<span title="{html.escape(said, quote=True)}" style="position:absolute;border:1px solid {colour};'
        f"left:{place.x0 - 2:.1f}px;top:{place.top - 2:.1f}px;width:{place.x1 - place.x0 + 2:.1f}px;"
        f'height:{place.bottom - place.top + 2:.1f}px"></span>'
    )
