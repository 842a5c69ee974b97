"""Margins that need no time to trip, as columns: normal use, certainty of the trip, tripped state.

Comes in: a `ColumnCase`. Goes out: a `MarginColumn`, or None where the requirement does not ask. Each
function bears the name of the one that asks one part (`compare.margins_steady`, `margins_trip`,
`margins_tripped`, `margins_survival`) and says the same.
"""

from __future__ import annotations

import numpy as np

from compare.columns.corners import (
    ASSUMED,
    MODEL,
    UNLABELLED,
    Column,
    ColumnCase,
    basis_of,
    power_of_kinds,
    rating,
    transient_current,
)
from compare.columns.judging import (
    FAILS,
    FITS,
    OPEN,
    MarginColumn,
    chosen,
    doubted,
    judged,
    meets,
    ratio,
    undetermined,
)
from compare.columns.rows import NAN, Bools, Floats
from compare.conductors import track_current_a
from compare.corners import LARGEST_POWER, SMALLEST_POWER
from compare.margins_steady import BARE_DROP_MARGIN, BARE_DROP_SHARE, WARM_MODEL_SHARE
from compare.packages import part_has_package
from compare.records import Sense
from compare.thermal import warm_factor
from compare.tripped import largest_power_into_part_w, leakage_a, tripped_power_at_w
from extract.schema import Kind, Quantity


def hold_current(case: ColumnCase) -> MarginColumn:
    """As `margins_steady.hold_current`."""
    asked, hold = case.requirement, case.hold_hot
    limit = case.known(asked.normal_current_a * asked.hold_factor)
    told = judged(Column(hold.value, basis_of(hold)), limit, Sense.AT_LEAST)
    assumed = np.full(case.size, ASSUMED)
    at_most = judged(Column(hold.colder, assumed), limit, Sense.AT_LEAST)
    at_least = judged(Column(hold.hotter, assumed), limit, Sense.AT_LEAST)
    unknown = np.isnan(hold.value)
    found = chosen(unknown & (at_least.verdict == FITS), at_least, told)
    return chosen(unknown & (at_most.verdict == FAILS), at_most, found)


def trip_certainty(case: ColumnCase) -> MarginColumn:
    """As `margins_trip.trip_certainty`."""
    fault, trip, cold = case.lowest_fault, case.trip_cold, case.hold_cold
    held_a = np.where(np.isnan(cold.value), cold.hotter, cold.value)
    known = ~np.isnan(fault.value)
    never = np.where(known, fault.value, case.fault_at_most_a) <= held_a
    both = Column(trip.value, np.maximum(trip.basis, fault.basis))
    found = judged(both, fault.value, Sense.AT_MOST)
    between = np.where(never, FAILS, OPEN)
    found = found._replace(verdict=np.where(found.verdict == FITS, FITS, between))
    at_most = Column(case.trip_cold_most, np.maximum(ASSUMED, fault.basis))
    bounded = judged(at_most, fault.value, Sense.AT_MOST)
    return chosen(np.isnan(trip.value) & ~never & (bounded.verdict == FITS), bounded, found)


def trip_current_limit(case: ColumnCase) -> MarginColumn | None:
    """As `margins_trip.trip_current_limit`."""
    limit_a = case.requirement.trip_current_max_a
    return None if limit_a is None else _trip_against(case, limit_a)


def _trip_against(case: ColumnCase, limit_a: float) -> MarginColumn:
    """As `margins_trip.trip_against`."""
    limit, assumed = case.known(limit_a), np.full(case.size, ASSUMED)
    told = judged(case.trip_cold, limit, Sense.AT_MOST)
    most, least = (judged(Column(bound, assumed), limit, Sense.AT_MOST)
                   for bound in (case.trip_cold_most, case.trip_cold_least))
    unknown = np.isnan(case.trip_cold.value)
    found = chosen(unknown & (most.verdict == FITS), most, told)
    return chosen(unknown & (least.verdict == FAILS), least, found)


def max_voltage(case: ColumnCase) -> MarginColumn:
    """As `margins_steady.max_voltage`."""
    return judged(_rated(case, Quantity.MAX_VOLTAGE), case.known(case.requirement.supply_voltage_v),
                  Sense.AT_LEAST)


