"""The words and level rules of one page as pdfium's text objects give them.

Comes in: a pdfium page. Goes out: a SecondPage, turned so that most of its text is upright. Forms no table,
and shares nothing with page.py: another library, other words. Of a picture there is only what was recognised:
its words are formed anew from the glyphs.
"""

from __future__ import annotations

import ctypes
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from extract.boxes import Box
from extract.page import PageContent, glyph_key, place_to_box

BREAK_EM = 0.2  # a wider gap parts two words
PHRASE_EM = 0.5  # a wider gap parts two phrases; a blank is about 0.28 em
SMALL = 0.85  # a glyph below this share of the size before it is small
RAISED_EM = 0.16  # a small glyph whose foot is so much higher is a mark, not a part of the word
THIN_PT, SHORT_PT = 2.2, 6.0
MOST_OBJECTS = 20_000


@dataclass(frozen=True, slots=True)
class Word:
    """Glyphs without a gap between them; `phrase` is the number of the phrase it stands in."""

    text: str
    box: Box
    size: float
    phrase: int = 0

    @property
    def mid_x(self) -> float:
        """Horizontal middle."""
        return (self.box[0] + self.box[2]) / 2

    @property
    def mid_y(self) -> float:
        """Vertical middle."""
        return (self.box[1] + self.box[3]) / 2


@dataclass(frozen=True, slots=True)
class Level:
    """A level rule, or the level edge of a box: its y, from x0 to x1."""

    y: float
    x0: float
    x1: float


@dataclass(frozen=True, slots=True)
class SecondPage:
    """Words and level rules of a page turned clockwise by `turn` degrees; `width`, `height` as shown. `level`
    is the content of a picture page, which was set level as well."""

    number: int
    turn: int
    width: float
    height: float
    words: tuple[Word, ...]
    levels: tuple[Level, ...]
    level: PageContent | None = None

    @property
    def upright_height(self) -> float:
        """The height of the page where its text is upright."""
        return self.width if self.turn in (90, 270) else self.height

    def to_upright(self, box: Box) -> Box:
        """A box of the page as shown, where its text is upright."""
        if self.level is not None:
            return place_to_box(self.level, box)
        return turn_box(box, self.turn, self.width, self.height)


@dataclass(frozen=True, slots=True)
class _Glyph:
    text: str
    box: Box
    turn: int
    is_spaced: bool


def page_to_second(
    page: Any, number: int, hidden: Mapping[tuple[str, int, int], int] | None = None
) -> SecondPage:
    """What stands on a pdfium page. `hidden`: glyphs nobody can see, as hidden.py counts them."""
    width, height = (float(v) for v in page.get_size())
    glyphs = _page_to_glyphs(page, dict(hidden or {}))
    turns = Counter(glyph.turn for glyph in glyphs if glyph.text.isalnum())
    turn = turns.most_common(1)[0][0] if turns else 0
    words: list[Word] = []
    for own in (turn, *(other for other in turns if other != turn)):
        upright = [replace(g, box=turn_box(g.box, own, width, height)) for g in glyphs if g.turn == own]
        words += _turned_words(_glyphs_to_words(upright, len(words)), own, turn, (width, height))
    boxes = [turn_box(box, turn, width, height) for box in _page_to_boxes(page)]
    return SecondPage(number, turn, width, height, tuple(words), tuple(_boxes_to_levels(boxes)))


def content_to_second(content: PageContent) -> SecondPage:
    """What was recognised on a picture page, its words formed anew."""
    size = (content.height, content.width) if content.turn in (90, 270) else (content.width, content.height)
    levels = tuple(Level(rule.at, rule.start, rule.end) for rule in content.horizontals)
    return SecondPage(content.number, content.turn, *size, content_to_words(content), levels, content)


def content_to_words(content: PageContent, phrase: int = 0) -> tuple[Word, ...]:
    """The words of recognised glyphs, their phrases numbered from `phrase` on."""
    glyphs: list[_Glyph] = []
    is_spaced = True
    for glyph in content.glyphs:
        if glyph.text.isspace():
            is_spaced = True
            continue
        glyphs.append(_Glyph(glyph.text, (glyph.x0, glyph.top, glyph.x1, glyph.bottom), 0, is_spaced))
        is_spaced = False
    return _glyphs_to_words(glyphs, phrase)


def _turned_words(words: Sequence[Word], own: int, turn: int, size: tuple[float, float]) -> list[Word]:
    """Words whose text runs across the others, with their boxes where the others are upright."""
    if own == turn:
        return list(words)
    wide, high = (size[1], size[0]) if own in (90, 270) else size
    shown = [turn_box(word.box, -own % 360, wide, high) for word in words]
    return [replace(word, box=turn_box(box, turn, *size)) for word, box in zip(words, shown, strict=True)]


def turn_box(box: Box, turn: int, width: float, height: float) -> Box:
    """A box on a page of the given size, after turning that page clockwise."""
    x0, top, x1, bottom = box
    return {
        90: (height - bottom, x0, height - top, x1),
        180: (width - x1, height - bottom, width - x0, height - top),
        270: (top, width - x1, bottom, width - x0),
    }.get(turn, box)


