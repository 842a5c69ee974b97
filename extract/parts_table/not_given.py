"""Numbers typed where the sheets give none: a cell of one part, or a column at an ambient no sheet has.

Comes in: what was compared, and what the sheets did not give. Goes out: doubts. Judges no value: whether the
page prints the number is for a person to see.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from extract.checks import codes
from extract.parts_table.records import TableFinding, TypedCell
from extract.parts_table.sources import SourcePart
from extract.parts_table.telling import cell_to_finding, texts_to_what
from extract.schema import AT_AMBIENT

Key = tuple[str, str, int]
"""Sheet of the table, document, column."""

_FEWEST_GIVEN = 3
_MOST_MISSING = 0.25
"""Share of a column's parts beyond which it was not read, rather than not printed."""


@dataclass(frozen=True, slots=True)
class NotGiven:
    """A cell as it stands in the file, its part, and the ambients at which the sheet gives the number."""

    cell: TypedCell
    part_number: str
    ambients: tuple[float, ...]


def cell_to_not_given(cell: TypedCell, part_number: str, part: SourcePart) -> NotGiven:
    """What the sheet gives in its place."""
    quantity, ambients = cell.column.quantity, set[float]()
    if quantity in AT_AMBIENT and cell.column.ambient_c is not None:
        ambients = {r.ambient_c for r in part.by_quantity.get(quantity, ()) if r.ambient_c is not None}
    return NotGiven(cell, part_number, tuple(sorted(ambients)))


def missing_to_findings(
    given: Mapping[Key, int], missing: Mapping[Key, Sequence[NotGiven]]
) -> Iterator[TableFinding]:
    """Doubts on cells in columns that a sheet gives for nearly all other parts, and on whole columns at an
    ambient that it does not have."""
    for key, listed in missing.items():
        count = given.get(key, 0)
        if not count and all(len(one.ambients) > 1 for one in listed):
            yield _to_column(key, listed)
        elif count >= _FEWEST_GIVEN and len(listed) <= _MOST_MISSING * (count + len(listed)):
            yield from (_to_cell(key, one, count) for one in listed)


def _to_cell(key: Key, one: NotGiven, count: int) -> TableFinding:
    message = (
        f"{key[1]} was read without such a number for '{one.part_number}', and with it for {count}"
        " other parts: is it printed? Look at the page"
    )
    finding = cell_to_finding(
        one.cell,
        key[0],
        codes.SOURCE_GIVES_NONE,
        one.part_number,
        expected="nothing, or what the page prints",
        message=message,
    )
    return replace(finding, document=key[1])


def _to_column(key: Key, listed: Sequence[NotGiven]) -> TableFinding:
    first = listed[0]
    ambients = ", ".join(f"{ambient:g}" for ambient in first.ambients)
    message = (
        f"{key[1]} was read without {first.cell.column.ambient_c:g} °C; it gives these numbers at"
        f" {ambients} °C: is the temperature of the heading right?"
    )
    finding = cell_to_finding(
        first.cell,
        key[0],
        codes.SOURCE_GIVES_NONE,
        first.part_number,
        expected=f"one of {ambients} °C",
        message=message,
    )
    cells = tuple(first.cell.column.at(one.cell.row) for one in listed)
    return replace(
        finding,
        document=key[1],
        cells=cells,
        evidence=f"{len(listed)} cells",
        what=texts_to_what(one.cell.raw for one in listed),
    )
