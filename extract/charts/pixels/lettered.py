"""The words of a painted chart, read by two recognisers.

Comes in: grey pixels and words as boxes. Goes out: what each word says, and whether both recognisers say so.
Understands no word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy
from numpy.typing import NDArray

from extract.charts.pixels.marks import MarkedWord
from extract.scans.recognisers import (
    Dots,
    SeenLine,
    boxes_to_seen_lines,
)
from extract.scans.second_recogniser import greys_to_letters, lines_to_second_texts

Grey = NDArray[numpy.uint8]

HIGH_PX, ROOM_PX = 40, 10  # words are drawn so high, with so much paper around them
LEAST_SURE = 0.5  # below it the first recogniser has read nothing


@dataclass(frozen=True, slots=True)
class ReadWord:
    """A word with what it says; `is_sure` if both recognisers read it alike."""

    word: MarkedWord
    text: str
    is_sure: bool


def words_to_read(grey: Grey, words: Sequence[MarkedWord]) -> list[ReadWord]:
    """Each word that says anything, drawn alone at one height and read."""
    if not words:
        return []
    sheet, boxes = _words_to_sheet(grey, words)
    seen = {line.box: line for line in boxes_to_seen_lines(sheet, boxes) if line.confidence >= LEAST_SURE}
    lines = list(seen.values())
    second = dict(zip(seen, lines_to_second_texts(sheet, lines, _is_seen), strict=True))
    single = [line for line in lines if _is_letter(line)]
    letters = greys_to_letters([_line_to_cut(sheet, line) for line in single])
    second |= {line.box: (letter,) for line, letter in zip(single, letters, strict=True)}
    found = []
    for box, word in zip(boxes, words, strict=True):
        line = seen.get(box)
        if line is not None:
            text = line.text.strip()
            found.append(ReadWord(word, text, _is_seen(text, second[box])))
    return found


def _is_letter(line: SeenLine) -> bool:
    """Whether a line is one letter: it is shown to the second recogniser as one."""
    text = line.text.strip()
    return len(text) == 1 and text.isalpha()


def _line_to_cut(sheet: Grey, line: SeenLine) -> Grey:
    x0, top, x1, bottom = line.box
    return sheet[top - ROOM_PX : bottom + ROOM_PX, max(0, x0 - ROOM_PX) : x1 + ROOM_PX]


def _is_seen(text: str, looks: Sequence[str]) -> bool:
    """Whether one of the looks shows the same text."""
    return any(_squeezed(look) == _squeezed(text) for look in looks)


def _squeezed(text: str) -> str:
    return "".join(text.split())


def _words_to_sheet(grey: Grey, words: Sequence[MarkedWord]) -> tuple[Grey, list[Dots]]:
    """All words below each other on one white sheet, level, and where each stands there."""
    return tiles_to_sheet([crop_to_tile(_word_to_crop(grey, word)) for word in words])


def tiles_to_sheet(tiles: Sequence[Grey]) -> tuple[Grey, list[Dots]]:
    """Tiles below each other on one white sheet, and where the word of each stands there."""
    sheet = numpy.full((sum(t.shape[0] for t in tiles), max(t.shape[1] for t in tiles)), 255, numpy.uint8)
    boxes: list[Dots] = []
    y = 0
    for tile in tiles:
        high, wide = tile.shape
        sheet[y : y + high, :wide] = tile
        boxes.append((ROOM_PX, y + ROOM_PX, wide - ROOM_PX, y + high - ROOM_PX))
        y += high
    return sheet, boxes


def _word_to_crop(grey: Grey, word: MarkedWord) -> Grey:
    """A word alone, level."""
    x0, top, x1, bottom = word.box
    cut = grey[top:bottom, x0:x1]
    return numpy.ascontiguousarray(numpy.rot90(cut, -1)) if word.is_upright else cut


def crop_to_tile(cut: Grey) -> Grey:
    """A word drawn at one height with paper around it."""
    times = HIGH_PX / cut.shape[0]
    fx = max(times, 0.51 / cut.shape[1])
    larger = cv2.resize(cut, None, fx=fx, fy=times, interpolation=cv2.INTER_CUBIC)
    edges = (ROOM_PX,) * 4
    return numpy.asarray(
        cv2.copyMakeBorder(larger, *edges, cv2.BORDER_CONSTANT, value=255), dtype=numpy.uint8
    )
