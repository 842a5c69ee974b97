"""Many parts held against one requirement: the corners at which each is asked, as columns.

Comes in: `PartColumns`, a requirement. Goes out: a `ColumnCase`: what `corners.Case` is for one part. Does
not judge.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from compare.columns.part_columns import PartColumns, Single
from compare.columns.rows import NAN, At, Codes, Floats
from compare.corners import KIND_OF_SUPPLY, supply_at_most_a
from compare.derating import SAME_AMBIENT_K
from compare.pulses import fault_current_a
from compare.records import BASIS_RANK, Basis
from compare.requirement import Requirement
from extract.schema import Kind, Quantity

DATA, INTERPOLATED = BASIS_RANK[Basis.DATA], BASIS_RANK[Basis.INTERPOLATED]
ASSUMED, MODEL = BASIS_RANK[Basis.ASSUMED], BASIS_RANK[Basis.MODEL]
UNLABELLED = -1
"""Place of a tripped power that the sheet does not give, in a list of kinds."""


class Column(NamedTuple):
    """A number of each part, not a number where nothing may be said, and what it rests on, by `BASIS_RANK`.
    """

    value: Floats
    basis: Codes


class ColumnCase(NamedTuple):
    """Parts and requirement, and of each part the corners: hold at the hottest and the coldest, trip at the
    coldest, also its bounds where it is not known, lowest and highest fault current, and what
    the lowest surely does not exceed."""

    parts: PartColumns
    requirement: Requirement
    hold_hot: At
    hold_cold: At
    trip_cold: Column
    trip_cold_most: Floats
    trip_cold_least: Floats
    lowest_fault: Column
    fault_at_most_a: Floats
    highest_fault: Column

    @property
    def size(self) -> int:
        """How many parts there are."""
        return self.parts.count

    def known(self, value: float | None) -> Floats:
        """The same number for every part, not a number for None."""
        return np.full(self.size, NAN if value is None else value)


def columns_to_case(parts: PartColumns, requirement: Requirement) -> ColumnCase:
    """Set parts against a requirement."""
    cold_c, hot_c = requirement.coldest_c, requirement.hottest_c
    unlimited = _lowest_unlimited(parts, requirement)
    cap_a = supply_at_most_a(requirement)
    at_most_a = unlimited if cap_a is None else np.fmin(unlimited, cap_a)
    return ColumnCase(parts, requirement, parts.hold_at(hot_c), parts.hold_at(cold_c), trip_at(parts, cold_c),
                      *_trip_bounds(parts, cold_c),
                      _lowest_fault(parts, requirement, unlimited), at_most_a,
                      _highest_fault(parts, requirement))


def basis_of(row: At) -> Codes:
    """What a value of a row rests on."""
    return np.where(row.between, INTERPOLATED, DATA)


def trip_at(parts: PartColumns, ambient_c: float) -> Column:
    """Trip current at an ambient: by its own row, else the one there is, scaled like hold (assumed)."""
    return _own_or_scaled(parts, ambient_c, parts.hold_at(ambient_c), parts.trip_row_at(ambient_c))


def _trip_bounds(parts: PartColumns, ambient_c: float) -> tuple[Floats, Floats]:
    """As `Derating.trip_at_most` and `trip_at_least`."""
    own, lone_c = parts.trip_row_at(ambient_c), parts.lone_trip_c
    most = np.where(lone_c < ambient_c - SAME_AMBIENT_K, parts.lone_trip_a, own.colder)
    least = np.where(lone_c > ambient_c + SAME_AMBIENT_K, parts.lone_trip_a, own.hotter)
    return most, least


def known_at(parts: PartColumns, point: int) -> tuple[Floats, Floats]:
    """Hold and trip current at the ambient of a tabulated time."""
    hold, own = parts.known_at(point)
    return hold.value, _own_or_scaled(parts, parts.points.ambient_c[:, point], hold, own).value


def _own_or_scaled(parts: PartColumns, ambient_c: float | Floats, hold: At, own: At) -> Column:
    rated = parts.hold_of_lone_trip().value
    scaled = np.where(rated > 0.0, parts.lone_trip_a * hold.value / rated, NAN)
    there = np.abs(parts.lone_trip_c - ambient_c) <= SAME_AMBIENT_K
    alone = ~np.isnan(parts.lone_trip_a)
    value = np.where(alone, np.where(there, parts.lone_trip_a, scaled), own.value)
    return Column(value, np.where(alone, np.where(there, DATA, ASSUMED), basis_of(own)))


def rating(parts: PartColumns, quantity: Quantity, supply: str) -> Single:
    """As `corners.rating_for_supply`: a rating that applies to the kind of supply."""
    named = parts.single(quantity, KIND_OF_SUPPLY[supply])
    if supply != "dc":
        return named
    plain = parts.single(quantity, Kind.NONE)
    return Single(*(np.where(named.given, one, other) for one, other in zip(named, plain, strict=True)))


def transient_current(parts: PartColumns, requirement: Requirement) -> Column | None:
    """As `corners.transient_current`: what a transient drives through each part, A."""
    count = parts.count
    if requirement.load_current_a is not None and requirement.load_inductance_h is not None:
        return Column(np.full(count, requirement.load_current_a), np.full(count, ASSUMED))
    source_ohm, volt = requirement.transient_source_resistance_ohm, requirement.transient_voltage_v
    if source_ohm is None or volt is None:
        return None
    least = parts.single(Quantity.RESISTANCE, Kind.MIN)
    with_part = fault_current_a(volt, source_ohm, least.value)
    return Column(np.where(least.given, with_part, volt / source_ohm), np.where(least.given, DATA, ASSUMED))


def power_of_kinds(parts: PartColumns, kinds: tuple[Kind, ...]) -> tuple[Floats, Floats, Codes]:
    """As `corners.power_of_kinds`: tripped power, W, the ambient stated for it, and the place of its kind."""
    count = parts.count
    value, ambient_c, place = np.full(count, NAN), np.full(count, NAN), np.full(count, UNLABELLED)
    for number, kind in reversed(tuple(enumerate(kinds))):
        one = parts.single(Quantity.TRIPPED_POWER, kind)
        value = np.where(one.given, one.value, value)
        ambient_c = np.where(one.given, one.ambient_c, ambient_c)
        place = np.where(one.given, number, place)
    return value, ambient_c, place


def _lowest_unlimited(parts: PartColumns, requirement: Requirement) -> Floats:
    source_ohm, low_v = requirement.source_resistance_max_ohm, requirement.supply_voltage_min_v
    if requirement.fault_current_min_a is not None:
        return np.full(parts.count, requirement.fault_current_min_a)
    if source_ohm is None or low_v is None:
        return np.full(parts.count, NAN)
    return fault_current_a(low_v, source_ohm, parts.single(Quantity.RESISTANCE, Kind.POST_TRIP_MAX).value)


def _lowest_fault(parts: PartColumns, requirement: Requirement, found: Floats) -> Column:
    """As `corners.lowest_fault`: a supply that limits gives no more than it drives into a short."""
    data = np.full(parts.count, DATA)
    if requirement.supply_current_limit_a is None and requirement.supply_short_current_a is None:
        return Column(found, data)
    cap_a, stated_a = supply_at_most_a(requirement), requirement.fault_current_min_a
    if stated_a is not None and cap_a is not None and stated_a <= cap_a:
        return Column(found, data)
    if requirement.supply_short_current_a is None or cap_a is None:
        return Column(np.full(parts.count, NAN), data)
    keeps = found <= cap_a
    if requirement.source_resistance_max_ohm is not None:
        keeps |= np.isnan(found)
    short_basis = ASSUMED if requirement.supply_limit_tolerance is None else DATA
    return Column(np.where(keeps, found, cap_a), np.where(keeps, DATA, short_basis))


def _highest_fault(parts: PartColumns, requirement: Requirement) -> Column:
    """As `corners.highest_fault`."""
    data = np.full(parts.count, DATA)
    if requirement.fault_current_max_a is not None:
        return Column(np.full(parts.count, requirement.fault_current_max_a), data)
    source_ohm, volt = requirement.source_resistance_min_ohm, requirement.supply_voltage_v
    if source_ohm is None:
        return Column(np.full(parts.count, NAN), data)
    least = parts.single(Quantity.RESISTANCE, Kind.MIN)
    with_part = fault_current_a(volt, source_ohm, least.value)
    as_short = volt / source_ohm if source_ohm > 0.0 else NAN
    return Column(np.where(least.given, with_part, as_short), np.where(least.given, DATA, ASSUMED))
