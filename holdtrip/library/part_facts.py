"""What a list of parts shows of each: ratings, resistance, trip time, package, over all that its sheet gives.

Comes in: a connection, a version. Goes out: a span of numbers for each quantity, SI, and the package, part by
part. Numbers count as they may be used: rejected ones do not, corrected ones by their right value. Judges
nothing: a disputed number is within its span, and the row says that the part has some.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, func, select

from extract.schema import Quantity, Reading
from holdtrip.library.history import holds_at
from holdtrip.library.numbers import PartName, names_to_usable_readings
from holdtrip.library.records import Verdict
from holdtrip.library.tables import decision, part, part_state, part_text, reading, sheet

Span = tuple[float, float] | None
"""The least and the largest of several numbers; None for no number."""


@dataclass(frozen=True, slots=True)
class PartFacts:
    """Spans in V, A, ohm, s. resistance_ohm: from the least as delivered to the largest after a trip."""

    max_voltage_v: Span = None
    max_current_a: Span = None
    resistance_ohm: Span = None
    time_to_trip_s: Span = None
    package: str = ""


_FIELD_OF = {
    Quantity.MAX_VOLTAGE: "max_voltage_v", Quantity.MAX_CURRENT: "max_current_a",
    Quantity.RESISTANCE: "resistance_ohm", Quantity.TIME_TO_TRIP: "time_to_trip_s",
}
NO_FACTS = PartFacts()


def connection_to_facts(connection: Connection, version: int) -> dict[tuple[str, str], PartFacts]:
    """(SHA-256 of the sheet, part number) → its facts, of the parts in force."""
    names = _live_parts(connection, version)
    spans: dict[int, dict[str, Any]] = {}
    query = (
        select(reading.c.part_id, reading.c.quantity, func.min(reading.c.value), func.max(reading.c.value))
        .where(reading.c.quantity.in_([quantity.value for quantity in _FIELD_OF]))
        .group_by(reading.c.part_id, reading.c.quantity))
    for part_id, quantity, low, high in connection.execute(query):
        if part_id in names:
            spans.setdefault(part_id, {})[_FIELD_OF[Quantity(quantity)]] = (low, high)
    packages: dict[int, str] = {}
    for part_id, text in connection.execute(
            select(part_text.c.part_id, part_text.c.text).where(part_text.c.name == "package")):
        packages.setdefault(part_id, text)
    facts = {part_id: PartFacts(**spans.get(part_id, {}), package=packages.get(part_id, ""))
             for part_id in names}
    _put_right(connection, version, names, facts)
    return {(name.sha256, name.part_number): facts[part_id] for part_id, name in names.items()}


def _live_parts(connection: Connection, version: int) -> dict[int, PartName]:
    query = (
        select(part.c.id, part.c.part_number, sheet.c.document, sheet.c.sha256)
        .join(sheet, sheet.c.id == part.c.sheet_id).join(part_state, part_state.c.part_id == part.c.id)
        .where(holds_at(part_state, version), part_state.c.live))
    return {row[0]: PartName(*row[1:]) for row in connection.execute(query)}


def _put_right(
    connection: Connection, version: int, names: dict[int, PartName], facts: dict[int, PartFacts]
) -> None:
    """Renew the facts of the few parts that have a rejected or corrected number."""
    said = (
        select(reading.c.part_id).distinct().join(decision, decision.c.reading_id == reading.c.id)
        .where(holds_at(decision, version),
               decision.c.verdict.in_([Verdict.REJECTED.value, Verdict.CORRECTED.value])))
    touched = {part_id: names[part_id] for part_id in connection.execute(said).scalars() if part_id in names}
    if not touched:
        return
    usable = names_to_usable_readings(connection, version, touched, accepted_only=False)
    for part_id in touched:
        facts[part_id] = replace(_readings_to_facts(usable.get(part_id, ())), package=facts[part_id].package)


def _readings_to_facts(readings: Iterable[Reading]) -> PartFacts:
    spans: dict[str, Any] = {}
    for one in readings:
        field = _FIELD_OF.get(one.quantity)
        if field is not None:
            low, high = spans.get(field, (one.value, one.value))
            spans[field] = (min(low, one.value), max(high, one.value))
    return PartFacts(**spans)
