"""The numbers of many parts in columns.

Comes in: parts, or a `PartSource`. Goes out: `PartColumns`: one array for each kind of single number, hold
and trip current by ambient, points of times to trip; `plain` tells the parts that stand in them whole. A part
whose numbers leave something to settle is not plain: a person's word among several readings, two values for
one number, a disputed column, a reference ambient that must be reasoned about, a typical time, a drawn curve.
Judges nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from compare.columns.part_source import KINDS, QUANTITIES, FlatNumbers, GivenParts, PartSource
from compare.columns.rows import NAN, At, Bools, Codes, Floats, Row, placed_rows_to_row
from compare.packages import package_area_mm2
from compare.part_numbers import PartNumbers, part_to_numbers
from extract.reference import USUAL_C
from extract.schema import Kind, Part, ParticularName, Quantity

MOST_POINTS = 6
"""A part with more tabulated times is judged by itself."""
KEPT_AMBIENTS = 24
"""Answers of rows that are kept: those of a requirement, and of the one before while it is changed."""


class Single(NamedTuple):
    """One number of each part: its value, not a number where it has none that may be used; whether the sheet
    gives any; the ambient, °C, and the test current, A, printed with it, not a number where there is none."""

    value: Floats
    given: Bools
    ambient_c: Floats
    test_a: Floats


class Points(NamedTuple):
    """Tabulated times to trip, a column for each, by current; not a number where a part has fewer, or where
    their ambient cannot be told."""

    current_a: Floats
    time_s: Floats
    ambient_c: Floats


@dataclass(frozen=True, slots=True)
class PartColumns:
    """Parts in columns.

    count: how many; plain: whether a part stands in them whole; with_curves: whether it has drawn curves,
    which stand in no column and tell times to trip; hold, trip: currents by ambient, `trip` where the sheet
    has a row of its own; lone_trip_a, lone_trip_c: else the one trip current and its ambient; rated_c: its
    reference ambient, °C; points_assumed: whether the sheet leaves out an ambient of its times;
    resistance_ohm, area_mm2, name_rank: what breaks ties, infinite where unknown.
    """

    source: PartSource
    count: int
    plain: Bools
    with_curves: Bools
    singles: dict[tuple[Quantity, Kind], Single]
    hold: Row
    trip: Row
    lone_trip_a: Floats
    lone_trip_c: Floats
    rated_c: Floats
    points: Points
    points_assumed: Bools
    packages: tuple[tuple[str, ...], ...]
    package_of: Codes
    resistance_ohm: Floats
    area_mm2: Floats
    name_rank: Codes
    sorted_numbers: dict[int, PartNumbers]
    same_said: dict[frozenset[ParticularName], Codes]
    asked: dict[tuple[str, float], At]

    def hold_at(self, ambient_c: float) -> At:
        """Hold current at an ambient, °C; kept, since several questions ask the same."""
        return self._kept("hold", self.hold, ambient_c, ambient_c)

    def trip_row_at(self, ambient_c: float) -> At:
        """Trip current of the parts that have a row of their own, at an ambient, °C."""
        return self._kept("trip", self.trip, ambient_c, ambient_c)

    def hold_of_lone_trip(self) -> At:
        """Hold current where the one trip current of a part is stated."""
        return self._kept("hold of lone trip", self.hold, self.lone_trip_c, 0.0)

    def known_at(self, point: int) -> tuple[At, At]:
        """Hold current and trip row at the ambient of a tabulated time."""
        known_c = self.points.ambient_c[:, point]
        return (self._kept("hold of time", self.hold, known_c, point),
                self._kept("trip of time", self.trip, known_c, point))

    def _kept(self, name: str, row: Row, ambient_c: float | Floats, key: float) -> At:
        found = self.asked.get((name, key))
        if found is None:
            found = self.asked[name, key] = row.at(ambient_c)
            if len(self.asked) > KEPT_AMBIENTS:
                del self.asked[next(iter(self.asked))]
        return found

    def numbers(self, index: int) -> PartNumbers:
        """The numbers of one part, sorted when first asked for."""
        if index not in self.sorted_numbers:
            self.fetch((index,))
        return self.sorted_numbers[index]

    def fetch(self, places: Iterable[int]) -> None:
        """Have these parts made and sorted, all at once: many are about to be asked for one by one."""
        missing = sorted({place for place in map(int, places) if place not in self.sorted_numbers})
        if missing:
            found = self.source.parts(missing)
            self.sorted_numbers.update(zip(missing, map(part_to_numbers, found), strict=True))

    def said(self, names: frozenset[ParticularName]) -> Codes:
        """Codes of what sheets say of each part under some names; the same for parts of which they say the
        same."""
        found = self.same_said.get(names)
        if found is None:
            found = self.same_said[names] = self.source.said(names)
        return found

    def single(self, quantity: Quantity, kind: Kind) -> Single:
        """One number of each part."""
        found = self.singles.get((quantity, kind))
        if found is None:
            nothing = np.full(self.count, NAN)
            found = Single(nothing, np.zeros(self.count, bool), nothing, nothing)
        return found


def parts_to_columns(parts: Iterable[Part]) -> PartColumns:
    """Put parts in columns."""
    return source_to_columns(GivenParts(parts))


def source_to_columns(source: PartSource) -> PartColumns:
    """Put the parts of a source in columns; each number is looked at once."""
    with np.errstate(all="ignore"):  # not a number is a number that is missing
        return _in_columns(source)


def _in_columns(source: PartSource) -> PartColumns:
    names = source.names()
    count = len(names)
    flat = _without_overruled_series(source.numbers(), count)
    singles, settled = _singles(flat, count)
    hold, rated_c, with_hold = _hold(flat, count)
    trip, lone_a, lone_c, with_trip = _trip(flat, count)
    points, points_assumed, with_points = _points(flat, count, rated_c)
    lone_hold_a = hold.at(lone_c).value
    plain = settled & with_hold & with_trip & with_points & ~(lone_hold_a <= 0.0)
    packages, package_of = _packages(source.packages())
    areas = np.array([_area_mm2(texts) for texts in packages])[package_of]
    return PartColumns(
        source, count, plain, source.with_curves(), singles, hold, trip, lone_a, lone_c, rated_c, points,
        points_assumed, packages, package_of, _tie_resistance(singles, count), areas, _name_rank(names),
        {}, {}, {})


def _is(flat: FlatNumbers, *quantities: Quantity) -> Bools:
    return np.asarray(np.isin(flat.quantity, [QUANTITIES.index(quantity) for quantity in quantities]), bool)


ROWS = (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT, Quantity.HOLD_RATIO, Quantity.TRIP_RATIO)


def _without_overruled_series(flat: FlatNumbers, count: int) -> FlatNumbers:
    """Rows of the whole series count only where the part has none of its own, and other
    numbers of it never."""
    if not flat.series.any():
        return flat
    keep = ~flat.series
    for quantity in ROWS:
        of_it = _is(flat, quantity)
        owners = np.bincount(flat.part[of_it & ~flat.series], minlength=count) > 0
        keep |= of_it & flat.series & ~owners[flat.part]
    return flat.where(keep)


def _singles(flat: FlatNumbers, count: int) -> tuple[dict[tuple[Quantity, Kind], Single], Bools]:
    """All single numbers, and the parts that give each of them once."""
    found: dict[tuple[Quantity, Kind], Single] = {}
    settled = np.ones(count, bool)
    single = flat.where(~_is(flat, *ROWS, Quantity.TIME_TO_TRIP))
    slots = single.quantity * len(KINDS) + single.kind
    for slot in np.unique(slots):
        here = single.where(slots == slot)
        settled &= np.bincount(here.part, minlength=count) <= 1
        usable = ~here.disputed & (here.value > 0.0) & np.isfinite(here.value)
        columns = [_spread(count, here.part, column) for column in (
            np.where(usable, here.value, NAN), here.ambient_c, here.test_a)]
        given = np.zeros(count, bool)
        given[here.part] = True
        key = QUANTITIES[slot // len(KINDS)], KINDS[slot % len(KINDS)]
        found[key] = Single(columns[0], given, columns[1], columns[2])
    return found, settled


def _spread(count: int, part: Codes, value: Floats) -> Floats:
    column = np.full(count, NAN)
    column[part] = value
    return column


def _hold(flat: FlatNumbers, count: int) -> tuple[Row, Floats, Bools]:
    """Hold current by ambient, the reference ambient, and the parts of which both are plain."""
    amps, shares = flat.where(_is(flat, Quantity.HOLD_CURRENT)), flat.where(_is(flat, Quantity.HOLD_RATIO))
    by_amps = placed_rows_to_row(amps.part, amps.ambient_c, amps.value, count)
    by_share = placed_rows_to_row(shares.part, shares.ambient_c, shares.value, count)
    plain = _sound(amps, count) & _sound(shares, count)
    with_share = by_share.columns_of_part() > 0
    lone = by_amps.columns_of_part() == 1
    lone_a, lone_c = by_amps.only()
    full_c, fulls = by_share.full_column()
    plain &= ~with_share | (lone & (fulls == 1) & (full_c == lone_c))
    usual = by_amps.columns_within(*USUAL_C)
    first_usual_c, usual_count = usual
    rated_c = np.where(with_share, lone_c, np.where(lone, lone_c, np.where(usual_count == 1, first_usual_c,
                                                                            NAN)))
    plain &= with_share | lone | (usual_count <= 1)
    return by_amps.or_scaled(by_share, lone_a, with_share), rated_c, plain


def _trip(flat: FlatNumbers, count: int) -> tuple[Row, Floats, Floats, Bools]:
    """Trip current by ambient, or the one there is and its ambient."""
    amps, shares = flat.where(_is(flat, Quantity.TRIP_CURRENT)), flat.where(_is(flat, Quantity.TRIP_RATIO))
    by_amps = placed_rows_to_row(amps.part, amps.ambient_c, amps.value, count)
    by_share = placed_rows_to_row(shares.part, shares.ambient_c, shares.value, count)
    plain = _sound(amps, count, zero=False) & _sound(shares, count, zero=False)
    with_share = by_share.columns_of_part() > 0
    lone = by_amps.columns_of_part() == 1
    lone_a, lone_c = by_amps.only()
    full_c, fulls = by_share.full_column()
    plain &= ~with_share | (lone & (fulls == 1) & (full_c == lone_c))
    alone = lone & ~with_share
    row = by_amps.or_scaled(by_share, lone_a, with_share).without(alone)
    return row, np.where(alone, lone_a, NAN), np.where(alone, lone_c, NAN), plain


def _sound(rows: FlatNumbers, count: int, *, zero: bool = True) -> Bools:
    """Parts whose columns have an ambient each, once, and a value that may be used."""
    low = rows.value < 0.0 if zero else rows.value <= 0.0
    bad = rows.disputed | low | ~np.isfinite(rows.value) | np.isnan(rows.ambient_c)
    sound = np.asarray(np.bincount(rows.part[bad], minlength=count) == 0, bool)
    order = np.lexsort((rows.ambient_c, rows.part))
    part, ambient_c = rows.part[order], rows.ambient_c[order]
    twice = (part[1:] == part[:-1]) & (ambient_c[1:] - ambient_c[:-1] <= 1e-5)
    sound[part[1:][twice]] = False
    return sound


def _points(flat: FlatNumbers, count: int, rated_c: Floats) -> tuple[Points, Bools, Bools]:
    """Tabulated times by current, at the reference ambient where none is stated."""
    times = flat.where(_is(flat, Quantity.TIME_TO_TRIP) & (flat.test_a > 0.0))
    plain = np.ones(count, bool)
    bad = times.disputed | ~(times.value > 0.0) | ~np.isfinite(times.value) | (
        times.kind == KINDS.index(Kind.TYP))
    plain[times.part[bad]] = False
    times = times.where(np.lexsort((times.kind, times.ambient_c, times.test_a, times.part)))
    same_c = (times.ambient_c[1:] == times.ambient_c[:-1]) | (
        np.isnan(times.ambient_c[1:]) & np.isnan(times.ambient_c[:-1]))
    twice = (times.part[1:] == times.part[:-1]) & (times.test_a[1:] == times.test_a[:-1]) & same_c
    plain[times.part[1:][twice]] = False
    counts = np.bincount(times.part, minlength=count)
    plain &= counts <= MOST_POINTS
    place = np.arange(len(times.part)) - np.repeat(np.cumsum(counts) - counts, counts)
    kept = place < MOST_POINTS
    width = int(place[kept].max()) + 1 if kept.any() else 0
    columns = [np.full((count, width), NAN) for _ in range(3)]
    silent = np.bincount(times.part[np.isnan(times.ambient_c)], minlength=count) > 0
    stated_c = np.where(np.isnan(times.ambient_c), rated_c[times.part], times.ambient_c)
    for column, values in zip(columns, (times.test_a, times.value, stated_c), strict=True):
        column[times.part[kept], place[kept]] = values[kept]
    return Points(*columns), np.asarray(silent, bool), plain


def _packages(texts: Sequence[tuple[str, ...]]) -> tuple[tuple[tuple[str, ...], ...], Codes]:
    """Every set of printed package texts once, and which of them a part has."""
    known = {text: code for code, text in enumerate(dict.fromkeys(texts))}
    return tuple(known), np.fromiter([known[text] for text in texts], np.int64, len(texts))


def _area_mm2(texts: tuple[str, ...]) -> float:
    found = next((area for text in texts if (area := package_area_mm2(text)) is not None), None)
    return float("inf") if found is None else found


def _tie_resistance(singles: dict[tuple[Quantity, Kind], Single], count: int) -> Floats:
    """The largest resistance after a trip, or as delivered, ohm."""
    found = np.full(count, np.inf)
    for kind in (Kind.MIN, Kind.MAX, Kind.POST_TRIP_MAX):
        one = singles.get((Quantity.RESISTANCE, kind))
        if one is not None:
            found = np.where(np.isnan(one.value), found, one.value)
    return found


def _name_rank(names: Sequence[tuple[str, str]]) -> Codes:
    rank = np.empty(len(names), np.int64)
    rank[sorted(range(len(names)), key=names.__getitem__)] = np.arange(len(names))
    return rank
