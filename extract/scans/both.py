"""The picture pages of a sheet, and the pictures of tables on its other pages, one after the other.

Comes in: a pdfium document, which pages to look at. Goes out: each page as recognised, and sentences on what
was not. Tells whoever waits after each page.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from extract.errors import DocumentError
from extract.scans.pictured import page_to_pictured
from extract.scans.recognised import ScannedPage, page_to_scanned
from extract.telling import tell


def pages_to_recognised(
    pdf: Any, name: str, scanned: Sequence[int], mixed: Sequence[int], readable: bool
) -> tuple[dict[int, ScannedPage], tuple[str, ...]]:
    """`scanned`: pages that are pictures; `mixed`: pages of text with pictures; `readable`: whether there is
    something to read without the former. Raises DocumentError where a picture cannot be read and nothing
    else can."""
    pages: dict[int, ScannedPage] = {}
    refused: list[DocumentError] = []
    for count, number in enumerate(scanned, start=1):
        try:
            pages[number] = page_to_scanned(pdf[number - 1], number, name)
        except DocumentError as error:
            refused.append(error)
        tell(f"{name}: page {number} recognised, {count} of {len(scanned)}")
    if refused and not readable and not any(page.lines for page in pages.values()):
        raise refused[0]
    for number in mixed:
        found = page_to_pictured(pdf[number - 1], number)
        if found is not None:
            pages[number] = found
            tell(f"{name}: pictures on page {number} recognised")
    remarks = (remark for page in pages.values() for remark in page.remarks)
    return pages, (*(f"{error.found}; it was not read" for error in refused), *remarks)
