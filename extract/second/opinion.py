"""What the second eye says of each reading: the same digits, in the same part's row, under the same heading?

Comes in: readings with the texts they were read under, and who looks at their pages. Goes out: an Opinion for
each. Chooses no value, and knows no table of the first reader.

    digits, part and heading seen as read       agreed
    one of them not seen                        single
    other digits, another part, another heading disputed
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

from extract.boxes import Box
from extract.joined.origins import Origin
from extract.schema import WHOLE_SERIES, Reading, Status
from extract.second.likeness import Headings, Window
from extract.second.looking import LINE_EM, Blocks, Line, Sight
from extract.vocabulary import fold

LEAST_LIKE = 0.35  # words over a value that are less like any heading are no heading
LEAD = 0.02  # so much more like its own heading than any other
OTHER_LIKE = 0.75  # so like another heading, and not like its own: it stands under the other
MOST_LINES, MOST_GROUP_LINES = 6, 2  # of one heading; of a group below it
LONGEST_LABEL, LABEL_LINES = 10, 3  # words of a label; lines of one over a column


@dataclass(frozen=True, slots=True)
class Opinion:
    """Whether the second eye bears a reading out, and what it saw if not."""

    status: Status
    note: str = ""


AGREED = Opinion(Status.AGREED)
NOTHING_OVER = Opinion(Status.SINGLE, "the second reading sees no heading over it")
NOT_LOOKED = "read once only"


class Look(Protocol):
    """Who looks at places of one page."""

    def look(self, place: Box) -> Sight | None:
        """What is seen at a place of the page as shown; None if nothing can be told."""

    def over(self, x0: float, x1: float, y: float, size: float) -> Blocks:
        """Blocks of lines between x0 and x1 above y, the nearest first."""


def readings_to_opinions(
    readings: Sequence[Reading], origins: Sequence[Origin], looks: Mapping[int, Look]
) -> tuple[Opinion, ...]:
    """One opinion for each reading; single on pages that nobody looks at. `looks`: page -> who does."""
    by_page: dict[int, list[int]] = defaultdict(list)
    for index, reading in enumerate(readings):
        by_page[reading.place.page].append(index)
    parts = {reading.part_number for reading in readings} - {WHOLE_SERIES}
    opinions = [Opinion(Status.SINGLE, NOT_LOOKED)] * len(readings)
    for number, indices in by_page.items():
        if number in looks:
            told = [(readings[i], origins[i]) for i in indices]
            judge = _Judge(looks[number], looks.get(number - 1), told, len(parts) == 1)
            for index in indices:
                opinions[index] = judge.judge(readings[index], origins[index])
    return tuple(opinions)


class _Judge:
    """Judges the readings of one page."""

    def __init__(
        self, looker: Look, before: Look | None, told: Sequence[tuple[Reading, Origin]], only_part: bool
    ) -> None:
        self._looker, self._before = looker, before
        self._headings = {
            across: Headings(o.heading for _, o in told if o.is_across is across and not o.is_text)
            for across in (False, True)
        }
        self._labels = Headings(" ".join(origin.labels) for _, origin in told if origin.is_across)
        self._only_part = only_part
        self._known: dict[tuple[tuple[Line, ...], int], dict[str, dict[str, float]]] = {}
        self._parts: dict[str, set[str]] = defaultdict(set)
        for reading, origin in told:
            self._parts[_key(reading.part_number)].add(reading.part_number)
            for label in origin.labels:
                self._parts[_key(label)].add(reading.part_number)
        self._parts.pop("", None)

    def judge(self, reading: Reading, origin: Origin) -> Opinion:
        """What is seen at a reading's place, against what was read."""
        sight = self._looker.look(reading.place.box)
        if sight is None or not sight.text:
            return Opinion(Status.SINGLE, NOT_LOOKED)
        said = origin.is_text and _is_value_seen(reading.value, sight.text)
        digits = said or _digits_seen(reading.raw, sight.text)
        if digits is None:
            return Opinion(Status.SINGLE, "the second reading sees no digits here")
        if not digits:
            return Opinion(Status.DISPUTED, f"another text reader sees '{sight.text}'")
        if origin.is_text:
            return AGREED if self._only_part else Opinion(Status.SINGLE, "a sentence, read once only")
        part = self._part_reached(reading, origin, sight)
        return part if part is not AGREED else self._heading_seen(origin, sight)

    def _part_reached(self, reading: Reading, origin: Origin, sight: Sight) -> Opinion:
        """Whose row a number stands in; one that reaches over several rows stands in one of them only, and
        where a sign says "as above" the row of the sign is looked along."""
        beside = self._looker.look(origin.sign) if origin.sign is not None else None
        if beside is not None and not re.search(r"\w", beside.text):
            return self._part_seen(reading, origin, beside)
        opinion = self._part_seen(reading, origin, sight)
        if origin.reaches and opinion.status is Status.DISPUTED:
            return Opinion(Status.SINGLE, "a cell over several rows, read once only")
        return opinion

    def _part_seen(self, reading: Reading, origin: Origin, sight: Sight) -> Opinion:
        if origin.is_across:
            return self._part_above(reading, origin, sight)
        part, (found, within) = reading.part_number, self._parts_beside(sight)
        is_only_value = sight.ruled and sight.alone
        if (found and part in found[-1]) or (is_only_value and any(part in parts for parts in within)):
            return AGREED
        if found and part != WHOLE_SERIES:
            return Opinion(Status.DISPUTED, f"the second reading sees the row of {_named(found[-1])}")
        if not found and self._only_part:
            return AGREED
        return Opinion(Status.SINGLE, "the second reading does not see the part in this row")

    def _parts_beside(self, sight: Sight) -> tuple[list[set[str]], list[set[str]]]:
        """The parts named left of a value, without any those right of it, the nearest last: on its very line,
        else in its row; and all of its row."""
        for words, step in ((sight.row, 1), (sight.right, -1)):
            level = self._parts_in([text for text, away in words if away < LINE_EM])[::step]
            within = self._parts_in([text for text, _ in words])[::step]
            if level or within:
                return level or within, within
        return [], []

    def _part_above(self, reading: Reading, origin: Origin, sight: Sight) -> Opinion:
        found = next(filter(None, (self._parts_over(block) for block in sight.above)), [])
        if found:
            if any(reading.part_number in parts for parts in found):
                return AGREED
            return Opinion(Status.DISPUTED, f"the second reading sees the column of {_named(found[-1])}")
        if not self._only_part:
            return Opinion(Status.SINGLE, "the second reading does not see the part over this column")
        own = " ".join(origin.labels)
        return self._most_like(own, self._labels, sight) if own else AGREED

    def _parts_over(self, block: Sequence[Line]) -> list[set[str]]:
        """The parts that the nearest line of a block names, or that line and those above it together."""
        for first in range(len(block)):
            for count in range(1, LABEL_LINES + 1):
                lines = block[first : first + count][::-1]
                found = self._parts_in([text for line in lines for text in line.over])
                if found:
                    return found
        return []

    def _heading_seen(self, origin: Origin, sight: Sight) -> Opinion:
        headings = self._headings[origin.is_across]
        if not origin.is_across:
            return self._most_like(origin.heading, headings, sight)
        row = [text for text, away in sight.row if away < LINE_EM] or [text for text, _ in sight.row]
        return _like(origin.heading, headings.likenesses(row), headings, sight)

    def _most_like(self, own: str, headings: Headings, sight: Sight) -> Opinion:
        opinions = [
            self._over_to_opinion(own, headings, sight, blocks)
            for blocks in (sight.above, sight.around, self._page_before(sight))
        ]
        told = [opinion for opinion in opinions if opinion is not NOTHING_OVER]
        return next((o for o in opinions if o is AGREED), told[0] if told else NOTHING_OVER)

    def _over_to_opinion(self, own: str, headings: Headings, sight: Sight, blocks: Blocks) -> Opinion:
        """What the nearest block that is like any heading says."""
        for block in blocks:
            found = self._likenesses(block, headings)
            if found.get(own, {}).get(own, 0.0) >= LEAST_LIKE:
                return _like(own, found[own], headings, sight)
            if any(likes[text] >= OTHER_LIKE for text, likes in found.items()):
                seen = " ".join(text for line in block[::-1] for text in line.over)
                return Opinion(Status.DISPUTED, f"the second reading sees the heading '{seen[:60]}'")
        return NOTHING_OVER

    def _likenesses(self, block: Sequence[Line], headings: Headings) -> dict[str, dict[str, float]]:
        """As _block_to_likenesses: the values of one column share what stands over them."""
        key = tuple(block), id(headings)
        if key not in self._known:
            self._known[key] = headings.each_at_best(_block_to_windows(block))
        return self._known[key]

    def _page_before(self, sight: Sight) -> Blocks:
        """What stands over a column at the foot of the page before, where nothing does on its own."""
        if self._before is None or any(sight.above):
            return ()
        return self._before.over(*sight.zone, 1e6, 8.0)

    def _parts_in(self, words: Iterable[str]) -> list[set[str]]:
        """The parts that labels among words name, left to right."""
        keys = [_key(word) for word in words]
        found: list[set[str]] = []
        start = 0
        while start < len(keys):
            for count in range(min(LONGEST_LABEL, len(keys) - start), 0, -1):
                parts = self._parts.get("".join(keys[start : start + count]))
                if parts and keys[start]:
                    found.append(parts)
                    start += count - 1
                    break
            start += 1
        return found


