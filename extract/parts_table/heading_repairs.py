"""Repairs of headings worth trying: another unit, limit, temperature or sign, two headings exchanged.

Comes in: a view and which places are wrong in it. Goes out: trials, each a heading that means something else.
Generates only: hypotheses.py tries them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations

from extract.checks import codes
from extract.parts_table.grid import Repair, View
from extract.parts_table.records import Column, ColumnRole
from extract.parts_table.trials import FEWEST_IN_COLUMN, MOST_PAIRS, Trial, Wrong
from extract.schema import AT_AMBIENT, Kind


def wrong_to_heading_trials(view: View, wrong: Wrong, ambients: Sequence[float]) -> Iterator[Trial]:
    """Units, kinds, temperatures, signs and places of headings whose columns are wrong nearly everywhere."""
    compared = _by_column(wrong)
    suspects = [
        index
        for index, found in compared.items()
        if sum(found) >= FEWEST_IN_COLUMN and sum(found) >= 0.5 * len(found)
    ]
    silent = [index for index in view.grid.columns if index not in compared]
    for index in suspects:
        yield from _other_units(view, index)
        yield from _lost_sign(view, index)
    for index in (*suspects, *silent):
        yield from _other_kinds(view, index)
        yield from _other_ambients(view, index, ambients)
    for one, other in [*_times_and_currents(view, suspects), *combinations(suspects, 2)][:MOST_PAIRS]:
        yield _swapped_headings(view, one, other)


def _times_and_currents(view: View, suspects: Sequence[int]) -> list[tuple[int, int]]:
    """Times to trip and their test currents, where only one of the two columns could be compared."""
    pairs = [
        (index, test)
        for index in view.grid.columns
        if (test := view.column(index).test_column) is not None and test in view.grid.columns
    ]
    return [pair for pair in pairs if (pair[0] in suspects) != (pair[1] in suspects)]


def _other_units(view: View, index: int) -> Iterator[Trial]:
    column = view.column(index)
    unit = column.unit or column.assumed
    for power in (3, -3, 2, -2, 1, -1):
        factor = 10.0**power
        entries = {
            (row, index): replace(entry, number=entry.number * factor, step=entry.step * factor)
            for row in view.rows()
            if (entry := view.entry((row, index))) is not None
        }
        name = f"'{column.heading}' is read as {unit.name if unit is not None else 'plain numbers'}"
        yield Trial(
            codes.HEADING_UNIT,
            Repair(entries),
            (0, index),
            f"{name}; all its numbers times {factor:g} are right: another unit was meant",
            f"a unit {factor:g} times as large",
            FEWEST_IN_COLUMN,
            is_heading=True,
            is_thousands=abs(power) == 3,
        )


def _meant(code: codes.Code, index: int, columns: dict[int, Column], message: str, expected: str) -> Trial:
    """Columns that mean something else."""
    repair = Repair(columns=columns)
    return Trial(code, repair, (0, index), message, expected, FEWEST_IN_COLUMN, is_heading=True)


def _other_ambient(column: Column, index: int, ambient_c: float, code: codes.Code, why: str = "") -> Trial:
    meant = {index: replace(column, ambient_c=ambient_c)}
    said = f"those at {ambient_c:g} °C{why}"
    return _meant(code, index, meant, _read_as(column, f"{column.ambient_c:g} °C", said), f"{ambient_c:g} °C")


def _read_as(column: Column, read: str, said: str) -> str:
    return f"'{column.heading}' is read as {read}; its numbers are {said}"


def _lost_sign(view: View, index: int) -> Iterator[Trial]:
    column = view.column(index)
    if column.quantity in AT_AMBIENT and column.ambient_c:
        yield _other_ambient(column, index, -column.ambient_c, codes.HEADING_SIGN, ": the sign is lost")


def _other_kinds(view: View, index: int) -> Iterator[Trial]:
    column = view.column(index)
    if column.role is not ColumnRole.VALUE or column.quantity in AT_AMBIENT:
        return
    for kind in sorted(Kind, key=lambda one: one is Kind.NONE):  # a limit says more than none
        if kind is not column.kind:
            meant = replace(column, kind=kind)
            said = _read_as(column, _meaning(column), f"those of {_meaning(meant)}")
            yield _meant(codes.HEADING_KIND, index, {index: meant}, said, _meaning(meant))


def _other_ambients(view: View, index: int, ambients: Sequence[float]) -> Iterator[Trial]:
    """Temperatures of the source that no other column of the quantity has."""
    column = view.column(index)
    if column.quantity not in AT_AMBIENT or column.ambient_c is None:
        return
    taken = {
        view.column(n).ambient_c for n in view.grid.columns if view.column(n).quantity is column.quantity
    }
    for ambient in ambients:
        if ambient not in taken and ambient != -column.ambient_c:
            yield _other_ambient(column, index, ambient, codes.HEADING_AMBIENT)


def _meaning(column: Column) -> str:
    if column.role is ColumnRole.TEST_CURRENT:
        return "test current"
    name = column.quantity.value if column.quantity is not None else "nothing"
    ambient = f" at {column.ambient_c:g} °C" if column.ambient_c is not None else ""
    return f"{name} {column.kind.value}".strip() + ambient


def _swapped_headings(view: View, one: int, other: int) -> Trial:
    a, b = view.column(one), view.column(other)
    moved = {one: other, other: one}
    meant = {one: _as_meant(a, b, moved), other: _as_meant(b, a, moved)}
    for index in view.grid.columns:  # a time keeps the current that it had, where that stands now
        test = view.column(index).test_column
        if index not in moved and test in moved:
            meant[index] = replace(view.column(index), test_column=moved[test])
    said = f"the headings '{a.heading}' and '{b.heading}' are exchanged, or the cells below them"
    return _meant(codes.HEADINGS_SWAPPED, one, meant, said, f"'{b.heading}' here, '{a.heading}' there")


def _as_meant(column: Column, other: Column, moved: Mapping[int, int]) -> Column:
    """A column that means what another does, and keeps its place."""
    test = other.test_column
    return replace(
        other,
        index=column.index,
        heading=column.heading,
        test_column=moved.get(test, test) if test is not None else None,
    )


def _by_column(wrong: Wrong) -> dict[int, list[bool]]:
    columns: dict[int, list[bool]] = {}
    for (_, index), is_so in wrong.items():
        columns.setdefault(index, []).append(is_so)
    return columns
