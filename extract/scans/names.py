"""Part numbers of a picture page held against both recognisers.

Comes in: the part numbers read, every recognised line. Goes out: why a part number is in doubt, or nothing.
A name that both read alike in one line, the title's or any table's, is proven; O for 0 or I for 1 is another
name. A row whose name the second recogniser reads as another part of the sheet is in doubt whatever proves
the name elsewhere. Corrects nothing.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache

from extract.scans.doubts import ScannedLine

PIECE = 2  # signs: a part number printed in two pieces, the series' and its own, has so many in each


def part_to_doubt(part: str, lines: Sequence[ScannedLine]) -> str:
    """Why a part number is in doubt: no line reads so for both recognisers; empty where there is but one."""
    letters = _letters(part)
    if not letters or not any(line.second for line in lines) or _is_proven(letters, lines):
        return ""
    cuts = range(PIECE, len(letters) - PIECE + 1)
    if any(_is_proven(letters[:n], lines) and _is_proven(letters[n:], lines) for n in cuts):
        return ""
    return f"the second recogniser does not read the part number {part} anywhere"


def line_to_other_part(part: str, line: ScannedLine, parts: Sequence[str]) -> str:
    """Another part that the second recogniser reads where a line names this one; empty where it reads this
    one too, or none."""
    own = _letters(part)
    if not own or not _names(own, line.text) or any(_names(own, text) for text in line.second):
        return ""
    others = (p for p in parts if p != part and not _names(_letters(p), line.text))
    return next((p for p in others if any(_names(_letters(p), text) for text in line.second)), "")


def _is_proven(letters: str, lines: Sequence[ScannedLine]) -> bool:
    """Whether both recognisers read a name in one line."""
    return any(
        _names(letters, line.text) and any(_names(letters, text) for text in line.second) for line in lines
    )


@lru_cache(maxsize=65536)
def _names(letters: str, text: str) -> bool:
    return bool(letters) and _to_pattern(letters).search(_folded(text)) is not None


@lru_cache(maxsize=4096)
def _to_pattern(letters: str) -> re.Pattern[str]:
    """The name as a whole, whatever signs stand between its letters; a footnote's mark may follow."""
    return re.compile(r"(?<![^\W_])" + r"[\W_]*".join(letters) + r"(?:(?![^\W_])|(?=\d\)))")


@lru_cache(maxsize=8192)
def _folded(text: str) -> str:
    return unicodedata.normalize("NFKC", text).upper()


def _letters(part: str) -> str:
    """Letters and digits of a part number; of a series' `*` nothing is left."""
    return re.sub(r"[\W_]", "", _folded(part))
