"""The pages of a sheet that are worth it, read one after the other; each is read a second time meanwhile.

Comes in: a Document and the second reader. Goes out: ReadPages: glyphs, tables, and a third voice on
the digits of each cell. Compares nothing, understands no number.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from extract.agreement import table_to_data_cells, table_to_heading_cells
from extract.columns import Table
from extract.decoding import chars_to_decoded
from extract.document import Document, is_number_heavy, open_pdfium, open_pdfplumber
from extract.hidden import page_to_hidden_glyphs
from extract.layers import hide_layers
from extract.page import PageContent, page_to_content
from extract.second_reading import Region, Witness
from extract.tables import PageTables, content_to_tables

CONTINUED_NUMBERS = 8  # a page needs so many numbers to hold the rest of a table of the page before


@dataclass(frozen=True, slots=True)
class ReadPages:
    """By page number what stands there (`contents`) and its tables; by id of a cell the text that
    pdfium finds in its box (`third_texts`), and the pages it could be asked on (`third_pages`); `further`:
    what
    stands on pages that only the other reader and the account look at."""

    contents: dict[int, PageContent] = field(default_factory=dict)
    tables: dict[int, PageTables] = field(default_factory=dict)
    third_texts: dict[int, str] = field(default_factory=dict)
    third_pages: set[int] = field(default_factory=set)
    further: dict[int, PageContent] = field(default_factory=dict)

    def all_tables(self) -> list[Table]:
        """The tables of all pages, in reading order."""
        return [table for page in self.tables.values() for table in page.tables]


def document_to_read_pages(
    document: Document, witness: Witness | None, telling: Path | None = None
) -> ReadPages:
    """Read the pages worth reading, and number-heavy pages after a table that reaches the foot of its
    page; the witness is asked for each page as soon as its tables are known. The number of the page being
    read, and how many there are, are written into the file `telling`, if there is one."""
    logging.getLogger("pdfminer").setLevel(logging.CRITICAL)  # it reports every oddity of every font
    read = ReadPages()
    with open_pdfplumber(document) as pdf, open_pdfium(document.source, document.name) as pdfium:
        for number in range(document.worth[0], len(document.page_texts) + 1):
            if number not in document.worth and not _goes_on(document, read, number):
                continue
            if telling is not None:
                telling.write_text(f"{number} {len(document.page_texts)}", encoding="ascii")
            page = pdfium[number - 1]
            _read_page(pdf, page, number, document, read)
            if _is_picture(document, number):
                continue  # its second recogniser has spoken: extract.scans.judged
            if witness is not None:
                regions = [_table_to_region(t, read.contents[number]) for t in read.tables[number].tables]
                witness.ask(document.source, regions)
            read.third_texts.update(_page_to_third_texts(page, number, read))
    return read


def document_to_contents(document: Document, numbers: Sequence[int]) -> dict[int, PageContent]:
    """What stands on further pages, which no table is read from."""
    contents: dict[int, PageContent] = {}
    if not numbers:
        return contents
    with open_pdfplumber(document) as pdf, open_pdfium(document.source, document.name) as pdfium:
        for number in numbers:
            contents[number] = _page_to_content(pdf, pdfium[number - 1], number, document)
    return contents


def _read_page(pdf: Any, pdfium_page: Any, number: int, document: Document, read: ReadPages) -> None:
    content = _page_to_content(pdf, pdfium_page, number, document)
    before = read.tables.get(number - 1)
    read.contents[number] = content
    read.tables[number] = content_to_tables(content, before.tables if before else ())


def _page_to_content(pdf: Any, pdfium_page: Any, number: int, document: Document) -> PageContent:
    page = pdf.pages[number - 1]
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


def _is_picture(document: Document, number: int) -> bool:
    """Whether a page is a picture as a whole."""
    return number in document.scanned and not document.scanned[number].pictures


def _goes_on(document: Document, read: ReadPages, number: int) -> bool:
    """Whether a page may hold the rest of a table of the page before."""
    before = read.tables.get(number - 1)
    return (
        before is not None
        and _reaches_foot(read.contents[number - 1], before)
        and is_number_heavy(document.page_texts[number - 1], CONTINUED_NUMBERS)
    )


def _reaches_foot(content: PageContent, tables: PageTables) -> bool:
    """Whether the last table of a page has no other text of weight below it."""
    if not tables.tables:
        return False
    bottom = max(table.grid.box[3] for table in tables.tables)
    below = [run for run in tables.runs if run.top > bottom + 2]
    return len(below) <= 12 and bottom > 0.5 * content.height


def _table_to_region(table: Table, content: PageContent) -> Region:
    return Region(table.grid.page, table.grid.box, table.grid.origin == "ruled", content.height)


def _page_to_third_texts(pdfium_page: Any, number: int, read: ReadPages) -> dict[int, str]:
    """pdfium's text in the box of each cell of data and headings. Turned pages and hidden text would need
    other coordinates: no third voice there."""
    content = read.contents[number]
    if content.turn or content.hidden or pdfium_page.get_rotation():
        return {}
    read.third_pages.add(number)
    textpage = pdfium_page.get_textpage()
    texts = {}
    tables = read.tables[number].tables
    for cell in (c for t in tables for c in (*table_to_data_cells(t), *table_to_heading_cells(t))):
        x0, top, x1, bottom = cell.box
        corners = (x0 - 0.3, content.height - bottom, x1 + 0.3, content.height - top)
        texts[id(cell)] = str(textpage.get_text_bounded(*corners))
    return texts
