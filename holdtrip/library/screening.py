"""What each part can do at its best: a comparison leaves parts out by it before loading them.

Comes in: a connection, a version, what is asked. Goes out: a `Screening`: numbers of every part in force, SI,
by a few queries that one index answers, each made when it is first needed; and the parts themselves, by
identifier. Judges nothing and leaves no part out.

Each number is on the hopeful side: the largest voltage that any number of the part gives, the shortest trip
time. What a person rejected, or nobody accepted yet, may be among them, since with fewer numbers a part can
do no more. Columns must be the right ones: they are told of `whole` parts only. Nothing is told of a part
with a corrected number: it is not `known`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Select, func, literal, or_, select

from extract.schema import WHOLE_SERIES, Kind, Part, Quantity
from holdtrip.library.chunks import chunks
from holdtrip.library.columns import NO_COLUMNS, Beside, Column, Columns, QuantityColumns
from holdtrip.library.history import fact_holds_at, holds_at
from holdtrip.library.numbers import collecting_no_garbage
from holdtrip.library.part_numbers import fold
from holdtrip.library.parts import connection_to_parts_of_ids
from holdtrip.library.records import Verdict
from holdtrip.library.tables import decision, part, part_state, reading

_Bounds = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class ScreenQuestion:
    """What is asked; a number that cannot help counts as none, so that it is not fetched.

    hot_c, cold_c: ambients, °C. rating_kinds: of the voltage and current ratings that count, from
    voltage_at_least_v and current_at_least_a on. time_at_most_s: longest trip time that counts, at a current
    up to trip_current_at_most_a.
    """

    hot_c: float
    cold_c: float
    rating_kinds: tuple[Kind, ...]
    voltage_at_least_v: float
    current_at_least_a: float
    time_at_most_s: float
    trip_current_at_most_a: float


class Screening:
    """The parts in force at one version, and what each can do at its best; part → number.

    part_ids: in the order of `connection_to_parts`; known, whole: how far numbers count as printed.
    """

    def __init__(
        self, connection: Connection, version: int, asked: ScreenQuestion, accepted_only: bool
    ) -> None:
        self._connection, self._version, self._asked = connection, version, asked
        self._accepted_only = accepted_only
        with collecting_no_garbage():
            rows: Sequence[Sequence[Any]] = connection.execute(self._select_members()).all()
        self._sheets = {part_id: sheet_id for part_id, sheet_id, _, _ in rows}
        self._holds_a: dict[int, _Bounds] = {part_id: (low_a, high_a) for part_id, _, low_a, high_a in rows}
        self.part_ids = tuple(self._sheets)
        corrected = self._corrected()
        partial = self._partial() | corrected
        self.known = self._sheets.keys() - corrected
        self._series = self._find_series()
        of_partial_series = {sheet_id for sheet_id, part_id in self._series.items() if part_id in partial}
        self.whole = self._sheets.keys() - partial
        if of_partial_series:
            self.whole = {one for one in self.whole if self._sheets[one] not in of_partial_series}

    def parts(self, part_ids: Sequence[int]) -> tuple[Part, ...]:
        """Some of the parts, with every number that may be used."""
        return connection_to_parts_of_ids(self._connection, self._version, part_ids, self._accepted_only)

    def hold_bounds_a(self, part_id: int) -> _Bounds:
        """The least and the largest of a part's own hold currents, over all ambients."""
        return self._holds_a[part_id]

    @cached_property
    def max_voltages_v(self) -> dict[int, float]:
        """The largest rating for the kind of supply, if large enough to count."""
        return _largest(self._fetch(
            Quantity.MAX_VOLTAGE, self._of_supply, reading.c.value >= self._asked.voltage_at_least_v))

    @cached_property
    def max_currents_a(self) -> dict[int, float]:
        """The largest rating for the kind of supply, if large enough to count."""
        return _largest(self._fetch(
            Quantity.MAX_CURRENT, self._of_supply, reading.c.value >= self._asked.current_at_least_a))

    @cached_property
    def trip_times_s(self) -> dict[int, float]:
        """The shortest of those that count."""
        return _least(self._fetch(
            Quantity.TIME_TO_TRIP, reading.c.value <= self._asked.time_at_most_s,
            reading.c.test_current_a <= self._asked.trip_current_at_most_a))

    @cached_property
    def smallest_resistances_ohm(self) -> dict[int, float]:
        """The largest of what the sheet calls the smallest as delivered."""
        return _largest(self._fetch(Quantity.RESISTANCE, reading.c.kind == Kind.MIN.value))

    @cached_property
    def post_trip_resistances_ohm(self) -> dict[int, float]:
        """The least of the largest after a trip."""
        return _least(self._post_trip)

    @cached_property
    def sure_post_trip_ohm(self) -> dict[int, float]:
        """The largest after a trip, where the sheet gives one number and a person stands for it."""
        return {part_id: ohm for part_id, ohm in _only(self._post_trip).items() if part_id in self.decided}

    @cached_property
    def least_resistances_ohm(self) -> dict[int, float]:
        """The least of any kind."""
        return _least(self._fetch(Quantity.RESISTANCE))

    @cached_property
    def with_trip_ratio(self) -> set[int]:
        """Parts that have shares of the trip current, or whose series has."""
        return self._own_or_of_series(self._parts_with(Quantity.TRIP_RATIO))

    @cached_property
    def with_hold_ratio(self) -> set[int]:
        """Parts that have shares of the hold current, or whose series has."""
        return self._own_or_of_series(self._with_own_hold_ratio)

    @cached_property
    def decided(self) -> set[int]:
        """Whole parts of which a person stands for every number."""
        return self.whole if self._accepted_only else set()

    @cached_property
    def only_voltages_v(self) -> dict[int, float]:
        """The rating for the kind of supply, however small, where the sheet gives just one."""
        return _only(self._fetch(Quantity.MAX_VOLTAGE, self._of_supply))

    @cached_property
    def only_currents_a(self) -> dict[int, float]:
        """The rating for the kind of supply, however small, where the sheet gives just one."""
        return _only(self._fetch(Quantity.MAX_CURRENT, self._of_supply))

    @cached_property
    def with_one_hold(self) -> set[int]:
        """Parts with one hold current and no more."""
        return self._with_one(reading.c.quantity == Quantity.HOLD_CURRENT.value)

    @cached_property
    def with_one_trip(self) -> set[int]:
        """Parts with one trip current and no more."""
        return self._with_one(reading.c.quantity == Quantity.TRIP_CURRENT.value)

    def with_one_hold_between(self, from_c: float, to_c: float) -> set[int]:
        """Parts with just one hold current from one ambient to another."""
        return self._with_one(reading.c.quantity == Quantity.HOLD_CURRENT.value,
                              reading.c.ambient_c.between(from_c, to_c))

    def columns(self, part_ids: Collection[int]) -> ScreenColumns:
        """The columns of some whole parts beside the two ambients."""
        own = self._with_own_hold_ratio
        sharing = {one: one if one in own else self._series.get(self._sheets[one]) for one in part_ids}
        return ScreenColumns(self._asked, self._tables, sharing)

    @cached_property
    def _tables(self) -> _Tables:
        return _Tables(*(QuantityColumns(self._connection, quantity) for quantity in (
            Quantity.HOLD_CURRENT, Quantity.HOLD_RATIO, Quantity.TRIP_CURRENT)))

    @cached_property
    def _with_own_hold_ratio(self) -> set[int]:
        return self._parts_with(Quantity.HOLD_RATIO)

    def _parts_with(self, quantity: Quantity) -> set[int]:
        query = select(reading.c.part_id).where(reading.c.quantity == quantity.value)
        return set(self._connection.execute(query).scalars())

    def _own_or_of_series(self, found: set[int]) -> set[int]:
        """The parts that are among those found, or whose series is."""
        sheets = {sheet_id for sheet_id, part_id in self._series.items() if part_id in found}
        return {one for one, sheet_id in self._sheets.items() if one in found or sheet_id in sheets}

    def _with_one(self, *conditions: ColumnElement[bool]) -> set[int]:
        query = (select(reading.c.part_id).where(*conditions)
                 .group_by(reading.c.part_id).having(func.count() == 1))
        return set(self._connection.execute(query).scalars())

    @cached_property
    def _post_trip(self) -> list[tuple[int, float]]:
        return self._fetch(Quantity.RESISTANCE, reading.c.kind == Kind.POST_TRIP_MAX.value)

    @property
    def _of_supply(self) -> ColumnElement[bool]:
        return reading.c.kind.in_([kind.value for kind in self._asked.rating_kinds])

    def _fetch(self, quantity: Quantity, *conditions: ColumnElement[bool]) -> list[tuple[int, float]]:
        query = select(reading.c.part_id, reading.c.value).where(
            reading.c.quantity == quantity.value, *conditions)
        return [(part_id, value) for part_id, value in self._connection.execute(query).all()]

    def _select_members(self) -> Select[tuple[int, int, float | None, float | None]]:
        query = (
            select(part.c.id, part.c.sheet_id, part_state.c.hold_current_min_a,
                   part_state.c.hold_current_max_a)
            .join(part_state, part_state.c.part_id == part.c.id)
            .where(holds_at(part_state, self._version), part_state.c.live,
                   part.c.part_number != WHOLE_SERIES)
            .order_by(part.c.sheet_id, part.c.position))
        return query.where(part_state.c.accepted > 0) if self._accepted_only else query

    def _partial(self) -> set[int]:
        """Parts, and series, of which a number may not be used."""
        missing = part_state.c.rejected > 0
        if self._accepted_only:
            missing = or_(missing, part_state.c.undecided > 0)
        query = select(part_state.c.part_id).where(holds_at(part_state, self._version), missing)
        return set(self._connection.execute(query).scalars())

    def _corrected(self) -> set[int]:
        """Parts, and series, with a corrected number in force."""
        # the index of corrections is used only where the word stands in the statement, and no other condition
        # that another index seems to serve better
        said = decision.c.verdict == literal(Verdict.CORRECTED.value, literal_execute=True)
        query = select(decision.c.reading_id, holds_at(decision, self._version)).where(said)
        in_force = [number_id for number_id, holds in self._connection.execute(query) if holds]
        return {part_id for some in chunks(in_force) for part_id in self._connection.execute(
            select(reading.c.part_id).where(reading.c.id.in_(some))).scalars()}

    def _find_series(self) -> dict[int, int]:
        """Sheet → the part that stands for its whole series."""
        query = select(part.c.sheet_id, part.c.id).where(
            part.c.folded == fold(WHOLE_SERIES), fact_holds_at(part, self._version))
        return {row.sheet_id: row.id for row in self._connection.execute(query)}


