"""What a heading says besides the meaning that was found for its numbers: each such thing is a doubt.

Comes in: the heading of a series, its meaning, its unit as printed. Goes out: doubts. Finds no meaning.

    Minimum time to trip (s)         a least time: the quantity is the longest
    Čas proženja tipično (s)         words that nobody knows beside a bare "time"
    Insulation resistance (Ω)        a resistance of something else
    Trip time of former types (s)    of something else
    Time to 50 % of the current (s)  a time of something else
    R min (MΩ)                       perhaps megaohms
"""

from __future__ import annotations

import re

from extract.cells.tables import PARTED
from extract.meanings.assign import TIMES
from extract.meanings.left_over import heading_hedges
from extract.meanings.series import LONG_HEADING
from extract.meanings.words import QUANTITY_OF, Meaning, hits_to_kinds, is_time_to_trip, text_to_hits
from extract.reference import is_room_of_a_column
from extract.schema import Kind, Quantity
from extract.vocabulary import fold, foreign_words, known_words, spelling_to_unit

LEAST_TIME = "a least time, not the longest"
_MEGA = re.compile(r"[MМ]\s?(?:[Ω\u2126WВ]|[Oo]hm|[Оо]м)")
"""A capital M before ohms or watts, Latin or Cyrillic; "MOHM" is all in capitals, and may be either."""

_SHARE = re.compile(r"\d\s*%")
_AMBIENT = re.compile(r"([-+]?\d{1,3})\s*(?:°\s*c|℃)")
_DURATION = re.compile(r"(?<![\w.,])\d+(?:[.,]\d+)?\s*m?(?:s|sec|min|h)\b")


def heading_to_doubts(head: str, meaning: Meaning, unit: str) -> tuple[str, ...]:
    """The doubts of a number by its heading and its unit as printed."""
    doubts = []
    kinds = hits_to_kinds(text_to_hits(head))
    if meaning in TIMES and Kind.MIN in kinds and not kinds & {Kind.MAX, Kind.TYP}:
        doubts.append(LEAST_TIME)
    if _MEGA.match(unit):
        doubts.append("unit_may_be_mega")
    bare = meaning in TIMES and _is_bare_time(head) and _has_further_words(head)
    own = fold(" ".join(piece for piece in head.split(PARTED) if len(piece) < LONG_HEADING))
    listed = heading_hedges(own) or any(foreign_words(g).search(own) for g in ("headings", "asked"))
    if bare or listed or _is_of_else(own, meaning, kinds):
        doubts.append(f"meaning_unsure:{meaning.value}/other")
    return tuple(doubts)


def _is_bare_time(head: str) -> bool:
    """Whether a heading says time, and not to trip."""
    return any(hit.sense == "time" for hit in text_to_hits(head)) and not is_time_to_trip(head)


def _has_further_words(head: str) -> bool:
    """Whether a heading holds words that stand in no wording of the vocabulary."""
    rest = fold(head)
    for hit in sorted(text_to_hits(head), key=lambda hit: -hit.start):
        rest = rest[: hit.start] + " " + rest[hit.end :]
    words = set(re.findall(r"[^\W\d_]{3,}", rest)) - set(known_words())
    return any(spelling_to_unit(word) is None for word in words)


def _is_of_else(head: str, meaning: Meaning, kinds: set[Kind]) -> bool:
    """Whether a folded heading says another ambient than a room's, a share, a duration of a limit, or the
    least of a limit."""
    if meaning in (Meaning.HOLD, Meaning.TRIP, Meaning.TEST_CURRENT):
        return False
    limit = QUANTITY_OF[meaning][0] in (Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT)
    hot = any(not is_room_of_a_column(float(text)) for text in _AMBIENT.findall(head))
    part_way = meaning in TIMES and _SHARE.search(head) is not None
    return hot or part_way or (limit and (Kind.MIN in kinds or _DURATION.search(head) is not None))
