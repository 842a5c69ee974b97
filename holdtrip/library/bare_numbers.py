"""The numbers of all parts in force, bare: a ranking looks at each of them, and shows few.

Comes in: a connection, a version. Goes out: `BareNumbers`, and what sheets say beside the ratings under some
names. The numbers are those that `parts.connection_to_parts` gives out, without a record for each, and
in the same order; the parts, too. Nothing is looked up one by one. Knows no arrays.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from itertools import chain
from typing import Any, NamedTuple

from sqlalchemy import Connection, select

from extract.schema import WHOLE_SERIES, Kind, ParticularName, Quantity, Status
from holdtrip.library.chunks import chunks
from holdtrip.library.curves import drawn_parts
from holdtrip.library.filing import names_then
from holdtrip.library.history import came_by, fact_holds_at, holds_at
from holdtrip.library.numbers import said_of
from holdtrip.library.tables import part, part_state, part_text, particular, reading, sheet

QUANTITIES = {quantity.value: code for code, quantity in enumerate(Quantity)}
KINDS = {kind.value: code for code, kind in enumerate(Kind)}


class BarePart(NamedTuple):
    """A part in force. drawn: whether a curve of it may be used."""

    part_id: int
    sheet_id: int
    part_number: str
    document: str
    packages: tuple[str, ...]
    drawn: bool


class NumberLists(NamedTuple):
    """Numbers that may be used, a list for each of their columns: their part, places of quantity and kind in
    `Quantity` and `Kind`; ambient, °C, test current, A, None where none is printed; value, SI."""

    part_id: Sequence[int]
    quantity: Sequence[int]
    kind: Sequence[int]
    ambient_c: Sequence[float | None]
    test_current_a: Sequence[float | None]
    value: Sequence[float]
    disputed: Sequence[bool]


class BareNumbers(NamedTuple):
    """All parts in force at a version of the library. series: sheet → the part that stands for its whole
    series."""

    version: int
    parts: tuple[BarePart, ...]
    series: dict[int, int]
    numbers: NumberLists


SaidBeside = tuple[int, str, str, str, float | None, str, str, str]
"""Sheet, part number, name, kind, value, text, label and status of a particular."""


def connection_to_bare(connection: Connection, version: int, accepted_only: bool) -> BareNumbers:
    """The parts in force with their numbers that may be used; with `accepted_only` as
    `parts.connection_to_parts`."""
    found = _parts(connection, version, accepted_only)
    series = {sheet_id: part_id for part_id, sheet_id in connection.execute(
        select(part.c.id, part.c.sheet_id)
        .where(part.c.part_number == WHOLE_SERIES, fact_holds_at(part, version)))}
    in_force = dict.fromkeys(one.sheet_id for one in found)
    series = {sheet_id: series[sheet_id] for sheet_id in in_force if sheet_id in series}
    part_ids = [*(one.part_id for one in found), *series.values()]
    return BareNumbers(version, found, series, _numbers(connection, version, part_ids, accepted_only))


def connection_to_said(
    connection: Connection, version: int, names: Collection[ParticularName]
) -> tuple[SaidBeside, ...]:
    """What sheets say beside the ratings under some names, in the order read."""
    own = particular.c
    query = (
        select(own.sheet_id, own.part_number, own.name, own.kind, own.value, own.text, own.label, own.status)
        .where(fact_holds_at(particular, version), own.name.in_([name.value for name in names]))
        .order_by(own.sheet_id, own.position))
    return tuple(tuple(row) for row in connection.execute(query))


def _parts(connection: Connection, version: int, accepted_only: bool) -> tuple[BarePart, ...]:
    query = (
        select(part.c.id, part.c.sheet_id, part.c.part_number, sheet.c.document, sheet.c.sha256)
        .join(sheet, sheet.c.id == part.c.sheet_id).join(part_state, part_state.c.part_id == part.c.id)
        .where(holds_at(part_state, version), part_state.c.live, part.c.part_number != WHOLE_SERIES)
        .order_by(sheet.c.id, part.c.position))
    if accepted_only:
        query = query.where(part_state.c.accepted > 0)
    then, drawn = names_then(connection, version), drawn_parts(connection, version, accepted_only)
    packages: dict[int, tuple[str, ...]] = {}
    texts = (select(part_text.c.part_id, part_text.c.text).where(part_text.c.name == "package")
             .order_by(part_text.c.part_id, part_text.c.position))
    for part_id, text in connection.execute(texts):
        packages[part_id] = (*packages.get(part_id, ()), text)
    return tuple([
        BarePart(part_id, sheet_id, number, then.get(sha256, document), packages.get(part_id, ()),
                 (sheet_id, number) in drawn or (sheet_id, WHOLE_SERIES) in drawn)
        for part_id, sheet_id, number, document, sha256 in connection.execute(query)])


def _numbers(
    connection: Connection, version: int, part_ids: Iterable[int], accepted_only: bool
) -> NumberLists:
    query = (
        select(reading.c.part_id, reading.c.quantity, reading.c.kind, reading.c.ambient_c,
               reading.c.test_current_a, reading.c.value, reading.c.status, reading.c.id)
        .where(came_by(reading, version)).order_by(reading.c.part_id, reading.c.position))
    pieces: list[NumberLists] = []
    for some in chunks(part_ids):
        rows: Sequence[Sequence[Any]] = connection.execute(
            query.where(reading.c.part_id.in_(some))).fetchall()
        said = said_of(connection, version, some, [row[-1] for row in rows], accepted_only)
        if not said.nothing:
            worth = [(row, used) for row in rows if (used := said.worth(row[-1], row[6], row[5])) is not None]
            rows = [(*row[:5], value, status.value) for row, (status, value) in worth]
        pieces += [_rows_to_lists(rows)] if rows else []
    return NumberLists(*(tuple(chain.from_iterable(column)) for column in zip(*pieces, strict=True))) \
        if pieces else NumberLists((), (), (), (), (), (), ())


def _rows_to_lists(rows: Sequence[Sequence[Any]]) -> NumberLists:
    part_id, quantity, kind, ambient_c, test_a, value, status, *_ = zip(*rows, strict=True)
    disputed = Status.DISPUTED.value
    return NumberLists(part_id, [QUANTITIES[one] for one in quantity], [KINDS[one] for one in kind],
                       ambient_c, test_a, value, [one == disputed for one in status])
