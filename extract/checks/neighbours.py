"""Parts beside each other in a series: patterns of test currents, outliers, copied cells, siblings.

Comes in: the parts of one series in the order they stand. Goes out: suspicions, doubts only: real
series break every pattern somewhere.
"""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from extract.checks import codes
from extract.checks.limits import Limits
from extract.checks.numbers import Number, PartNumbers
from extract.checks.suspicions import Suspicion
from extract.checks.writing import number_to_name, number_to_text, rounded, value_to_text
from extract.schema import Kind, Quantity, Severity

TimedRow = tuple[PartNumbers, Number, float, Number]
"""A part with its time to trip, the test current, A, and its hold current."""


def series_to_test_pattern(parts: Sequence[PartNumbers], limits: Limits) -> Iterator[Suspicion]:
    """Trip times of a series are stated at one multiple of hold or at one current; the odd one is doubted."""
    rows = [row for part in parts if (row := _part_to_timed(part)) is not None]
    pattern = _rows_to_pattern([(current, hold.value) for _, _, current, hold in rows], limits)
    if pattern is None:
        return
    holds = [hold.value for _, _, _, hold in rows]
    for row, fits in zip(rows, pattern.fitting, strict=True):
        if not fits:
            yield _timed_to_suspicion(row, pattern, pattern.is_limited(row[2], row[3].value, holds))


def _part_to_timed(part: PartNumbers) -> TimedRow | None:
    """A part whose only time to trip states its test current, and that has a hold current."""
    if len(part.times) != 1 or part.hold is None or part.hold.value <= 0:
        return None
    current_a = part.times[0].test_current_a
    return (part, part.times[0], current_a, part.hold) if current_a else None


def _timed_to_suspicion(row: TimedRow, pattern: _Pattern, limited: bool) -> Suspicion:
    part, time, current_a, hold = row
    return Suspicion(
        codes.TEST_PATTERN_DIFFERS,
        Severity.NOTE if limited else Severity.DOUBT,
        part,
        (time, hold),
        f"{pattern.value:g} {pattern.unit}, as in {pattern.rows} rows",
        f"time to trip is stated at {current_a:g} A, {rounded(current_a / hold.value, 3)} times hold",
    )


@dataclass(frozen=True, slots=True)
class _Pattern:
    """What most test currents of a series are: a multiple of hold, or one current; which rows fit it."""

    value: float
    rows: int
    by_multiple: bool
    fitting: tuple[bool, ...]

    @property
    def unit(self) -> str:
        """What the value counts."""
        return "times hold" if self.by_multiple else "A"

    def is_limited(self, current: float, hold: float, holds: Sequence[float]) -> bool:
        """Vendors test the largest parts at less than the pattern asks for (published vendor data); a current
        for all would be too much for the smallest part (common practice, no source)."""
        if self.by_multiple:
            return hold == max(holds) and current < self.value * hold
        return hold == min(holds) and current < self.value


def _rows_to_pattern(rows: Sequence[tuple[float, float]], limits: Limits) -> _Pattern | None:
    """The pattern of test and hold currents, if nearly all rows keep it."""
    if len(rows) < limits.series.rows + 2:
        return None
    multiples = Counter(round(current / hold, 2) for current, hold in rows)
    currents = Counter(current for current, _ in rows)
    by_multiple = bool(_common(multiples, len(rows)))
    found = _common(multiples if by_multiple else currents, len(rows))
    if not found or (not by_multiple and max(found.values()) < _ONE_CURRENT * len(rows)):
        return None
    value, count = next(iter(found.items()))
    if by_multiple:
        fitting = tuple(_is_near(current / hold, value) for current, hold in rows)
    else:
        fitting = tuple(
            _is_near(current, value) or currents[current] > 1 or multiples[round(current / hold, 2)] > 1
            for current, hold in rows
        )
    if sum(fitting) < min(limits.series.test_pattern_share * len(rows), len(rows) - 1):
        return None
    return _Pattern(value, count, by_multiple, fitting)


_ONE_CURRENT = 0.85
"""Share of rows that must have one test current before another is odd (common practice, no source)."""


def _common(counts: Counter[float], rows: int) -> dict[float, int]:
    """The most frequent value and its count if more than half of the rows have it, else nothing."""
    value, count = counts.most_common(1)[0]
    return {value: count} if count > 0.5 * rows else {}


def _is_near(value: float, pattern: float) -> bool:
    return abs(value - pattern) <= 0.012 * max(value, pattern)