def interrupt_voltage(case: ColumnCase) -> MarginColumn | None:
    """As `margins_steady.interrupt_voltage`."""
    volt = case.requirement.transient_voltage_v
    if volt is None:
        return None
    rated, interrupt = (rating(case.parts, quantity, case.requirement.supply)
                        for quantity in (Quantity.MAX_VOLTAGE, Quantity.MAX_INTERRUPT_VOLTAGE))
    by_rated = meets(rated.value, case.known(volt))
    value = np.where(by_rated | ~_says(case, Quantity.MAX_INTERRUPT_VOLTAGE), rated.value, interrupt.value)
    found = judged(Column(value, np.zeros(case.size, np.int64)), case.known(volt), Sense.AT_LEAST)
    current = transient_current(case.parts, case.requirement)
    if current is None:
        return doubted(found, found.verdict == FITS)
    most_a = np.where(by_rated, _rated(case, Quantity.MAX_CURRENT).value, interrupt.test_a)
    unknown = np.isnan(current.value) | np.isnan(most_a)
    exceeded = ~unknown & ~meets(most_a, current.value)
    high = found.verdict == FITS
    return found._replace(
        verdict=np.where(high & unknown, OPEN, np.where(high & exceeded, FAILS, found.verdict)),
        margin=np.where(high & exceeded, ratio(most_a, current.value), found.margin),
        basis=np.where(high & ~np.isnan(current.value), np.maximum(found.basis, current.basis), found.basis))


def _says(case: ColumnCase, quantity: Quantity) -> Bools:
    """Whether a sheet says anything of a rating, for whichever supply."""
    plain, ac, dc = (case.parts.single(quantity, kind).given for kind in (Kind.NONE, Kind.AC, Kind.DC))
    return plain | ac | dc


def max_current(case: ColumnCase) -> MarginColumn:
    """As `margins_steady.max_current`."""
    fault, asked = case.highest_fault, case.requirement
    volt = asked.transient_voltage_v
    surge = None if volt is None else transient_current(case.parts, asked)
    if surge is not None and volt is not None:
        rated, interrupt = (rating(case.parts, quantity, asked.supply)
                            for quantity in (Quantity.MAX_VOLTAGE, Quantity.MAX_INTERRUPT_VOLTAGE))
        covered = ~meets(rated.value, case.known(volt)) & meets(interrupt.value, case.known(volt)) & (
            ~np.isnan(interrupt.test_a))
        counts = ~covered & ~np.isnan(fault.value)
        fault = Column(np.where(counts, np.maximum(fault.value, surge.value), fault.value),
                       np.where(counts, np.maximum(fault.basis, surge.basis), fault.basis))
    number = _rated(case, Quantity.MAX_CURRENT)
    return judged(Column(number.value, np.maximum(number.basis, fault.basis)), fault.value, Sense.AT_LEAST)


def _rated(case: ColumnCase, quantity: Quantity) -> Column:
    return Column(rating(case.parts, quantity, case.requirement.supply).value, np.zeros(case.size, np.int64))


def voltage_drop(case: ColumnCase) -> MarginColumn | None:
    """As `margins_steady.voltage_drop`."""
    limit_v, load_a = case.requirement.voltage_drop_max_v, case.requirement.normal_current_a
    if limit_v is None:
        return None
    limit = case.known(limit_v)
    after, largest, least = (case.parts.single(Quantity.RESISTANCE, kind)
                             for kind in (Kind.POST_TRIP_MAX, Kind.MAX, Kind.MIN))
    drop_v = np.where(after.given, after.value * load_a, NAN)
    cold = judged(Column(drop_v, np.full(case.size, ASSUMED)), limit, Sense.AT_MOST)
    warm = _warm_drop(case, drop_v, cold, limit)
    delivered = np.where(largest.given, largest.value, least.value) * load_a
    new = judged(Column(delivered, np.zeros(case.size, np.int64)), limit, Sense.AT_MOST)
    found = chosen(cold.verdict == FITS, warm, cold)
    return chosen(~after.given & (new.verdict == FAILS), new, found)


def _warm_drop(case: ColumnCase, drop_v: Floats, cold: MarginColumn, limit: Floats) -> MarginColumn:
    """As `margins_steady._warm_drop`, of a drop that would do cold."""
    asked, hold_a, reference_c = case.requirement, case.hold_hot.value, case.parts.rated_c
    load_a = asked.normal_current_a
    unknown = np.isnan(hold_a) | np.isnan(reference_c)
    bare = (drop_v * BARE_DROP_MARGIN <= limit) & (load_a <= BARE_DROP_SHARE * hold_a)
    beyond = load_a > WARM_MODEL_SHARE * hold_a
    factor = warm_factor(load_a / hold_a, np.asarray(asked.hottest_c), reference_c,
                         asked.switching_temperature_c)
    warm_v = drop_v * np.maximum(1.0, factor)
    by_model = judged(Column(warm_v, np.full(case.size, MODEL)), limit, Sense.AT_MOST)
    allowed = by_model if asked.allows("drop") else doubted(by_model, by_model.verdict == FITS)
    allowed = doubted(allowed, by_model.verdict == FAILS)
    return chosen(unknown | beyond, doubted(cold, unknown | beyond), chosen(bare, cold, allowed))


