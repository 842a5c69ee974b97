"""What columns of approvals say of each part: which agency's mark stands in its row.

Comes in: the series of a column of approvals. Goes out: for each row a text such as "UL: Y, TÜV: -", or the
agencies that its cell lists. A column whose agencies are pictures gives the bare marks. Reads no number.

    UL   TÜV            UL/TÜV          Approvals
    Y    -       or      Y Y     or     UL, CSA       are one thing.
"""

from __future__ import annotations

import re
from functools import cache

from extract.meanings.series import Series
from extract.vocabulary import absent_texts, fold, vocabulary

NO_MARK = "no mark"
"""Said where a cell is blank and others of its column are not."""
_MARKED = re.compile(r"^(?P<agency>[^\W\d_]+): (?P<mark>.+)$")


@cache
def _agency_words() -> tuple[tuple[re.Pattern[str], str], ...]:
    """Whole words that name an agency, with its name."""
    return tuple(
        (re.compile(rf"(?<![^\W_]){re.escape(fold(word))}(?![^\W\d_])"), name)
        for name, entry in vocabulary()["agency"].items()
        for word in entry["words"]
    )


def text_to_agencies(text: str) -> tuple[str, ...]:
    """The agencies a text names, in its order, each once."""
    folded = fold(text)
    found = [(match.start(), name) for pattern, name in _agency_words() for match in pattern.finditer(folded)]
    return tuple(dict.fromkeys(name for _, name in sorted(found)))


def series_to_approvals(series: Series) -> tuple[str, ...]:
    """For each row what its cell says, in `UL: Y` form where the heading names the agencies; empty where the
    cell is blank and nothing can be said."""
    agencies = text_to_agencies(series.head)
    texts = [" ".join(text.split()) for text in series.texts]
    return tuple(_cell_to_approval(text, agencies, any(texts)) for text in texts)


def _cell_to_approval(text: str, agencies: tuple[str, ...], others_marked: bool) -> str:
    if not text:
        return ", ".join(f"{agency}: {NO_MARK}" for agency in agencies) if others_marked else ""
    if text_to_agencies(text):
        return text
    marks = text.split()
    if len(marks) == len(agencies):
        return ", ".join(f"{agency}: {mark}" for agency, mark in zip(agencies, marks, strict=True))
    return text


def approval_to_marks(text: str) -> tuple[tuple[str, bool | None], ...]:
    """The agencies of an approval's text, each with True (marked or listed), False (a dash, "no" or the like)
    or None (no mark, or one that is not understood); empty where it names no agency."""
    if fold(text) == fold(NO_MARK):
        return ()
    pieces = [_MARKED.match(piece.strip()) for piece in text.split(",")]
    if pieces and all(pieces):
        return tuple((piece["agency"], _mark_to_listed(piece["mark"])) for piece in pieces if piece)
    return tuple(
        (agency, _piece_to_listed(piece))
        for piece in re.split(r"[,;/]", text)
        for agency in text_to_agencies(piece)
    )


def _piece_to_listed(piece: str) -> bool | None:
    """Whether a piece that names an agency lists it; one that is applied for decides nothing."""
    return None if any(word in fold(piece) for word in vocabulary()["mark"]["pending"]) else True


def _mark_to_listed(mark: str) -> bool | None:
    folded, words = fold(mark).strip("()."), vocabulary()["mark"]
    if mark != NO_MARK and (folded in absent_texts() or folded in words["no"]):
        return False
    return True if folded in words["yes"] else None
