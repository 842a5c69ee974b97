"""Each reading of a picture page held against both recognisers: agreed, single or disputed, and why.

Comes in: readings, the scanned pages they stand on. Goes out: the same readings with the status that two
recognitions of their cell allow. Corrects nothing: a dispute shows both.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

from rapidfuzz.distance import Levenshtein

from extract.page import box_to_place
from extract.scans.recognised import ScannedLine, ScannedPage
from extract.schema import Place, Reading, Status

SURE = 0.85  # below this the first recogniser itself is in doubt
_NUMBER = re.compile(r"[-−–]?\d[\d.,:]*")
ALIKE = str.maketrans("OQDILSZB", "00011528")
_ONCE = ("", "read once only")


def readings_to_judged(
    readings: Sequence[Reading], pages: Mapping[int, ScannedPage]
) -> tuple[Reading, ...]:
    """Readings of scanned pages judged, the others as they were."""
    if not pages:
        return tuple(readings)
    placed = {
        number: [(box_to_place(page.content, line.box), line) for line in page.lines]
        for number, page in pages.items()
    }
    lines = [line for page in pages.values() for line in page.lines]
    names = sorted({_letters(text) for line in lines for text in line.second or (line.text,)})
    return tuple(
        _judged(r, placed[r.place.page], names) if r.place.page in placed else r for r in readings
    )


def _judged(reading: Reading, lines: Sequence[tuple[Place, ScannedLine]], names: Sequence[str]) -> Reading:
    inside = [line for place, line in lines if _is_in(place, reading.place) and _NUMBER.search(line.text)]
    reason = next((why for line in inside if (why := _line_to_doubt(line))), "")
    if not reason and not _is_seen(_letters(reading.part_number), names):
        reason = f"the second recogniser does not read the part number {reading.part_number} anywhere"
    if reason:
        return replace(reading, status=Status.DISPUTED, notes=(*reading.notes, reason))
    if reading.status is not Status.SINGLE or not set(reading.notes) <= set(_ONCE):
        return reading
    twice = bool(inside) and all(line.second for line in inside)
    notes = () if twice else ("recognised once only",)
    return replace(reading, status=Status.AGREED if twice else Status.SINGLE, notes=notes)


@lru_cache(maxsize=4096)
def _is_seen_among(part: str, names: tuple[str, ...]) -> bool:
    near = [name for name in names if abs(len(name) - len(part)) <= 1]
    return any(part in name for name in names) or any(
        Levenshtein.distance(part, name, score_cutoff=1) <= 1 for name in near
    )


def _is_seen(part: str, names: Sequence[str]) -> bool:
    """Whether the second recogniser reads a part number too, letters that look like digits taken for them,
    and one
    sign more or less where it reads both ("O0" for "0"); a series' `*` is nobody's name."""
    return not part or _is_seen_among(part, tuple(names))


def _line_to_doubt(line: ScannedLine) -> str:
    """Why the numbers of a line are in doubt; empty where both recognisers read the same, or only one did."""
    if line.confidence < SURE:
        return f"recognised as '{line.text}', but not surely"
    if not line.second:
        return ""
    ours = _numbers(line.text)
    looks = [_numbers(text) for text in line.second]
    others = [text for text, numbers in zip(line.second, looks, strict=True) if numbers != ours]
    same = {_numbers(text) for text in others}
    if ours not in looks or (len(others) > 1 and len(same) == 1 and same != {()}):
        seen = "', '".join(dict.fromkeys(line.second))
        return f"recognised as '{line.text}', by the second recogniser as '{seen}'"
    return ""


def _numbers(text: str) -> tuple[str, ...]:
    """The numbers of a text, sign and decimal point as printed; a comma is a comma."""
    folded = unicodedata.normalize("NFKC", text).replace("−", "-").replace("–", "-")
    return tuple(found.rstrip(".,:") for found in _NUMBER.findall(folded))


def _letters(text: str) -> str:
    """Letters and digits, those that look alike as one: a name is told by what tells it from its
    neighbours."""
    folded = unicodedata.normalize("NFKC", text).upper().translate(ALIKE)
    return re.sub(r"[^A-Z0-9]", "", folded)


def _is_in(inner: Place, outer: Place) -> bool:
    """Whether the middle of a place lies in another, or the other way round (a cell inside a long line)."""
    x, y = (inner.x0 + inner.x1) / 2, (inner.top + inner.bottom) / 2
    if outer.x0 - 1 <= x <= outer.x1 + 1 and outer.top - 1 <= y <= outer.bottom + 1:
        return True
    x, y = (outer.x0 + outer.x1) / 2, (outer.top + outer.bottom) / 2
    return inner.x0 <= x <= inner.x1 and inner.top <= y <= inner.bottom
