"""The list of parts, searched and put in order in memory, fetched again only when the library has changed.

Comes in: a library, what is asked. Goes out: rows. A part is left out by a number only if every number it
gives is out of the range: one whose sheet gives none stays. Judges nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from threading import Lock
from typing import Literal

from holdtrip.library.part_facts import NO_FACTS, PartFacts, Span
from holdtrip.library.part_numbers import fold
from holdtrip.library.records import PartRow, PartState
from holdtrip.library.store import Library

Order = Literal["imported", "part_number", "hold_current", "voltage", "fault_current", "resistance", "time",
                "package", "disputed", "undecided", "state", "document"]


@dataclass(frozen=True, slots=True)
class PartsWanted:
    """Which parts: text in the number or the package, state, ranges; V, A, ohm, s. None asks nothing."""

    like: str = ""
    state: PartState | None = None
    package: str = ""
    hold_min_a: float | None = None
    hold_max_a: float | None = None
    voltage_min_v: float | None = None
    fault_min_a: float | None = None
    resistance_max_ohm: float | None = None
    time_max_s: float | None = None


@dataclass(frozen=True, slots=True)
class ListedPart:
    """A part in short with what its sheet gives; the spans are over all its numbers, disputed ones too."""

    row: PartRow
    facts: PartFacts
    folded: str


class PartLists:
    """The parts of one library at its last version; safe to ask from several threads."""

    def __init__(self, library: Library) -> None:
        self._library, self._lock = library, Lock()
        self._version, self._parts = -1, tuple[ListedPart, ...]()

    def every(self) -> tuple[ListedPart, ...]:
        """All parts in force, in the order imported."""
        with self._lock:
            version = self._library.version()
            if version != self._version:
                facts = self._library.part_facts()
                self._parts = tuple(
                    ListedPart(row, facts.get((row.sha256, row.part_number), NO_FACTS), fold(row.part_number))
                    for row in self._library.list_parts())
                self._version = version
            return self._parts

    def search(self, wanted: PartsWanted, order: Order, descending: bool) -> list[ListedPart]:
        """The parts wanted, in order; those without a number stand last both ways."""
        like, package = fold(wanted.like), wanted.package.casefold()
        found = [one for one in self.every() if (not like or like in one.folded) and _suits(one, wanted)
                 and (not package or package in one.facts.package.casefold())]
        key = _KEYS.get(order)
        if key is None:
            return found[::-1] if descending else found
        told = [one for one in found if key(one) is not None]
        told.sort(key=key, reverse=descending)  # type: ignore[arg-type]
        return [*told, *(one for one in found if key(one) is None)]


def _suits(one: ListedPart, wanted: PartsWanted) -> bool:
    row, facts = one.row, one.facts
    hold = None if row.hold_current_min_a is None or row.hold_current_max_a is None else (
        row.hold_current_min_a, row.hold_current_max_a)
    return ((wanted.state is None or row.state is wanted.state)
            and _reaches(hold, wanted.hold_min_a) and _stays(hold, wanted.hold_max_a)
            and _reaches(facts.max_voltage_v, wanted.voltage_min_v)
            and _reaches(facts.max_current_a, wanted.fault_min_a)
            and _stays(facts.resistance_ohm, wanted.resistance_max_ohm)
            and _stays(facts.time_to_trip_s, wanted.time_max_s))


def _reaches(span: Span, least: float | None) -> bool:
    return least is None or span is None or span[1] >= least


def _stays(span: Span, most: float | None) -> bool:
    return most is None or span is None or span[0] <= most


def _largest(span: Span) -> float | None:
    return None if span is None else span[1]


_KEYS: dict[str, Callable[[ListedPart], object]] = {
    "part_number": lambda one: one.row.part_number.casefold(),
    "hold_current": lambda one: one.row.hold_current_max_a,
    "voltage": lambda one: _largest(one.facts.max_voltage_v),
    "fault_current": lambda one: _largest(one.facts.max_current_a),
    "resistance": lambda one: _largest(one.facts.resistance_ohm),
    "time": lambda one: _largest(one.facts.time_to_trip_s),
    "package": lambda one: one.facts.package.casefold() or None,
    "disputed": lambda one: one.row.disputed,
    "undecided": lambda one: one.row.undecided,
    "state": lambda one: list(PartState).index(one.row.state),
    "document": lambda one: one.row.document.casefold(),
}
