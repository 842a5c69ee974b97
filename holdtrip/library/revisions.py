"""Which stored sheet a new one is a revision of, and which of the two is the newer.

Comes in: part numbers, document names and printed revisions. Goes out: the match, the order. Reads no
database, judges no number.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

MIN_SHARED = 0.5
"""Share of all part numbers of two sheets that both must list to be one sheet; common practice, no source."""


@dataclass(frozen=True, slots=True)
class StoredSheet:
    """What matching needs of a stored sheet. `shared` counts the part numbers the new sheet lists too."""

    family: int
    age: float
    document: str
    sha256: str
    revision: str
    parts: int
    shared: int


def sheets_to_match(document: str, parts: int, stored: Sequence[StoredSheet]) -> StoredSheet | None:
    """The stored sheet that a sheet of `parts` parts is a revision of: most shared parts, then the newest.

    Sheets are one if they share half of all their part numbers, or any part number and the file's name.
    """
    def is_one(sheet: StoredSheet) -> bool:
        if sheet.shared and sheet.document.casefold() == document.casefold():
            return True
        return sheet.shared >= MIN_SHARED * (parts + sheet.parts - sheet.shared) > 0

    return max(filter(is_one, stored), key=lambda sheet: (sheet.shared, sheet.age), default=None)


def family_to_age(revision: str, family: Sequence[tuple[float, str]]) -> float:
    """The age of a revision among the (age, printed revision) of a family: above all it is not older than.

    Without comparable printed revisions the sheet imported later is the newer.
    """
    ordered = sorted(family)
    newer = [age for age, other in ordered if is_older(revision, other)]
    if not newer:
        return ordered[-1][0] + 1.0 if ordered else 1.0
    before = [age for age, _ in ordered if age < newer[0]]
    return (before[-1] + newer[0]) / 2 if before else newer[0] - 1.0


def is_older(revision: str, other: str) -> bool:
    """Whether the first printed revision is certainly older than the second."""
    first, second = _order_of(revision), _order_of(other)
    return first is not None and second is not None and first[0] == second[0] and first[1] < second[1]


_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_ISO_DATE = re.compile(r"\b((?:19|20)\d\d)[-/.](0[1-9]|1[0-2])(?:[-/.](0[1-9]|[12]\d|3[01]))?\b")
_NAMED_MONTH = re.compile(rf"\b({'|'.join(_MONTHS)})[a-z]*\.?,?\s+((?:19|20)\d\d)\b")
_MARK = re.compile(r"\b(?:rev(?:ision)?|issue|version|ver)\b[\s.:]*([a-z]|\d+(?:\.\d+)*)\b")
_BARE = re.compile(r"([a-z]|\d+(?:\.\d+)*)")


def _order_of(revision: str) -> tuple[str, tuple[int, ...]] | None:
    """(sort of mark, what to compare); None where a text does not tell."""
    text = revision.casefold()
    if mark := _MARK.search(text) or _BARE.fullmatch(text.strip()):
        word = mark[1]
        return ("letter", (ord(word),)) if word.isalpha() else ("number", tuple(map(int, word.split("."))))
    if date := _ISO_DATE.search(text):
        return "date", (int(date[1]), int(date[2]), int(date[3] or 0))
    if date := _NAMED_MONTH.search(text):
        return "date", (int(date[2]), _MONTHS.index(date[1]) + 1, 0)
    return None
