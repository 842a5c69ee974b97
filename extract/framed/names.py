"""What a page prints that may be a part number: for a framed table that does not name its part.

Comes in: an opened document, a page, a box. Goes out: words with letters and digits, those of the box first.
Chooses none: a person does.
"""

from __future__ import annotations

import re

from extract.boxes import Box
from extract.cells.ink import Atom, content_to_ink
from extract.document import Document
from extract.page import place_to_box
from extract.pages import document_to_contents

SHORTEST, LONGEST = 4, 40
MOST_NAMES = 80
_WITHIN = ("-", "‐", "‑", "–", "/", ".", "+", "_", "#")
_SIGN = "[" + re.escape("".join(_WITHIN)) + "]"
_GOES_ON_BEFORE = re.compile(rf"\w{_SIGN}?$|\w[-‐‑/]\s*\n\s*$")
_GOES_ON_AFTER = re.compile(rf"{_SIGN}?\w")


def page_to_names(document: Document, page: int, box: Box) -> tuple[str, ...]:
    """The words of a page that may be part numbers; `box` in points of the page as shown."""
    content = document_to_contents(document, [page])[page]
    x0, top, x1, bottom = place_to_box(content, box)
    atoms = [atom for line in content_to_ink(content).lines for atom in line.atoms if _is_like_name(atom)]
    atoms.sort(key=lambda atom: not (x0 <= atom.mid_x <= x1 and top <= atom.mid_y <= bottom))
    return tuple(dict.fromkeys(atom.text for atom in atoms))[:MOST_NAMES]


def is_printed(document: Document, name: str) -> bool:
    """Whether a sheet prints a text as a name of its own, blanks aside: not within a longer one."""
    signs = "".join(name.split())
    if not any(sign.isalnum() for sign in signs):
        return False
    printed = re.compile(r"\s*".join(map(re.escape, signs)))
    return any(_is_whole(text, match) for text in document.page_texts for match in printed.finditer(text))


def _is_whole(text: str, match: re.Match[str]) -> bool:
    """Whether a name neither begins before a match nor goes on after it, also in the next line."""
    before, after = text[: match.start()], text[match.end() :]
    wrapped = match.group().endswith(_WITHIN) and re.match(r"\s*\w", after)
    return not (wrapped or _GOES_ON_BEFORE.search(before) or _GOES_ON_AFTER.match(after))


def _is_like_name(atom: Atom) -> bool:
    text = atom.text
    return (
        not atom.number
        and SHORTEST <= len(text) <= LONGEST
        and any(sign.isdigit() for sign in text)
        and any(sign.isalpha() for sign in text)
    )
