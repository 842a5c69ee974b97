"""One datasheet, read from file to checked readings: the walk through this room.

Comes in: the path of a PDF. Goes out: a SheetReading. Stores and prints nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from extract.agreement import Verdict, tables_to_verdicts
from extract.cell_entries import Entry, Unread
from extract.column_roles import Column
from extract.columns import Table
from extract.context import (
    runs_to_title_part,
    texts_to_reference_ambients,
    texts_to_revision,
    texts_to_single_part,
    texts_to_test_multiple,
    titles_to_ambient,
)
from extract.document import (
    Document,
    OpenLimits,
    is_number_heavy,
    no_page_to_error,
    path_to_document,
)
from extract.entries import (
    label_with_single_part,
    table_to_entries,
    tables_to_labels,
    tables_to_sole_label,
)
from extract.fused import readings_to_fused
from extract.gates import Settling, document_to_settled
from extract.grid import Grid
from extract.model_reader import HEAVY, contents_to_model_readings
from extract.page import PageContent, box_to_place
from extract.pages import ReadPages, document_to_contents, document_to_read_pages
from extract.part_texts import tables_to_texts
from extract.particulars.sheet_particulars import sheet_with_particulars
from extract.proofs import readings_to_proven
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
from extract.second_reading import WITNESS_LIMITS, Witness, WitnessHere, WitnessProcess
from extract.workers import Limits as WorkerLimits


@dataclass(frozen=True, slots=True)
class ReadOptions:
    """limits: what a file may cost; second_reading: whether camelot reads every table again;
    witness_process: in a process of its own (quicker for one sheet, slower for many at once);
    witness_limits: what it may cost there; curves: whether the charts are read too;
    particulars: whether sizes, temperatures and the like are read too; telling: the ending of a
    file beside the sheet in which the page being read is told to whoever waits, empty for none."""

    limits: OpenLimits = field(default_factory=OpenLimits)
    second_reading: bool = True
    witness_process: bool = True
    witness_limits: WorkerLimits = WITNESS_LIMITS
    curves: bool = True
    particulars: bool = False
    telling: str = ""


def read_sheet(path: Path, options: ReadOptions | None = None) -> SheetReading:
    """Read one datasheet. Raises DocumentError if the file cannot be read or holds no such table."""
    options = options or ReadOptions()
    return document_to_sheet(path_to_document(path, options.limits), options)


def document_to_sheet(
    document: Document, options: ReadOptions | None = None, witness: Witness | None = None
) -> SheetReading:
    """Read a datasheet that was opened; as read_sheet. `witness` is a second reader that was started earlier;
    it is ended here."""
    options = options or ReadOptions()
    witness = witness or _options_to_witness(options)
    try:
        told = document.path.with_suffix(options.telling) if options.telling else None
        pages = document_to_read_pages(document, witness, told)
        gathered = _pages_to_gathered(document, pages)  # while the second reader is still at work
        model = _pages_to_model(document, pages, options)
        cells = witness.answers() if witness is not None else ()
    finally:
        if witness is not None:
            witness.close()
    tables = pages.all_tables()
    verdicts = tables_to_verdicts(tables, cells, pages.third_texts)
    printed, findings = _gathered_to_readings(gathered, document, pages, verdicts)
    if model is not None:
        lost = witness is not None and bool(witness.lost)
        printed = readings_to_fused(printed, model, frozenset() if lost else frozenset(pages.third_pages))
    if document.scanned:
        from extract.scans.judged import readings_to_judged

        printed = readings_to_judged(printed, document.scanned)
    printed = readings_to_proven(printed)
    readings = mark_contradictions(printed)
    parts = tuple(dict.fromkeys(r.part_number for r in readings if r.part_number != WHOLE_SERIES))
    sheet = SheetReading(
        document.name,
        document.sha256,
        len(document.page_texts),
        tuple(pages.contents),
        texts_to_revision(document.page_texts),
        readings,
        tables_to_texts(tables, parts, pages.contents, (document.name, document.sha256)),
        (*findings, *_unread_pages_to_findings(document, pages, readings),
         *_lost_to_findings(witness.lost if witness is not None else "", document),
         *_unread_pictures_to_findings(document)),
    )
    settled = document_to_settled(sheet, document, pages, Settling(printed, options.curves))
    if not document.known_words and not settled.readings:
        raise no_page_to_error(document.name, document.page_texts)
    return sheet_with_particulars(settled, document) if options.particulars else settled


def _pages_to_model(
    document: Document, pages: ReadPages, options: ReadOptions
) -> tuple[Reading, ...] | None:
    """What the other reader finds on these pages and on others with many numbers; None where one reading was
    asked for."""
    if not options.second_reading:
        return None
    heavy = [
        number
        for number, text in enumerate(document.page_texts, start=1)
        if number not in pages.contents and is_number_heavy(text, HEAVY)
    ]
    pages.further.update(document_to_contents(document, heavy))
    contents = {**pages.contents, **pages.further}
    return contents_to_model_readings([contents[n] for n in sorted(contents)], document).readings


def _options_to_witness(options: ReadOptions) -> Witness | None:
    if not options.second_reading:
        return None
    return WitnessProcess(options.witness_limits) if options.witness_process else WitnessHere()


@dataclass(slots=True)
class _Gathered:
    """What the tables of all pages hold, before both readings are compared."""

    entries: list[Entry] = field(default_factory=list)
    unread: list[Unread] = field(default_factory=list)
    title_ambients: dict[int, float] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)


def _pages_to_gathered(document: Document, pages: ReadPages) -> _Gathered:
    """Entries of every table; what was not understood as findings."""
    single_part = _to_single_part(document, pages)
    gathered = _Gathered()
    for number, page in pages.tables.items():
        content = pages.contents[number]
        for table in page.tables:
            found, missed = table_to_entries(table, single_part)
            gathered.entries += found
            gathered.unread += missed
            ambient_c = titles_to_ambient(table.grid.titles)
            if ambient_c is not None and not table.is_derating:
                gathered.title_ambients[id(table)] = ambient_c
        gathered.findings += [_grid_to_finding(grid, content, document) for grid in page.not_understood]
        gathered.findings += [
            _column_to_finding(table, column, content, document)
            for table in page.tables
            for column in table.unknown_columns()
        ]
    gathered.entries = label_with_single_part(gathered.entries, single_part)
    gathered.findings += [
        _hidden_to_finding(content, document)
        for content in pages.contents.values()
        if len(content.hidden) >= 8
    ]
    gathered.findings += [
        _off_page_to_finding(content, document)
        for content in pages.contents.values()
        if content.off_page >= 8
    ]
    return gathered


def _to_single_part(document: Document, pages: ReadPages) -> str:
    """The part that rows without a label belong to; not looked for where all rows have one."""
    tables = pages.all_tables()
    if all(table.part_column is not None for table in tables) and len(tables_to_labels(tables)) > 1:
        return ""
    return (
        tables_to_sole_label(tables)
        or texts_to_single_part(document.page_texts)
        or runs_to_title_part(next(iter(pages.tables.values())).runs)
    )


def _gathered_to_readings(
    gathered: _Gathered, document: Document, pages: ReadPages, verdicts: dict[int, Verdict]
) -> tuple[tuple[Reading, ...], tuple[Finding, ...]]:
    """Entries of every table, joined and settled, each with what the second reading says of it."""
    facts = SheetFacts(
        document.name,
        document.sha256,
        pages.contents,
        texts_to_reference_ambients(document.page_texts),
        gathered.title_ambients,
        verdicts,
        texts_to_test_multiple(document.page_texts),
    )
    readings, findings = entries_to_readings(gathered.entries, gathered.unread, facts)
    if len({r.part_number for r in readings}) == 1:
        readings = (*mark_contradictions(readings), *_lines_to_readings(readings[0], pages))
    return readings, (*findings, *gathered.findings)


def _lines_to_readings(first: Reading, pages: ReadPages) -> tuple[Reading, ...]:
    """Ratings that a sheet for one part gives as lines of text, beside what its tables gave."""
    readings = []
    for number, page in pages.tables.items():
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
                    box_to_place(pages.contents[number], line.box),
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
    document: Document, pages: ReadPages, readings: tuple[Reading, ...]
) -> tuple[Finding, ...]:
    """Pages that speak of ratings and gave no table, and pages left out that list parts of this sheet
    beside many numbers."""
    parts = {reading.part_number for reading in readings} - {WHOLE_SERIES}
    messages = []
    for number, text in enumerate(document.page_texts, start=1):
        page = pages.tables.get(number)
        if page is not None and not page.tables and not page.not_understood:
            messages.append(f"page {number} speaks of ratings, but no table was found on it")
        listed = sum(part in text for part in parts) if page is None and is_number_heavy(text) else 0
        if listed >= 2:
            messages.append(f"page {number} lists {listed} parts beside numbers, but names no ratings")
    return tuple(
        Finding(
            "page-not-read",
            Severity.NOTE,
            f"{message}; nothing was read from it",
            expected="a table under headings of the trade",
            document=document.name,
        )
        for message in messages
    )


def _unread_pictures_to_findings(document: Document) -> tuple[Finding, ...]:
    """What of the sheet's pictures was not read, and why."""
    wanted = "a picture of printed text, upright, of 150 dots per inch or more"
    return tuple(
        Finding("page-not-read", Severity.NOTE, remark, expected=wanted, document=document.name)
        for remark in document.unread
    )


def _lost_to_findings(lost: str, document: Document) -> tuple[Finding, ...]:
    """An error where the second reading was asked for and failed: its numbers are single for no fault of
    theirs."""
    if not lost:
        return ()
    return (
        Finding(
            "second-reading-lost",
            Severity.ERROR,
            f"the second reading failed: {lost}; what it did not see was read once only",
            expected="two independent readings (or --one-reading, if one is enough)",
            document=document.name,
        ),
    )


def _off_page_to_finding(content: PageContent, document: Document) -> Finding:
    return Finding(
        "hidden-text",
        Severity.NOTE,
        f"page {content.number} holds text outside the part that is shown; it was not read",
        found=f"{content.off_page} characters",
        expected="text a reader can see",
        document=document.name,
    )


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
        f"table on page {grid.page}: no column of ratings recognised; nothing was read from it",
        found=" | ".join(c.text.replace("\n", " ") for c in grid.row_cells(0) if c.text)[:120],
        expected="headings of the trade",
        document=document.name,
        place=place,
    )
