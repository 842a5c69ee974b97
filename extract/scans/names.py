"""Part numbers of a picture page held against both recognisers.

Comes in: the part numbers read, every recognised line. Goes out: why a part number is in doubt, or nothing.
A name that both read alike in one line, the title's or any table's, is proven; O for 0 or I for 1 is another
name, unless the shapes of the signs tell that it is a zero, or proven parts made like it have other digits in
that place (QX025 beside QX110). A row whose name the second recogniser reads as another part of the sheet is
in doubt whatever proves the name elsewhere. Corrects nothing.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache

from extract.scans.doubts import ScannedLine

PIECE = 2  # signs: a part number printed in two pieces, the series' and its own, has so many in each
ALIKE = str.maketrans("OQDILSZB", "00011528")
ROUND = str.maketrans("O", "0")
_SIGNS = " -–—/."  # at the ends of a piece


def parts_to_doubts(parts: Sequence[str], lines: Sequence[ScannedLine]) -> dict[str, str]:
    """Why part numbers are in doubt, those that are."""
    doubts = {part: doubt for part in parts if (doubt := part_to_doubt(part, lines))}
    proven = [_letters(part) for part in parts if part not in doubts]
    return {part: doubt for part, doubt in doubts.items() if not _is_made_like(part, proven, lines)}


def _is_made_like(part: str, proven: Sequence[str], lines: Sequence[ScannedLine]) -> bool:
    """Whether the second recogniser reads letters for digits only where proven parts have other digits."""
    own = _letters(part)
    alike = [p for p in proven if len(p) == len(own) and _to_shape(p) == _to_shape(own)]
    seen = [_letters(text) for line in lines if _names(part, line.text) for text in line.second]
    return any(
        len(other) == len(own)
        and all(
            a == b or (a.isdigit() and b.translate(ALIKE) == a and any(p[n] != a for p in alike))
            for n, (a, b) in enumerate(zip(own, other, strict=True))
        )
        for other in seen
    )


def _to_shape(letters: str) -> str:
    return re.sub(r"\d", "0", letters)


def part_to_doubt(part: str, lines: Sequence[ScannedLine]) -> str:
    """Why a part number is in doubt: no line reads so for both recognisers; empty where there is but one."""
    if not _letters(part) or not any(line.second for line in lines) or _is_proven(part, lines):
        return ""
    name = _folded(part)
    cuts = range(PIECE, len(name) - PIECE + 1)
    if any(_is_piece(name[:n], lines) and _is_piece(name[n:], lines) for n in cuts):
        return ""
    own = next((line for line in lines if line.second and _names(part, line.text)), None)
    if own is None:
        return f"the second recogniser does not read the part number {part} anywhere"
    return f"its heading is recognised as '{own.text}', by the second recogniser as '{own.second[0]}'"


def line_to_other_part(part: str, line: ScannedLine, parts: Sequence[str]) -> str:
    """Another part that the second recogniser reads where a line names this one; empty where it reads this
    one too, or none."""
    if not _names(part, line.text) or any(_names(part, text) for text in line.second):
        return ""
    others = (other for other in parts if other != part and not _names(other, line.text))
    return next((other for other in others if any(_names(other, text) for text in line.second)), "")


def _is_proven(part: str, lines: Sequence[ScannedLine]) -> bool:
    """Whether both recognisers read a name in one line."""
    return any(
        _names(part, line.text)
        and (any(_names(part, text) for text in line.second) or _is_shaped(part, line))
        for line in lines
    )


def _is_shaped(part: str, line: ScannedLine) -> bool:
    """Whether the shapes of a line's round signs tell which are zeros, and the second recogniser reads the
    name in all but those."""
    own = part.upper().translate(ROUND)
    alike = any(_names(own, text.upper().translate(ROUND)) for text in line.second)
    return alike and bool(line.shaped) and _names(part, line.shaped)


def _is_piece(piece: str, lines: Sequence[ScannedLine]) -> bool:
    """Whether both recognisers read a piece of a name as a whole line."""
    own = piece.strip(_SIGNS)
    return any(
        own == _folded(line.text).strip(_SIGNS) and any(own == _folded(t).strip(_SIGNS) for t in line.second)
        for line in lines
    )


@lru_cache(maxsize=65536)
def _names(part: str, text: str) -> bool:
    return bool(_letters(part)) and _to_pattern(part).search(_folded(text)) is not None


@lru_cache(maxsize=4096)
def _to_pattern(part: str) -> re.Pattern[str]:
    """The name as a whole, whatever sign stands where it has one ("045" is not "0.45"); a footnote's mark may
    follow."""
    pieces = [piece for piece in re.split(r"[\W_]+", _folded(part)) if piece]
    joined = r"[\W_]*".join(r"\s*".join(piece) for piece in pieces)
    return re.compile(rf"(?<![^\W_]){joined}(?:(?![^\W_])|(?=\d\)))")


@lru_cache(maxsize=8192)
def _folded(text: str) -> str:
    return unicodedata.normalize("NFKC", text).upper().strip()


def _letters(part: str) -> str:
    """Letters and digits of a part number; of a series' `*` nothing is left."""
    return re.sub(r"[\W_]", "", _folded(part))
