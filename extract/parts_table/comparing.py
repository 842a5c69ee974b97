"""One typed number held against what the sheets say of its part: right, wrong, unsure or not given.

Comes in: a typed cell and the part in each sheet that has it. Goes out: a verdict with the readings it rests
on. A disputed reading confirms nothing and refutes nothing. Explains no difference: differences.py does.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from extract.parts_table.differences import is_rounded, is_same
from extract.parts_table.grid import Place, View
from extract.parts_table.matching import PartMatch
from extract.parts_table.records import ColumnRole, TypedCell
from extract.parts_table.sources import SourcePart, cell_to_readings
from extract.schema import AT_AMBIENT, Quantity, Reading, Status


class Verdict(StrEnum):
    """What the sheets say of a typed number."""

    RIGHT = "right"
    REVISION = "right in one sheet, not in another"
    ROUNDED = "rounded"
    WRONG = "wrong"
    AS_DISPUTED = "as a disputed reading"
    UNLIKE_DISPUTED = "unlike a disputed reading"
    NOT_GIVEN = "not given"


SETTLED = frozenset({Verdict.RIGHT, Verdict.REVISION, Verdict.ROUNDED})
"""Verdicts that leave nothing to repair."""


@dataclass(frozen=True, slots=True)
class Compared:
    """A verdict, the part of the sheet it is from, and that sheet's readings of the number: sure ones only,
    unless the verdict is about disputed ones."""

    verdict: Verdict
    part: SourcePart | None = None
    readings: tuple[Reading, ...] = ()


def cell_to_compared(cell: TypedCell, parts: Sequence[SourcePart]) -> Compared:
    """Hold a cell against all sheets that have its part; the last sheet that gives it speaks."""
    given = [(part, readings) for part in parts if (readings := cell_to_readings(cell, part))]
    if not given:
        return Compared(Verdict.NOT_GIVEN)
    sure = [(part, kept) for part, readings in given if (kept := _undisputed(readings))]
    if not sure:
        part, readings = given[-1]
        alike = any(is_same(cell.value, r.value) for _, several in given for r in several)
        return Compared(Verdict.AS_DISPUTED if alike else Verdict.UNLIKE_DISPUTED, part, readings)
    alike_in = [any(is_same(cell.value, r.value) for r in readings) for _, readings in sure]
    if all(alike_in):
        return Compared(Verdict.RIGHT, *sure[-1])
    if any(alike_in):
        return Compared(Verdict.REVISION, *sure[alike_in.index(False)])
    nearest = min(sure[-1][1], key=lambda r: abs(r.value - cell.value))
    verdict = Verdict.ROUNDED if is_rounded(cell.value, cell.step, nearest.value) else Verdict.WRONG
    return Compared(verdict, *sure[-1])


def _undisputed(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    return tuple(r for r in readings if r.status is not Status.DISPUTED)


@dataclass(frozen=True, slots=True)
class Judge:
    """Judges places of a view by the sheets."""

    sources: Mapping[str, Sequence[SourcePart]]
    matches: Mapping[str, PartMatch]

    def parts(self, part_number: str) -> Sequence[SourcePart]:
        """The part in each sheet that has it; none if it matches none."""
        match = self.matches.get(part_number)
        name = match.matched if match is not None else part_number
        return self.sources.get(name, ())

    def ambients(self) -> tuple[float, ...]:
        """Temperatures at which the sheets give hold or trip currents, or shares of them."""
        return tuple(
            sorted(
                {
                    r.ambient_c
                    for parts in self.sources.values()
                    for part in parts
                    for quantity in AT_AMBIENT
                    for r in part.by_quantity.get(quantity, ())
                    if r.ambient_c is not None
                }
            )
        )

    def is_given(self, view: View, place: Place) -> bool | None:
        """Whether the sheets give the number of an empty place; None where they do not have the part."""
        parts = self.parts(view.part(place[0]))
        if not parts:
            return None
        current = view.column(place[1]).test_current_a
        empty = TypedCell(place[0], view.column(place[1]), math.nan, 0.0, "", current)
        return any(
            current is None or is_same(current, reading.test_current_a or math.nan)
            for part in parts
            for reading in cell_to_readings(empty, part)
        )

    def is_wrong(self, view: View, place: Place) -> bool | None:
        """Whether the number at a place is wrong; None if there is none, or the sheets do not tell."""
        parts = self.parts(view.part(place[0]))
        if not parts:
            return None
        if view.column(place[1]).role is ColumnRole.TEST_CURRENT:
            return _is_wrong_current(view.value(place), parts)
        cell = view.cell(place)
        if cell is None:
            return None
        verdict = cell_to_compared(cell, parts).verdict
        if verdict in SETTLED:
            return False
        return True if verdict is Verdict.WRONG else None


def _is_wrong_current(value: float | None, parts: Sequence[SourcePart]) -> bool | None:
    currents = [
        r.test_current_a
        for part in parts
        for r in part.by_quantity.get(Quantity.TIME_TO_TRIP, ())
        if r.test_current_a is not None
    ]
    if value is None or not currents:
        return None
    return not any(is_same(value, current) for current in currents)
