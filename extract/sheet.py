"""One datasheet, read from file to checked readings: the walk through this room.

Comes in: the path of a PDF. Goes out: a SheetReading. Stores and prints nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from extract.contradictions import mark_contradictions
from extract.document import (
    Document,
    OpenLimits,
    is_number_heavy,
    no_page_to_error,
    path_to_document,
)
from extract.gates import Settling, document_to_settled
from extract.model_reader import ModelReading, contents_to_model_readings
from extract.page import PageContent
from extract.pages import ReadPages, contents_to_read_pages, document_to_contents, document_to_pages
from extract.particulars.sheet_particulars import sheet_with_particulars
from extract.revision import texts_to_revision
from extract.schema import WHOLE_SERIES, Finding, Reading, Severity, SheetReading
from extract.second.generic import WITNESS_LIMITS, ask_here, ask_in_process
from extract.second.readings import readings_to_looked_at
from extract.workers import Limits as WorkerLimits


@dataclass(frozen=True, slots=True)
class ReadOptions:
    """limits: what a file may cost; second_reading: whether every number is looked at a second time;
    witness_process: whether the generic library of tables, where it is asked, runs in a process of its own;
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


def document_to_sheet(document: Document, options: ReadOptions | None = None) -> SheetReading:
    """Read a datasheet that was opened; as read_sheet."""
    options = options or ReadOptions()
    told = document.path.with_suffix(options.telling) if options.telling else None
    contents = document_to_contents(document, document_to_pages(document), told)
    return contents_to_sheet(contents, document, options)


def contents_to_sheet(
    contents: dict[int, PageContent], document: Document, options: ReadOptions
) -> SheetReading:
    """Read a datasheet of which it is known what stands on its pages, by number; as read_sheet."""
    model = contents_to_model_readings(tuple(contents.values()), document)
    printed, lost = _model_to_looked_at(model, document, contents, options)
    if document.scanned:
        from extract.scans.judged import readings_to_judged

        printed = readings_to_judged(printed, document.scanned)
    readings = mark_contradictions(printed)
    pages = contents_to_read_pages(contents, document, {reading.place.page for reading in readings})
    sheet = SheetReading(
        document.name,
        document.sha256,
        len(document.page_texts),
        tuple(pages.contents),
        texts_to_revision(document.page_texts),
        readings,
        model.texts,
        (
            *model.findings,
            *_hidden_to_findings(pages, document),
            *_unread_pages_to_findings(document, pages, readings),
            *_lost_to_findings(lost, document),
            *_unread_pictures_to_findings(document),
        ),
    )
    settled = document_to_settled(sheet, document, pages, Settling(printed, options.curves))
    if not document.known_words and not settled.readings:
        raise no_page_to_error(document.name, document.page_texts, document.unread)
    return sheet_with_particulars(settled, document, contents) if options.particulars else settled


def _model_to_looked_at(
    model: ModelReading, document: Document, contents: dict[int, PageContent], options: ReadOptions
) -> tuple[tuple[Reading, ...], str]:
    """The model's readings with the standing a second look allows, if one was asked for, and why a part of it
    failed."""
    if not options.second_reading:
        return model.readings, ""
    in_process = partial(ask_in_process, limits=options.witness_limits)
    ask = in_process if options.witness_process else ask_here
    return readings_to_looked_at((model.readings, model.origins), document, contents, ask)


def _hidden_to_findings(pages: ReadPages, document: Document) -> list[Finding]:
    """Pages with text that nobody sees."""
    contents = pages.contents.values()
    return [
        *(_hidden_to_finding(content, document) for content in contents if len(content.hidden) >= 8),
        *(_off_page_to_finding(content, document) for content in contents if content.off_page >= 8),
    ]


def _unread_pages_to_findings(
    document: Document, pages: ReadPages, readings: tuple[Reading, ...]
) -> tuple[Finding, ...]:
    """Pages that speak of ratings and gave none, and pages left out that list parts of this sheet beside many
    numbers."""
    parts = {reading.part_number for reading in readings} - {WHOLE_SERIES}
    read = {reading.place.page for reading in readings}
    messages = []
    for number, text in enumerate(document.page_texts, start=1):
        is_own = number in pages.contents
        if is_own and number not in read:
            messages.append(f"page {number} speaks of ratings, but no table of them was found on it")
        listed = sum(part in text for part in parts) if not is_own and is_number_heavy(text) else 0
        if listed >= 2:
            messages.append(f"page {number} lists {listed} parts beside numbers, but names no ratings")
    return tuple(
        Finding(
            "page-not-read",
            Severity.NOTE,
            f"{message}; no table was read from it",
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
