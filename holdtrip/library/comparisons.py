"""Comparisons kept under a name, with the parts they judged, so that a new revision tells which it touches.

Comes in: a requirement's text, a result as JSON text, the parts. Goes out: the same. Compares nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, insert, select, update

from extract.errors import InputError
from holdtrip.library.history import SAID_AT, add_change, holds_at, inserted_id, text_to_time
from holdtrip.library.part_numbers import fold
from holdtrip.library.records import Action, Signature
from holdtrip.library.tables import change, comparison, comparison_part


@dataclass(frozen=True, slots=True)
class JudgedPart:
    """A part that a comparison judged, and the sheet its numbers came from."""

    part_number: str
    sha256: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """What is kept: `requirement` as typed (TOML), `result` as JSON text, the parts judged."""

    name: str
    requirement: str
    result: str
    parts: tuple[JudgedPart, ...]


@dataclass(frozen=True, slots=True)
class SavedComparison:
    """A comparison and who kept it when; `version` is that of the library it was made from or a later one."""

    comparison: Comparison
    who: str
    at: datetime
    version: int


def add_comparison(connection: Connection, kept: Comparison, by: Signature) -> int:
    """Keep a comparison and return its version; one of the same name stays in the history."""
    if not kept.name.strip():
        raise InputError("library", "a comparison without a name", "a name")
    version = add_change(connection, Action.COMPARISON, by)
    connection.execute(
        update(comparison).values(replaced_by=version)
        .where(comparison.c.name == kept.name, comparison.c.replaced_by.is_(None)))
    row_id = inserted_id(connection, insert(comparison).values(
        change_id=version, name=kept.name, requirement=kept.requirement, result=kept.result))
    rows = [{"comparison_id": row_id, "part_number": one.part_number, "folded": fold(one.part_number),
             "sha256": one.sha256} for one in kept.parts]
    if rows:
        connection.execute(insert(comparison_part), rows)
    return version


def connection_to_comparisons(connection: Connection, version: int) -> tuple[SavedComparison, ...]:
    """The comparisons kept at a version, each name once, oldest first."""
    query = (
        select(comparison.c.id, comparison.c.name, comparison.c.requirement, comparison.c.result,
               change.c.who, SAID_AT.label("at"), change.c.id.label("version"))
        .join(change, change.c.id == comparison.c.change_id).where(holds_at(comparison, version))
        .order_by(comparison.c.id))
    rows = connection.execute(query).mappings().all()
    parts = _parts(connection, [row["id"] for row in rows])
    return tuple(
        SavedComparison(
            Comparison(row["name"], row["requirement"], row["result"], tuple(parts.get(row["id"], ()))),
            row["who"], text_to_time(row["at"]), row["version"])
        for row in rows)


def _parts(connection: Connection, ids: Iterable[int]) -> dict[int, list[JudgedPart]]:
    columns = comparison_part.c
    parts: dict[int, list[JudgedPart]] = {}
    for comparison_id in ids:
        query = (select(columns.part_number, columns.sha256)
                 .where(columns.comparison_id == comparison_id).order_by(columns.id))
        parts[comparison_id] = [JudgedPart(number, sha256) for number, sha256 in connection.execute(query)]
    return parts
