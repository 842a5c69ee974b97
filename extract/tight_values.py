"""Values that stand so close that they look like one text, and temperatures broken from their degrees.

Comes in: runs. Goes out: runs cut between such values, and which words may begin a column; temperatures put
together. Does not know the columns.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from extract.lines import Run, Word
from extract.quantities import is_value_text
from extract.walls import words_to_run

_WHOLE_TEMPERATURE = r"[-–−‒+]?\s?\d{1,3}\s?(?:[°º]\s?[CK]|℃)"
_WHOLE_VALUE = r"(?:\d+\.\d{2,}|\d+%)[*†‡]*"
_CODE = r"(?=.*\d)[A-Z][A-Z0-9./\-]*(?: [A-Z0-9./\-]*\d[A-Z0-9./\-]*)?(?<=[A-Z0-9./\- ]{4})[*†‡]*"
_DEGREES = re.compile(r"[°º]\s?C|℃")
_WHOLE = re.compile(r"[-–−‒+]?\s?\d{1,3}")
LEAST_BROKEN = 3  # so many degrees stand below their numbers before any is put back
TIGHT_EM = 0.4  # a wider gap may part two values that stand close together


def join_degrees(runs: Sequence[Run]) -> tuple[Run, ...]:
    """Whole numbers that a narrow column broke from the "°C" below them, put together into one run each."""
    pairs: dict[int, Run] = {}
    numbers = [run for run in runs if _WHOLE.fullmatch(run.text)]
    for below in (run for run in runs if _DEGREES.fullmatch(run.text)):
        above = [run for run in numbers if _stands_on(run, below)]
        if len(above) == 1:
            pairs[id(above[0])] = below
    if len(pairs) < LEAST_BROKEN:
        return tuple(runs)
    taken = {id(below) for below in pairs.values()}
    kept = (run for run in runs if id(run) not in taken)
    return tuple(_on_top(run, pairs[id(run)]) if id(run) in pairs else run for run in kept)


def _stands_on(number: Run, degrees: Run) -> bool:
    gap = degrees.top - number.bottom
    return abs(number.mid_x - degrees.mid_x) <= 0.5 * number.size and -1 <= gap <= 0.6 * number.size


def _on_top(number: Run, degrees: Run) -> Run:
    """Both as one run as tall as both, level with whole temperatures beside it."""
    x0, x1 = min(number.x0, degrees.x0), max(number.x1, degrees.x1)
    words = (*number.words, *degrees.words)
    return replace(
        number, text=f"{number.text} {degrees.text}", x0=x0, x1=x1, bottom=degrees.bottom, words=words
    )


def split_tight_values(runs: Sequence[Run]) -> tuple[Run, ...]:
    """Runs that hold several values or temperatures set close together, parted into one run each.

    A gap parts if it is wider than a blank and each side is a value of its own; a number that kerning
    tore ("1. 10", "3.4 0") is none of its pieces.
    """
    return tuple(piece for run in runs for piece in _split_run(run))


def _split_run(run: Run) -> list[Run]:
    groups: list[list[Word]] = []
    for word in run.words:
        if groups and not _parts(groups[-1], word, run.size):
            groups[-1].append(word)
        else:
            groups.append([word])
    if len(groups) < 2 or not all(_is_value_or_code(group) for group in groups):
        return [run]
    return [words_to_run(run, group, group is groups[-1]) for group in groups]


def _parts(left: Sequence[Word], word: Word, size: float) -> bool:
    """Whether a new value begins at a word: after a whole temperature always, after another whole
    value, or after an integer before a part number, where the gap is wider than a blank."""
    text = _words_text(left)
    if re.fullmatch(_WHOLE_TEMPERATURE, text):
        return re.match(r"[-–−‒+\d]", word.text) is not None
    if word.x0 - left[-1].x1 < TIGHT_EM * size:
        return False
    starts_code = re.match(r"[A-Z]", word.text) is not None
    return re.fullmatch(_WHOLE_VALUE, text) is not None or (
        starts_code and re.fullmatch(r"\d{1,5}", text) is not None
    )


def _is_value_or_code(words: Sequence[Word]) -> bool:
    text = _words_text(words)
    whole = re.fullmatch(_WHOLE_TEMPERATURE, text) or re.fullmatch(_WHOLE_VALUE, text)
    return whole is not None or re.fullmatch(r"\d{1,5}|[✓✔√×●○]|" + _CODE, text) is not None


def _words_text(words: Sequence[Word]) -> str:
    return " ".join(word.text for word in words)


def is_value_after_value(run: Run, number: int) -> bool:
    """Whether a word after a gap without a printed blank may begin a column: both sides could be cells."""
    word = run.words[number]
    if number == 0 or word.after_blank or word.x0 - run.words[number - 1].x1 < TIGHT_EM * run.size:
        return False
    left, right = _words_text(run.words[:number]), _words_text(run.words[number:])
    if re.search(r"[^\W\d_]|%", left) is None:
        return False  # bare digits may be half of a torn number
    return all(is_value_text(side) or re.fullmatch(_CODE, side) for side in (left, right))
