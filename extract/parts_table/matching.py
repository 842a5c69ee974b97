"""Which part of the sheets a typed part number is: the same, doubtful, or none.

Comes in: part numbers typed and read, and what a person has said of them. Goes out: matches, and endings
worth asking about. A doubtful match is asked, never assumed; the answer comes back as an accepted pair.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from extract.errors import InputError
from extract.parts_table.cells import fold_part_number
from extract.parts_table.records import PartsTable, TypedSheet
from extract.parts_table.suffixes import EndingRule, numbers_to_ending_rules, pattern_to_pairs

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


@dataclass(frozen=True, slots=True)
class Matches:
    """Typed part number → match, and the endings that would match more."""

    of: Mapping[str, PartMatch]
    endings: tuple[EndingRule, ...] = ()


def part_numbers_to_matches(
    typed: Iterable[str],
    read: Sequence[str],
    accepted: Mapping[str, str] | None = None,
    remembered: Mapping[str, str] | None = None,
) -> Matches:
    """Match part numbers. Spaces, dashes, dots and capitals do not matter unless two parts of the sheets
    differ by nothing else. `accepted` are pairs or patterns (`*-2=*`) a person has confirmed,
    `remembered` those of earlier checks, which count where they fit.

    Raises InputError for an answer that names a part the sheets do not have.
    """
    numbers = tuple(dict.fromkeys(typed))
    by_fold: dict[str, list[str]] = {}
    for number in read:
        by_fold.setdefault(fold_part_number(number), []).append(number)
    by_own = {_own(number): number for number in read}
    answers = _answers(numbers, by_own, by_fold, remembered or {}, must_fit=False)
    answers |= _answers(numbers, by_own, by_fold, accepted or {}, must_fit=True)
    matches = {}
    for number in numbers:
        same = by_fold.get(fold_part_number(number), [])
        own = by_own.get(_own(number))
        if number in answers:
            matches[number] = PartMatch(number, answers[number])
        elif own is not None or len(same) == 1:
            matches[number] = PartMatch(number, own or same[0])
        else:
            candidates = (
                tuple(same) or _look_alikes(number, read) or _similar(fold_part_number(number), by_fold)
            )
            matches[number] = PartMatch(number, "", candidates)
    unmatched = [number for number, match in matches.items() if not match.matched]
    return Matches(matches, numbers_to_ending_rules(unmatched, read) if unmatched else ())


def with_matching_names(table: PartsTable, read: Iterable[str]) -> PartsTable:
    """The table with the series put before each part number, where the sheets write most parts so and fewer
    as they are typed."""
    known = set(map(fold_part_number, read))
    return replace(table, sheets=tuple(_with_names(sheet, known) for sheet in table.sheets))


def _with_names(sheet: TypedSheet, known: set[str]) -> TypedSheet:
    plain = sum(fold_part_number(row.part_number) in known for row in sheet.rows)
    for place in range(max((len(row.named) for row in sheet.rows), default=0)):
        names = [row.named[place] if place < len(row.named) else row.part_number for row in sheet.rows]
        found = sum(fold_part_number(name) in known for name in names)
        if found > plain and found >= _MOST_NAMES * len(names):
            rows = zip(sheet.rows, names, strict=True)
            return replace(sheet, rows=tuple(replace(row, part_number=name) for row, name in rows))
    return sheet


_MOST_NAMES = 0.5


def _own(number: str) -> str:
    return " ".join(number.split()).casefold()


def _answers(
    numbers: Sequence[str],
    by_own: Mapping[str, str],
    by_fold: Mapping[str, Sequence[str]],
    accepted: Mapping[str, str],
    *,
    must_fit: bool,
) -> dict[str, str]:
    """Typed number → part of the sheets, as a person has said, patterns worked out."""
    answers: dict[str, str] = {}
    for typed, printed in accepted.items():
        for number, target in pattern_to_pairs(typed, printed, numbers).items():
            same = by_fold.get(fold_part_number(target), ())
            part = by_own.get(_own(target)) or (same[0] if len(same) == 1 else None)
            if part is not None:
                answers[number] = part
            elif must_fit and "*" not in typed:
                near = _similar(fold_part_number(target), by_fold)
                raise InputError(
                    f"--same {typed}={printed}",
                    f"no part '{target}' in the sheets",
                    f"one of them, such as {' or '.join(near)}" if near else "one of them",
                )
    return answers


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
