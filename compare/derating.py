"""Hold and trip current of a part at any ambient.

Comes in: the numbers of a part and an ambient. Goes out: a `Number`: tabulated, or interpolated in a
straight line between the two neighbouring columns, or none. Beyond the first and last column there is no
number, only a bound (`hold_at_most`, `hold_at_least`), since both currents fall with temperature. Does not
use the square-root law: against published derating rows a straight line errs far less.
"""

from __future__ import annotations

from bisect import bisect_left

from compare.part_numbers import PartNumbers, RowPoint
from compare.records import Basis, Number, weakest
from extract.schema import Quantity, Reading

SAME_AMBIENT_K = 1e-6
TABLES_AGREE = 0.06
"""Share of the rating by which an amps row and a percent row may differ: both print few digits."""
FULL_RATIO = 0.0005
"""A ratio this near to 1 marks the column of the reference ambient (half of the last digit of 100.0 %)."""


class Derating:
    """Hold and trip of one part against ambient; answers are kept, since several margins ask the same.

    numbers: the part's; assume_reference_c: ambient for ratings printed without one, or None.
    """

    __slots__ = ("_assume_c", "_holds", "_numbers", "_trips")

    def __init__(self, numbers: PartNumbers, assume_reference_c: float | None = None) -> None:
        self._numbers = numbers
        self._assume_c = assume_reference_c
        self._holds: dict[float, Number] = {}
        self._trips: dict[float, Number] = {}

    def hold(self, ambient_c: float) -> Number:
        """Hold current, A, at an ambient, °C."""
        found = self._holds.get(ambient_c)
        if found is None:
            found = self._holds[ambient_c] = self._hold(ambient_c)
        return found

    def trip(self, ambient_c: float) -> Number:
        """Trip current, A, at an ambient, °C: its own row, else the rated trip scaled like hold (assumed)."""
        found = self._trips.get(ambient_c)
        if found is None:
            found = self._trips[ambient_c] = self._trip(ambient_c)
        return found

    def rated_hold(self) -> tuple[float | None, Number]:
        """Reference ambient, °C, and hold current there, A."""
        return self._rating(Quantity.HOLD_CURRENT, Quantity.HOLD_RATIO)

    def rated_trip(self) -> tuple[float | None, Number]:
        """Reference ambient, °C, and trip current there, A."""
        return self._rating(Quantity.TRIP_CURRENT, Quantity.TRIP_RATIO)

    def hold_at_most(self, ambient_c: float) -> Number:
        """Largest hold current possible at an ambient beyond the hot end of the table: that of its last
        column.

        Hold falls with temperature, in every published table and by the heat balance, so a hotter part
        holds less.
        """
        return self._bound(ambient_c, colder=True, quantity=Quantity.HOLD_CURRENT)

    def hold_at_least(self, ambient_c: float) -> Number:
        """Smallest hold current possible at an ambient beyond the cold end of the table: its first column."""
        return self._bound(ambient_c, colder=False, quantity=Quantity.HOLD_CURRENT)

    def _hold(self, ambient_c: float) -> Number:
        return self._by_tables(ambient_c, Quantity.HOLD_CURRENT, Quantity.HOLD_RATIO)

    def _trip(self, ambient_c: float) -> Number:
        numbers = self._numbers
        by_table = self._by_tables(ambient_c, Quantity.TRIP_CURRENT, Quantity.TRIP_RATIO)
        rows = numbers.rows
        has_own_row = len(rows.get(Quantity.TRIP_CURRENT, ())) > 1 or Quantity.TRIP_RATIO in rows
        if by_table.value is not None or has_own_row:
            return by_table
        reference_c, trip = self.rated_trip()
        if trip.value is None:
            return trip
        hold, rated = self.hold(ambient_c), self._rated_hold_at(reference_c)
        if hold.value is None or rated.value is None or rated.value <= 0:
            missing = hold if hold.value is None else rated
            return Number(None, readings=missing.readings,
                          note=f"no trip row, and it cannot be scaled like hold: {missing.note}")
        return Number(trip.value * hold.value / rated.value, Basis.ASSUMED,
                      _joined(trip, hold, rated),
                      assumed=("trip current scaled like hold: the sheet has no trip row",
                               *trip.assumed, *hold.assumed))

    def _rated_hold_at(self, reference_c: float | None) -> Number:
        """Hold at the ambient of the rated trip current."""
        hold_reference_c, rated = self.rated_hold()
        same = reference_c is None or hold_reference_c is None or _same(reference_c, hold_reference_c)
        return rated if same or reference_c is None else self.hold(reference_c)

    def _by_tables(self, ambient_c: float, amps: Quantity, ratio: Quantity) -> Number:
        """By the amps row where it reaches, else by the percent row, else the rating at its own ambient."""
        rows = self._numbers.rows
        amps_row, ratio_row = rows.get(amps, ()), rows.get(ratio, ())
        by_amps = row_at(amps_row, ambient_c) if amps_row else None
        by_ratio = self._by_ratio(ratio_row, ambient_c, amps, ratio) if ratio_row else None
        if by_amps is not None and by_amps.value is not None and len(amps_row) > 1 and by_ratio is not None:
            return self._agreeing(by_amps, by_ratio, amps, ratio)
        if by_amps is not None and (by_amps.value is not None or by_ratio is None or by_amps.readings):
            return by_amps
        if by_ratio is not None:
            return by_ratio
        return self._unplaced(ambient_c, amps, ratio)

    def _by_ratio(
        self, row: tuple[RowPoint, ...], ambient_c: float, amps: Quantity, ratio: Quantity
    ) -> Number:
        share = row_at(row, ambient_c)
        if share.value is None:
            return share
        reference_c, rating = self._rating(amps, ratio)
        if rating.value is None:
            return rating
        basis, assumed = weakest(share.basis, rating.basis), rating.assumed
        full_c = _full_column(row)
        if reference_c is not None and (full_c is None or not _same(full_c, reference_c)):
            basis = Basis.ASSUMED
            column = f"100 % at {full_c:g} °C" if full_c is not None else "no column of 100 %"
            assumed = (*assumed, f"percent row with {column} applied to the rating at {reference_c:g} °C")
        return Number(share.value * rating.value, basis, _joined(share, rating), assumed=assumed)

    def _agreeing(self, by_amps: Number, by_ratio: Number, amps: Quantity, ratio: Quantity) -> Number:
        rating = self._rating(amps, ratio)[1].value
        if (by_ratio.value is None or by_amps.value is None or not rating
                or abs(by_ratio.value - by_amps.value) <= TABLES_AGREE * rating):
            return by_amps
        return Number(None, readings=_joined(by_amps, by_ratio),
                      note=f"two tables differ: {by_amps.value:.4g} A by the amps row, "
                           f"{by_ratio.value:.4g} A by the percent row")

    def _rating(self, amps: Quantity, ratio: Quantity) -> tuple[float | None, Number]:
        """The rating that percent rows apply to: at their 100 % column, else the only one there is."""
        row = self._numbers.rows.get(amps, ())
        full_c = _full_column(self._numbers.rows.get(ratio, ()))
        if full_c is not None:
            for point in row:
                if _same(point.ambient_c, full_c):
                    return full_c, point.number
        if len(row) == 1:
            return row[0].ambient_c, row[0].number
        if row:
            return self._reference_of_row(row)
        unplaced = self._numbers.unplaced.get(amps)
        if unplaced is None:
            return None, Number(None, note=f"the sheet gives no {_words(amps)}")
        at_c = self._assume_c if self._assume_c is not None else full_c
        if unplaced.value is None or at_c is None:
            return None, unplaced
        return at_c, Number(unplaced.value, Basis.ASSUMED, unplaced.readings,
                            assumed=(f"{_words(amps)} taken as at {at_c:g} °C: its ambient is not stated",))

    @staticmethod
    def _reference_of_row(row: tuple[RowPoint, ...]) -> tuple[float | None, Number]:
        """Reference of an amps row without percent row: its one column from 20 to 25 °C, as is usual."""
        near = [point for point in row if 20.0 <= point.ambient_c <= 25.0]
        if len(near) == 1:
            return near[0].ambient_c, near[0].number
        return None, Number(None, note="which column is the reference ambient cannot be told")

    def _unplaced(self, ambient_c: float, amps: Quantity, ratio: Quantity) -> Number:
        reference_c, rating = self._rating(amps, ratio)
        if rating.value is None or reference_c is None:
            note = rating.note or f"the ambient of the {_words(amps)} is not stated"
            return Number(None, readings=rating.readings, note=note)
        if _same(reference_c, ambient_c):
            return rating
        return Number(None, note=f"no derating table: {_words(amps)} is known at {reference_c:g} °C only")

    def _bound(self, ambient_c: float, *, colder: bool, quantity: Quantity) -> Number:
        row = self._numbers.rows.get(quantity, ())
        ratio = self._numbers.rows.get(Quantity.HOLD_RATIO, ())
        columns = [p.ambient_c for p in (*row, *ratio)]
        beyond = [c for c in columns if (c < ambient_c if colder else c > ambient_c)]
        if not beyond:
            return Number(None, note="no column on that side")
        edge_c = max(beyond) if colder else min(beyond)
        at_edge = self.hold(edge_c)
        if at_edge.value is None:
            return at_edge
        side = "at most" if colder else "at least"
        return Number(at_edge.value, Basis.ASSUMED, at_edge.readings,
                      assumed=(f"beyond the table: {side} the {at_edge.value:.4g} A of {edge_c:g} °C, "
                               "since hold falls with temperature",))