_SMOOTH = (
    (Quantity.TRIP_CURRENT, (Kind.NONE,)),
    (Quantity.RESISTANCE, (Kind.MIN,)),
    (Quantity.RESISTANCE, (Kind.TYP,)),
    (Quantity.RESISTANCE, (Kind.MAX,)),
    (Quantity.RESISTANCE, (Kind.POST_TRIP_MAX,)),
    (Quantity.TRIPPED_POWER, (Kind.TYP, Kind.NONE, Kind.MAX)),
)


def series_to_outliers(parts: Sequence[PartNumbers], limits: Limits) -> Iterator[Suspicion]:
    """Trip current, resistances and power change evenly along the hold currents of a series."""
    for quantity, kinds in _SMOOTH:
        rows = sorted(
            (
                (part.hold.value, number.value, part, number)
                for part in parts
                if part.hold
                and part.hold.value > 0
                and (number := part.trip if quantity is Quantity.TRIP_CURRENT else part.get(quantity, *kinds))
                and number.value > 0
            ),
            key=lambda row: row[0],
        )
        if len(rows) < limits.series.rows + 1:
            continue
        logs = [(math.log(hold), math.log(value)) for hold, value, _, _ in rows]
        slope = _log_slope(logs)
        flat = [y - slope * x for x, y in logs]
        reach = limits.series.neighbour_rows
        factor = limits.series.neighbour_factor[quantity]
        for place, (_, value, part, number) in enumerate(rows):
            near = flat[max(0, place - reach) : place] + flat[place + 1 : place + 1 + reach]
            off = flat[place] - median(near)
            if abs(off) > math.log(factor):
                yield Suspicion(
                    codes.NEIGHBOUR_OUTLIER,
                    Severity.DOUBT,
                    part,
                    (number,),
                    f"about {value_to_text(float(f'{value / math.exp(off):.2g}'), quantity)}",
                    f"{number_to_name(number)} {number_to_text(number)} is"
                    f" {rounded(math.exp(abs(off)), 3)} times {'above' if off > 0 else 'below'} what the"
                    " parts of nearest hold current suggest",
                    size=math.exp(off),
                )


def series_to_odd_times(parts: Sequence[PartNumbers], limits: Limits) -> Iterator[Suspicion]:
    """Trip times stated at one multiple of hold, or at one current, change evenly along the hold currents."""
    rows = [
        (part.hold.value, time.value, time.test_current_a, part, time)
        for part in parts
        if part.hold and part.hold.value > 0
        for time in part.times
        if time.test_current_a and time.value > 0
    ]
    groups: dict[tuple[str, float], list[tuple[float, float, PartNumbers, Number]]] = defaultdict(list)
    for hold, value, current, part, time in rows:
        groups["multiple", round(current / hold, 1)].append((hold, value, part, time))
        groups["current", current].append((hold, value, part, time))
    told: set[int] = set()
    for group in sorted(groups.values(), key=len, reverse=True):
        if len(group) < limits.series.rows + 1:
            continue
        yield from _odd_times(sorted(group, key=lambda row: row[0]), limits, told)
        told |= {id(time) for *_, time in group}


def _odd_times(
    rows: Sequence[tuple[float, float, PartNumbers, Number]], limits: Limits, told: set[int]
) -> Iterator[Suspicion]:
    logs = [(math.log(hold), math.log(value)) for hold, value, _, _ in rows]
    slope = _log_slope(logs)
    flat = [y - slope * x for x, y in logs]
    reach = limits.series.neighbour_rows
    furthest = math.log(limits.series.neighbour_factor[Quantity.TIME_TO_TRIP])
    for place, (_, value, part, time) in enumerate(rows):
        near = flat[max(0, place - reach) : place] + flat[place + 1 : place + 1 + reach]
        off = flat[place] - median(near)
        if abs(off) > furthest and id(time) not in told:
            yield Suspicion(
                codes.NEIGHBOUR_OUTLIER,
                Severity.DOUBT,
                part,
                (time,),
                f"about {value_to_text(float(f'{value / math.exp(off):.2g}'), Quantity.TIME_TO_TRIP)}",
                f"{number_to_name(time)} {number_to_text(time)} is {rounded(math.exp(abs(off)), 3)} times"
                f" {'above' if off > 0 else 'below'} what the parts of nearest hold current suggest",
            )


