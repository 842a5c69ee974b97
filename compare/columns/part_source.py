"""Many parts by their bare numbers: what columns are made of, before any part is made readable.

Comes in: parts. Goes out: a `PartSource`: every number as one entry of flat arrays, and of each part only
what columns ask. Whoever keeps parts elsewhere may be a `PartSource` without making a record for each
number; its records are asked for where a part is judged by itself or shown. Judges nothing.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from typing import NamedTuple, Protocol

import numpy as np

from compare.columns.rows import NAN, Bools, Codes, Floats
from extract.schema import WHOLE_SERIES, Kind, Part, Particular, ParticularName, Quantity, Reading, Status

QUANTITIES, KINDS = tuple(Quantity), tuple(Kind)
_CODE = {id(word): code for words in (QUANTITIES, KINDS) for code, word in enumerate(words)}
# by identity: a member of an enumeration is there once, and its hash is worked out in Python each time


class FlatNumbers(NamedTuple):
    """Every number of every part, one entry each: place of its part; places of quantity and kind in
    `QUANTITIES` and `KINDS`; ambient, °C, and test current, A, not a number where none is printed; value, SI;
    whether it is disputed; whether the sheet gives it for its whole series."""

    part: Codes
    quantity: Codes
    kind: Codes
    ambient_c: Floats
    test_a: Floats
    value: Floats
    disputed: Bools
    series: Bools

    def where(self, some: Bools | Codes) -> FlatNumbers:
        """Some of the entries."""
        return FlatNumbers(self.part[some], self.quantity[some], self.kind[some], self.ambient_c[some],
                           self.test_a[some], self.value[some], self.disputed[some], self.series[some])


class PartSource(Protocol):
    """Parts in a fixed order; a part's place in it is its number here."""

    def names(self) -> Sequence[tuple[str, str]]:
        """Part number and document of each."""

    def numbers(self) -> FlatNumbers:
        """All numbers of all parts; asked once."""

    def packages(self) -> Sequence[tuple[str, ...]]:
        """The printed package texts of each."""

    def with_curves(self) -> Bools:
        """Whether the sheet draws a curve of it that may be used."""

    def said(self, names: frozenset[ParticularName]) -> Codes:
        """Which parts their sheets say the same of, under some names: they have the same code."""

    def parts(self, places: Sequence[int]) -> tuple[Part, ...]:
        """Whole parts, by their places, rising."""


class GivenParts:
    """Parts that are records already."""

    def __init__(self, parts: Iterable[Part]) -> None:
        self._parts = tuple(parts)

    def names(self) -> Sequence[tuple[str, str]]:
        """As `PartSource`."""
        return [(part.part_number, part.document) for part in self._parts]

    def numbers(self) -> FlatNumbers:
        """As `PartSource`; each reading is looked at once."""
        readings: list[Reading] = [reading for part in self._parts for reading in part.readings]
        count = len(readings)
        return FlatNumbers(
            np.repeat(np.arange(len(self._parts)), [len(part.readings) for part in self._parts]),
            np.fromiter([_CODE[id(one.quantity)] for one in readings], np.int64, count),
            np.fromiter([_CODE[id(one.kind)] for one in readings], np.int64, count),
            np.fromiter([NAN if one.ambient_c is None else one.ambient_c for one in readings], float, count),
            np.fromiter([NAN if one.test_current_a is None else one.test_current_a for one in readings],
                        float, count),
            np.fromiter([one.value for one in readings], float, count),
            np.fromiter([one.status is Status.DISPUTED for one in readings], bool, count),
            np.fromiter([one.part_number == WHOLE_SERIES for one in readings], bool, count))

    def packages(self) -> Sequence[tuple[str, ...]]:
        """As `PartSource`."""
        return [tuple([text.text for text in part.texts if text.name == "package"]) for part in self._parts]

    def with_curves(self) -> Bools:
        """As `PartSource`."""
        return np.array([bool(part.curves) for part in self._parts], bool)

    def said(self, names: frozenset[ParticularName]) -> Codes:
        """As `PartSource`."""
        return alike_to_codes([[_worth(one) for one in part.particulars if one.name in names]
                               for part in self._parts])

    def parts(self, places: Sequence[int]) -> tuple[Part, ...]:
        """As `PartSource`."""
        return tuple(self._parts[place] for place in places)


def alike_to_codes(said: Iterable[Iterable[Hashable]]) -> Codes:
    """A code for each of several lists, the same for the same list."""
    known: dict[tuple[Hashable, ...], int] = {}
    return np.array([known.setdefault(tuple(one), len(known)) for one in said], np.int64)


def _worth(one: Particular) -> Hashable:
    """All of a particular that a margin may depend on."""
    return (one.part_number == WHOLE_SERIES, one.name, one.kind, one.value, one.text, one.label, one.status)
