"""Hold and trip current of a part at any ambient.

Comes in: the numbers of a part and an ambient. Goes out: a `Number`: tabulated, or interpolated in a
straight line between the two neighbouring columns, or none. Beyond the first and last column there is no
number, only a bound (`hold_at_most` and its like), since both currents fall with temperature. Does not
use the square-root law: against published derating rows a straight line errs far less.
"""

from __future__ import annotations

from bisect import bisect_left

from compare.part_numbers import PartNumbers, RowPoint, readings_to_number
from compare.records import Basis, Number, weakest
from extract.reference import Rated, reference_ambient_c
from extract.schema import AT_AMBIENT, Quantity, Status

SAME_AMBIENT_K = 1e-6
TABLES_AGREE = 0.06
"""Share of the rating by which an amps row and a percent row may differ: both print few digits."""
FULL_RATIO = 0.0005
"""A ratio this near to 1 marks the column of the reference ambient (half of the last digit of 100.0 %)."""
RATIO_OF = {Quantity.HOLD_CURRENT: Quantity.HOLD_RATIO, Quantity.TRIP_CURRENT: Quantity.TRIP_RATIO}

Rating = tuple[float | None, Number]
"""A rated current, A, and its reference ambient, °C, or None where that is not known."""


class Derating:
    """Hold and trip of one part against ambient; answers are kept, since several margins ask the same.

    numbers: the part's; assume_reference_c: ambient for ratings printed without one, or None.
    """

    __slots__ = ("_assume_c", "_full_columns", "_holds", "_numbers", "_ratings", "_trips")

    def __init__(self, numbers: PartNumbers, assume_reference_c: float | None = None) -> None:
        self._numbers = numbers
        self._assume_c = assume_reference_c
        self._holds: dict[float, Number] = {}
        self._trips: dict[float, Number] = {}
        self._ratings: dict[Quantity, Rating] = {}
        self._full_columns: dict[Quantity, float | None] = {}

    def hold(self, ambient_c: float) -> Number:
        """Hold current, A, at an ambient, °C."""
        found = self._holds.get(ambient_c)
        if found is None:
            found = self._holds[ambient_c] = self._by_tables(ambient_c, Quantity.HOLD_CURRENT)
        return found

    def trip(self, ambient_c: float) -> Number:
        """Trip current, A, at an ambient, °C: its own row, else the rated trip scaled like hold (assumed)."""
        found = self._trips.get(ambient_c)
        if found is None:
            found = self._trips[ambient_c] = self._trip(ambient_c)
        return found

    def rated_hold(self) -> Rating:
        """Reference ambient, °C, and hold current there, A."""
        return self._rating(Quantity.HOLD_CURRENT)

    def rated_trip(self) -> Rating:
        """Reference ambient, °C, and trip current there, A."""
        return self._rating(Quantity.TRIP_CURRENT)

    def hold_at_most(self, ambient_c: float) -> Number:
        """Largest hold current possible at an ambient that has no sure number: that of the next colder column
        which has one.

        Hold and trip fall with temperature, in every published table and by the heat balance, so a hotter
        part holds less.
        """
        return self._bound(Quantity.HOLD_CURRENT, ambient_c, colder=True)

    def hold_at_least(self, ambient_c: float) -> Number:
        """Smallest hold current possible at an ambient that has no sure number: that of the next hotter
        column which has one."""
        return self._bound(Quantity.HOLD_CURRENT, ambient_c, colder=False)

    def trip_at_most(self, ambient_c: float) -> Number:
        """As `hold_at_most`, of the trip current: a hotter part trips at less."""
        return self._bound(Quantity.TRIP_CURRENT, ambient_c, colder=True)

    def trip_at_least(self, ambient_c: float) -> Number:
        """As `hold_at_least`, of the trip current."""
        return self._bound(Quantity.TRIP_CURRENT, ambient_c, colder=False)

    def _bound(self, amps: Quantity, ambient_c: float, *, colder: bool) -> Number:
        rows = self._numbers.rows
        columns_c = sorted({column_c for quantity in (amps, RATIO_OF[amps])
                            for column_c, _ in rows.get(quantity, ())}, reverse=colder)
        at, name = (self.hold, "hold") if amps is Quantity.HOLD_CURRENT else (self.trip, "trip")
        side, where = ("at most", "colder") if colder else ("at least", "hotter")
        for column_c in columns_c:
            beyond_k = ambient_c - column_c if colder else column_c - ambient_c
            there = at(column_c) if beyond_k > SAME_AMBIENT_K else None
            if there is not None and there.value is not None:
                return Number(there.value, weakest(there.basis, Basis.ASSUMED), there.readings, assumed=(
                    *there.assumed, f"{side} the {there.value:.4g} A of {column_c:g} °C, since {name} falls "
                                    f"with "
                    "temperature: no sure number nearer"))
        return Number(None, note=f"no {where} column with a sure number")

    def _trip(self, ambient_c: float) -> Number:
        rows = self._numbers.rows
        if len(rows.get(Quantity.TRIP_CURRENT, ())) > 1 or Quantity.TRIP_RATIO in rows:
            return self._by_tables(ambient_c, Quantity.TRIP_CURRENT)
        reference_c, trip = self.rated_trip()
        if trip.value is None or (reference_c is not None and _same(reference_c, ambient_c)):
            return trip
        hold, rated = self.hold(ambient_c), self._hold_at_rating_of_trip(reference_c)
        if hold.value is None or rated.value is None or rated.value <= 0:
            missing = hold if hold.value is None else rated
            return Number(None, readings=missing.readings,
                          note=f"no trip row, and it cannot be scaled like hold: {missing.note}")
        return Number(trip.value * hold.value / rated.value, Basis.ASSUMED,
                      trip.readings + hold.readings + rated.readings,
                      assumed=("trip current scaled like hold: the sheet has no trip row",
                               *trip.assumed, *hold.assumed))

    def _hold_at_rating_of_trip(self, reference_c: float | None) -> Number:
        hold_reference_c, rated = self.rated_hold()
        if reference_c is None or (hold_reference_c is not None and _same(reference_c, hold_reference_c)):
            return rated
        return self.hold(reference_c)

    def _by_tables(self, ambient_c: float, amps: Quantity) -> Number:
        """By the amps row where it reaches, else by the percent row, else the rating at its own ambient."""
        rows = self._numbers.rows
        amps_row, ratio_row = rows.get(amps), rows.get(RATIO_OF[amps])
        if ratio_row is None:
            return row_at(amps_row, ambient_c) if amps_row is not None else self._unplaced(ambient_c, amps)
        if amps_row is None or len(amps_row) == 1:
            if amps_row is not None and _same(amps_row[0][0], ambient_c):
                return readings_to_number(amps_row[0][1])
            return self._by_ratio(ratio_row, ambient_c, amps)
        by_amps, by_ratio = row_at(amps_row, ambient_c), self._by_ratio(ratio_row, ambient_c, amps)
        if by_amps.value is None:
            return by_amps if by_amps.readings else by_ratio
        return self._agreeing(by_amps, by_ratio, amps)

    def _by_ratio(self, row: list[RowPoint], ambient_c: float, amps: Quantity) -> Number:
        share = row_at(row, ambient_c)
        if share.value is None:
            return share
        reference_c, rating = self._rating(amps)
        if rating.value is None:
            return rating
        basis, assumed = weakest(share.basis, rating.basis), rating.assumed
        full_c = self._full_column(RATIO_OF[amps])
        if reference_c is not None and (full_c is None or not _same(full_c, reference_c)):
            basis = Basis.ASSUMED
            column = f"100 % at {full_c:g} °C" if full_c is not None else "no column of 100 %"
            assumed = (*assumed, f"percent row with {column} applied to the rating at {reference_c:g} °C")
        return Number(share.value * rating.value, basis, share.readings + rating.readings, assumed=assumed)

    def _agreeing(self, by_amps: Number, by_ratio: Number, amps: Quantity) -> Number:
        rating = self._rating(amps)[1].value
        if (by_ratio.value is None or by_amps.value is None or not rating
                or abs(by_ratio.value - by_amps.value) <= TABLES_AGREE * rating):
            return by_amps
        return Number(None, readings=by_amps.readings + by_ratio.readings,
                      note=f"two tables differ: {by_amps.value:.4g} A by the amps row, "
                           f"{by_ratio.value:.4g} A by the percent row")

    def _rating(self, amps: Quantity) -> Rating:
        found = self._ratings.get(amps)
        if found is None:
            found = self._ratings[amps] = self._find_rating(amps)
        return found

    def _find_rating(self, amps: Quantity) -> Rating:
        """The rating that percent rows apply to: at their 100 % column, else the only one there is."""
        row = self._numbers.rows.get(amps)
        full_c = self._full_column(RATIO_OF[amps])
        if row is None:
            return self._unplaced_rating(amps, full_c)
        at_full = next((readings for ambient_c, readings in row if full_c is not None
                        and _same(ambient_c, full_c)), None)
        if at_full is not None:
            return full_c, readings_to_number(at_full)
        reference_c = self._reference_c(amps, row)
        at_reference = next((readings for ambient_c, readings in row if ambient_c == reference_c), None)
        if at_reference is not None:
            return reference_c, readings_to_number(at_reference)
        return None, Number(None, note="which column is the reference ambient cannot be told")

    def _reference_c(self, amps: Quantity, row: list[RowPoint]) -> float | None:
        """By `extract.reference`, of the settled columns of a current and of the other current."""
        other = Quantity.TRIP_CURRENT if amps is Quantity.HOLD_CURRENT else Quantity.HOLD_CURRENT
        own: list[Rated] = [(ambient_c, readings[0].value) for ambient_c, readings in row]
        own += [(None, reading.value) for reading in self._numbers.unplaced.get(amps, ())]
        others = [(ambient_c, readings[0].value)
                  for ambient_c, readings in self._numbers.rows.get(other, ())]
        stated = {reading.ambient_c for reading in self._numbers.part.readings
                  if reading.ambient_c is not None and reading.quantity not in AT_AMBIENT}
        return reference_ambient_c(own, others if len(others) == 1 else (), stated_c=stated)

    def _full_column(self, ratio: Quantity) -> float | None:
        """Ambient of the 100 % column, °C, or None; a disputed one marks nothing."""
        if ratio not in self._full_columns:
            self._full_columns[ratio] = None
            for ambient_c, readings in self._numbers.rows.get(ratio, ()):
                if (1.0 - FULL_RATIO <= readings[0].value <= 1.0 + FULL_RATIO
                        and readings[0].status is not Status.DISPUTED):
                    self._full_columns[ratio] = ambient_c
                    break
        return self._full_columns[ratio]

    def _unplaced_rating(self, amps: Quantity, full_c: float | None) -> Rating:
        readings = self._numbers.unplaced.get(amps)
        if readings is None:
            return None, Number(None, note=f"the sheet gives no {_words(amps)}")
        number = readings_to_number(readings)
        at_c = self._assume_c if self._assume_c is not None else full_c
        if number.value is None or at_c is None:
            return None, number
        return at_c, Number(number.value, Basis.ASSUMED, number.readings,
                            assumed=(f"{_words(amps)} taken as at {at_c:g} °C: its ambient is not stated",))

    def _unplaced(self, ambient_c: float, amps: Quantity) -> Number:
        reference_c, rating = self._rating(amps)
        if rating.value is None or reference_c is None:
            note = rating.note or f"the ambient of the {_words(amps)} is not stated"
            return Number(None, readings=rating.readings, note=note)
        if _same(reference_c, ambient_c):
            return rating
        return Number(None, note=f"no derating table: {_words(amps)} is known at {reference_c:g} °C only")