def _page_to_glyphs(page: Any, hidden: dict[tuple[str, int, int], int]) -> list[_Glyph]:
    """Printed glyphs in pdfium's order, in points from the top left of the page as shown."""
    import pypdfium2.raw as raw

    textpage = page.get_textpage()
    to_shown = _Shown(page)
    loose = raw.FS_RECTF()
    glyphs: list[_Glyph] = []
    is_spaced = True
    high = 0
    for index in range(raw.FPDFText_CountChars(textpage)):
        code = raw.FPDFText_GetUnicode(textpage, index)
        if 0xD800 <= code < 0xDC00:
            high = code
            continue
        if 0xDC00 <= code < 0xE000:
            code = 0x10000 + ((high - 0xD800) << 10) + code - 0xDC00 if high else 0xFFFD
        text, high = chr(code), 0
        if not text.strip() or text in "\ufffe\x00\x02":
            is_spaced = True
            continue
        if not raw.FPDFText_GetLooseCharBox(textpage, index, ctypes.byref(loose)):
            continue
        if hidden and _take_hidden(textpage, index, text, hidden):
            continue
        turn = to_shown.turn_of(raw.FPDFText_GetCharAngle(textpage, index))
        box = to_shown.box((loose.left, loose.bottom, loose.right, loose.top))
        glyphs.append(_Glyph(text, box, turn, is_spaced))
        is_spaced = False
    return glyphs


class _Shown:
    """How boxes and angles of the PDF get to the page as shown."""

    def __init__(self, page: Any) -> None:
        self._left, self._bottom, self._right, self._top = page.get_mediabox()
        self._turn = page.get_rotation()

    def box(self, box: Box) -> Box:
        """A box in PDF points (left, bottom, right, top), in points from the top left as shown."""
        wide, high = self._right - self._left, self._top - self._bottom
        x0, y0, x1, y1 = (
            box[0] - self._left,
            box[1] - self._bottom,
            box[2] - self._left,
            box[3] - self._bottom,
        )
        return turn_box((x0, high - y1, x1, high - y0), self._turn, wide, high)

    def turn_of(self, angle: float) -> int:
        """How far the page as shown must be turned clockwise for a glyph to read left to right."""
        quarters = round(-math.degrees(angle) / 90)
        return int(quarters * 90 - self._turn) % 360


def _take_hidden(textpage: Any, index: int, text: str, hidden: dict[tuple[str, int, int], int]) -> bool:
    import pypdfium2.raw as raw

    x, y = ctypes.c_double(), ctypes.c_double()
    raw.FPDFText_GetCharOrigin(textpage, index, ctypes.byref(x), ctypes.byref(y))
    key = glyph_key(text, x.value, y.value)
    if hidden.get(key, 0) <= 0:
        return False
    hidden[key] -= 1
    return True


def _glyphs_to_words(glyphs: list[_Glyph], phrase: int) -> tuple[Word, ...]:
    """Glyphs that follow each other in one line without a gap are a word; words a blank apart a phrase,
    numbered from `phrase` on."""
    words: list[Word] = []
    last: Box | None = None
    for glyph in glyphs:
        size = glyph.box[3] - glyph.box[1]
        gap = glyph.box[0] - last[2] if last is not None else math.inf
        level = last is not None and _is_level(last, glyph.box)
        if level and not glyph.is_spaced and -size < gap < BREAK_EM * size and not _is_mark(words[-1], glyph):
            before = words[-1]
            words[-1] = replace(before, text=before.text + glyph.text, box=_around(before.box, glyph.box))
        else:
            phrase += not (level and -size < gap < PHRASE_EM * size)
            words.append(Word(glyph.text, glyph.box, size, phrase))
        last = glyph.box
    return tuple(words)


def _is_level(one: Box, other: Box) -> bool:
    overlap = min(one[3], other[3]) - max(one[1], other[1])
    return overlap > 0.3 * min(one[3] - one[1], other[3] - other[1])


def _is_mark(word: Word, glyph: _Glyph) -> bool:
    """Whether a glyph is a raised mark behind a word."""
    is_small = glyph.box[3] - glyph.box[1] < SMALL * word.size
    return is_small and word.box[3] - glyph.box[3] > RAISED_EM * word.size


def _around(one: Box, other: Box) -> Box:
    return min(one[0], other[0]), min(one[1], other[1]), max(one[2], other[2]), max(one[3], other[3])


def _page_to_boxes(page: Any) -> list[Box]:
    """The bounds of what is drawn on a page, as shown."""
    import pypdfium2.raw as raw

    to_shown = _Shown(page)
    boxes = []
    values = [ctypes.c_float() for _ in range(4)]
    for index in range(min(raw.FPDFPage_CountObjects(page), MOST_OBJECTS)):
        handle = raw.FPDFPage_GetObject(page, index)
        if raw.FPDFPageObj_GetType(handle) == raw.FPDF_PAGEOBJ_PATH:
            raw.FPDFPageObj_GetBounds(handle, *(ctypes.byref(value) for value in values))
            left, bottom, right, top = (value.value for value in values)
            boxes.append(to_shown.box((left, bottom, right, top)))
    return boxes


def _boxes_to_levels(boxes: list[Box]) -> list[Level]:
    """Rules, and the upper and lower edges of boxes."""
    levels = []
    for x0, top, x1, bottom in boxes:
        if x1 - x0 < SHORT_PT:
            continue
        if bottom - top <= THIN_PT:
            levels.append(Level((top + bottom) / 2, x0, x1))
        else:
            levels += [Level(top, x0, x1), Level(bottom, x0, x1)]
    return levels
