"""The second house of reading: one model from ink to readings, independent of the tables of sheet.py.

Comes in: a Document. Goes out: its readings, with statuses of its own. Nothing of the other reader's grids,
headings or records is used, so what both find is found twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from extract.cells.grids import inks_to_grids
from extract.cells.ink import Atom, Ink, atoms_to_text, content_to_ink
from extract.cells.tables import atoms_to_box
from extract.document import Document
from extract.joined.beside import named_to_texts, named_to_unreadable
from extract.joined.coded import grids_to_coded
from extract.joined.drafts import Sentence, SheetText
from extract.joined.first_rows import grids_to_headed, grids_to_parted, grids_to_prefixed, grids_to_unframed
from extract.joined.glossary import grids_to_explained, grids_to_titled, lines_to_glossary
from extract.joined.hoisted import grids_to_hoisted
from extract.joined.noted import drafts_to_noted
from extract.joined.origins import Origin, draft_to_origin
from extract.joined.paragraphs import inks_to_paragraphs
from extract.joined.plainly_said import grids_to_captioned
from extract.joined.sheets import draft_to_reading, drafts_to_distinct, tables_to_drafts, tables_to_named
from extract.meanings.orientation import grid_to_table
from extract.page import PageContent
from extract.pages import document_to_contents, document_to_pages
from extract.schema import Finding, PartText, Reading, SheetReading
from extract.sheet_kind import sheet_to_own_kind


@dataclass(frozen=True, slots=True)
class ModelReading:
    """What the model read from a sheet; `origins` are the texts each reading was read under; `texts` and
    `findings` are of the tables of ratings."""

    readings: tuple[Reading, ...]
    origins: tuple[Origin, ...]
    texts: tuple[PartText, ...]
    findings: tuple[Finding, ...]


def document_to_model_readings(document: Document) -> tuple[Reading, ...]:
    """Read a sheet by the model alone; what another kind of part says is left out."""
    contents = document_to_contents(document, document_to_pages(document))
    readings = contents_to_model_readings(tuple(contents.values()), document).readings
    pages = tuple(contents)
    own = sheet_to_own_kind(
        SheetReading(document.name, document.sha256, len(document.page_texts), pages, "", readings, (), ()),
        document.page_texts,
    )
    return own.readings


def contents_to_model_readings(contents: Sequence[PageContent], document: Document) -> ModelReading:
    """Read a sheet whose pages are taken apart already."""
    inks = [content_to_ink(content) for content in contents]
    sentences = _inks_to_sentences(inks)
    framed = grids_to_hoisted(grids_to_unframed(inks_to_grids(inks)))
    headed = grids_to_prefixed(grids_to_parted(grids_to_headed(framed)))
    titled = grids_to_titled(grids_to_coded(grids_to_captioned(headed), [s.text for s in sentences]))
    grids = grids_to_explained(titled, lines_to_glossary(s.text for s in sentences))
    tables = [table for grid in grids if (table := grid_to_table(grid)) is not None]
    read = {content.number for content in contents}
    others = [text for n, text in enumerate(document.page_texts, start=1) if n not in read]
    lines = tuple(line.strip() for text in others for line in text.splitlines() if line.strip())
    sheet = SheetText(document.name, document.sha256, sentences, lines, inks_to_paragraphs(inks))
    rated = tables_to_named(tables, sheet)
    drafts = drafts_to_distinct(drafts_to_noted(tables_to_drafts(tables, rated, sheet), sheet))
    return ModelReading(
        tuple(draft_to_reading(draft, sheet) for draft in drafts),
        tuple(map(draft_to_origin, drafts)),
        named_to_texts(rated[0], sheet),
        named_to_unreadable(rated[0], sheet),
    )


def _inks_to_sentences(inks: Sequence[Ink]) -> tuple[Sentence, ...]:
    """The sentences of a sheet, line by line of each of its columns; then every two lines of one
    paragraph."""
    lines, pairs = [], []
    for ink in inks:
        chunks = [chunk for line in ink.lines for chunk in line.chunks]
        for number, chunk in enumerate(chunks):
            lines.append(Sentence(atoms_to_text(chunk), ink.content, atoms_to_box(chunk)))
            if sum(atom.word for atom in chunk) >= 4:
                below = next((c for c in chunks[number + 1 :] if _is_below(chunk, c)), ())
                text = f"{atoms_to_text(chunk)} {atoms_to_text(below)}"
                pairs += [Sentence(text, ink.content, atoms_to_box((*chunk, *below)))] if below else []
    return (*lines, *pairs)


def _is_below(chunk: Sequence[Atom], other: Sequence[Atom]) -> bool:
    step = other[0].mid_y - chunk[0].mid_y
    return 0.5 * chunk[0].size < step < 2 * chunk[0].size and abs(chunk[0].x0 - other[0].x0) < 3.0