def row_at(row: list[RowPoint], ambient_c: float) -> Number:
    """Value of a row at an ambient: its column, or the straight line between its two neighbours, or none."""
    index = bisect_left(row, (ambient_c - SAME_AMBIENT_K,))  # tuples compare by ambient first
    if index < len(row) and row[index][0] <= ambient_c + SAME_AMBIENT_K:
        return readings_to_number(row[index][1])
    if index == 0 or index == len(row):
        first_c, last_c = row[0][0], row[-1][0]
        if len(row) == 1:
            return Number(None, note=f"no derating row: known at {first_c:g} °C only")
        return Number(None, note=f"{ambient_c:g} °C lies beyond the table ({first_c:g} to {last_c:g} °C)")
    cold, hot = readings_to_number(row[index - 1][1]), readings_to_number(row[index][1])
    if cold.value is None or hot.value is None:
        return cold if cold.value is None else hot
    cold_c, hot_c = row[index - 1][0], row[index][0]
    value = cold.value + (ambient_c - cold_c) / (hot_c - cold_c) * (hot.value - cold.value)
    return Number(value, Basis.INTERPOLATED, cold.readings + hot.readings)


def _same(one_c: float, other_c: float) -> bool:
    return abs(one_c - other_c) <= SAME_AMBIENT_K


def _words(quantity: Quantity) -> str:
    return quantity.value.replace("_", " ")
