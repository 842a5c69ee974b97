"""What has no end, told before it is begun: a page's drawing commands, a font's table of letters.

Comes in: a page as pdfplumber holds it. Goes out: nothing, or Endless with what was found. The limits are
many times what the fullest page of a datasheet needs; what is beyond them would use up a file's processor
time and then be left out all the same. Reads nothing of what is drawn.
"""

from __future__ import annotations

from typing import Any

from pdfminer import pdffont
from pdfminer.cmapdb import FileUnicodeMap

MOST_COMMAND_BYTES = 25_000_000
"""Drawing commands of one page, unpacked: about a million strokes."""
MOST_LETTERS = 4 * 65_536
"""Entries of one table of letters: a font has no more than 65,536 codes, and may name some more than once."""


class Endless(Exception):
    """A page that would not come to an end; says what was found and what was expected."""

    def __init__(self, found: str, expected: str) -> None:
        super().__init__(found)
        self.found, self.expected = found, expected


def refuse_endless_commands(page: Any, number: int) -> None:
    """Raise Endless for a page whose drawing commands are more than any page of a datasheet has."""
    size = 0
    for stream in page.page_obj.contents:
        size += len(stream.get_data()) if hasattr(stream, "get_data") else 0
        if size > MOST_COMMAND_BYTES:
            most = f"{MOST_COMMAND_BYTES // 1_000_000} MB"
            raise Endless(f"page {number} has more than {most} of drawing commands", f"at most {most}")


class BoundedLetters(FileUnicodeMap):
    """pdfminer's table of a font's letters, which takes no more entries than a font can have."""

    def __init__(self, **attributes: str | int) -> None:
        super().__init__(**attributes)
        self._taken = 0

    def add_cid2unichr(self, cid: int, code: Any) -> None:
        """Take one entry; raise Endless where there are too many."""
        self._taken += 1
        if self._taken > MOST_LETTERS:
            raise Endless(f"a font with more than {MOST_LETTERS} letters", "at most 65536")
        super().add_cid2unichr(cid, code)


def use_bounded_letters() -> None:
    """Let pdfminer fill BoundedLetters from now on, in this process."""
    pdffont.FileUnicodeMap = BoundedLetters  # type: ignore[attr-defined]
