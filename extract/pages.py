"""What stands on the pages of a sheet that may hold tables.

Comes in: a Document. Goes out: PageContents by page number, and ReadPages: which of them are the sheet's own.
Understands no number.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from extract.decoding import chars_to_decoded
from extract.document import Document, is_number_heavy, open_pdfium, open_pdfplumber
from extract.endless import refuse_endless_commands
from extract.hidden import page_to_hidden_glyphs
from extract.layers import hide_layers
from extract.lines import Run, glyphs_to_runs
from extract.page import PageContent, page_to_content

HEAVY = 12
"""A page next to one worth reading needs so many numbers to hold a further table."""


@dataclass(frozen=True)
class ReadPages:
    """By page number what stands there: `contents` of the pages worth reading and of those with readings,
    `further` of others that were looked at."""

    contents: dict[int, PageContent]
    further: dict[int, PageContent]

    @cached_property
    def runs(self) -> dict[int, tuple[Run, ...]]:
        """The runs of text of each page of `contents`."""
        return {number: glyphs_to_runs(content.glyphs) for number, content in self.contents.items()}


LAST_ROW = 4
"""So many numbers are the last row of a table, on a page with little else."""
LEAST_SHARE = 0.2


def document_to_pages(document: Document) -> list[int]:
    """The pages that may hold tables of the trade: worth reading, full of numbers, or the next one with
    little more than a row of them."""
    pages = {*document.worth}
    for number, text in enumerate(document.page_texts, start=1):
        if is_number_heavy(text, HEAVY) or (number - 1 in pages and _is_a_last_row(text)):
            pages.add(number)
    return sorted(pages)


def _is_a_last_row(text: str) -> bool:
    """Whether a page holds a row of numbers and few words beside it."""
    words = text.split()
    numbers = sum(word[:1].isdigit() for word in words)
    return is_number_heavy(text, LAST_ROW) and numbers > LEAST_SHARE * len(words)


def contents_to_read_pages(
    contents: dict[int, PageContent], document: Document, with_readings: Iterable[int]
) -> ReadPages:
    """The pages as the sheet's own and others."""
    own = {*document.worth, *with_readings}
    return ReadPages(
        {number: content for number, content in contents.items() if number in own},
        {number: content for number, content in contents.items() if number not in own},
    )


def document_to_contents(
    document: Document, numbers: Sequence[int], telling: Path | None = None
) -> dict[int, PageContent]:
    """What stands on pages. The number of the page being read, and how many there are, are written into the
    file `telling`, if there is one."""
    logging.getLogger("pdfminer").setLevel(logging.CRITICAL)  # it reports every oddity of every font
    contents: dict[int, PageContent] = {}
    if not numbers:
        return contents
    with open_pdfplumber(document) as pdf, open_pdfium(document.source, document.name) as pdfium:
        for number in numbers:
            if telling is not None:
                telling.write_text(f"{number} {len(document.page_texts)}", encoding="ascii")
            contents[number] = _page_to_content(pdf, pdfium[number - 1], number, document)
    return contents


def _page_to_content(pdf: Any, pdfium_page: Any, number: int, document: Document) -> PageContent:
    page = pdf.pages[number - 1]
    refuse_endless_commands(page, number)
    scanned = document.scanned.get(number)
    if scanned is not None and not scanned.pictures:
        content = scanned.content
    else:
        layered = hide_layers(page)
        content = page_to_content(
            page,
            number,
            page_to_hidden_glyphs(pdfium_page) - layered,
            lambda chars: chars_to_decoded(chars, pdfium_page, document.page_texts[number - 1]),
        )
        if scanned is not None:
            from extract.scans.pictured import content_with_pictures

            content = content_with_pictures(content, scanned)
    page.close()
    return content