def _block_to_windows(block: Sequence[Line]) -> list[Window]:
    """The lines of a block that may be a heading: some lines, with a line over a group of rows below them."""
    windows: list[Window] = []
    for first in range(min(len(block), MOST_GROUP_LINES + 1)):
        for last in range(first + 1, min(len(block), first + MOST_LINES) + 1):
            lines = block[first:last][::-1]
            over = [text for line in lines for text in line.over]
            windows.append((over, [text for line in lines for text in line.beside]))
    return windows


def _like(own: str, likes: Mapping[str, float], headings: Headings, sight: Sight) -> Opinion:
    """Whether the words seen are more like a reading's own heading than like any other of its page; what
    stands over the whole table tells headings of several tables apart."""
    mine = likes.get(own, 0.0)
    rivals = [text for text, value in likes.items() if text != own and value > mine - LEAD]
    if mine >= LEAST_LIKE and (not rivals or headings.nearest_saying(own, rivals, sight.wide)):
        return AGREED
    return Opinion(Status.SINGLE, "the second reading cannot tell its heading from another")


_NUMBER = re.compile(r"[-−–]?(?:\d+(?:[.,]\d+)*|[.,]\d+)")


def _digits_seen(raw: str, text: str) -> bool | None:
    """Whether another reader sees the digits of a cell at its place; None if it sees too little to say."""
    ours, theirs = _squeeze(raw), _squeeze(text)
    numbers, others = _NUMBER.findall(ours), _NUMBER.findall(theirs)
    if ours == theirs or (numbers and not Counter(numbers) - Counter(others)):
        return True
    digits, seen = re.sub(r"\D", "", ours), re.sub(r"\D", "", theirs)
    if not seen or (theirs in ours and digits != seen) or digits in seen:
        return None  # the same digits with another point or sign, or within longer ones, bear nothing out
    return False


def _is_value_seen(value: float, text: str) -> bool:
    """Whether a number of a sentence is seen in what stands at its place, which may be a piece of it."""
    seen = [float(n.replace(",", ".")) for n in re.findall(r"\d+(?:[.,]\d+)?", text)]
    return any(abs(n * factor - value) <= 1e-6 * value for n in seen for factor in (1.0, 1e3, 1e-3))


def _named(parts: set[str]) -> str:
    return ", ".join(sorted(parts)[:3])


@lru_cache(maxsize=8192)
def _key(text: str) -> str:
    return re.sub(r"[^\w*]", "", unicodedata.normalize("NFKC", text).upper())


@lru_cache(maxsize=8192)
def _squeeze(text: str) -> str:
    return re.sub(r"[\s*†‡§]", "", fold(text)).replace("\ufeff", "")
