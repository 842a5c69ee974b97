"""The model's readings with the standing that a second eye allows them.

Comes in: a Document, its pages, what the model read and under which texts. Goes out: the same readings,
agreed, single or disputed, and why some could not be looked at. pdfium's words are looked at first; where
they leave much of a page open, a generic library of tables is asked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from extract.boxes import Box
from extract.document import Document, open_pdfium
from extract.hidden import page_to_hidden_glyphs
from extract.joined.origins import Origin
from extract.page import PageContent
from extract.schema import Reading, Status
from extract.second.generic import Answer, Asked
from extract.second.generic_look import GenericLook
from extract.second.looking import Looker
from extract.second.opinion import Opinion, readings_to_opinions
from extract.second.page_words import SecondPage, content_to_second, content_to_words, page_to_second

Ask = Callable[[Path | bytes, Sequence[Asked]], Answer]
"""How the generic library is asked: here, or in a process of its own."""

LEAST_OPEN = 6  # so many numbers of a page seen once only are worth asking once more
FEW_RULES = 8  # a page with fewer level rules has no ruled table


def readings_to_looked_at(
    read: tuple[Sequence[Reading], Sequence[Origin]],
    document: Document,
    contents: Mapping[int, PageContent],
    ask: Ask,
) -> tuple[tuple[Reading, ...], str]:
    """The readings with their standing, and why the generic library failed, if it was asked and did."""
    readings, origins = read
    pages = _document_to_pages(document, contents, readings)
    boxes = _readings_to_boxes(readings, origins)
    eyes = {number: Looker(page, boxes[number]) for number, page in pages.items()}
    opinions = readings_to_opinions(readings, origins, eyes)
    still_open = _open_pages(readings, origins, opinions, pages)
    answer = _ask(ask, document, [pages[number] for number in still_open]) if still_open else Answer(())
    looks = {
        number: GenericLook(pages[number], [c for c in answer.cells if c.page == number], boxes[number])
        for number in still_open
    }
    others = readings_to_opinions(readings, origins, looks)
    surer = map(_surer, opinions, others)
    return tuple(_with_opinion(r, opinion) for r, opinion in zip(readings, surer, strict=True)), answer.lost


def _readings_to_boxes(readings: Sequence[Reading], origins: Sequence[Origin]) -> dict[int, list[Box]]:
    """Page -> where its values stand, and the signs that mean "as above"; no numbers of sentences."""
    boxes: dict[int, list[Box]] = defaultdict(list)
    for reading, origin in zip(readings, origins, strict=True):
        if not origin.is_text:
            sign = () if origin.sign is None else (origin.sign,)
            boxes[reading.place.page] += [reading.place.box, *sign]
    return boxes


def _surer(one: Opinion, other: Opinion) -> Opinion:
    """The words' opinion, unless they leave open what the tables agree with."""
    return other if one.status is Status.SINGLE and other.status is Status.AGREED else one


def _document_to_pages(
    document: Document, contents: Mapping[int, PageContent], readings: Sequence[Reading]
) -> dict[int, SecondPage]:
    """The pages with readings and those before them; of pictures what was recognised on them."""
    numbers = {reading.place.page for reading in readings}
    numbers |= {number - 1 for number in numbers if number - 1 in contents}
    pages = {n: content_to_second(contents[n]) for n in numbers if _is_picture(document, n)}
    with open_pdfium(document.source, document.name) as pdf:
        for number in sorted(number for number in numbers if not _is_picture(document, number)):
            page = pdf[number - 1]
            hidden = page_to_hidden_glyphs(page) if contents[number].hidden else None
            pages[number] = _with_pictures(page_to_second(page, number, hidden), document)
    return pages


def _with_pictures(page: SecondPage, document: Document) -> SecondPage:
    """A page of text with the words recognised on its pictures; they stand as its upright text does."""
    scanned = document.scanned.get(page.number)
    if scanned is None or page.turn:
        return page
    return replace(page, words=(*page.words, *content_to_words(scanned.content, len(page.words))))


def _is_picture(document: Document, number: int) -> bool:
    """Whether a page is a picture as a whole."""
    return number in document.scanned and not document.scanned[number].pictures


def _open_pages(
    readings: Sequence[Reading],
    origins: Sequence[Origin],
    opinions: Sequence[Opinion],
    pages: Mapping[int, SecondPage],
) -> list[int]:
    """The pages of which many numbers were seen once only; the generic library reads no pictures."""
    once = [
        reading.place.page
        for reading, origin, opinion in zip(readings, origins, opinions, strict=True)
        if opinion.status is Status.SINGLE and not origin.is_text
    ]
    texts = [number for number, page in pages.items() if page.level is None]
    return [number for number in texts if once.count(number) >= LEAST_OPEN]


def _ask(ask: Ask, document: Document, pages: Sequence[SecondPage]) -> Answer:
    asked = [Asked(page.number, page.upright_height, len(page.levels) >= FEW_RULES) for page in pages]
    return ask(document.source, asked)


def _with_opinion(reading: Reading, opinion: Opinion) -> Reading:
    if reading.status is Status.DISPUTED and opinion.status is not Status.DISPUTED:
        return reading
    notes = (*reading.notes, opinion.note) if opinion.note else reading.notes
    return replace(reading, status=opinion.status, notes=notes)
