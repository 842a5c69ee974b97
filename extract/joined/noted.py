"""What the notes of a sheet and the reference column say against a draft, or in its place.

Comes in: Drafts and the sheet's sentences. Goes out: the same drafts; a largest resistance whose note says
"one hour after a trip" is that, and shares that are not the whole at a room temperature are doubted.

    R max* (Ω)                 * Maximum resistance one hour after trip.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from extract.joined.drafts import Draft, Sentence, SheetText
from extract.joined.origins import draft_to_origin
from extract.meanings.words import hits_to_kinds, text_to_hits
from extract.reference import is_room_of_a_column
from extract.schema import Kind, Quantity
from extract.vocabulary import fold

FAR = 0.1  # shares farther from the whole than this at every room temperature are shares of something else
_RAISED = str.maketrans("¹²³⁴⁵⁶⁷⁸⁹", "123456789")
_SIGN = re.compile(r"\*+|[†‡§]|[¹²³⁴-⁹]+")
_NOTE = re.compile(r"\(?(\*+|[†‡§]|\d)[).:]?\s*(?=[^\W\d])")
_DEFINES_R_MAX = re.compile(r"\W*r\s*_?\s*max\b(?!.*\br\s*_?\s*1)")


def drafts_to_noted(drafts: Sequence[Draft], sheet: SheetText) -> tuple[Draft, ...]:
    """The drafts as the notes of their pages have them."""
    kinds = {draft.kind for draft in drafts if draft.quantity is Quantity.RESISTANCE}
    if Kind.MAX in kinds and Kind.POST_TRIP_MAX not in kinds:
        drafts = [_with_noted_kind(draft, sheet.sentences) for draft in drafts]
    return _doubt_far_shares(drafts)


def _with_noted_kind(draft: Draft, sentences: Sequence[Sentence]) -> Draft:
    if draft.quantity is not Quantity.RESISTANCE or draft.kind is not Kind.MAX:
        return draft
    marks = {sign.translate(_RAISED) for sign in _SIGN.findall(draft_to_origin(draft).heading)}
    for sentence in sentences:
        start = _NOTE.match(sentence.text.translate(_RAISED))
        speaks = (start is not None and start[1] in marks) or _DEFINES_R_MAX.match(fold(sentence.text))
        if speaks and Kind.POST_TRIP_MAX in hits_to_kinds(text_to_hits(sentence.text)):
            return replace(draft, kind=Kind.POST_TRIP_MAX)
    return draft


def _doubt_far_shares(drafts: Sequence[Draft]) -> tuple[Draft, ...]:
    """Shares of which none is near the whole at a room temperature, though some are given there."""
    rows: dict[tuple[int, str, Quantity], list[Draft]] = defaultdict(list)
    for draft in drafts:
        if draft.quantity in (Quantity.HOLD_RATIO, Quantity.TRIP_RATIO):
            rows[id(draft.table), draft.part, draft.quantity].append(draft)
    far = set()
    for key, own in rows.items():
        room = [d.value for d in own if is_room_of_a_column(d.ambient_c)]
        if room and min(abs(value - 1) for value in room) > FAR:
            far.add(key)
    return tuple(
        replace(draft, doubts=(*draft.doubts, "no_share_is_the_whole"))
        if (id(draft.table), draft.part, draft.quantity) in far
        else draft
        for draft in drafts
    )
