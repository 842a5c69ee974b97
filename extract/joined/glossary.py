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

from extract.cells.tables import Grid, Head, Row
from extract.meanings.left_over import text_to_left_over
from extract.meanings.series import text_to_units
from extract.meanings.words import text_to_hits
from extract.vocabulary import Hit, fold, vocabulary

SHORTEST_WORDING = 6
PLAIN = ("hold_current", "trip_current", "tripped_power", "time_to_trip")
"""Quantities whose words define nothing else."""
MOST_WORDS, MOST_LABELS = 3, 3
LONGEST_TITLE = 60
TIME_WORDS = "time to trip"
EXPLAINED = ("time", "test_current", "part_number", "series", "typ", "max")
_LETTERS = "[iuvpr][a-zа-яіїєґ0-9_]{1,5}"
_SYMBOL = re.compile(rf"\s?[(,]?\s?({_LETTERS})(?=[\s,.;:)]|$)(?!\s?[=:])")
_DEFINED = re.compile(rf"(?<!\w)(?:({_LETTERS})\s?[=:]\s?|([iuvpr][a-zа-яіїєґ0-9_]{{1,2}})\s-\s)$")
_NUMBERED = re.compile(rf"(?:{'|'.join(vocabulary()['titles']['table'])})\.?\s*\d")
_TEST = re.compile(
    r"(?:at|@|bei|à|a|ved|vid|bij|при|przy|při|[x×])?\s*\d+(?:[.,]\d+)?\s*(?:a|amps?|amperes?)"
)
_NUMBER = re.compile(r"[\d.,<>≤≥±~ ]+")
_ENDS = re.compile(r"\s?(?:[,.;()]|$)")
_MAXIMUM = re.compile("max|maks|макс|最大|최대")
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
        symbol = next(filter(None, match.groups()), "") if match is not None else ""
        if symbol and not _is_known(symbol) and _is_symbol(symbol, line):
            yield symbol, folded[hit.start : hit.end], hit.name


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
        replace(
            grid,
            heads=tuple(_explained(head, grid, glossary) for head in grid.heads),
            rows=tuple(_explained_row(row, glossary) for row in grid.rows),
        )
        for grid in grids
    )


def _explained_row(row: Row, glossary: Glossary) -> Row:
    """A row, a label that is a symbol, perhaps in percent, said in words."""
    cells = tuple(
        replace(cell, text=f"{glossary[symbol]} {cell.text}")
        if cell is not None
        and (symbol := fold(cell.text).rstrip(" %,()").strip()) in glossary
        and not _is_known(cell.text)
        else cell
        for cell in row.cells[:MOST_LABELS]
    )
    return replace(row, cells=(*cells, *row.cells[MOST_LABELS:]))


def grids_to_titled(grids: Sequence[Grid]) -> tuple[Grid, ...]:
    """The grids with headings that name nothing told by the title: right above, or below as "Table 2: ...".

    4. TIME TO TRIP                        |  min.  |  max.
    Test current | Typical | Maximum       |  0.063 |  0.125
    1.00 A       | 1.6 s   | 2.5 s         |  Table 2: Resistance in ohms
    """
    above = any(_is_numbered(text) for grid in grids for text in grid.captions[:1])
    return tuple(_titled(grid, _grid_to_titles(grid, above)) for grid in grids)


def _titled(grid: Grid, titles: Sequence[str]) -> Grid:
    title = next(filter(None, map(_title_to_words, titles)), None)
    if title is None:
        return grid
    words, base, unit = title
    if base == "s" and _is_of_conditions(grid.texts(0)) and not _says_current(grid.heading(0)):
        return replace(grid, rows=tuple(_with_words_beside(row, words) for row in grid.rows))
    bare = {n for n in range(len(grid.columns)) if _is_bare(grid, n, base)}
    if unit and not bare:
        bare, words = _kinds_alone(grid), f"{words} ({unit})"
    levels = {column: min(head.level for head in grid.heads_over(column)) for column in bare}
    return replace(grid, heads=tuple(_with_words(head, words, levels) for head in grid.heads))


def _is_of_conditions(labels: Sequence[str]) -> bool:
    """Whether the labels of rows are test currents and nothing else."""
    return len(labels) > 1 and all(_is_condition(label) for label in labels)


def _says_current(heading: str) -> bool:
    """Whether a heading names the current of a test: its column is one of numbers."""
    return any(hit.sense == "test_current" for hit in text_to_hits(heading))


