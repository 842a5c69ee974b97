"""Writing down what was said of numbers: the new decision takes the older one's place, both stay.

Comes in: a writing connection, a change, decisions. Goes out: rows of decision. Judges nothing; part states
are renewed by the caller.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, insert, select, update

from holdtrip.library.chunks import chunks
from holdtrip.library.records import Verdict
from holdtrip.library.signing import POSITIVE, void_seconds
from holdtrip.library.tables import decision, second_signature


def add_decisions(
    connection: Connection, version: int, decided: Sequence[tuple[int, Verdict, float | None]]
) -> None:
    """Add (number, verdict, corrected value in SI) for each; at least one. A second signature stays under a
    decision that says the same."""
    void_seconds(connection, version, _no_longer_signed(connection, decided))
    for some in chunks(number_id for number_id, _, _ in decided):
        connection.execute(update(decision).values(replaced_by=version)
                           .where(decision.c.reading_id.in_(some), decision.c.replaced_by.is_(None)))
    connection.execute(insert(decision), [
        {"change_id": version, "reading_id": number_id, "verdict": verdict.value, "value": value}
        for number_id, verdict, value in decided])


def _no_longer_signed(
    connection: Connection, decided: Sequence[tuple[int, Verdict, float | None]]
) -> list[int]:
    """Numbers signed by a second person of which something else is said now."""
    found = []
    said = {number_id: (verdict in POSITIVE, value) for number_id, verdict, value in decided}
    query = (select(decision.c.reading_id, decision.c.verdict, decision.c.value)
             .join(second_signature, second_signature.c.reading_id == decision.c.reading_id)
             .where(decision.c.replaced_by.is_(None), second_signature.c.replaced_by.is_(None)))
    for some in chunks(said):
        found += [number_id for number_id, verdict, value
                  in connection.execute(query.where(decision.c.reading_id.in_(some)))
                  if said[number_id] != (Verdict(verdict) in POSITIVE, value)]
    return found
