"""What a sheet itself says its symbols mean: "udløsestrøm Iu", "Iu = utlösningsström".

Comes in: the sheet's lines, its Grids. Goes out: the Grids, with the known wording added to a heading that
holds such a symbol and none that is known. Explains no heading that is understood without it, and nothing by
words that also define others: "Im: maximum current that does not trip". Likewise what a title says of the
columns below it.
"""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from extract.cells.tables import Grid, Head
from extract.meanings.series import text_to_units
from extract.meanings.words import text_to_hits
from extract.vocabulary import Hit, fold

SHORTEST_WORDING = 6
PLAIN = ("hold_current", "trip_current", "tripped_power", "time_to_trip")
"""Quantities whose words define nothing else."""
MOST_WORDS = 3
LONGEST_TITLE = 60
TIME_WORDS = "time to trip"
_SYMBOL = re.compile(r"\s?[(,]?\s?([iuvpr][a-z0-9_]{1,5})(?=[\s,.;:)]|$)(?!\s?[=:])")
_DEFINED = re.compile(r"(?<!\w)([iuvpr][a-z0-9_]{1,5})\s?[=:]\s?$")
_ENDS = re.compile(r"\s?(?:[,.;()]|$)")
Glossary = dict[str, str]


def lines_to_glossary(lines: Iterable[str]) -> Glossary:
    """Symbol, folded -> the wording that the sheet puts before it, if all lines that do agree."""
    found: dict[str, dict[str, str]] = defaultdict(dict)
    for line in lines:
        for term, wording, name in _line_to_symbols(line):
            found[term].setdefault(name, wording)
    return {term: next(iter(said.values())) for term, said in found.items() if len(said) == 1}


def _line_to_symbols(line: str) -> Iterator[tuple[str, str, str]]:
    """Symbols that follow a wording at once, or are said to be it and nothing more: "Iu = trip current,"."""
    folded = fold(line)
    for hit in _sure_hits(line):
        match = _SYMBOL.match(folded, hit.end)
        if match is None and _ENDS.match(folded, hit.end):
            match = _DEFINED.search(folded[: hit.start])
        if match is not None and not _is_known(match[1]) and _is_symbol(match[1], line):
            yield match[1], folded[hit.start : hit.end], hit.name


def _is_symbol(folded: str, line: str) -> bool:
    """Whether a text is printed as symbols are: its first letter large, and no other of a word."""
    first, rest = re.escape(folded[0].upper()), re.escape(folded[1:])
    plain = unicodedata.normalize("NFKC", line)
    return re.search(rf"(?<!\w){first}(?i:{rest})(?!\w)", plain) is not None


def _sure_hits(text: str) -> list[Hit]:
    """The wordings of a text that name one quantity each."""
    hits = [hit for hit in text_to_hits(text) if hit.sense == "quantity"]
    rivals = {(hit.start, hit.name) for hit in hits}
    return [
        hit
        for hit in hits
        if hit.name in PLAIN
        and hit.end - hit.start >= SHORTEST_WORDING
        and sum(start == hit.start for start, _ in rivals) == 1
    ]


def _is_known(text: str) -> bool:
    return any(hit.sense == "quantity" for hit in text_to_hits(text))


def grids_to_explained(grids: Sequence[Grid], glossary: Glossary) -> tuple[Grid, ...]:
    """The grids with explained headings."""
    if not glossary:
        return tuple(grids)
    return tuple(
        replace(grid, heads=tuple(_explained(head, grid, glossary) for head in grid.heads)) for grid in grids
    )


def grids_to_titled(grids: Sequence[Grid]) -> tuple[Grid, ...]:
    """The grids with headings in seconds that name nothing told by the title right above.

    4. TIME TO TRIP
    Test current (A) | Typical (s) | Maximum (s)
    """
    return tuple(_titled(grid) for grid in grids)


def _titled(grid: Grid) -> Grid:
    titles = [text_to_hits(title) for title in grid.captions[:2] if len(title) < LONGEST_TITLE]
    named = [{hit.name for hit in hits if hit.sense == "quantity"} for hits in titles]
    if not any("time_to_trip" in names and "hold_current" not in names for names in named):
        return grid
    bare = (n for n in range(len(grid.columns)) if _is_bare_seconds(grid.heading(n)))
    levels = {column: min(head.level for head in grid.heads_over(column)) for column in bare}
    return replace(grid, heads=tuple(_with_time_words(head, levels) for head in grid.heads))


def _with_time_words(head: Head, levels: dict[int, int]) -> Head:
    """The text at the level named for its only column says that it is of a time to trip."""
    if head.first != head.last or levels.get(head.first) != head.level:
        return head
    return replace(head, text=f"{TIME_WORDS} {head.text}")


def _is_bare_seconds(heading: str) -> bool:
    """Whether a heading says seconds and names nothing."""
    return not _is_known(heading) and {unit.base for unit in text_to_units(heading)} == {"s"}


def _explained(head: Head, grid: Grid, glossary: Glossary) -> Head:
    if any(_is_known(grid.heading(column)) for column in range(head.first, head.last + 1)):
        return head
    words = fold(head.text).split()
    for count in range(min(MOST_WORDS, len(words)), 0, -1):
        wording = glossary.get(" ".join(words[:count]).strip("()[],"))
        if wording is not None:
            return replace(head, text=f"{head.text} {wording}")
    return head