def _with_words_beside(row: Row, words: str) -> Row:
    """A row whose label, a test current, says what its title says."""
    label = row.cells[0]
    told = label if label is None else replace(label, text=f"{words} {label.text}")
    return replace(row, cells=(told, *row.cells[1:]))


def _with_words(head: Head, words: str, levels: dict[int, int]) -> Head:
    """The text at the level named for its only column says what its title says."""
    if head.first != head.last or levels.get(head.first) != head.level:
        return head
    return replace(head, text=f"{words} {head.text}")


def _is_bare(grid: Grid, column: int, base: str) -> bool:
    """Whether a heading names nothing, over numbers in one unit, or, of times, at a current."""
    heading = grid.heading(column)
    told = _column_bases(grid, column) == {base} or (base == "s" and _is_condition(heading))
    return told and not _is_known(heading)


def _grid_to_titles(grid: Grid, above: bool) -> list[str]:
    """The short texts right above a grid, and the numbered title right below it, if the sheet does not set
    its numbered titles `above`: there it would be the title of the next table."""
    below = [note for note in grid.notes[:1] if _is_numbered(note) and not above]
    return [title for title in (*below, *grid.captions[:2]) if len(title) < LONGEST_TITLE]


def _is_numbered(text: str) -> bool:
    return _NUMBERED.match(fold(text)) is not None


def _title_to_words(title: str) -> tuple[str, str, str] | None:
    """What the columns below a title hold, if it names one quantity: words for their headings, the base of
    their unit, and the unit that the title prints. None where the title says more than that: "Insulation
    resistance", "Time to trip at 60 °C"."""
    names = {hit.name for hit in text_to_hits(title) if hit.sense == "quantity"}
    kinds = {hit.name for hit in text_to_hits(title) if hit.sense == "kind"}
    if text_to_left_over(title, (*EXPLAINED, *names)) or ("typ" in kinds and _MAXIMUM.search(fold(title))):
        return None
    units = [unit.name for unit in text_to_units(title)]
    if "time_to_trip" in names and "hold_current" not in names:
        typical = "typ" in kinds
        seconds = " (s)" if "s" in {unit.base for unit in text_to_units(title)} else ""
        return ("typical " * typical) + TIME_WORDS + seconds, "s", ""
    return ("resistance", "ohm", units[0] if len(units) == 1 else "") if names == {"resistance"} else None


def _is_condition(heading: str) -> bool:
    """Whether a heading is a test current and nothing else: "at 5 A", "AT 10 AMPS"."""
    return _TEST.fullmatch(fold(heading).strip(" ()")) is not None


def _column_bases(grid: Grid, column: int) -> set[str]:
    """The bases of the units that a column's heading prints, or all its cells."""
    head = {unit.base for unit in text_to_units(grid.heading(column))}
    cells = [cell.text for row in grid.rows if (cell := row.cells[column]) is not None]
    each = [{unit.base for unit in text_to_units(f"({_NUMBER.sub('', text).strip()})")} for text in cells]
    return head or (set.intersection(*each) if each else set())


def _kinds_alone(grid: Grid) -> set[int]:
    """The columns whose headings say a kind and nothing else ("min.", "max., 1 h after trip", not "A min."),
    where two or more do and no other column says a quantity."""
    kinds = {column for column in range(len(grid.columns)) if _is_of_kind(grid.heading(column))}
    rest = [grid.heading(c) for c in range(len(grid.columns)) if c not in kinds]
    named = any(hit.sense == "quantity" for text in rest for hit in text_to_hits(text))
    return kinds if len(kinds) > 1 and not named else set()


def _is_of_kind(heading: str) -> bool:
    """Whether a heading is made of words of a kind alone."""
    folded, hits = list(fold(heading)), text_to_hits(heading)
    for hit in hits:
        folded[hit.start : hit.end] = " " * (hit.end - hit.start)
    bare = re.fullmatch(r"[\W\d]*", "".join(folded)) is not None
    return bare and any(hit.sense == "kind" for hit in hits) and not text_to_units(heading)


def _explained(head: Head, grid: Grid, glossary: Glossary) -> Head:
    if any(_is_known(grid.heading(column)) for column in range(head.first, head.last + 1)):
        return head
    words = fold(head.text).split()
    for count in range(min(MOST_WORDS, len(words)), 0, -1):
        symbols = " ".join(words[:count]).strip("()[],").split("/")
        wordings = [glossary[symbol.strip()] for symbol in symbols if symbol.strip() in glossary]
        if len(wordings) == len(symbols):
            return replace(head, text=f"{' / '.join(wordings)} {head.text}")
    return head
