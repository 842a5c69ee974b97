"""Part numbers within labels: beside a description, or in two columns of which one names the series.

Comes in: the texts of labels, Tables, the sheet's lines. Goes out: part numbers as the sheet prints them.
Chooses no column: part_names.py does.

    TQ-050                      the part number stands in the first line, a description below it
    RESET FUSE 60 V 100 mA

    Series | Code               "TQ-050", as another table or the ordering example prints it
    TQ     | 050
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, permutations

from extract.cells.ink import Atom, atoms_to_text
from extract.cells.tables import Cell
from extract.meanings.left_over import text_hedges, text_to_values
from extract.meanings.series import Series
from extract.meanings.tables import Table
from extract.meanings.words import priors, text_to_hits
from extract.vocabulary import fold, foreign_words

MOSTLY = 0.8
PRINTED = 0.6
"""So many of the joined names are printed elsewhere on the sheet."""
SHORTEST = 4
LONG_LINE = 60
LONGEST_SUFFIX = 12
"""A code that begins with a sign says itself that it goes on with a name."""
_CODE = re.compile(r"(?<![\w./-])[A-Za-z][A-Za-z0-9/.-]*\d[A-Za-z0-9/.-]*(?!\w)")
ToKey = Callable[[str], str]


@dataclass(frozen=True, slots=True)
class JoinedNames:
    """Names made of two columns of a table, and whether the sheet prints most of them."""

    names: tuple[str, ...]
    printed: bool


def cell_to_label(cell: Cell) -> str:
    """The text of a label's cell; its first line alone where those below it describe the part: with words of
    their own and without numbers of a name."""
    if not cell.atoms:
        return cell.text
    first, rest = _first_line_and_rest(cell)
    name = atoms_to_text(first)
    below = [atom.text for atom in rest]
    codes = any(re.search(r"\d{3}", text) and not re.search(r"\d[^\W\d]", text) for text in below)
    own = " ".join(text for text in below if text not in name.split())
    described = _is_description(own) or fold(own) in priors()["naming"]["packing"]
    return name if re.search(r"\d", name) and not codes and described else cell.text


def _first_line_and_rest(cell: Cell) -> tuple[list[Atom], list[Atom]]:
    top = min(cell.atoms, key=lambda atom: atom.mid_y)
    first = [atom for atom in cell.atoms if atom.mid_y - top.mid_y < 0.5 * top.size]
    return first, [atom for atom in cell.atoms if atom not in first]


def cells_to_two_codes(cells: Sequence[Cell]) -> tuple[tuple[str, str], ...]:
    """The upper and the lower line of each cell, where every cell holds two whole numbers one below the other
    and neither line repeats: a part number and what a seller calls it. Empty where a number goes on below."""
    lines = [
        (atoms_to_text(first), atoms_to_text(rest))
        for first, rest in map(_first_line_and_rest, (cell for cell in cells if cell.atoms))
        if rest
    ]
    texts = [text for pair in lines for text in pair]
    whole = all(_is_code(text) and " " not in text and text[-1] not in "-–/" for text in texts)
    apart = all(len(set(line)) == len(line) for line in zip(*lines, strict=True))
    return tuple(lines) if len(lines) == len(cells) > 1 and whole and apart else ()


def texts_to_codes(texts: Sequence[str]) -> tuple[str, ...]:
    """Labels without the descriptions behind their part numbers, where nearly all of them are described."""
    told = [text.split(" ", 1) for text in texts]
    described = [len(pair) == 2 and _is_code(pair[0]) and _is_of_part(pair[1]) for pair in told]
    filled = sum(bool(text) for text in texts)
    codes = [pair[0] for pair in told if pair[0]]
    if sum(described) < MOSTLY * filled or len(set(codes)) < len(codes):
        return tuple(texts)
    return tuple(pair[0] for pair in told)


def _is_code(word: str) -> bool:
    return len(word) >= SHORTEST and bool(re.search(r"\d", word)) and bool(re.search(r"[^\W\d_]", word))


def _is_of_part(text: str) -> bool:
    """Whether a text describes a part, and not what is made of several: "(2 in parallel)"."""
    return _is_description(text) and foreign_words("asked").search(fold(text)) is None


def _is_description(text: str) -> bool:
    """Whether a text holds two words, or a word and a value."""
    words = [word.strip(",.;:()") for word in text.split()]
    return len(words) >= 2 and any(re.fullmatch(r"[^\W\d_]{3,}", word) for word in words)


def lines_to_printed(tables: Sequence[Table], lines: Iterable[str], to_key: ToKey) -> dict[str, str]:
    """Key -> the code as printed, of all labels and of all codes in sentences; a code that a sentence shows
    to be made of two of its words has a second key with a sign before it."""
    labels = (text for table in tables for series in table.labels for text in series.filled)
    codes = [code.rstrip(".-/") for line in lines for code in _CODE.findall(line)]
    codes += [code for table in tables for series in table.labels for code in _headed_codes(series)]
    found = {to_key(code): code for code in (*codes, *labels)}
    shown = {SHOWN + to_key(code): code for line in lines for code in _line_to_shown(line, to_key)}
    return shown | found | {to_key(code): code for code in codes if " " in found[to_key(code)]}


SHOWN = "+"


def _line_to_shown(line: str, to_key: ToKey) -> list[str]:
    """The codes of a line that two other words of it make together: "family BX, size 200S is ordered as
    BX200S", "QRM + 065 = QRM065"."""
    folded = f" {fold(line)} "
    shows = any(word in folded for word in priors()["naming"]["shows"])
    hedged = text_hedges(line) or any(word in folded for word in priors()["naming"]["shows_not"])
    codes = [code.rstrip(".-/") for code in _CODE.findall(line)] if shows and not hedged else []
    keys = [to_key(word) for word in line.split()] if codes else []
    made = (
        {a + b for a, b in permutations([key for key in keys if key], 2)} if len(keys) < LONG_LINE else set()
    )
    return [code for code in codes if to_key(code) in made]


