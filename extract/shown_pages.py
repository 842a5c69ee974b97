"""A PDF whose pages are no more than what a reader of them sees (pypdfium2).

Comes in: an open pdfium document. Goes out: the same pages as bytes, each cut to the part that is shown and
moved so that this part begins at 0, 0; None where every page is so already. With it all readers of a page,
whatever box they count from, count from the corner of the page as shown. Takes nothing out of a page: text
outside its edges is still there, and is told apart by its place. A user unit is left as it is: pdfium,
pdfminer and camelot all draw and read one unit as one point.
"""

from __future__ import annotations

import ctypes
import io
from typing import Any

NEAR_PT = 0.01
_Box = tuple[float, float, float, float]


def pdf_to_shown(pdf: Any) -> bytes | None:
    """The document with every page cut to what is shown, or None if that changes nothing."""
    import pypdfium2.raw as raw

    found = ((number, _page_to_moved_box(pdf[number])) for number in range(len(pdf)))
    boxes = {number: box for number, box in found if box is not None}
    if not boxes:
        return None
    for number, box in boxes.items():
        _cut(pdf[number], box)
    out = io.BytesIO()
    is_protected = raw.FPDF_GetSecurityHandlerRevision(pdf) >= 0
    pdf.save(out, flags=raw.FPDF_REMOVE_SECURITY if is_protected else raw.FPDF_NO_INCREMENTAL)
    return out.getvalue()


def _page_to_moved_box(page: Any) -> _Box | None:
    """The part of a page that is shown, in PDF points; None where it is the whole page and begins at 0, 0."""
    media, shown = page.get_mediabox(), page.get_bbox()
    at_home = abs(media[0]) < NEAR_PT and abs(media[1]) < NEAR_PT
    is_whole = all(abs(one - other) < NEAR_PT for one, other in zip(media, shown, strict=True))
    return None if at_home and is_whole else shown


def _cut(page: Any, shown: _Box) -> None:
    import pypdfium2.raw as raw

    left, bottom, right, top = shown
    move = raw.FS_MATRIX(1, 0, 0, 1, -left, -bottom)
    raw.FPDFPage_TransFormWithClip(page, ctypes.byref(move), None)
    page.set_mediabox(0, 0, right - left, top - bottom)
    page.set_cropbox(0, 0, right - left, top - bottom)
