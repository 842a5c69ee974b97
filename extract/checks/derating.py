"""Rows over the ambient: hold and trip fall evenly, and one series shares one shape.

Comes in: derating rows of one part, or of a series. Goes out: suspicions. Interpolates for doubt
only: no value is filled in. Printed rounding is allowed for in every rule.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from extract.checks import codes
from extract.checks.limits import DeratingLimits, Limits
from extract.checks.numbers import PartNumbers, Point
from extract.checks.suspicions import Suspicion
from extract.checks.writing import number_to_name, number_to_text, rounded, value_to_text
from extract.schema import UNIT_OF, Quantity, Severity


def part_to_trend(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:
    """Hold and trip current never rise with the ambient."""
    for row in (part.hold_row, part.trip_row):
        for place, (cool, warm) in enumerate(pairwise(row)):
            if warm.number.value > cool.number.value:
                pair = (place, place + 1)
                worst = max(pair, key=lambda n: abs(_off_line(row, n, limits.derating)[0]))
                numbers = (row[worst].number, row[pair[0] + pair[1] - worst].number)
                yield Suspicion(
                    codes.RISES_WITH_AMBIENT,
                    Severity.ERROR,
                    part,
                    numbers,
                    f"at {warm.ambient_c:g} °C at most {number_to_text(cool.number)}",
                    f"{number_to_text(cool.number)} at {cool.ambient_c:g} °C but"
                    f" {number_to_text(warm.number)} at {warm.ambient_c:g} °C",
                )


def part_to_slope(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:
    """Each step of a hold row falls as steeply as published rows do."""
    low, high = limits.derating.slope_usual
    row = part.hold_row
    for place, (cool, warm) in enumerate(pairwise(row)):
        width = warm.ambient_c - cool.ambient_c
        if width < 4:  # 20 against 23 or 25 °C: rounding swallows such a step
            continue
        slope = (cool.share - warm.share) / width
        allowance = (cool.rounding + warm.rounding) / width + 1e-9
        if low - allowance <= slope <= high + allowance:
            continue
        if slope < 0:
            continue  # part_to_trend says so
        pair = (place, place + 1)
        worst = max(pair, key=lambda n: abs(_off_line(row, n, limits.derating)[0]))
        numbers = (row[worst].number, row[pair[0] + pair[1] - worst].number)
        yield Suspicion(
            codes.DERATING_SLOPE,
            Severity.DOUBT,
            part,
            numbers,
            f"{rounded(100 * low, 2)} to {rounded(100 * high, 3)} % of the rating for each °C",
            f"from {cool.ambient_c:g} to {warm.ambient_c:g} °C the row falls by"
            f" {rounded(100 * slope, 2)} % of the rating for each °C",
            slope,
        )


def part_to_line(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:
    """Each cell of a hold row lies near the line through its neighbours (leave one out)."""
    row = part.hold_row
    if len(row) < 4:
        return
    offs = [_off_line(row, place, limits.derating) for place in range(len(row))]
    for place, (off, allowed) in enumerate(offs):
        beside = [
            abs(offs[n][0]) / offs[n][1]
            for n in (place - 2, place - 1, place + 1, place + 2)
            if 0 <= n < len(row) and offs[n][1] > 0
        ]
        if abs(off) > allowed > 0 and all(abs(off) / allowed >= other for other in beside):
            number = row[place].number
            near = (row[place].share - off) * number.value / row[place].share if row[place].share else 0.0
            yield Suspicion(
                codes.DERATING_OFF_LINE,
                Severity.DOUBT,
                part,
                (number,),
                f"near {value_to_text(near, number.quantity)}",
                f"{number_to_name(number)} {number_to_text(number)} is"
                f" {rounded(100 * abs(off), 2)} points of the rating off its neighbours' line",
                off,
            )


def _off_line(row: Sequence[Point], place: int, limits: DeratingLimits) -> tuple[float, float]:
    """How far a cell lies off the line through its two nearest neighbours, and how far it may."""
    last = len(row) - 1
    inner = 0 < place < last
    left, right = (place - 1, place + 1) if inner else ((1, 2) if place == 0 else (last - 2, last - 1))
    if not 0 <= left < right <= last:
        return 0.0, 1.0
    a, b, own = row[left], row[right], row[place]
    weight = (own.ambient_c - a.ambient_c) / (b.ambient_c - a.ambient_c)
    expected = a.share + weight * (b.share - a.share)
    rounding = own.rounding + abs(1 - weight) * a.rounding + abs(weight) * b.rounding
    return own.share - expected, (limits.off_line if inner else limits.off_line_at_ends) + rounding


def part_to_reference(part: PartNumbers, limits: Limits) -> Iterator[Suspicion]:
    """A rating given twice is the same twice; ratios are 100 % at the reference ambient."""
    for other in part.again:
        hold = part.hold
        if hold and hold.value > 0 and abs(other.value / hold.value - 1) > limits.derating.reference_differs:
            yield Suspicion(
                codes.REFERENCE_DIFFERS,
                Severity.DOUBT,
                part,
                (other, hold),
                number_to_text(hold),
                f"{number_to_text(hold)} and {number_to_text(other)} are both given as hold"
                " current at the reference ambient",
            )
    for row in (part.hold_row, part.trip_row):
        for point in row:
            if (
                UNIT_OF[point.number.quantity] == "1"
                and point.ambient_c == part.reference_c
                and abs(point.share - 1) > point.rounding + 1e-9
                and point.number.quantity is Quantity.HOLD_RATIO
            ):
                yield Suspicion(
                    codes.REFERENCE_RATIO,
                    Severity.DOUBT,
                    part,
                    (point.number,),
                    "100 %",
                    f"the ratio at the reference ambient is {number_to_text(point.number)}",
                )


def series_to_shapes(parts: Sequence[PartNumbers], limits: Limits) -> Iterator[Suspicion]:
    """Rows of one series mostly share a shape: a row that agrees with another in all cells but one is
    doubted there, unless a third agrees with it in all."""
    rows = [part for part in parts if len(part.hold_row) >= 5]
    for place, part in enumerate(rows):
        reach = limits.derating.neighbours
        others = [rows[n] for n in _nearest(place, len(rows), reach) if rows[n].series == part.series]
        odd = _odd_cell(part, others, limits.derating)
        if odd is None:
            continue
        point, like, share, known = odd
        expected = share * (point.number.value / point.share) if point.share else 0.0
        yield Suspicion(
            codes.DERATING_OFF_SHAPE,
            Severity.DOUBT,
            part,
            (point.number,),
            f"near {value_to_text(expected, point.number.quantity)}",
            f"{number_to_name(point.number)} {number_to_text(point.number)} is the one cell in which"
            f" the row differs from the shape of {like.part_number}"
            + (f" and {known - 1} more" if known > 1 else ""),
        )


def _nearest(place: int, count: int, reach: int) -> list[int]:
    """Places around one, nearest first."""
    around = range(max(0, place - reach), min(count, place + reach + 1))
    return sorted((n for n in around if n != place), key=lambda n: abs(n - place))


def _odd_cell(
    part: PartNumbers, others: Sequence[PartNumbers], limits: DeratingLimits
) -> tuple[Point, PartNumbers, float, int] | None:
    """The one cell in which a row differs from most rows it otherwise agrees with."""
    votes: dict[float, list[tuple[PartNumbers, float]]] = {}
    own = {point.ambient_c: point for point in part.hold_row}
    for other in others:
        theirs = {point.ambient_c: point for point in other.hold_row}
        if not _is_as_fine(theirs, own):
            continue
        differing = [
            a
            for a, p in own.items()
            if abs(p.share - theirs[a].share) > p.rounding + theirs[a].rounding + limits.same_shape
        ]
        if not differing:
            return None
        if len(differing) == 1 and _is_off(own[differing[0]], theirs[differing[0]], limits):
            weight = 2 if _holds_alike(part, other) else 1
            share = theirs[differing[0]].share
            votes.setdefault(differing[0], []).extend([(other, share)] * weight)
    if not votes:
        return None
    ambient_c = max(votes, key=lambda a: len(votes[a]))
    if len(votes[ambient_c]) < 2 and len(others) > 2:
        return None
    like, share = votes[ambient_c][0]
    return own[ambient_c], like, share, len({id(other) for other, _ in votes[ambient_c]})


def _is_as_fine(theirs: Mapping[float, Point], own: Mapping[float, Point]) -> bool:
    """Whether a row has the same ambients, and is not printed so coarsely that it agrees with anything."""
    return theirs.keys() == own.keys() and all(
        q.rounding <= 2 * own[a].rounding + 0.006 for a, q in theirs.items()
    )


def _is_off(p: Point, q: Point, limits: DeratingLimits) -> bool:
    """Whether two cells differ by more than their printed digits explain."""
    return abs(p.share - q.share) > max(p.rounding + q.rounding + limits.off_shape, 2.2 * _step_share(p))


def _step_share(point: Point) -> float:
    """What one printed digit of a cell is as a share of the rating."""
    value = point.number.value
    return point.number.step * point.share / value if value else 0.0


def _holds_alike(a: PartNumbers, b: PartNumbers) -> bool:
    return a.hold is not None and b.hold is not None and a.hold.value == b.hold.value