def _headed_codes(series: Series) -> list[str]:
    """The names that a heading of one code and the ends below it make: "TQ1206" over "-005"."""
    begins = series.head.strip()
    texts = [text.strip() for text in series.filled]
    made = _is_code(begins) and " " not in begins and bool(texts) and all(map(is_suffix, texts))
    return [begins + text for text in texts] if made else []


def table_to_joined(
    table: Table, printed: dict[str, str], to_key: ToKey, unseen: bool = False
) -> JoinedNames | None:
    """The names that a column of a series and one of codes make together; None where the sheet prints no such
    name. `unseen`: also names that it does not print, where nothing else names the parts."""
    for one, other in combinations(table.labels, 2):
        texts = _pair_to_texts(one, other, 2 if unseen else 1)
        if texts is None:
            continue
        found = [printed.get(to_key(a) + to_key(b), "") for a, b in texts]
        signs = _signs_between(texts, found)
        if len(signs) == 1 or (unseen and not signs):
            sign = signs.pop() if signs else ""
            names = tuple(f"{a}{sign}{b}" for a, b in texts)
            shown = any(SHOWN + to_key(name) in printed for name in names)
            return JoinedNames(names, shown or sum(map(bool, found)) >= PRINTED * len(found))
    return None


def _signs_between(texts: Sequence[tuple[str, str]], found: Sequence[str]) -> set[str]:
    """What the names that the sheet prints have between both texts; nothing where suffixes bring their own
    sign."""
    signs = {name[len(a) : -len(b)] for name, (a, b) in zip(found, texts, strict=True) if name}
    return {""} if signs <= {"", " "} and all(is_suffix(b) for _, b in texts) else signs


def groups_to_joined(table: Table, printed: dict[str, str], to_key: ToKey) -> JoinedNames | None:
    """The names that the line over a group of rows, or the caption over all, and suffixes with a sign make
    together: "Series TQ" over "-050" and "-075". None where it names no series, or more than one; sure where
    each line says series or the sheet prints most of the names."""
    over = [groups or table.grid.captions[:1] for groups in table.item_groups]
    for series in table.labels:
        texts = [text.strip() for text in series.texts]
        stems = [_texts_to_stem(groups) for groups in over]
        if texts and all(map(is_suffix, texts)) and all(stems):
            names = tuple(f"{stem}{text}" for stem, text in zip(stems, texts, strict=True))
            told = sum(to_key(name) in printed for name in names) >= PRINTED * len(names)
            sure = told or all(any(map(_says_series, groups)) for groups in over)
            return JoinedNames(names, sure) if len(set(names)) == len(names) else None
    return None


def _says_series(text: str) -> bool:
    return any(hit.name == "series" for hit in text_to_hits(text))


def _texts_to_stem(groups: Sequence[str]) -> str:
    """The one series that the nearest line over a row names; empty where it names none or several."""
    for text in reversed(groups):
        words = {word.strip(".,;:()-–") for word in text.split()}
        codes = {word for word in words if re.fullmatch(r"[A-Z][A-Z0-9]{1,9}", word)}
        codes = {word for word in codes if word.lower() not in priors()["naming"]["no_series"]}
        if codes:
            return codes.pop() if len(codes) == 1 else ""
    return ""


def is_suffix(text: str) -> bool:
    """Whether a text begins with a sign and so goes on with a name: "-080T"."""
    return bool(re.match(r"[-–/.]\s?\w", text)) and len(text) <= LONGEST_SUFFIX


def _text_to_series(text: str) -> str:
    """A text over several rows without the limits or the description behind its first word: "TQ72 72 V max.
    40 A max.", "BX Low resistance"."""
    word, _, rest = text.strip().partition(" ")
    if _is_code(word) and text_to_values(rest):
        return word
    described = re.fullmatch(r"[A-Z]{2,4}\d{0,4}", word) and re.fullmatch(r"[^\d]*[a-zà-ɏа-я]{3}[^\d]*", rest)
    return word if described else text.strip()


def _series_down(series: Series) -> list[str]:
    """The texts of a column row by row; below a heading that says series a blank is the series above."""
    texts = [entry.cell.text if entry.cell is not None else "" for entry in series.entries]
    if fold(series.head).strip(" .:") in priors()["naming"]["series"]:
        for number, text in enumerate(texts[1:], start=1):
            texts[number] = text or texts[number - 1]
    return texts


def _pair_to_texts(one: Series, other: Series, letters: int) -> list[tuple[str, str]] | None:
    """The texts of both columns row by row, if the first repeats names with so many letters beside each other
    and the second holds short codes, unequal together."""
    texts = [
        (_text_to_series(a), b.cell.text.strip())
        for a, b in zip(_series_down(one), other.entries, strict=True)
        if a and b.cell is not None
    ]
    series = {a for a, _ in texts}
    codes = all((len(b) <= LONGEST_SUFFIX or is_suffix(b)) and re.search(r"\d", b) for _, b in texts)
    named = all(re.search(rf"[^\W\d_]{{{letters}}}", a) for a in series)
    whole = len(texts) == len(one.entries) > 1 and len(set(texts)) == len(texts)
    return texts if whole and named and codes and len(series) < len(texts) else None
