"""The parts of a large library in columns, kept while the library stays as it is.

Comes in: a library. Goes out: its `PartColumns`, at once where they are kept, made in the background else, so
that a ranking follows a key without judging one part after the other. Judges nothing.
"""

from __future__ import annotations

import gc
from collections.abc import Callable
from threading import Lock, Thread

from compare.columns.best import ColumnRanking, columns_to_best
from compare.columns.part_columns import PartColumns, source_to_columns
from compare.ranking import collector_paused
from compare.requirement import Requirement
from holdtrip.library.store import Library
from holdtrip.library_parts import LibraryParts

FEW = 300
"""So many parts are judged one by one at each key; more of them in columns."""
MOST_PARTS = 30_000
"""The columns of more parts are not kept."""


class KeptColumns:
    """Columns of accepted and of all numbers, each of one version of the library."""

    def __init__(self, library: Library, part_count: Callable[[], int]) -> None:
        self._library, self._part_count = library, part_count
        self._kept: dict[bool, tuple[int, PartColumns]] = {}
        self._making: dict[bool, Thread] = {}
        self._lock, self._reading, self._judging = Lock(), Lock(), Lock()

    def close(self) -> None:
        """Wait for what is being made: the library may be closed then."""
        with self._lock:
            making = list(self._making.values())
        for thread in making:
            thread.join()

    def begin(self, unreviewed: bool) -> None:
        """Make them in the background, for somebody who is about to compare; of a library without a person's
        decisions those of all numbers."""
        self._begin(unreviewed, self._made_if_many)

    def best(
        self, requirement: Requirement, unreviewed: bool, wanted: int, *, now: bool
    ) -> ColumnRanking | None:
        """The best parts; None while the columns are being made.

        now: make them while the caller waits, as where a search would have to load every part as well: of a
        small library, or without a person's decisions, where nothing is sure of any part.
        """
        columns = self._made(unreviewed) if now else self._made_or_begun(unreviewed)
        if columns is None:
            return None
        with self._judging:
            return columns_to_best(columns, requirement, wanted)

    def _made_or_begun(self, unreviewed: bool) -> PartColumns | None:
        version = self._library.version()
        with self._lock:
            kept = self._kept.get(unreviewed)
            if kept is not None and kept[0] == version:
                return kept[1]
        self._begin(unreviewed, self._made)
        return None

    def _begin(self, unreviewed: bool, make: Callable[[bool], object]) -> None:
        with self._lock:
            making = self._making.get(unreviewed)
            if making is None or not making.is_alive():
                self._making[unreviewed] = Thread(target=make, args=(unreviewed,), daemon=True)
                self._making[unreviewed].start()

    def _made_if_many(self, unreviewed: bool) -> None:
        if FEW < self._part_count() <= MOST_PARTS and not self._made(unreviewed).count:
            self._made(True)

    def _made(self, unreviewed: bool) -> PartColumns:
        with self._reading:
            version = self._library.version()
            kept = self._kept.get(unreviewed)
            if kept is None or kept[0] != version:
                with collector_paused():  # a third of the time, among so many numbers
                    source = LibraryParts(self._library, accepted_only=not unreviewed)
                    kept = self._kept[unreviewed] = (source.version, source_to_columns(source))
                gc.freeze()  # they stay: no key shall wait until all of them are looked through
            return kept[1]
