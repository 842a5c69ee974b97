"""Endings that typed part numbers have and the sheets' do not, or the other way round: "-2", "-AP", "TR".

Comes in: typed part numbers without a match, and the sheets' part numbers. Goes out: rules such as
`*-2=*`, learnt from the table, each with the pairs it makes. Accepts none: a person does, once.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from extract.parts_table.cells import fold_part_number

_FEWEST = 2
_LONGEST = 8


@dataclass(frozen=True, slots=True)
class EndingRule:
    """`typed` and `printed` are the ends that stand for each other; one of them is empty. `pairs`: typed
    part number → the sheets' part number."""

    typed: str
    printed: str
    pairs: Mapping[str, str] = field(default_factory=dict)

    @property
    def pattern(self) -> str:
        """The rule as `--same` takes it."""
        return f"*{self.typed}=*{self.printed}"


def numbers_to_ending_rules(unmatched: Iterable[str], read: Sequence[str]) -> tuple[EndingRule, ...]:
    """Endings shared by at least two unmatched part numbers, those with most parts first. An ending that
    leaves two parts of the sheets to choose from is none."""
    folded = _unique_folds(read)
    groups: dict[tuple[str, str], dict[str, str]] = defaultdict(dict)
    for number in dict.fromkeys(unmatched):
        for ends, printed in _number_to_endings(number, folded):
            groups[ends].setdefault(number, printed)
    rules = [
        EndingRule(*ends, pairs)
        for ends, pairs in groups.items()
        if len(pairs) >= _FEWEST and len(set(pairs.values())) == len(pairs)
    ]
    rules.sort(key=lambda rule: (-len(rule.pairs), rule.pattern))
    taken: set[str] = set()
    kept = []
    for rule in rules:
        pairs = {number: printed for number, printed in rule.pairs.items() if number not in taken}
        if len(pairs) >= _FEWEST:
            kept.append(EndingRule(rule.typed, rule.printed, pairs))
            taken |= pairs.keys()
    return tuple(kept)


def _unique_folds(read: Sequence[str]) -> dict[str, str]:
    by_fold: dict[str, list[str]] = defaultdict(list)
    for number in read:
        by_fold[fold_part_number(number)].append(number)
    return {fold: numbers[0] for fold, numbers in by_fold.items() if len(numbers) == 1}


def _number_to_endings(number: str, folded: Mapping[str, str]) -> Iterable[tuple[tuple[str, str], str]]:
    """((typed end, printed end), the sheets' part) for each way to cut the number."""
    own = fold_part_number(number)
    for length in range(1, min(_LONGEST, len(own) - 3) + 1):
        printed = folded.get(own[:-length])
        if printed is not None:
            yield (_end_of(number, length), ""), printed
            break
    longer = [fold for fold in folded if fold.startswith(own) and 0 < len(fold) - len(own) <= _LONGEST]
    if len(own) >= 4 and len(longer) == 1:
        yield ("", _end_of(folded[longer[0]], len(longer[0]) - len(own))), folded[longer[0]]


def _end_of(number: str, letters: int) -> str:
    """The last letters and digits of a part number, with the sign before them."""
    found = re.search(rf"[\W_]*(?:[^\W_][\W_]*){{{letters}}}$", number)
    return found[0] if found else number[-letters:]


def pattern_to_pairs(typed: str, printed: str, numbers: Iterable[str]) -> dict[str, str]:
    """What an answer means: a pattern with one `*` each side for every number it fits, else the pair."""
    if typed.count("*") != 1 or printed.count("*") != 1:
        return {typed: printed}
    before, after = typed.split("*")
    fits = re.compile(re.escape(before) + "(.+)" + re.escape(after), re.IGNORECASE)
    return {
        number: printed.replace("*", found[1])
        for number in numbers
        if (found := fits.fullmatch(number)) is not None
    }
