"""What stands around any reader: kind of part, names of parts, checks, and the account of every number.

Comes in: a SheetReading as a reader gave it, the Document, its pages. Goes out: the SheetReading that
everybody else sees. Works on readings and places alone; knows no table.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

from extract.account.build import Ink, sheet_to_account
from extract.boxes import Box
from extract.causes import sheet_to_causes
from extract.charts.sheet_curves import sheet_with_curves
from extract.checked_sheet import sheet_to_checked
from extract.column_words import readings_to_column_words
from extract.contradictions import mark_contradictions
from extract.document import Document, is_number_heavy, open_pdfium
from extract.house import texts_to_edges, texts_to_house
from extract.lines import glyphs_to_runs
from extract.note_exceptions import sheet_to_excepted
from extract.pages import ReadPages, document_to_contents
from extract.part_names import sheet_to_named
from extract.schema import (
    WHOLE_SERIES,
    Kind,
    Quantity,
    Reading,
    SheetReading,
    Status,
)
from extract.sheet_kind import sheet_to_foreign_pages, sheet_to_own_kind

TYPICAL_TIME = "a typical time, not the longest"
LISTED_PARTS = 2  # a page that lists so many parts beside numbers is accounted for


@dataclass(frozen=True, slots=True)
class Settling:
    """`printed`: all that was read, repeated numbers too; `with_curves`: whether charts are read."""

    printed: tuple[Reading, ...]
    with_curves: bool = False


def document_to_settled(
    sheet: SheetReading, document: Document, pages: ReadPages, settling: Settling
) -> SheetReading:
    """The sheet behind all gates."""
    runs = dict(pages.runs)
    named = sheet_to_named(sheet)
    named = sheet_to_excepted(_without_typical_times(named), runs)
    foreign = sheet_to_foreign_pages(named, document.page_texts)
    gated = sheet_to_own_kind(named, document.page_texts)
    checked = sheet_to_checked(sheet_with_curves(gated, document) if settling.with_curves else gated)
    listing = _pages_that_list(checked, document, pages)
    loaded = document_to_contents(document, [n for n in listing if n not in pages.further])
    further = {n: loaded.get(n) or pages.further[n] for n in listing}
    runs |= {number: glyphs_to_runs(content.glyphs) for number, content in further.items()}

    @cache
    def charts(number: int) -> Sequence[Box]:
        from extract.charts.regions import page_to_chart_regions

        with open_pdfium(document.source, document.name) as pdf:
            return [region.box for region in page_to_chart_regions(pdf[number - 1], number)]

    own = tuple(reading for reading in settling.printed if reading.place.page not in foreign)
    ink = Ink({**pages.contents, **further}, runs, charts, own, frozenset(foreign))
    described = replace(
        checked,
        house=texts_to_house(document.page_texts),
        edges=texts_to_edges(document.page_texts),
        headings=readings_to_column_words(checked.readings, runs),
    )
    return sheet_to_account(sheet_to_causes(described), ink)


def _without_typical_times(sheet: SheetReading) -> SheetReading:
    """The sheet with typical times to trip disputed, apart as typical: the quantity is the longest time."""
    readings = tuple(
        replace(r, status=Status.DISPUTED, notes=(*r.notes, TYPICAL_TIME))
        if r.quantity is Quantity.TIME_TO_TRIP and r.kind is Kind.TYP
        else r
        for r in sheet.readings
    )
    return replace(sheet, readings=mark_contradictions(readings))


def _pages_that_list(sheet: SheetReading, document: Document, pages: ReadPages) -> list[int]:
    """Pages the reader left out that list parts of this sheet beside many numbers: of dimensions, packaging;
    where nothing was read, any page with many numbers."""
    parts = {reading.part_number for reading in sheet.readings} - {WHOLE_SERIES}
    return [
        number
        for number, text in enumerate(document.page_texts, start=1)
        if number not in pages.contents
        and is_number_heavy(text)
        and (not parts or sum(part in text for part in parts) >= LISTED_PARTS)
    ]
