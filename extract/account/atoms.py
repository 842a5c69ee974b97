"""Every number printed on a page, with its place.

Comes in: the runs of text of a page. Goes out: Atoms: pieces between blanks that are a number, alone or with
a unit or sign. A code that begins with a letter is a name, no number. Judges nothing.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from extract.boxes import Box
from extract.lines import Run
from extract.vocabulary import fold

_NUMBER = re.compile(
    r"[(\[{<>≤≥~≈±=@]*[+\-]?(?:\d|[.,]\d)[\d.,'/x×~±:%+\-()]*"
    r"(?:(?:°\s?c?|k|c|m?a|k?a|m?v|vdc|vac|vrms|m?w|[mk]?ω|r|mm|m?s|min|sec|h|%|x|in|kg|m?g|pcs|µm|μm|a²s)[/~)\]]*"
    r"[\d.,/±\-]*){0,3}[)\]},.;:*†‡§\"']*"
)
_FIRST_NUMBER = re.compile(r"[+\-]?(?:\d+(?:[.,]\d+)*|[.,]\d+)")
_EAST = re.compile(r"[\u3040-\u30ff\u4e00-\u9fff\uac00-\ud7af]")


@dataclass(frozen=True, slots=True)
class Atom:
    """One printed number: its text, its box in the coordinates of its run, and that run."""

    text: str
    box: Box
    run: Run

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of its box."""
        return (self.box[0] + self.box[2]) / 2, (self.box[1] + self.box[3]) / 2


def runs_to_atoms(runs: Iterable[Run]) -> tuple[Atom, ...]:
    """The numbers among the pieces of runs, in the order of the runs."""
    return tuple(
        Atom(word.text, (word.x0, run.top, word.x1, run.bottom), run)
        for run in runs
        for word in run.words
        if is_number(word.text)
    )


def is_number(text: str) -> bool:
    """Whether a piece of text is a number, alone or with a unit, a sign, a mark; a range counts as one."""
    return any(sign.isdigit() for sign in text) and _NUMBER.fullmatch(fold(text)) is not None


def atom_to_value(text: str) -> float | None:
    """The first number of a piece of text as printed, without its unit; None where it is none."""
    plain = unicodedata.normalize("NFKC", fold(text))
    match = _FIRST_NUMBER.search(plain)
    if match is None:
        return None
    digits = match[0]
    if digits.count(",") + digits.count(".") == 1:
        digits = digits.replace(",", ".")
    try:
        return float(digits.replace(",", ""))
    except ValueError:
        return None


def is_bare_run(run: Run) -> bool:
    """Whether a run holds numbers with their units only, and no words."""
    words = [word.text for word in run.words]
    return any(map(is_number, words)) and all(is_number(word) or _is_unit(word) for word in words)


def _is_unit(word: str) -> bool:
    return len(word) <= 4 and not word.isdigit()


def count_words(runs: Sequence[Run]) -> int:
    """How many words a line holds; two signs of Han count as one."""
    text = " ".join(run.text for run in runs)
    return len(re.findall(r"[^\W\d_]{3,}", _EAST.sub(" ", text))) + len(_EAST.findall(text)) // 2
