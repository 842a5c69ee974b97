"""Which part of the sheets a typed part number is: the same, doubtful, or none.

Comes in: part numbers typed and read. Goes out: matches. A doubtful match is asked, never assumed;
the answer comes back as an accepted pair.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from extract.parts_table.cells import fold_part_number

LIKELY = 86.0
"""Similarity in percent (Indel ratio of folded part numbers) from which a part is worth asking about
(common practice, no source)."""

_ASKED = 3


@dataclass(frozen=True, slots=True)
class PartMatch:
    """A typed part number: `matched` is the sheets' part number if it is the same, else "";
    `candidates` are nearly the same, likeliest first."""

    typed: str
    matched: str = ""
    candidates: tuple[str, ...] = ()


def part_numbers_to_matches(
    typed: Iterable[str], read: Sequence[str], accepted: Mapping[str, str] | None = None
) -> dict[str, PartMatch]:
    """Typed part number → match. Spaces, dashes, dots and capitals do not matter unless two parts of
    the sheets differ by nothing else. `accepted` are pairs a person has confirmed."""
    by_fold: dict[str, list[str]] = {}
    for number in read:
        by_fold.setdefault(fold_part_number(number), []).append(number)
    by_own = {" ".join(number.split()).casefold(): number for number in read}
    answers = accepted or {}
    matches = {}
    for number in dict.fromkeys(typed):
        same = by_fold.get(fold_part_number(number), [])
        own = by_own.get(" ".join(number.split()).casefold())
        if number in answers and answers[number] in read:
            matches[number] = PartMatch(number, answers[number])
        elif own is not None or len(same) == 1:
            matches[number] = PartMatch(number, own or same[0])
        else:
            candidates = (
                tuple(same) or _look_alikes(number, read) or _similar(fold_part_number(number), by_fold)
            )
            matches[number] = PartMatch(number, "", candidates)
    return matches


_LOOKS = str.maketrans("oilsbz", "011582")


def _look_alikes(number: str, read: Sequence[str]) -> tuple[str, ...]:
    """Parts that differ in letters that look like digits only."""
    plain = fold_part_number(number).translate(_LOOKS)
    return tuple(other for other in read if fold_part_number(other).translate(_LOOKS) == plain)


def _similar(folded: str, by_fold: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    from rapidfuzz import fuzz, process

    if len(folded) < 4:
        return ()
    found = process.extract(folded, list(by_fold), scorer=fuzz.ratio, score_cutoff=LIKELY, limit=_ASKED)
    longer = [
        name
        for name in by_fold
        if len(folded) >= 5 and (name.startswith(folded) or folded.startswith(name)) and len(name) >= 5
    ]
    names = dict.fromkeys([*(name for name, _, _ in found), *sorted(longer, key=len)[:_ASKED]])
    return tuple(number for name in list(names)[:_ASKED] for number in by_fold[name])
