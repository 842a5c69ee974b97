"""Quantities per reel that a page says in lines: "XY010 through XY030 = 1500 pcs. per reel".

Comes in: the runs of a page, the sheet's parts in the order printed. Goes out: parts with their quantity. A
line that names a part the sheet does not list, or shortens numbers ("XY010, 020"), gives nothing. Reads no
table.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from extract.lines import Run
from extract.particulars.wording import text_to_stem

_LINE = re.compile(
    r"^(?P<parts>.+?)\s*[=:]\s*(?P<count>\d{1,3}(?:,\d{3})+|\d{2,6})\s*(?:pcs|pieces|parts)?\.?"
    r"\s*(?:per|/|each)\s*reel\b",
    re.IGNORECASE,
)
_RANGE = re.compile(r"\s+(?:through|thru|to)\s+", re.IGNORECASE)
_LIST = re.compile(r"\s*(?:,|;|&|\band\b)\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Reeled:
    """A part and how many of it one reel holds."""

    part_number: str
    count: int
    raw: str
    box: tuple[float, float, float, float]


def runs_to_reeled(runs: Sequence[Run], parts: Sequence[str]) -> tuple[Reeled, ...]:
    """Every quantity per reel that lines give for known parts."""
    return tuple(one for run in runs for one in _run_to_reeled(run, parts))


def _run_to_reeled(run: Run, parts: Sequence[str]) -> Iterator[Reeled]:
    match = _LINE.match(run.text.strip())
    if match is None:
        return
    named = _text_to_parts(match["parts"], parts)
    count = int(match["count"].replace(",", ""))
    for part in named:
        yield Reeled(part, count, run.text, run.box)


def _text_to_parts(text: str, parts: Sequence[str]) -> tuple[str, ...]:
    """The parts a list names, ranges in the order the sheet prints them; none if one of them is not known."""
    places = {text_to_stem(part): place for place, part in enumerate(parts)}
    named: list[str] = []
    for piece in _LIST.split(text.strip()):
        ends = [places.get(text_to_stem(end)) for end in _RANGE.split(piece)]
        if not ends or len(ends) > 2 or None in ends:
            return ()
        first, last = ends[0], ends[-1]
        assert first is not None
        assert last is not None
        if last < first:
            return ()
        named += parts[first : last + 1]
    return tuple(dict.fromkeys(named))
