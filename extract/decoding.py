"""Letters that pdfminer decodes into others, as it does with some fonts that a PDF only names.

Comes in: the characters of a page, the page and its text as pdfium has them. Goes out: the characters, each
Han, kana or unknown one that pdfium does not know on this page replaced by what pdfium sees at its origin,
Latin letters of the Symbol font by the Greek ones they stand for, with a width if they have none.
Never touches digits, other Latin letters and signs: their two readings stay apart, to be compared.
"""

from __future__ import annotations

import ctypes
import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from extract.page_objects import Char

_OTHER_SCRIPT = re.compile(r"\(cid:\d+\)|[\u2e80-\u9fff\uac00-\ud7af\ue000-\ufaff\U00020000-\U0002ffff]")
_LETTER = re.compile(r"[\u3000-\u9fff\uac00-\ud7af\uf900-\ufaff\uff01-\uff5e]")
GREEK = dict(
    zip(
        "ABCDEFGHIKLMNOPQRSTUWXYZabcdefghiklmnopqrstuwxyz",
        "ΑΒΧΔΕΦΓΗΙΚΛΜΝΟΠΘΡΣΤΥΩΞΨΖαβχδεφγηικλμνοπθρστυωξψζ",
        strict=True,
    )
)
"""The letters of Adobe's Symbol font (its published encoding)."""
SIGNS = {87: "Ω", 109: "μ", 163: "≤", 176: "°", 177: "±", 179: "≥", 180: "×"}
"""Codes of the same encoding that a font without a map leaves bare."""
SYMBOL_EM = 0.7
NEAR_PT = 1  # two libraries round one origin to neighbouring points


def chars_to_decoded(chars: Sequence[Char], pdfium_page: Any, text: str) -> list[Char]:
    """The characters, mended where pdfium's text of the page shows that they were decoded wrongly."""
    chars = [_symbol_to_greek(char) if "Symbol" in char.font else char for char in chars]
    known = set(text)
    odd = [n for n, char in enumerate(chars) if _OTHER_SCRIPT.fullmatch(char.text) and char.text not in known]
    if not odd:
        return list(chars)
    letters = _page_to_letters(pdfium_page)
    decoded = list(chars)
    for n in odd:
        if (letter := _letter_at(letters, *chars[n].matrix[4:])) is not None:
            decoded[n] = replace(chars[n], text=letter)
    return decoded


def _symbol_to_greek(char: Char) -> Char:
    x0, top, x1, bottom = char.box
    wide = x1 if x1 > x0 else x0 + SYMBOL_EM * (bottom - top)
    code = re.fullmatch(r"\(cid:(\d+)\)", char.text)
    text = SIGNS.get(int(code[1]), char.text) if code else GREEK.get(char.text, char.text)
    return replace(char, text=text, box=(x0, top, wide, bottom))


def _letter_at(letters: dict[tuple[int, int], str], x: float, y: float) -> str | None:
    at = round(x), round(y)
    near = ((at[0] + dx, at[1] + dy) for dx in (0, -NEAR_PT, NEAR_PT) for dy in (0, -NEAR_PT, NEAR_PT))
    return next((letters[place] for place in near if place in letters), None)


def _page_to_letters(page: Any) -> dict[tuple[int, int], str]:
    """Origin in whole PDF points -> the letter of another script that pdfium sees there."""
    import pypdfium2.raw as raw

    textpage = page.get_textpage()
    letters: dict[tuple[int, int], str] = {}
    x, y = ctypes.c_double(), ctypes.c_double()
    for index in range(raw.FPDFText_CountChars(textpage)):
        letter = chr(raw.FPDFText_GetUnicode(textpage, index))
        if _LETTER.fullmatch(letter):
            raw.FPDFText_GetCharOrigin(textpage, index, ctypes.byref(x), ctypes.byref(y))
            letters[round(x.value), round(y.value)] = letter
    return letters