class _Tables(NamedTuple):
    """The columns of all parts, fetched as they are needed."""

    holds: QuantityColumns
    shares: QuantityColumns
    trips: QuantityColumns


class ScreenColumns:
    """The columns of some parts beside the two ambients asked for; each its own, but for the hold ratio.

    sharing: part → the part whose hold ratio counts for it: itself, its series or none.
    """

    def __init__(self, asked: ScreenQuestion, tables: _Tables, sharing: dict[int, int | None]) -> None:
        self._asked, self._sharing = asked, sharing
        self._holds, self._shares, self._trips = tables

    def hold_hot(self, part_id: int) -> Columns:
        """Hold current, A, beside the hottest ambient."""
        return self._hold_hot.columns(part_id)

    def hold_cold(self, part_id: int) -> Columns:
        """Hold current, A, beside the coldest ambient."""
        return self._hold_cold.columns(part_id)

    def share_hot(self, part_id: int) -> Columns:
        """Hold ratio beside the hottest ambient, of the part or its series."""
        return self._shared(self._share_hot, part_id)

    def share_cold(self, part_id: int) -> Columns:
        """Hold ratio beside the coldest ambient, of the part or its series."""
        return self._shared(self._share_cold, part_id)

    def trip_cold(self, part_id: int) -> Columns:
        """Trip current, A, beside the coldest ambient."""
        return self._trip_cold.columns(part_id)

    def hold_at(self, part_id: int, ambient_c: float) -> Column | None:
        """The column of just that ambient of the hold current."""
        return self._holds.at(ambient_c).column(part_id)

    @cached_property
    def _hold_hot(self) -> Beside:
        return self._holds.beside(self._asked.hot_c, self._sharing.keys())

    @cached_property
    def _hold_cold(self) -> Beside:
        return self._holds.beside(self._asked.cold_c, self._sharing.keys())

    @cached_property
    def _share_hot(self) -> Beside:
        return self._shares.beside(self._asked.hot_c, self._sharers)

    @cached_property
    def _share_cold(self) -> Beside:
        return self._shares.beside(self._asked.cold_c, self._sharers)

    @cached_property
    def _trip_cold(self) -> Beside:
        return self._trips.beside(self._asked.cold_c, self._sharing.keys())

    @property
    def _sharers(self) -> set[int]:
        return {one for one in self._sharing.values() if one is not None}

    def _shared(self, beside: Beside, part_id: int) -> Columns:
        sharer = self._sharing[part_id]
        return NO_COLUMNS if sharer is None else beside.columns(sharer)


def _largest(rows: list[tuple[int, float]]) -> dict[int, float]:
    found = dict(rows)
    if len(found) < len(rows):
        for part_id, value in rows:
            found[part_id] = max(value, found[part_id])
    return found


def _least(rows: list[tuple[int, float]]) -> dict[int, float]:
    found = dict(rows)
    if len(found) < len(rows):
        for part_id, value in rows:
            found[part_id] = min(value, found[part_id])
    return found


def _only(rows: list[tuple[int, float]]) -> dict[int, float]:
    found = dict(rows)
    if len(found) < len(rows):
        counts = Counter(part_id for part_id, _ in rows)
        return {part_id: value for part_id, value in rows if counts[part_id] == 1}
    return found
