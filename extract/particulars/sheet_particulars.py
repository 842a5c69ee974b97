"""What else a sheet says: every page that may say it, read for lines, sizes and texts.

Comes in: a Document and the sheet as read. Goes out: the sheet with its particulars. Stores and prints
nothing; reads no rating.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from extract.cells.grids import inks_to_grids
from extract.cells.ink import content_to_ink
from extract.document import Document
from extract.joined.approvals import NO_MARK, approval_to_marks
from extract.lines import Run, glyphs_to_runs, runs_to_lines
from extract.page import PageContent, box_to_place
from extract.pages import document_to_contents
from extract.particulars.reel_lines import runs_to_reeled
from extract.particulars.said_lines import Said, runs_to_said
from extract.particulars.size_grids import grids_to_sizes, sizes_seen_twice
from extract.particulars.size_heads import Head, lines_to_heads, runs_to_spots
from extract.particulars.size_rows import Size, head_to_sizes
from extract.particulars.wording import (
    is_dimension_title,
    is_other_title,
    labels,
    text_to_length_units,
    wording,
)
from extract.schema import (
    UNIT_OF_PARTICULAR,
    WHOLE_SERIES,
    AccountRow,
    Fate,
    Kind,
    Particular,
    ParticularName,
    PartText,
    Reading,
    SheetReading,
    Status,
)
from extract.vocabulary import fold

PARTICULAR = "particular"
"""Why a number of the account was read: not as a rating, but as what a sheet says beside them."""
LONGEST_NOTE = 28  # characters of a text that names a unit and little else
TITLE_PT = 190.0  # a title of sizes stands no farther above their heading
_TEXTS = {"package": ParticularName.PACKAGE, "marking": ParticularName.MARKING}


def sheet_with_particulars(
    sheet: SheetReading, document: Document, read: Mapping[int, PageContent]
) -> SheetReading:
    """The sheet with everything said beside its ratings; a scanned page gives none. `read`: what stands on
    pages that were taken apart already, by their number; the others are now."""
    parts = _readings_to_parts(sheet.readings)
    cases = {text.part_number: text.text.strip() for text in sheet.texts if text.name == "package"}
    worth = tuple(_pages_worth(document))
    further = document_to_contents(document, [number for number in worth if number not in read])
    found: list[Particular] = []
    for number in worth:
        content = read[number] if number in read else further[number]
        found += _content_to_particulars(content, parts, cases, document)
    found += _texts_to_particulars(sheet)
    found += _titles_to_mounting(document)
    settled = _settled(found)
    account = tuple(_row_to_refated(row, settled) for row in sheet.account)
    return replace(sheet, particulars=settled, account=account)


def _row_to_refated(row: AccountRow, said: Sequence[Particular]) -> AccountRow:
    """A number of the account that was read as a size, a temperature or the like is called so."""
    if row.fate is not Fate.NOT_READ:
        return row
    x, y = row.place.mid_x, row.place.mid_y
    over = [
        one
        for one in said
        if one.place.page == row.place.page
        and one.place.x0 <= x <= one.place.x1
        and one.place.top <= y <= one.place.bottom
    ]
    if not over:
        return row
    doubted = all(one.status is Status.DISPUTED for one in over)
    return replace(row, fate=Fate.DOUBTED if doubted else Fate.READ, reason=PARTICULAR)


def _readings_to_parts(readings: Iterable[Reading]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(r.part_number for r in readings if r.part_number != WHOLE_SERIES))


def _pages_worth(document: Document) -> Iterator[int]:
    """Pages whose text holds a wording of a label, a title of sizes, or an approval."""
    wordings = {label.wording.split()[0] for label in labels()} | {"ul", "tuv", "tüv", "csa"}
    titles = (*wording()["dimensions"]["titles"], "reel")
    phrases = [fold(phrase) for phrase in wording()["lifecycle"]["phrases"]]
    for number, text in enumerate(document.page_texts, start=1):
        folded = fold(text)
        if number not in document.scanned and any(word in folded for word in (*wordings, *titles, *phrases)):
            yield number


def _content_to_particulars(
    content: PageContent, parts: Sequence[str], cases: Mapping[str, str], document: Document
) -> Iterator[Particular]:
    runs = glyphs_to_runs(content.glyphs)
    printed = _letters(document.page_texts[content.number - 1])
    for said in runs_to_said(runs):
        status = Status.AGREED if _letters(said.raw) in printed else Status.SINGLE
        yield _said_to_particular(said, status, content, document)
    for reeled in runs_to_reeled(runs, parts):
        status = Status.AGREED if _letters(reeled.raw) in printed else Status.SINGLE
        place = box_to_place(content, reeled.box)
        yield Particular(
            document.name,
            document.sha256,
            reeled.part_number,
            ParticularName.REEL_QUANTITY,
            Kind.NONE,
            float(reeled.count),
            "",
            status,
            place,
            reeled.raw,
        )
    seen = runs_to_sizes(runs, parts)
    other = grids_to_sizes(inks_to_grids([content_to_ink(content)]), parts, cases, _runs_to_noted_unit(runs))
    for size in sizes_seen_twice(seen, other):
        yield _size_to_particular(size, content, document)


def runs_to_sizes(runs: Sequence[Run], parts: Sequence[str]) -> list[Size]:
    """Every size that tables of a page give for the sheet's parts."""
    lines = [sorted(runs_to_spots(line), key=lambda s: s.x0) for line in runs_to_lines(runs)]
    heads = lines_to_heads(lines)
    sizes: list[Size] = []
    for head, after in zip(heads, [*heads, None][1:], strict=True):
        title = _head_to_title(head, runs)
        if title is None:
            continue
        below = [line for line in lines if after is None or line[0].bottom <= after.top]
        sizes += head_to_sizes(head, below, parts, _runs_to_unit(head, title, runs))
    return sizes


