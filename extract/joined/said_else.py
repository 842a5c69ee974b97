"""What a heading says besides the meaning that was found for its numbers: each such thing is a doubt.

Comes in: the heading of a series, its meaning, its unit as printed. Goes out: doubts. Finds no meaning.

    Minimum time to trip (s)         a least time: the quantity is the longest
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
from extract.meanings.words import Meaning, hits_to_kinds, text_to_hits
from extract.schema import Kind
from extract.vocabulary import fold, foreign_words

LEAST_TIME = "a least time, not the longest"
_MEGA = re.compile(r"[MМ]\s?(?:[Ω\u2126WВ]|[Oo]hm|[Оо]м)")
"""A capital M before ohms or watts, Latin or Cyrillic; "MOHM" is all in capitals, and may be either."""

_SHARE = re.compile(r"\d\s*%")


def heading_to_doubts(head: str, meaning: Meaning, unit: str) -> tuple[str, ...]:
    """The doubts of a number by its heading and its unit as printed."""
    doubts = []
    kinds = hits_to_kinds(text_to_hits(head))
    if meaning in TIMES and Kind.MIN in kinds and not kinds & {Kind.MAX, Kind.TYP}:
        doubts.append(LEAST_TIME)
    if _MEGA.match(unit):
        doubts.append("unit_may_be_mega")
    own = " ".join(piece for piece in head.split(PARTED) if len(piece) < LONG_HEADING)
    part_way = meaning in TIMES and _SHARE.search(own) is not None
    if part_way or heading_hedges(own) or foreign_words("headings").search(fold(own)):
        doubts.append(f"meaning_unsure:{meaning.value}/other")
    return tuple(doubts)