def row_at(row: tuple[RowPoint, ...], ambient_c: float) -> Number:
    """Value of a row at an ambient: its column, or the straight line between its two neighbours, or none."""
    index = bisect_left(row, ambient_c - SAME_AMBIENT_K, key=_ambient)
    if index < len(row) and _same(row[index].ambient_c, ambient_c):
        return row[index].number
    if index == 0 or index == len(row):
        first, last = row[0].ambient_c, row[-1].ambient_c
        columns = f"{first:g} to {last:g} °C" if len(row) > 1 else f"{first:g} °C only"
        return Number(None, note=f"{ambient_c:g} °C lies beyond the table ({columns})")
    cold, hot = row[index - 1], row[index]
    if cold.value is None or hot.value is None:
        return cold.number if cold.value is None else hot.number
    share = (ambient_c - cold.ambient_c) / (hot.ambient_c - cold.ambient_c)
    return Number(cold.value + share * (hot.value - cold.value), Basis.INTERPOLATED,
                  cold.number.readings + hot.number.readings)


def _full_column(row: tuple[RowPoint, ...]) -> float | None:
    return next((p.ambient_c for p in row if p.value is not None and abs(p.value - 1.0) <= FULL_RATIO), None)


def _ambient(point: RowPoint) -> float:
    return point.ambient_c


def _same(one_c: float, other_c: float) -> bool:
    return abs(one_c - other_c) <= SAME_AMBIENT_K


def _joined(*numbers: Number) -> tuple[Reading, ...]:
    """The cells of several numbers, each once."""
    return tuple({id(reading): reading for number in numbers for reading in number.readings}.values())


def _words(quantity: Quantity) -> str:
    return quantity.value.replace("_", " ")
