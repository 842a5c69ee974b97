"""What a page prints that may be a part number: for a framed table that does not name its part.

Comes in: an opened document, a page, a box. Goes out: words with letters and digits, those of the box first.
Chooses none: a person does.
"""

from __future__ import annotations

from extract.boxes import Box
from extract.cells.ink import Atom, content_to_ink
from extract.document import Document
from extract.page import place_to_box
from extract.pages import document_to_contents

SHORTEST, LONGEST = 4, 40
MOST_NAMES = 80


def page_to_names(document: Document, page: int, box: Box) -> tuple[str, ...]:
    """The words of a page that may be part numbers; `box` in points of the page as shown."""
    content = document_to_contents(document, [page])[page]
    x0, top, x1, bottom = place_to_box(content, box)
    atoms = [atom for line in content_to_ink(content).lines for atom in line.atoms if _is_like_name(atom)]
    atoms.sort(key=lambda atom: not (x0 <= atom.mid_x <= x1 and top <= atom.mid_y <= bottom))
    return tuple(dict.fromkeys(atom.text for atom in atoms))[:MOST_NAMES]


def is_printed(document: Document, name: str) -> bool:
    """Whether a sheet prints a text, blanks aside."""
    wanted = "".join(name.split())
    return any(wanted in "".join(text.split()) for text in document.page_texts)


def _is_like_name(atom: Atom) -> bool:
    text = atom.text
    return (not atom.number and SHORTEST <= len(text) <= LONGEST
            and any(sign.isdigit() for sign in text) and any(sign.isalpha() for sign in text))
