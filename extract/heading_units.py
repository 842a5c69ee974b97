"""The unit of a heading, told apart from its words.

Comes in: heading levels or a folded heading text. Goes out: units, and the text without them. Says nothing
of quantities: headings.py does.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from extract.vocabulary import Unit, fold, spelling_to_unit, vocabulary

BRACKETED = re.compile(r"[(\[（【]([^()\[\]（）【】]*)[)\]）】]")
_UNIT_WITH_LIMIT = re.compile(
    r"^\s*(mA|A|V|W|mW|Ω|\u2126|mΩ|m\u2126|s|ms|sec)\.?\s*\(\s*((?:min|max|typ)\.?)\s*\)\s*$", re.IGNORECASE
)


def level_to_bracketed(levels: Sequence[str], number: int) -> str:
    """A level, in brackets if it is the column's unit; after "at 8" an A belongs to the test current."""
    level = _UNIT_WITH_LIMIT.sub(r"\2 (\1)", levels[number])
    after_number = number > 0 and re.search(r"\d$", levels[number - 1]) is not None
    units = [spelling_to_unit(half) for half in level.split("/")]
    is_unit = spelling_to_unit(level) is not None or None not in units
    if len(levels) == 1 or after_number or not is_unit or level.startswith(("(", "[")):
        return level
    return f"({level})"


def level_to_bases(level: str) -> set[str]:
    """What the units measure in a level of units alone ("A V DC": two headings run together)."""
    words, bases = level.split(), set()
    while words:
        length = next((n for n in (2, 1) if spelling_to_unit(" ".join(words[:n])) is not None), 0)
        unit = spelling_to_unit(" ".join(words[:length])) if length else None
        if unit is None:
            return set()
        bases.add(unit.base)
        words = words[length:]
    return bases


def text_to_bases(text: str) -> set[str]:
    units = (spelling_to_unit(match[1]) for match in BRACKETED.finditer(text))
    return {unit.base for unit in units if unit is not None}


def text_to_unit(text: str) -> tuple[Unit | None, str, str]:
    """The unit of a heading, as printed, and the heading without it.

    Brackets first ("[A]", "(Vdc)"), then a unit after a comma or at the end, then unit words.
    """
    for match in BRACKETED.finditer(text):
        for piece in (match[1], *re.split(r"[,;/]| at | bei ", match[1])):
            unit = spelling_to_unit(piece)
            if unit is not None:
                return unit, match[1].strip(), text[: match.start()] + " " + text[match.end() :]
    tail = re.search(r"(?:[,/;]|\s(?=[avwsω]$))\s*([a-zωμ%°/]+(?: (?:dc|ac|rms))?)\s*$", text)
    if tail is not None and (unit := spelling_to_unit(tail[1])) is not None:
        return unit, tail[1], text[: tail.start()]
    bare = _unit_words().search(text)
    if bare is not None:
        return spelling_to_unit(bare[1]), bare[1], text[: bare.start()] + " " + text[bare.end() :]
    return None, "", text


@lru_cache(maxsize=1)
def _unit_words() -> re.Pattern[str]:
    """Unit spellings that may stand bare in a heading, longest first; single letters may not."""
    bare = {
        fold(word)
        for entry in vocabulary()["unit"].values()
        for word in entry["spellings"]
        if len(word) > 1 or word == "%"
    }
    longest_first = sorted(bare, key=lambda word: (-len(word), word))
    return re.compile(rf"(?<![a-z0-9ω])({'|'.join(map(re.escape, longest_first))})(?![a-z0-9ω])")
