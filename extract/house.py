"""The house that made a sheet, as far as the sheet names it.

Comes in: the texts of its pages. Goes out: the lines at the top and foot of its pages, and the name among
them that looks most like a maker's; empty where none does. Knows no maker; a person may say another name.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache
from importlib.resources import files

from extract.vocabulary import fold

EDGE_LINES = 3  # so many lines at the top and at the foot of a page name the house
SHORTEST = 4  # letters of a name; with fewer, every sheet would seem to hold it
SHORTEST_WIDE = 2  # the same for signs that are words by themselves
MOST_WORDS = 5  # a line with more is prose
_SPLIT = re.compile(r"\u3000+|\s{3,}|\s[|–—·]\s|[|★]")
_WIDE = re.compile(r"[\u3040-\u30ff\u3400-\u9fff\uac00-\ud7af]")


def texts_to_edges(texts: Iterable[str]) -> tuple[str, ...]:
    """The lines at the top and foot of all pages, each once, in the order printed."""
    edges: dict[str, None] = {}
    for text in texts:
        lines = [" ".join(line.split(" ")).strip() for line in text.splitlines() if line.strip()]
        edges |= dict.fromkeys((*lines[:EDGE_LINES], *lines[-EDGE_LINES:]))
    return tuple(edges)


def texts_to_house(texts: Sequence[str]) -> str:
    """The most likely name of the maker; empty where no line at an edge of a page looks like one.

    A word such as Ltd or Electronics tells a name; else the piece of an edge that most pages share.
    """
    pages = [_edge_pieces(text) for text in texts]
    counts = Counter(piece for pieces in pages for piece in dict.fromkeys(pieces))
    named = [company for piece in counts if (company := _piece_to_company(piece))]
    if named:
        return max(named, key=lambda name: sum(name in piece for piece in counts.elements()))
    likely = [piece for piece in counts if _may_be_a_name(piece)]
    if not likely:
        return ""
    best = max(likely, key=lambda piece: (counts[piece], -list(counts).index(piece)))
    return best if counts[best] > 1 or best in pages[0][:1] else ""


def names_house(edges: Iterable[str], house: str) -> bool:
    """Whether a sheet with such edges names a house, as a word by itself or several."""
    wanted = _letters(house)
    if len(wanted) < (SHORTEST_WIDE if _WIDE.search(wanted) else SHORTEST):
        return False
    joint = r"" if _WIDE.search(wanted) else r"\b"
    pattern = re.compile(rf"{joint}{re.escape(wanted)}{joint}")
    return any(pattern.search(_letters(edge)) for edge in edges)


def _edge_pieces(text: str) -> list[str]:
    """The pieces of the lines at the edges of a page, as printed, without numbers at their ends."""
    pieces = (piece.strip(" -:;,.()") for line in texts_to_edges([text]) for piece in _SPLIT.split(line))
    return [piece for piece in pieces if piece]


def _piece_to_company(piece: str) -> str:
    """The company that a piece names, its name cut behind the word that tells it; else nothing."""
    ending = next((word for word in _words()["company_ending"] if word in piece), "")
    before = piece.partition(ending)[0].split() if ending else []
    if before and not _is_no_name(before[-1]):
        return f"{before[-1]}{'' if piece.partition(ending)[0].endswith(before[-1]) else ' '}{ending}"
    words = piece.split()
    at = [index for index, word in enumerate(words) if fold(word).strip(",;()") in _words()["company"]]
    name = " ".join(words[: at[-1] + 1]).strip(",;() ") if at and 0 < at[-1] < MOST_WORDS else ""
    return "" if _is_no_name(name) or any(letter.isdigit() for letter in name) else name


def _may_be_a_name(piece: str) -> bool:
    """Whether a piece of an edge is a few words of letters and says nothing of parts or papers."""
    letters = [letter for letter in piece if letter.isalpha()]
    wide = bool(_WIDE.search(piece))
    return (
        len(letters) >= (SHORTEST_WIDE if wide else SHORTEST)
        and len(piece.split()) <= MOST_WORDS
        and not any(letter.isdigit() for letter in piece)
        and not _is_no_name(piece)
    )


def _is_no_name(piece: str) -> bool:
    folded = fold(piece)
    words = set(re.findall(r"\w+", folded))
    return any(
        word in words if word.isascii() and " " not in word else word in folded
        for word in _words()["no_name"]
    )


def _letters(text: str) -> str:
    return " ".join(re.sub(r"[^\w]+", " ", fold(text)).split())


@cache
def _words() -> dict[str, list[str]]:
    return tomllib.loads((files("extract") / "house.toml").read_text(encoding="utf-8"))
