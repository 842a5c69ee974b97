"""One datasheet, read from file to checked readings: the walk through this room.

Comes in: the path of a PDF. Goes out: a SheetReading. Stores and prints nothing.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from extract.agreement import Verdict, tables_to_verdicts
from extract.checked_sheet import sheet_to_checked
from extract.column_roles import Column
from extract.columns import Table
from extract.context import (
    runs_to_title_part,
    texts_to_reference_ambients,
    texts_to_revision,
    texts_to_single_part,
    titles_to_ambient,
)
from extract.document import (
    Document,
    OpenLimits,
    document_to_pages,
    is_number_heavy,
    open_pdfium,
    open_pdfplumber,
    path_to_document,
)
from extract.entries import Entry, Unread, table_to_entries
from extract.errors import DocumentError
from extract.grid import Box, Grid
from extract.hidden import page_to_hidden_glyphs
from extract.page import PageContent, box_to_place, page_to_content
from extract.part_texts import tables_to_texts
from extract.rating_lines import runs_to_rating_lines
from extract.records import SheetFacts, entries_to_readings, mark_contradictions
from extract.schema import (
    AT_AMBIENT,
    WHOLE_SERIES,
    Finding,
    Kind,
    Quantity,
    Reading,
    Severity,
    SheetReading,
    Status,
)
from extract.second_reading import (
    WITNESS_TIMEOUT_S,
    Region,
    Witness,
    WitnessCell,
    WitnessHere,
    WitnessProcess,
)
from extract.tables import PageTables, content_to_tables


@dataclass(frozen=True, slots=True)
class ReadOptions:
    """limits: what a file may cost; second_reading: whether camelot reads every table again;
    witness_process: in a process of its own (quicker for one sheet, slower for many at once);
    witness_timeout_s: how long to wait for it."""

    limits: OpenLimits = field(default_factory=OpenLimits)
    second_reading: bool = True
    witness_process: bool = True
    witness_timeout_s: float = WITNESS_TIMEOUT_S


def read_sheet(
    path: Path, options: ReadOptions | None = None, witness: Witness | None = None
) -> SheetReading:
    """Read one datasheet. Raises DocumentError if the file cannot be read or holds no such table.

    `witness` is a second reader that was started earlier; it is ended here.
    """
    options = options or ReadOptions()
    witness = witness or _options_to_witness(options)
    try:
        document = path_to_document(path, options.limits)
        contents, pages = _document_to_pages(document, witness)
        tables = [table for page in pages.values() for table in page.tables]
        cells = witness.answers() if witness is not None else ()
        verdicts = _tables_to_verdicts(document, contents, tables, cells)
    finally:
        if witness is not None:
            witness.close()
    readings, findings = pages_to_readings(document, contents, pages, verdicts)
    parts = tuple(dict.fromkeys(r.part_number for r in readings if r.part_number != WHOLE_SERIES))
    texts = tables_to_texts(tables, parts, contents, (document.name, document.sha256))
    sheet = SheetReading(
        document.name,
        document.sha256,
        len(document.page_texts),
        tuple(contents),
        texts_to_revision(document.page_texts),
        readings,
        texts,
        findings,
    )
    return sheet_to_checked(sheet)


def _options_to_witness(options: ReadOptions) -> Witness | None:
    if not options.second_reading:
        return None
    return WitnessProcess(options.witness_timeout_s) if options.witness_process else WitnessHere()


def _table_to_region(table: Table, content: PageContent) -> Region:
    return Region(table.grid.page, table.grid.box, table.grid.origin == "ruled", content.height)


def _tables_to_verdicts(
    document: Document,
    contents: dict[int, PageContent],
    tables: list[Table],
    witness: tuple[WitnessCell, ...],
) -> dict[int, Verdict]:
    """Compare both readings; pdfium's text in each cell's box is the third voice on the digits."""
    with open_pdfium(document.path, document.name) as pdf:
        plain = [n for n, c in contents.items() if not c.turn and not c.hidden]
        pages = {number: pdf[number - 1] for number in plain}
        textpages = {number: page.get_textpage() for number, page in pages.items() if not page.get_rotation()}

        def text_in_box(number: int, box: Box) -> str:
            if number not in textpages:
                return ""  # turned pages and hidden text would need other coordinates: no third voice there
            x0, top, x1, bottom = box
            height = contents[number].height
            return str(textpages[number].get_text_bounded(x0 - 0.3, height - bottom, x1 + 0.3, height - top))

        return tables_to_verdicts(tables, witness, text_in_box)


def _document_to_pages(
    document: Document, witness: Witness | None
) -> tuple[dict[int, PageContent], dict[int, PageTables]]:
    """Glyphs and tables of the pages worth reading, and of number-heavy pages after a table that
    reaches the foot of its page; the witness is asked for each page as soon as its tables are known."""
    logging.getLogger("pdfminer").setLevel(logging.CRITICAL)  # it reports every oddity of every font
    worth = list(document_to_pages(document))
    if not worth:
        raise _no_page_to_error(document)
    contents: dict[int, PageContent] = {}
    tables: dict[int, PageTables] = {}
    with open_pdfplumber(document) as pdf, open_pdfium(document.path, document.name) as pdfium:
        number = worth[0]
        while number <= len(document.page_texts):
            before = tables.get(number - 1)
            goes_on = (
                before is not None
                and _reaches_foot(contents[number - 1], before)
                and is_number_heavy(document.page_texts[number - 1])
            )
            if number in worth or goes_on:
                contents[number] = _read_page(pdf, pdfium, number)
                tables[number] = content_to_tables(contents[number], before.tables if before else ())
                if witness is not None:
                    found = tables[number].tables
                    witness.ask(document.path, [_table_to_region(t, contents[number]) for t in found])
            number += 1
    return contents, tables


def _read_page(pdf: Any, pdfium: Any, number: int) -> PageContent:
    page = pdf.pages[number - 1]
    content = page_to_content(page, number, page_to_hidden_glyphs(pdfium[number - 1]))
    page.close()
    return content


def _reaches_foot(content: PageContent, tables: PageTables) -> bool:
    """Whether the last table of a page has no other text of weight below it."""
    if not tables.tables:
        return False
    bottom = max(table.grid.box[3] for table in tables.tables)
    below = [run for run in tables.runs if run.top > bottom + 2]
    return len(below) <= 12 and bottom > 0.5 * content.height


def _no_page_to_error(document: Document) -> DocumentError:
    textless = [number for number, text in enumerate(document.page_texts, start=1) if len(text.strip()) < 5]
    if textless:
        listed = ", ".join(map(str, textless[:8]))
        return DocumentError(
            document.name,
            f"no text layer on page {listed} and no table on the others",
            "a PDF with text",
            "Export the sheet from its source, or run text recognition on it first",
        )
    return DocumentError(
        document.name,
        "no page names hold, trip or limits beside numbers",
        "a datasheet of resettable fuses",
        "Check that this is the right file",
    )


def pages_to_readings(
    document: Document,
    contents: dict[int, PageContent],
    pages: dict[int, PageTables],
    verdicts: dict[int, Verdict],
) -> tuple[tuple[Reading, ...], tuple[Finding, ...]]:
    """Entries of every table, joined and settled; tables not understood as findings."""
    single_part = texts_to_single_part(document.page_texts) or runs_to_title_part(
        next(iter(pages.values())).runs
    )
    entries: list[Entry] = []
    unread: list[Unread] = []
    title_ambients: dict[int, float] = {}
    findings: list[Finding] = []
    for number, page in pages.items():
        for table in page.tables:
            found, missed = table_to_entries(table, single_part)
            entries += found
            unread += missed
            ambient_c = titles_to_ambient(table.grid.titles)
            if ambient_c is not None and not table.is_derating:
                title_ambients[id(table)] = ambient_c
        findings += [_grid_to_finding(grid, contents[number], document) for grid in page.not_understood]
        findings += [
            _column_to_finding(table, column, contents[number], document)
            for table in page.tables
            for column in table.unknown_columns()
        ]
    facts = SheetFacts(
        document.name,
        document.sha256,
        contents,
        texts_to_reference_ambients(document.page_texts),
        title_ambients,
        verdicts,
    )
    readings, more = entries_to_readings(entries, unread, facts)
    if len({r.part_number for r in readings}) == 1:
        readings = mark_contradictions((*readings, *_lines_to_readings(readings[0], contents, pages)))
    findings += [
        _hidden_to_finding(content, document) for content in contents.values() if len(content.hidden) >= 8
    ]
    return readings, (*more, *findings)


def _lines_to_readings(
    first: Reading, contents: dict[int, PageContent], pages: dict[int, PageTables]
) -> tuple[Reading, ...]:
    """Ratings that a sheet for one part gives as lines of text, beside what its tables gave."""
    readings = []
    for number, page in pages.items():
        boxes = [table.grid.box for table in page.tables]
        free = [
            run
            for run in page.runs
            if not any(b[0] <= run.mid_x <= b[2] and b[1] <= run.mid_y <= b[3] for b in boxes)
        ]
        for line in runs_to_rating_lines(free):
            readings.append(
                Reading(
                    first.document,
                    first.sha256,
                    first.part_number,
                    line.quantity,
                    line.kind,
                    line.ambient_c,
                    None,
                    float(line.value),
                    Status.SINGLE,
                    box_to_place(contents[number], line.box),
                    line.raw,
                    line.printed_unit,
                    ("a line of text, not a table",),
                )
            )
    limits = {r.quantity for r in readings} - {
        r.quantity for r in readings if r.quantity in AT_AMBIENT or r.quantity is Quantity.TIME_TO_TRIP
    }
    return tuple(_drop_lone_kind(r, readings) for r in readings if r.quantity in limits)


def _drop_lone_kind(reading: Reading, readings: list[Reading]) -> Reading:
    """AC or DC is kept only where the lines give both."""
    kinds = {r.kind for r in readings if r.quantity is reading.quantity}
    if reading.kind in (Kind.AC, Kind.DC) and not {Kind.AC, Kind.DC} <= kinds:
        return replace(reading, kind=Kind.NONE)
    return reading


def _unread_pages_to_findings(
    document: Document, pages_read: tuple[int, ...], readings: tuple[Reading, ...]
) -> list[Finding]:
    """Pages that list parts of this sheet beside many numbers but name no quantity of the trade."""
    parts = {reading.part_number for reading in readings}
    findings = []
    for number, text in enumerate(document.page_texts, start=1):
        if number in pages_read or not is_number_heavy(text):
            continue
        listed = sum(part in text for part in parts)
        if listed >= 2:
            message = (
                f"page {number} lists {listed} parts beside numbers but names no quantity; it was not read"
            )
            findings.append(
                Finding(
                    "page-not-read",
                    Severity.NOTE,
                    message,
                    expected="headings of the trade",
                    document=document.name,
                )
            )
    return findings


def _hidden_to_finding(content: PageContent, document: Document) -> Finding:
    text = "".join(glyph.text for glyph in content.hidden)
    return Finding(
        "hidden-text",
        Severity.NOTE,
        f"page {content.number} holds text that cannot be seen; it was not read",
        found=text[:60],
        expected="text a reader can see",
        document=document.name,
    )


def _column_to_finding(table: Table, column: Column, content: PageContent, document: Document) -> Finding:
    """A column of numbers whose heading is not understood: named, never guessed."""
    cells = [cell for row in table.body if (cell := table.grid.cell_at(row, column.index)) is not None]
    heading = " ".join(column.levels) or "no heading"
    return Finding(
        "column-not-understood",
        Severity.DOUBT,
        f"column '{heading}' on page {table.grid.page} was not read: {'; '.join(column.meaning.reasons)}",
        found=" ".join(cells[0].text.split()) if cells else "",
        expected="a heading of the trade with its unit",
        document=document.name,
        place=box_to_place(content, cells[0].box) if cells else None,
    )


def _grid_to_finding(grid: Grid, content: PageContent, document: Document) -> Finding:
    place = box_to_place(content, grid.box)
    return Finding(
        "table-not-understood",
        Severity.NOTE,
        f"table on page {grid.page}: no column recognised; nothing was read from it",
        found=" | ".join(c.text.replace("\n", " ") for c in grid.row_cells(0) if c.text)[:120],
        expected="headings of the trade",
        document=document.name,
        place=place,
    )
