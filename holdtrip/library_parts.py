"""The parts of a library as a `PartSource`: put in columns from bare numbers, read whole where one is wanted.

Comes in: a library. Goes out: what `compare.columns` asks of many parts, all of one version of the library,
also what is asked later. Holds no rules of its own.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from compare.columns.part_source import FlatNumbers, alike_to_codes
from compare.columns.rows import Bools, Codes
from extract.schema import WHOLE_SERIES, Part, ParticularName
from holdtrip.library.store import Library


class LibraryParts:
    """Parts in force, with the numbers that may be used."""

    def __init__(self, library: Library, accepted_only: bool) -> None:
        self._library, self._accepted_only = library, accepted_only
        self._bare = library.bare_numbers(accepted_only)

    @property
    def version(self) -> int:
        """The version of the library that this is."""
        return self._bare.version

    def names(self) -> Sequence[tuple[str, str]]:
        """As `PartSource`."""
        return [(one.part_number, one.document) for one in self._bare.parts]

    def numbers(self) -> FlatNumbers:
        """As `PartSource`. The lists are let go of: they are asked for once."""
        bare = self._bare
        self._bare = bare._replace(numbers=bare.numbers._replace(**dict.fromkeys(bare.numbers._fields, ())))
        part_ids = np.array(bare.numbers.part_id, np.int64)
        own_ids = np.array([one.part_id for one in bare.parts], np.int64)
        series_ids = np.array([bare.series.get(one.sheet_id, -1) for one in bare.parts], np.int64)
        own, own_entry = _entries(part_ids, own_ids)
        series, series_entry = _entries(part_ids, series_ids)
        place, entry = np.concatenate([own, series]), np.concatenate([own_entry, series_entry])
        of_series = np.repeat([False, True], [len(own), len(series)])
        order = np.argsort(place, kind="stable")  # of each part its own, then those of its series
        entry = entry[order]
        lists = bare.numbers
        return FlatNumbers(
            place[order], np.array(lists.quantity, np.int64)[entry], np.array(lists.kind, np.int64)[entry],
            np.array(lists.ambient_c, float)[entry], np.array(lists.test_current_a, float)[entry],
            np.array(lists.value, float)[entry], np.array(lists.disputed, bool)[entry], of_series[order])

    def packages(self) -> Sequence[tuple[str, ...]]:
        """As `PartSource`."""
        return [one.packages for one in self._bare.parts]

    def with_curves(self) -> Bools:
        """As `PartSource`."""
        return np.array([one.drawn for one in self._bare.parts], bool)

    def said(self, names: frozenset[ParticularName]) -> Codes:
        """As `PartSource`."""
        found: dict[tuple[int, str], list[tuple[object, ...]]] = {}
        for sheet_id, number, *worth in self._library.said_beside(names, self.version):
            found.setdefault((sheet_id, number), []).append((number == WHOLE_SERIES, *worth))
        if not found:
            return np.zeros(len(self._bare.parts), np.int64)
        return alike_to_codes(
            [*found.get((one.sheet_id, one.part_number), ()), *found.get((one.sheet_id, WHOLE_SERIES), ())]
            for one in self._bare.parts)

    def parts(self, places: Sequence[int]) -> tuple[Part, ...]:
        """As `PartSource`."""
        ids = [self._bare.parts[place].part_id for place in places]
        return self._library.parts_of_ids(ids, self._accepted_only, self.version)


def _entries(part_ids: Codes, wanted: Codes) -> tuple[Codes, Codes]:
    """Of each entry of the parts wanted: the place of the part among them, and the place of the entry, in its
    order. Entries of one part stand together."""
    if not len(part_ids):
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    starts = np.flatnonzero(np.r_[True, part_ids[1:] != part_ids[:-1]])
    counts = np.diff(np.r_[starts, len(part_ids)])
    by_id = np.argsort(part_ids[starts])
    sorted_ids = part_ids[starts][by_id]
    at = np.minimum(np.searchsorted(sorted_ids, wanted), len(sorted_ids) - 1)
    there = sorted_ids[at] == wanted
    of = by_id[at[there]]
    count = counts[of]
    place = np.repeat(np.flatnonzero(there), count)
    within = np.arange(len(place)) - np.repeat(np.cumsum(count) - count, count)
    return place, np.repeat(starts[of], count) + within
