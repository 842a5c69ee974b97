"""Whether another column may hold the part numbers rather than the one chosen: such a choice is asked about.

Comes in: headings and texts of the column chosen and of the others. Goes out: whether the choice is doubted.
Chooses no column: item_names.py does.

    Article No.  | Type       "0603" stands within the article's text, "SMD0603" does not: a package
    TQ-0603-010  | SMD0603
    Order No.    | Model      no letter in the model, letters in the order number, whose digits spell the
    TQ-050       | 3216-05    hold current
    Oznaczenie   | Typ        a word for the type and for its marking
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from extract.joined.part_names import name_to_key, says_order, says_part
from extract.meanings.words import priors, text_to_hits
from extract.vocabulary import fold

HOLD_FACTORS = (10, 100, 1000)
"""Part numbers spell their hold current in tenths, hundredths or thousandths of an ampere."""


@dataclass(frozen=True, slots=True)
class NameColumn:
    """A column that may name the parts: its heading, the text of each row, "" where nothing stands."""

    head: str
    texts: tuple[str, ...]


def says_not_own(head: str) -> bool:
    """Whether a heading speaks of numbers that are not the part's own: former, competing, equivalent ones,
    those of drawings and boards."""
    return _holds_word(head, "not_own")


def is_rivalled(best: NameColumn, others: Sequence[NameColumn], holds: Sequence[float | None] = ()) -> bool:
    """Whether the choice of a column is no sure one beside others; `holds` are the rows' hold currents."""
    named = [other for other in others if _says_number(other.head)]
    either = any(_holds_word(column.head, "either") for column in (best, *named)) and bool(named)
    if says_not_own(best.head) or either:
        return True
    rivals = any(_is_rival(best, other) or _spells_holds(other.texts, holds) for other in named)
    return rivals and not _spells_holds(best.texts, holds)


def _is_rival(best: NameColumn, other: NameColumn) -> bool:
    """Whether the texts of two columns say that the one chosen is a package, or a number of another sort."""
    texts = zip(best.texts, other.texts, strict=True)
    pairs = [(name_to_key(a), name_to_key(b)) for a, b in texts if a and b]
    if not pairs or len({b for _, b in pairs}) < len(pairs):
        return False
    if not any(map(_has_letter, (a for a, _ in pairs))):
        return all(_has_letter(b) for _, b in pairs)
    return all(_is_package(a, b) for a, b in pairs)


def _is_package(one: str, other: str) -> bool:
    """Whether a text's digits stand among more within another, and the text itself does not."""
    own, theirs = (re.sub(r"\D", "", key) for key in (one, other))
    return bool(own) and own != theirs and own in other and _has_letter(other) and one not in other


def _says_number(head: str) -> bool:
    """Whether a heading says that the numbers below it are the parts' own, to order by or not."""
    texts = any(hit.sense == "text" and hit.name != "series" for hit in text_to_hits(head))
    return (says_order(head) or says_part(head)) and not texts and not says_not_own(head)


def _spells_holds(texts: Sequence[str], holds: Sequence[float | None]) -> bool:
    """Whether the digits of every text spell the hold current of its row, as part numbers do and packages do
    not: "TQ-050", 0.50 A."""
    rows = [(re.findall(r"\d+", text), hold) for text, hold in zip(texts, holds, strict=False) if text]
    known = [(runs, hold) for runs, hold in rows if hold is not None]
    return bool(known) and any(
        all(any(int(run) == round(factor * hold, 3) for run in runs) for runs, hold in known)
        for factor in HOLD_FACTORS
    )


def _has_letter(key: str) -> bool:
    return re.search(r"[A-Z]", key) is not None


def _holds_word(head: str, group: str) -> bool:
    """Whether a heading holds a word of a group of [naming], or one that begins so."""
    folded = fold(head)
    return any(re.search(rf"(?<![^\W\d_]){re.escape(word)}", folded) for word in priors()["naming"][group])
