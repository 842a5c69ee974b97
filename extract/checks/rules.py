"""All rules, run: parts in, suspicions out, the likeliest culprit of each found by their common vote.

Comes in: parts with numbers. Goes out: suspicions. Reads no file and changes no number.

To add a rule: a small function of one part or of one series in the module it belongs to, its name in
PART_RULES or SERIES_RULES, its code in codes.py, its page in pages/ and a test that passes on sound
rows and fails on a planted error.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from extract.checks import codes, derating, neighbours, order, part_codes, ratios, single
from extract.checks.limits import Limits
from extract.checks.limits import limits as shipped_limits
from extract.checks.numbers import Number, PartNumbers
from extract.checks.suspicions import PartRule, SeriesRule, Suspicion
from extract.schema import Quantity, Severity

PART_RULES: tuple[PartRule, ...] = (
    single.part_to_bounds,
    single.part_to_ambients,
    single.part_to_lists,
    order.part_to_hold_and_trip,
    order.part_to_resistance_order,
    order.part_to_kinds,
    order.part_to_test_current,
    order.part_to_times,
    ratios.part_to_odd_ratios,
    derating.part_to_trend,
    derating.part_to_slope,
    derating.part_to_line,
    derating.part_to_reference,
)

SERIES_RULES: tuple[SeriesRule, ...] = (
    derating.series_to_shapes,
    part_codes.series_to_code_current,
    part_codes.series_to_code_voltage,
    neighbours.series_to_test_pattern,
    neighbours.series_to_outliers,
    neighbours.series_to_odd_times,
    neighbours.series_to_copies,
    neighbours.series_to_siblings,
    neighbours.series_to_exchanged_ratings,
    neighbours.series_to_footnotes,
)


def parts_to_suspicions(parts: Iterable[PartNumbers], limits: Limits | None = None) -> tuple[Suspicion, ...]:
    """Run every rule over every part and every series (parts of one `series`, in the order given)."""
    limits = limits or shipped_limits()
    series: dict[str, list[PartNumbers]] = defaultdict(list)
    for part in parts:
        series[part.series].append(part)
    found: list[Suspicion] = []
    for members in series.values():
        found += series_to_suspicions(members, limits)
    return tuple(found)


def series_to_suspicions(members: Sequence[PartNumbers], limits: Limits) -> list[Suspicion]:
    """Run every rule over one series and its parts, and settle what they say together."""
    found = [s for part in members for rule in PART_RULES for s in rule(part, limits)]
    found += [s for rule in SERIES_RULES for s in rule(members, limits)]
    found = _soften_other_kind(found)
    found = ratios.soften_ratios_of_series(_soften_test_current(found), members)
    return _drop_consequences(_vote(_soften_all_alike(_soften_repeated(found))))


def _soften_test_current(found: list[Suspicion]) -> list[Suspicion]:
    """A test current that follows the pattern of its series stays, though above the fault current, a note:
    published tables do have such rows, marked by their vendors."""
    odd = {id(s.part) for s in found if s.code is codes.TEST_PATTERN_DIFFERS}
    return [
        replace(s, severity=Severity.NOTE)
        if s.code is codes.TEST_CURRENT_ABOVE_MAXIMUM and id(s.part) not in odd and _is_close(s)
        else s
        for s in found
    ]


def _soften_other_kind(found: list[Suspicion]) -> list[Suspicion]:
    """A part of which two resistances or more leave the series by one factor is made otherwise: a note.
    Beyond a factor of ten it is a unit."""
    by_part: dict[int, list[Suspicion]] = defaultdict(list)
    for s in found:
        if s.code is codes.NEIGHBOUR_OUTLIER and s.numbers[0].quantity is Quantity.RESISTANCE:
            by_part[id(s.part)].append(s)
    alike = {
        id(s)
        for group in by_part.values()
        for s in group
        if len(group) > 1
        and all(1 / 10 < one.size < 10 and 1 / _ALIKE < one.size / s.size < _ALIKE for one in group)
    }
    return [replace(s, severity=Severity.NOTE) if id(s) in alike else s for s in found]


_ALIKE = 1.3
"""How far factors may differ that are one (common practice, no source)."""


def _is_close(suspicion: Suspicion) -> bool:
    time, largest = suspicion.numbers
    return (time.test_current_a or 0) <= 1.3 * largest.value


def _soften_repeated(found: list[Suspicion]) -> list[Suspicion]:
    """The same doubt in two rows is a note if value and hold current are the same, or if both rows leave
    the common line at one ambient by as much: typing errors seldom happen twice, oddities of a source do."""
    groups: dict[tuple[object, ...], list[Suspicion]] = defaultdict(list)
    for s in found:
        if s.severity is Severity.DOUBT:
            number = s.numbers[0]
            groups[s.code, number.quantity, number.kind, number.ambient_c].append(s)
    repeated: set[int] = set()
    for group in groups.values():
        if 1 < len(group) <= LARGEST_REPEAT:
            repeated |= {id(a) for a in group for b in group if a.part is not b.part and _is_repeat(a, b)}
    return [replace(s, severity=Severity.NOTE) if id(s) in repeated else s for s in found]


_OF_SERIES = frozenset({codes.AC_ABOVE_DC, codes.INTERRUPT_BELOW_RATED})


def _soften_all_alike(found: list[Suspicion]) -> list[Suspicion]:
    """What three rows or more of a series share is how the series is rated: doubted once, at the first."""
    seen: dict[object, int] = Counter(s.code for s in found if s.code in _OF_SERIES)
    told: set[object] = set()
    softened = []
    for s in found:
        if s.code in _OF_SERIES and seen[s.code] >= 3:
            softened.append(replace(s, severity=Severity.NOTE) if s.code in told else s)
            told.add(s.code)
        else:
            softened.append(s)
    return softened


LARGEST_REPEAT = 40
"""More rows than this with one doubt are a fault of the column, not an oddity."""


def _is_repeat(a: Suspicion, b: Suspicion) -> bool:
    if a.size and b.size:
        return abs(a.size - b.size) <= 0.15 * abs(a.size)
    mine, theirs = a.numbers[0], b.numbers[0]
    return (mine.value, mine.test_current_a) == (theirs.value, theirs.test_current_a) and _hold(
        a.part
    ) == _hold(b.part)


def _hold(part: PartNumbers) -> float | None:
    return part.hold.value if part.hold else None


_OF_SHARES = {codes.DERATING_SLOPE, codes.DERATING_OFF_LINE, codes.DERATING_OFF_SHAPE}


def _drop_consequences(found: list[Suspicion]) -> list[Suspicion]:
    """A wrong rating makes every share of its derating row wrong: only the rating is told."""
    wrong = {id(s.part) for s in found if s.severity is Severity.ERROR and s.numbers[0] is s.part.hold}
    return [
        s for s in found if s.code not in _OF_SHARES or id(s.part) not in wrong or s.numbers[0] is s.part.hold
    ]


def _vote(found: list[Suspicion]) -> list[Suspicion]:
    """Put the number that most suspicions of a part share first in each."""
    votes: Counter[int] = Counter()
    for s in found:
        if s.severity is not Severity.NOTE:
            for number in s.numbers:
                votes[id(number)] += 2 if len(s.numbers) == 1 else 1

    def rank(number: Number) -> int:
        return -votes[id(number)]

    return [
        replace(s, numbers=tuple(sorted(s.numbers, key=rank)))
        if len(s.numbers) > 1 and s.severity is not Severity.NOTE
        else s
        for s in found
    ]