def _head_to_title(head: Head, runs: Sequence[Run]) -> Run | None:
    """The nearest title above, or beside the names, if it announces sizes of parts, not of tape or pads."""
    near = [run for run in runs if run.top <= head.bottom and head.top - run.bottom <= TITLE_PT]
    named = [run for run in near if is_dimension_title(run.text) or is_other_title(run.text)]
    nearest = max(named, key=lambda run: run.bottom, default=None)
    return nearest if nearest is not None and is_dimension_title(nearest.text) else None


def _runs_to_unit(head: Head, title: Run, runs: Sequence[Run]) -> str:
    """The unit that the title names (the first, where it names two), else the only one that short texts
    between title and columns, or notes on all dimensions, name; empty where there is none or several."""
    titled = text_to_length_units(title.text)
    if titled:
        return titled[0]
    beside = (run for run in runs if title.top - 2 <= run.mid_y <= head.bottom + 12)
    near = [run.text for run in beside if len(run.text) <= LONGEST_NOTE]
    units = {unit for text in near for unit in text_to_length_units(text)}
    noted = _runs_to_noted_unit(runs)
    units |= {noted} if noted else set()
    return units.pop() if len(units) == 1 else ""


def _runs_to_noted_unit(runs: Sequence[Run]) -> str:
    """The one unit that notes on all dimensions name; empty where there is none or several."""
    notes = [run.text for run in runs if re.match(r"(?:all )?dimensions (?:are )?in\b", fold(run.text))]
    units = {unit for text in notes for unit in text_to_length_units(text)}
    return units.pop() if len(units) == 1 else ""


def _said_to_particular(said: Said, status: Status, content: PageContent, document: Document) -> Particular:
    value = said.value
    return Particular(
        document.name,
        document.sha256,
        WHOLE_SERIES,
        said.name,
        value.kind,
        value.value,
        value.text,
        status,
        box_to_place(content, said.box),
        said.raw,
        said.label,
        value.unit,
    )


def _size_to_particular(size: Size, content: PageContent, document: Document) -> Particular:
    return Particular(
        document.name,
        document.sha256,
        size.part_number,
        size.leaf.name,
        size.leaf.kind,
        size.value_mm,
        "",
        size.status,
        box_to_place(content, size.box),
        size.raw,
        size.leaf.letter,
        size.unit,
        size.notes,
    )


def _texts_to_particulars(sheet: SheetReading) -> Iterator[Particular]:
    """Package codes, markings and approvals of single parts that the tables of ratings give."""
    for text in sheet.texts:
        if text.name == "approval":
            yield from _text_to_approvals(sheet, text)
        name = _TEXTS.get(text.name)
        if name is not None:
            yield Particular(
                sheet.document,
                sheet.sha256,
                text.part_number,
                name,
                Kind.NONE,
                None,
                text.text,
                Status.SINGLE,
                text.place,
                text.text,
            )


def _text_to_approvals(sheet: SheetReading, text: PartText) -> Iterator[Particular]:
    """What a row of a table says of each agency: listed, not listed, or no mark that is understood."""
    for agency, listed in approval_to_marks(text.text):
        said = {True: "listed", False: "not listed", None: NO_MARK}[listed]
        yield Particular(
            sheet.document,
            sheet.sha256,
            text.part_number,
            ParticularName.APPROVAL,
            Kind.NONE,
            None,
            said,
            Status.SINGLE,
            text.place,
            text.text,
            agency,
        )


def _titles_to_mounting(document: Document) -> Iterator[Particular]:
    """How the parts are mounted, where the first page names one way only."""
    from extract.schema import Place

    folded = fold(document.page_texts[0]) if document.page_texts else ""
    found = [
        name
        for name, words in wording()["mounting"].items()
        if any(re.search(rf"(?<!\w){re.escape(fold(word))}", folded) for word in words)
    ]
    if len(found) == 1:
        yield Particular(
            document.name,
            document.sha256,
            WHOLE_SERIES,
            ParticularName.MOUNTING,
            Kind.NONE,
            None,
            found[0].replace("_", " "),
            Status.SINGLE,
            Place(1, 0.0, 0.0, 0.0, 0.0),
            found[0].replace("_", " "),
        )


def _settled(found: Sequence[Particular]) -> tuple[Particular, ...]:
    """Each thing said once; what a sheet says in two ways is disputed."""
    groups: dict[tuple[object, ...], list[Particular]] = {}
    for one in found:
        key: tuple[object, ...] = (one.part_number, one.name, one.kind, one.label)
        if one.name not in UNIT_OF_PARTICULAR:
            key = (*key, one.text)
        groups.setdefault(key, []).append(one)
    return tuple(settled for group in groups.values() for settled in _settle(group))


def _settle(group: Sequence[Particular]) -> Iterator[Particular]:
    values = {one.value for one in group}
    if len(values) == 1:
        yield min(group, key=lambda one: list(Status).index(one.status))
        return
    said = ", ".join(f'"{one.raw}" on page {one.place.page}' for one in group)
    for one in {one.value: one for one in reversed(group)}.values():
        yield replace(one, status=Status.DISPUTED, notes=(*one.notes, f"the sheet says several: {said}"))


def _letters(text: str) -> str:
    return re.sub(r"[^0-9a-z+\-]+", "", fold(text))