def _log_slope(logs: Sequence[tuple[float, float]]) -> float:
    """Middle slope between points a third of the series apart (robust to single outliers)."""
    apart = max(1, len(logs) // 3)
    slopes = [
        (logs[n + apart][1] - logs[n][1]) / (logs[n + apart][0] - logs[n][0])
        for n in range(len(logs) - apart)
        if logs[n + apart][0] - logs[n][0] > 0.05
    ]
    return median(slopes) if slopes else 0.0


def series_to_copies(parts: Sequence[PartNumbers], limits: Limits) -> Iterator[Suspicion]:
    """A trip or hold current equal to that of the row above or below although the other of the two
    differs there is doubted, unless another row has the same pair or the ratio is the series' own. Where
    that is so in many rows it is how the series is made."""
    rows = [one for one in _parts_to_siblings(parts) if min(one[1].value, one[2].value) > 0]
    if len(rows) < limits.series.rows:
        return
    pairs = Counter((hold.value, trip.value) for _, hold, trip in rows)
    ratio = _rows_to_ratio(rows)
    alone = [place for place, (_, hold, trip) in enumerate(rows) if pairs[hold.value, trip.value] == 1]
    found = [copy for place in alone if (copy := _place_to_copy(rows, place, ratio)) is not None]
    if len(found) <= max(2, 0.1 * len(rows)):
        yield from found


def _parts_to_siblings(parts: Sequence[PartNumbers]) -> list[Sibling]:
    """The parts that have a hold and a trip current."""
    return [(part, part.hold, part.trip) for part in parts if part.hold and part.trip]


def _rows_to_ratio(rows: Sequence[Sibling]) -> float | None:
    """Trip over hold that three rows or more share."""
    usual, count = Counter(round(trip.value / hold.value, 2) for _, hold, trip in rows).most_common(1)[0]
    return usual if count >= 3 and usual > 0 else None


def _place_to_copy(rows: Sequence[Sibling], place: int, ratio: float | None) -> Suspicion | None:
    """The suspicion that one of a row's two currents is the neighbour's."""
    part, hold, trip = rows[place]
    if ratio is not None and _fits_ratio(hold, trip, ratio):
        return None
    if _is_coded(part, hold) and trip.value not in _beside_trips(rows, place):
        return None
    for beside in (place - 1, place + 1):
        if 0 <= beside < len(rows) and _is_copy((hold, trip), rows[beside][1:], ratio):
            return _copy_to_suspicion(part, (hold, trip), rows[beside])
    return None


def _beside_trips(rows: Sequence[tuple[PartNumbers, Number, Number]], place: int) -> set[float]:
    return {rows[n][2].value for n in (place - 1, place + 1) if 0 <= n < len(rows)}


def _is_coded(part: PartNumbers, hold: Number) -> bool:
    """Whether the part number says the hold current in hundredths of an ampere, the commonest code."""
    hundredths = round(hold.value * 100)
    runs = re.findall(r"\d+", part.part_number)
    return abs(hold.value * 100 - hundredths) < 1e-6 and any(int(run) == hundredths for run in runs[:8])


def _is_copy(own: tuple[Number, Number], there: tuple[Number, Number], ratio: float | None) -> bool:
    """Whether one of hold and trip equals the other row's, and the pair fits the usual ratio worse."""
    (hold, trip), (other_hold, other_trip) = own, there
    if (trip.value == other_trip.value) == (hold.value == other_hold.value):
        return False
    if ratio is None:
        return True
    mine, theirs = trip.value / hold.value, other_trip.value / other_hold.value
    return abs(math.log(mine / ratio)) > abs(math.log(theirs / ratio)) + 1e-9


def _copy_to_suspicion(
    part: PartNumbers, own: tuple[Number, Number], beside: tuple[PartNumbers, Number, Number]
) -> Suspicion:
    hold, trip = own
    copied, kept = (trip, hold) if trip.value == beside[2].value else (hold, trip)
    return Suspicion(
        codes.NEIGHBOUR_COPY,
        Severity.DOUBT,
        part,
        (copied, kept),
        f"another value than {beside[0].part_number} has",
        f"{number_to_name(copied)} {number_to_text(copied)} equals that of"
        f" {beside[0].part_number}, {number_to_name(kept)} does not",
    )


def _fits_ratio(hold: Number, trip: Number, usual: float) -> bool:
    """Whether trip over hold is the usual ratio within printed rounding."""
    slack = 0.5 * trip.step / hold.value + 0.5 * usual * hold.step / hold.value + 0.005
    return abs(trip.value / hold.value - usual) <= slack


def series_to_siblings(parts: Sequence[PartNumbers], limits: Limits) -> Iterator[Suspicion]:
    """Parts of one hold current in one series have one trip current, where the series does so mostly."""
    groups: dict[float, list[Sibling]] = defaultdict(list)
    for one in _parts_to_siblings(parts):
        groups[one[1].value].append(one)
    several = [group for group in groups.values() if len(group) > 1]
    alike = sum(len({trip.value for *_, trip in group}) == 1 for group in several)
    if alike < limits.series.share * len(several) and len(several) > 1:
        return
    for group in several:
        yield from _group_to_suspicions(group, limits.series.sibling_factor)


def _group_to_suspicions(group: Sequence[Sibling], factor: float) -> Iterator[Suspicion]:
    """The parts of one hold current whose trip current is not the commonest; all where none is common."""
    common, count = Counter(trip.value for *_, trip in group).most_common(1)[0]
    if count < len(group):
        yield from (
            _sibling_to_suspicion(one, group, factor) for one in group if one[2].value != common or count == 1
        )


Sibling = tuple[PartNumbers, Number, Number]
"""A part with its hold and trip current."""


def _sibling_to_suspicion(one: Sibling, group: Sequence[Sibling], factor: float) -> Suspicion:
    """What differs by no more than sizes of one current do is a note."""
    part, hold, trip = one
    other, _, theirs = next(sibling for sibling in group if sibling[2].value != trip.value)
    low, high = sorted((trip.value, theirs.value))
    return Suspicion(
        codes.SIBLING_DIFFERS,
        Severity.DOUBT if high > factor * low else Severity.NOTE,
        part,
        (trip, hold),
        f"{number_to_text(theirs)} as {other.part_number}",
        f"{other.part_number} holds as much but trips at {number_to_text(theirs)}",
    )


def series_to_footnotes(parts: Sequence[PartNumbers], limits: Limits) -> Iterator[Suspicion]:
    """A voltage or fault current that is a usual one of the series with one more digit behind it."""
    for quantity in (Quantity.MAX_VOLTAGE, Quantity.MAX_CURRENT):
        rows = [
            (part, n) for part in parts if (n := part.get(quantity, Kind.NONE, Kind.DC, Kind.AC)) is not None
        ]
        seen = Counter(n.value for _, n in rows)
        for part, number in rows:
            whole, digit = divmod(number.value, 10)
            usual = limits.bounds[quantity].usual[1]
            if (
                digit
                and digit == int(digit)
                and seen[whole] >= 2
                and seen[number.value] == 1
                and (number.value not in limits.allowed[quantity] or number.value > usual)
            ):
                yield Suspicion(
                    codes.FOOTNOTE_DIGIT,
                    Severity.DOUBT,
                    part,
                    (number,),
                    value_to_text(whole, quantity),
                    f"{number_to_name(number)} {number_to_text(number)} is"
                    f" {value_to_text(whole, quantity)} of other rows with a {digit:g} behind it",
                )


def series_to_exchanged_ratings(parts: Sequence[PartNumbers], limits: Limits) -> Iterator[Suspicion]:
    """A voltage that only fault currents of the series have, beside a fault current that only its voltages
    have, or that is a usual voltage and no usual fault current."""
    rows = [
        (part, volts, amps)
        for part in parts
        if (volts := part.get(Quantity.MAX_VOLTAGE, Kind.NONE, Kind.DC, Kind.AC)) is not None
        and (amps := part.get(Quantity.MAX_CURRENT, Kind.NONE, Kind.DC, Kind.AC)) is not None
    ]
    voltages = Counter(volts.value for _, volts, _ in rows)
    currents = Counter(amps.value for _, _, amps in rows)
    for part, volts, amps in rows:
        v, i = volts.value, amps.value
        if voltages[v] > 1 or currents[i] > 1 or currents[v] < limits.series.exchanged_rows:
            continue
        listed = i in limits.allowed[Quantity.MAX_VOLTAGE] and i not in limits.allowed[Quantity.MAX_CURRENT]
        if voltages[i] or listed:
            yield Suspicion(
                codes.RATINGS_EXCHANGED,
                Severity.DOUBT,
                part,
                (volts, amps),
                f"{i:g} V and {v:g} A",
                f"{currents[v]} rows have {v:g} as fault current, none as voltage; the fault current {i:g} A"
                f" {f'is a voltage of {voltages[i]} rows' if voltages[i] else 'is a usual voltage'}",
            )
