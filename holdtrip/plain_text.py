"""Text from outside made safe for a terminal: no control codes, one line.

Comes in: any text (a PDF's, a file name, an error). Goes out: the same text with line breaks as
blanks and every character a terminal would obey or hide shown as its code.
Does not escape for HTML or for a spreadsheet.
"""

from __future__ import annotations


def printable(text: str, limit: int | None = None) -> str:
    """One line of characters that only print; longer than `limit` is cut with an ellipsis."""
    shown = "".join(map(_shown, " ".join(text.split())))
    if limit is not None and len(shown) > limit:
        return shown[: limit - 1] + "…"
    return shown


def _shown(character: str) -> str:
    # Not printable: control, format (bidirectional overrides, zero width), surrogate, private use.
    return character if character.isprintable() else f"<U+{ord(character):04X}>"
