"""Why a number was not read: it stands in a table of something else, in a chart, in prose, in the furniture.

Comes in: the numbers of a page that were not read, its blocks, its charts. Goes out: a reason code for each.
Words are in words.toml. A number in a table without a known reason is "not_understood".
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from extract.account.atoms import Atom, count_words
from extract.account.blocks import Block, Column
from extract.boxes import Box
from extract.vocabulary import fold, scan

NOT_UNDERSTOOD = "not_understood"
PART_NUMBER = "part_number"
CHART = "chart"
PROSE = "prose"
HEADING = "heading"
FURNITURE = "page_furniture"
OTHER_KIND = "other_part_kind"
_TABLES = ("dimensions", "packaging", "tests", "other_column")
SHORT_WORDS = 6  # a line of so few words may be a caption that rates a table
_LENGTHS = frozenset({"mm", "inch", "in", "cm"})
_BESIDE_LETTERS = _LENGTHS | {"max", "min", "typ", "nom", "ref", "±"}
_FOOT = 0.055  # of the page's height, at its head and foot
_ZONE = 0.13  # a text of several pages is furniture no farther from them


@dataclass(frozen=True, slots=True)
class PageFacts:
    """What reasons need of a page: height, boxes of charts, names of parts, texts of several pages."""

    height: float
    charts: tuple[Box, ...]
    names: frozenset[str]
    repeated_texts: frozenset[str]


def atoms_to_reasons(
    atoms: Sequence[Atom],
    rest: Sequence[int],
    blocks: Sequence[Block],
    read: frozenset[int],
    facts: PageFacts,
) -> dict[int, str]:
    """Index of an atom that was not read → why; `read` are those that were."""
    reasons: dict[int, str] = {}
    of_block = {index: block for block in blocks for index in block.atoms}
    headings = {index for block in blocks for index in block.heading_atoms}
    of_blocks: dict[int, dict[int, str]] = {}
    for index in rest:
        atom = atoms[index]
        block = of_block.get(index)
        plain = _atom_to_plain_reason(atom, facts)
        if plain:
            reasons[index] = plain
        elif block is not None:
            if id(block) not in of_blocks:
                of_blocks[id(block)] = _block_to_reasons(block, read)
            reasons[index] = of_blocks[id(block)][index]
        elif index in headings:
            reasons[index] = HEADING
        else:
            reasons[index] = NOT_UNDERSTOOD if _names_a_rating(atom) else PROSE
    return reasons


def _atom_to_plain_reason(atom: Atom, facts: PageFacts) -> str:
    """Why a number is none of a table's, told by itself and its place."""
    x, y = atom.middle
    if any(x0 <= x <= x1 and top <= y <= bottom for x0, top, x1, bottom in facts.charts):
        return CHART
    if any(atom.text.strip("*†‡") in name and name in atom.run.text for name in facts.names):
        return PART_NUMBER
    if not _FOOT * facts.height < y < (1 - _FOOT) * facts.height:
        return FURNITURE
    near_edge = not _ZONE * facts.height < y < (1 - _ZONE) * facts.height
    if near_edge and re.sub(r"\d+", "#", atom.run.text) in facts.repeated_texts:
        return FURNITURE
    return ""


def _block_to_reasons(block: Block, read: frozenset[int]) -> dict[int, str]:
    """Why each number of a table was not read: what its column says, its table says, or nothing known."""
    if not read.isdisjoint(block.atoms):
        of_table = NOT_UNDERSTOOD
    else:
        of_table = CHART if block.is_axis else _titles_to_reason(block) or NOT_UNDERSTOOD
    reasons = dict.fromkeys(block.atoms, of_table)
    for column in reversed(block.columns):  # of a number that stands in two, the first speaks
        said = _column_to_reason(column) if read.isdisjoint(column.atoms) else ""
        reasons |= dict.fromkeys(column.atoms, said or of_table)
    return reasons


def _column_to_reason(column: Column) -> str:
    """What the words over a column say, if they name no rating."""
    heading = fold(column.heading)
    if any(hit.sense == "quantity" and hit.end - hit.start > 3 for hit in scan(heading)):
        return ""
    if _is_letter(heading):
        return "dimensions"
    return next((name for name in _TABLES if _pattern(name, "column").search(heading)), "")


def _is_letter(heading: str) -> bool:
    """Whether the words over a column are a letter of a drawing with its limits ("A max. (mm)"): a lone "A"
    may be amperes, so it needs a limit, a length or a word of drawings beside it."""
    tokens = [token for token in re.split(r"[\s().,]+", heading) if token]
    letters = [token for token in tokens if token in _words()["dimensions"]["letters"]]
    rest = [token for token in tokens if token not in letters]
    plain = all(token in _BESIDE_LETTERS or not any(map(str.isalpha, token)) for token in rest)
    return len(letters) == 1 and plain and (letters != ["a"] or bool(set(rest) & _LENGTHS))


def _titles_to_reason(block: Block) -> str:
    """What the lines above a table say, the nearest first; ratings among them end the search."""
    for title in (fold(title) for title in block.titles):
        if any(hit.sense == "quantity" and hit.end - hit.start > 3 for hit in scan(title)):
            return ""
        for name in _TABLES:
            if _pattern(name, "title").search(title):
                return name
    columns = [_column_to_reason(column) for column in block.columns]
    known = [reason for reason in columns if reason]
    return max(set(known), key=known.count) if len(known) * 2 > len(columns) else ""


def _names_a_rating(atom: Atom) -> bool:
    """Whether a lone number stands in a short line of its own beside the name of a rating."""
    text = fold(atom.run.text)
    named = any(hit.sense == "quantity" and hit.end - hit.start > 3 for hit in scan(text))
    return named and count_words([atom.run]) <= SHORT_WORDS and not text.endswith(".")


@cache
def _words() -> dict[str, Any]:
    return tomllib.loads((files("extract.account") / "words.toml").read_text(encoding="utf-8"))


@cache
def _pattern(name: str, group: str) -> re.Pattern[str]:
    words = sorted(map(fold, _words()[name][group]), key=len, reverse=True)
    return re.compile("|".join(map(_word_to_pattern, words)))


def _word_to_pattern(word: str) -> str:
    is_han = re.search(r"[\u3040-\u30ff\u4e00-\u9fff\uac00-\ud7af]", word) is not None
    body = re.escape(word)
    return body if is_han or not word[0].isalpha() else rf"(?<![^\W\d_]){body}(?![^\W\d_])"
