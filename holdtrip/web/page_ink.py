"""Where the ink of a page's texts stands, as the renderer draws it.

Comes in: an open page, the place and printed text of a number. Goes out: glyphs and boxes in points from the
top left of the page as shown. A reader's place follows the font's own heights, which some files state
wrongly; an outline on the picture must follow the ink. Reads no meaning and moves no stored place.
"""

from __future__ import annotations

import ctypes
import math
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from extract.schema import Place

AWAY_PT = 6.0
"""So far may a font's wrong heights lift or lower a place (seen: 3 pt); rows stand further apart."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in points from the top left of the page as shown."""

    x0: float
    top: float
    x1: float
    bottom: float

    @property
    def middle(self) -> tuple[float, float]:
        """Its centre."""
        return (self.x0 + self.x1) / 2, (self.top + self.bottom) / 2


@dataclass(frozen=True, slots=True)
class PageInk:
    """The glyphs of a page in the order they are drawn, blanks left out: one letter and one box each."""

    letters: str
    boxes: tuple[Box, ...]


def page_to_ink(page: Any) -> PageInk:
    """Every glyph of an open pdfium page with the bounds of its ink."""
    from pypdfium2 import raw as pdfium

    text = page.get_textpage()
    to_shown = _shown_from_page(page, pdfium)
    edges = [ctypes.c_double() for _ in range(4)]
    letters, boxes = [], []
    for index in range(pdfium.FPDFText_CountChars(text.raw)):
        letter = _one_letter(pdfium.FPDFText_GetUnicode(text.raw, index))
        if letter and pdfium.FPDFText_GetCharBox(text.raw, index, *edges):
            left, right, low, high = (edge.value for edge in edges)
            if right > left and high > low:
                letters.append(letter)
                boxes.append(_corners_to_box(to_shown(left, low), to_shown(right, high)))
    text.close()
    return PageInk("".join(letters), tuple(boxes))


def place_to_box(ink: PageInk, place: Place, raw: str) -> Box | None:
    """The box around the ink of a printed text near its place; None where no such text stands there."""
    wanted = "".join(filter(None, map(_one_letter, map(ord, raw))))
    found = [box for box in _occurrences(ink, wanted) if _is_near(box, place)]
    if found:
        return min(found, key=lambda box: _distance(box, place))
    return _box_of_scattered(ink, place, wanted)


def around(boxes: Iterable[Box]) -> Box:
    """The smallest box around some boxes; at least one."""
    listed = list(boxes)
    return Box(min(box.x0 for box in listed), min(box.top for box in listed),
               max(box.x1 for box in listed), max(box.bottom for box in listed))


def text_to_boxes(ink: PageInk, text: str) -> list[Box]:
    """Every place where a text without its blanks stands, on one line or broken over several."""
    return list(_occurrences(ink, "".join(filter(None, map(_one_letter, map(ord, text))))))


def _occurrences(ink: PageInk, wanted: str) -> Iterable[Box]:
    start = ink.letters.find(wanted) if wanted else -1
    while start >= 0:
        yield around(ink.boxes[start:start + len(wanted)])
        start = ink.letters.find(wanted, start + 1)


def _is_near(box: Box, place: Place) -> bool:
    (x, y), (at_x, at_y) = box.middle, _middle(place)
    wide, high = place.x1 - place.x0, place.bottom - place.top
    return (abs(x - at_x) <= max(3.0, 0.5 * wide) and abs(y - at_y) <= max(AWAY_PT, 0.5 * high)
            and box.x1 - box.x0 <= wide + AWAY_PT and box.bottom - box.top <= high + AWAY_PT)


def _distance(box: Box, place: Place) -> float:
    (x, y), (at_x, at_y) = box.middle, _middle(place)
    return math.hypot(x - at_x, y - at_y)


def _middle(place: Place) -> tuple[float, float]:
    return (place.x0 + place.x1) / 2, (place.top + place.bottom) / 2


def _box_of_scattered(ink: PageInk, place: Place, wanted: str) -> Box | None:
    """A text drawn in pieces or in another order: the glyphs whose middle lies inside the place, if they are
    letters of that text and all of it is there; at the nearest height where that holds."""
    for lifted in (0.0, -1.5, 1.5, -3.0, 3.0):
        inside = [index for index, box in enumerate(ink.boxes) if _holds(place, box.middle, lifted)]
        if inside and _same_letters([ink.letters[index] for index in inside], wanted):
            return around(ink.boxes[index] for index in inside)
    return None


def _holds(place: Place, point: tuple[float, float], lifted: float) -> bool:
    x, y = point
    return (place.x0 - 0.5 <= x <= place.x1 + 0.5
            and place.top + lifted - 0.5 <= y <= place.bottom + lifted + 0.5)


def _same_letters(found: Sequence[str], wanted: str) -> bool:
    return sorted(found) == sorted(wanted)


def _one_letter(code: int) -> str:
    """A character in its plain form; empty for blanks and for what is not shown."""
    letter = chr(code) if 32 < code < 0x110000 else ""
    if not letter or letter.isspace() or unicodedata.category(letter) in ("Cf", "Cc", "Cs"):
        return ""
    plain = unicodedata.normalize("NFKC", letter)
    return _DASHES.get(plain, plain) if len(plain) == 1 else letter


_DASHES = dict.fromkeys("‐‑‒–—−", "-") | {"\u2126": "\u03a9", "\u03bc": "\u00b5"}


def _corners_to_box(one: tuple[float, float], other: tuple[float, float]) -> Box:
    (ax, ay), (bx, by) = one, other
    return Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))


def _shown_from_page(page: Any, pdfium: Any) -> Any:
    """The function from a point of the page's own space to the page as shown: turned, cut, top left."""
    width, height = page.get_size()
    fine = 1000

    def device(x: float, y: float) -> tuple[float, float]:
        across, down = ctypes.c_int(), ctypes.c_int()
        pdfium.FPDF_PageToDevice(page.raw, 0, 0, round(width * fine), round(height * fine), 0, x, y,
                                 ctypes.byref(across), ctypes.byref(down))
        return across.value / fine, down.value / fine

    (ox, oy), (ax, ay), (bx, by) = device(0, 0), device(100, 0), device(0, 100)

    def to_shown(x: float, y: float) -> tuple[float, float]:
        return (ox + (ax - ox) * x / 100 + (bx - ox) * y / 100,
                oy + (ay - oy) * x / 100 + (by - oy) * y / 100)

    return to_shown
