"""What short keys of a chart stand for: letters or numbers explained beside it or in a table of the sheet.

Comes in: the words of a page and the parts of the sheet. Goes out: key → Naming. Looks at no curve.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from extract.charts.geometry import Box
from extract.charts.naming import Naming, PartFacts, label_to_naming, squeeze
from extract.charts.wording import Word, is_level

KEY = re.compile(r"[A-Za-z]{1,2}\d?|\d{1,2}|[①-⑳]")
_SIGNS = re.compile(r"[=:：–—\-−→.)(（）]+")
_GLUED = re.compile(r"\(?([A-Za-z]{1,2}\d?|\d{1,2}|[①-⑳])\)?\s*[=:：–—→]\s*(\S.*)")
_LEAST_KEYS = 3
_MOST_LETTERS, _MOST_ROWS = 400, 400
_ROW_PT = 3.5
_LEAST_NAME = 5
_BETWEEN_PT, _HALF_WAY_PT = 30.0, 3.0  # rows that share a cell stand no farther apart; it stands half way


def words_to_keys(words: Sequence[Word], facts: Sequence[PartFacts]) -> dict[str, Naming]:
    """Keys explained as "A = part" or "1 – part" or "A part B part"; none if fewer than three."""
    found: dict[str, list[str]] = {}
    for key, part, _ in _explanations(words, facts):
        found.setdefault(key, []).append(part)
    keys = {key: tuple(dict.fromkeys(parts)) for key, parts in found.items()}
    return {key: Naming(parts) for key, parts in keys.items()} if _are_keys(keys) else {}


def words_to_explained(words: Sequence[Word], facts: Sequence[PartFacts]) -> frozenset[Box]:
    """The boxes of the words that explain keys: they name no curve where they stand."""
    return frozenset(box for _, _, boxes in _explanations(words, facts) for box in boxes)


def _explanations(
    words: Sequence[Word], facts: Sequence[PartFacts]
) -> Iterator[tuple[str, str, tuple[Box, ...]]]:
    """Each key with the part that stands behind it, and the boxes of both."""
    names = {squeeze(fact.part_number): fact.part_number for fact in facts}
    for index, word in enumerate(words):
        glued = _GLUED.fullmatch(word.text)
        if glued and squeeze(glued[2]) in names:
            yield glued[1], names[squeeze(glued[2])], (word.box,)
            continue
        part = names.get(squeeze(word.text))
        key = _key_before(words, index) if part else None
        if part and key is not None:
            yield key[0], part, (key[1].box, word.box)


def _are_keys(keys: Mapping[str, tuple[str, ...]]) -> bool:
    """Whether enough keys name one part each, and no part has two keys."""
    parts = Counter(part for own in keys.values() for part in own)
    return (
        len(keys) >= _LEAST_KEYS and max(parts.values()) == 1 and all(len(own) <= 4 for own in keys.values())
    )


def _key_before(words: Sequence[Word], index: int) -> tuple[str, Word] | None:
    """The key that stands before a part on its line, signs between them left out, and its word."""
    part = words[index]
    for back in (1, 2):
        if index - back < 0:
            return None
        word = words[index - back]
        if abs(word.mid[1] - part.mid[1]) > _ROW_PT or word.box[2] > part.box[0] + 1:
            return None
        text = word.text
        if _SIGNS.fullmatch(text):
            continue
        text = text.rstrip("=:：–—-.)").lstrip("(")
        return (text, word) if KEY.fullmatch(text) else None
    return None


def table_to_keys(words: Sequence[Word], facts: Sequence[PartFacts]) -> dict[str, Naming]:
    """Keys that stand in a column of the parts' table: single letters or circled numbers, one to a row (a key
    between two rows is for both)."""
    names = {squeeze(fact.part_number): fact.part_number for fact in facts}
    rows = [
        (word, names[squeeze(word.text)])
        for word in words
        if squeeze(word.text) in names and is_level(word.angle)
    ]
    letters = [word for word in words if re.fullmatch(r"[A-Za-z]|[①-⑳]", word.text)]
    if len(letters) > _MOST_LETTERS or len(rows) > _MOST_ROWS:
        return {}
    best: dict[str, Naming] = {}
    for anchor in letters:
        keys = _column_to_keys([word for word in letters if abs(word.mid[0] - anchor.mid[0]) < 3.0], rows)
        if len(keys) > len(best) and _are_keys(keys) and _run_on(list(keys)):
            best = {key: Naming(parts) for key, parts in keys.items()}
    return best


def _column_to_keys(column: Sequence[Word], rows: Sequence[tuple[Word, str]]) -> dict[str, tuple[str, ...]]:
    """Each key of a column with the parts of its rows."""
    keys: dict[str, tuple[str, ...]] = {}
    for word in column:
        keys[word.text] = keys.get(word.text, ()) + _parts_beside(word.mid[1], rows)
    return {key: parts for key, parts in keys.items() if parts}


def _parts_beside(y: float, rows: Sequence[tuple[Word, str]]) -> tuple[str, ...]:
    """The parts on a key's row; of a key half way between two rows those of both: its cell is theirs."""
    own = [part for row, part in rows if abs(row.mid[1] - y) < _ROW_PT]
    if not own:
        above = max((row.mid[1] for row, _ in rows if row.mid[1] < y), default=-math.inf)
        below = min((row.mid[1] for row, _ in rows if row.mid[1] > y), default=math.inf)
        if below - above < _BETWEEN_PT and abs(below + above - 2 * y) < _HALF_WAY_PT:
            own = [part for row, part in rows if above - 1 < row.mid[1] < below + 1]
    return tuple(dict.fromkeys(own))


def _run_on(keys: Sequence[str]) -> bool:
    """Whether keys follow each other in the alphabet, few left out."""
    codes = [ord(key) for key in keys]
    steps = [b - a for a, b in pairwise(codes)]
    return sum(step in (1, 2) for step in steps) >= 0.8 * len(steps)


def text_to_naming(
    text: str, keys: Mapping[str, Naming], facts: Sequence[PartFacts], context: str, names: frozenset[str]
) -> Naming:
    """What a text in a chart names: by the key it is, else by itself; `names` are words of the sheet's
    texts."""
    if text in keys:
        return keys[text]
    named = label_to_naming(text, facts, context)
    if not named.parts and len(text) >= _LEAST_NAME and squeeze(text) in names and re.search(r"\d", text):
        return Naming((text,))
    return named
