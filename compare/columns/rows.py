"""Numbers of many parts against ambient: one table for all parts, a column for each ambient.

Comes in: values with part and ambient. Goes out: a `Row`, and from it the value of every part at an ambient:
in its column, or on the straight line between its two neighbours, as `derating.row_at`. Does not judge.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from compare.derating import FULL_RATIO, SAME_AMBIENT_K

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Codes = NDArray[np.int64]
NAN = float("nan")


class At(NamedTuple):
    """A row at an ambient: the value, not a number where there is none; whether it lies between two columns;
    the values of the nearest columns that are truly colder and truly hotter."""

    value: Floats
    between: Bools
    colder: Floats
    hotter: Floats


class Row(NamedTuple):
    """ambients_c: of the columns, rising; cells: a line for each part; scale: what its line is times."""

    ambients_c: Floats
    cells: Floats
    scale: Floats

    def columns_of_part(self) -> Codes:
        """How many columns each part has."""
        return np.asarray(np.count_nonzero(~np.isnan(self.cells), axis=1), np.int64)

    def only(self) -> tuple[Floats, Floats]:
        """Value and ambient of the only column, or of the last."""
        value, ambient_c = np.full(len(self.cells), NAN), np.full(len(self.cells), NAN)
        for number, at_c in enumerate(self.ambients_c):
            cell = self.cells[:, number]
            given = ~np.isnan(cell)
            value, ambient_c = np.where(given, cell, value), np.where(given, at_c, ambient_c)
        return value, ambient_c

    def full_column(self) -> tuple[Floats, Codes]:
        """Ambient of a column of exactly 1, and how many columns are nearly so."""
        exact_c, near = np.full(len(self.cells), NAN), np.zeros(len(self.cells), np.int64)
        for number, at_c in enumerate(self.ambients_c):
            cell = self.cells[:, number]
            exact_c = np.where(cell == 1.0, at_c, exact_c)
            near += np.abs(cell - 1.0) <= 2.0 * FULL_RATIO
        return exact_c, near

    def columns_within(self, low_c: float, high_c: float) -> tuple[Floats, Codes]:
        """Ambient of the last column from one ambient to another, and how many there are."""
        last_c, found = np.full(len(self.cells), NAN), np.zeros(len(self.cells), np.int64)
        for number, at_c in enumerate(self.ambients_c):
            if low_c <= at_c <= high_c:
                given = ~np.isnan(self.cells[:, number])
                last_c, found = np.where(given, at_c, last_c), found + given
        return last_c, found

    def or_scaled(self, other: Row, scale: Floats, where: Bools) -> Row:
        """This row, and for some parts another one times a scale."""
        ambients_c = np.union1d(self.ambients_c, other.ambients_c)
        cells = np.full((len(self.cells), len(ambients_c)), NAN)
        own, theirs = (np.searchsorted(ambients_c, one.ambients_c) for one in (self, other))
        cells[:, own] = self.cells
        cells[where] = NAN
        cells[np.ix_(where, theirs)] = other.cells[where]
        return Row(ambients_c, cells, np.where(where, scale, 1.0))

    def without(self, some: Bools) -> Row:
        """This row with nothing for some parts."""
        cells = self.cells.copy()
        cells[some] = NAN
        return self._replace(cells=cells)

    def at(self, ambient_c: float | Floats) -> At:
        """The value of every part at an ambient, °C, the same or one for each part."""
        count = len(self.cells)
        low_c, low, high_c, high = (np.full(count, NAN) for _ in range(4))
        colder, hotter = np.full(count, NAN), np.full(count, NAN)
        for at_c, cell in zip(self.ambients_c, self.cells.T, strict=True):
            given = ~np.isnan(cell)
            below = given & (at_c <= ambient_c + SAME_AMBIENT_K)
            low_c, low = np.where(below, at_c, low_c), np.where(below, cell, low)
            colder = np.where(given & (at_c < ambient_c - SAME_AMBIENT_K), cell, colder)
        for at_c, cell in zip(self.ambients_c[::-1], self.cells.T[::-1], strict=True):
            given = ~np.isnan(cell)
            above = given & (at_c >= ambient_c - SAME_AMBIENT_K)
            high_c, high = np.where(above, at_c, high_c), np.where(above, cell, high)
            hotter = np.where(given & (at_c > ambient_c + SAME_AMBIENT_K), cell, hotter)
        exact = np.abs(low_c - ambient_c) <= SAME_AMBIENT_K
        on_line = low + (ambient_c - low_c) / (high_c - low_c) * (high - low)
        value = np.where(exact, low, on_line) * self.scale
        return At(value, ~exact & ~np.isnan(value), colder * self.scale, hotter * self.scale)


def placed_rows_to_row(part: Codes, ambient_c: Floats, value: Floats, count: int) -> Row:
    """A table from values, each with its part and ambient; values without ambient are left out."""
    placed = ~np.isnan(ambient_c)
    ambients_c, column = np.unique(ambient_c[placed], return_inverse=True)
    cells = np.full((count, len(ambients_c)), NAN)
    cells[part[placed], column] = value[placed]
    return Row(ambients_c, cells, np.ones(count))