def leakage(case: ColumnCase) -> MarginColumn | None:
    """As `margins_tripped.leakage`."""
    limit_a, low_v = case.requirement.leakage_max_a, case.requirement.supply_voltage_min_v
    if limit_a is None:
        return None
    power_w, place = _power_at(case, LARGEST_POWER, case.requirement.coldest_c)
    current_a = case.known(None) if low_v is None else leakage_a(power_w, low_v)
    found = judged(Column(current_a, np.full(case.size, MODEL)), case.known(limit_a), Sense.AT_MOST)
    return _by_model(case, found, "leakage", place != LARGEST_POWER.index(Kind.MAX))


def reset(case: ColumnCase) -> MarginColumn | None:
    """As `margins_tripped.reset`."""
    asked = case.requirement
    if not asked.reset:
        return None
    itself = asked.reset == "self"
    at_c, volt = (asked.hottest_c, asked.supply_voltage_v) if itself else (
        asked.coldest_c, asked.supply_voltage_min_v)
    kinds, bound = (SMALLEST_POWER, Kind.MIN) if itself else (LARGEST_POWER, Kind.MAX)
    power_w, place = _power_at(case, kinds, at_c)
    if volt is None or asked.load_resistance_ohm is None:
        return undetermined(case.size)
    into_part_w = case.known(largest_power_into_part_w(volt, asked.load_resistance_ohm))
    found = judged(Column(into_part_w, np.full(case.size, MODEL)), power_w,
                   Sense.AT_MOST if itself else Sense.AT_LEAST)
    return _by_model(case, found, "reset", place != kinds.index(bound))


def _power_at(case: ColumnCase, kinds: tuple[Kind, ...], ambient_c: float) -> tuple[Floats, Floats]:
    """As `margins_tripped.power_at`, and the place of its kind."""
    power_w, stated_c, place = power_of_kinds(case.parts, kinds)
    known_c = np.where(np.isnan(stated_c), case.parts.rated_c, stated_c)
    switching_c = case.requirement.switching_temperature_c
    value_w = tripped_power_at_w(power_w, ambient_c, known_c, switching_c)
    return np.where(known_c >= switching_c, NAN, value_w), np.where(place == UNLABELLED, NAN, place)


def _by_model(case: ColumnCase, found: MarginColumn, model: str, unproven: Bools) -> MarginColumn:
    """As `judging.judged_by_model`: it fits only where the model is allowed and the sheet gives a bound."""
    allowed = case.requirement.allows(model)
    return doubted(found, (found.verdict == FITS) & (unproven | (not allowed)))


def wire_ampacity(case: ColumnCase) -> MarginColumn | None:
    """As `margins_survival.wire_ampacity`."""
    asked = case.requirement.wire
    if asked is None or asked.ampacity_a is None:
        return None
    return _trip_against(case, asked.ampacity_a)


def track_ampacity(case: ColumnCase) -> MarginColumn | None:
    """As `margins_survival.track_ampacity`."""
    asked = case.requirement.track
    if asked is None or asked.temperature_rise_max_k is None:
        return None
    limit_a = track_current_a(asked.width_mm, asked.copper_um, asked.layer, asked.temperature_rise_max_k)
    trip = Column(case.trip_cold.value, np.full(case.size, MODEL))
    found = judged(trip, case.known(limit_a), Sense.AT_MOST)
    return _by_model(case, found, "track", np.zeros(case.size, bool))


def package(case: ColumnCase) -> MarginColumn | None:
    """As `margins_steady.package`: each set of printed texts is looked at once."""
    wishes = case.requirement.packages
    if not wishes:
        return None
    verdicts = [FITS if any(part_has_package(text, wishes) for text in texts) else FAILS if texts else OPEN
                for texts in case.parts.packages]
    return undetermined(case.size)._replace(verdict=np.array(verdicts)[case.parts.package_of])


def endurance(case: ColumnCase) -> MarginColumn | None:
    """As `margins_steady.endurance`."""
    asked = case.requirement.endurance
    if asked is None:
        return None
    rated = Column(case.known(asked.rated_trips), np.full(case.size, ASSUMED))
    return judged(rated, case.known(asked.trips_per_month * 12.0 * asked.service_years), Sense.AT_LEAST)
