"""Writing down what was said of numbers: the new decision takes the older one's place, both stay.

Comes in: a writing connection, a change, decisions. Goes out: rows of decision. Judges nothing; part states
are renewed by the caller.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, insert, update

from holdtrip.library.chunks import chunks
from holdtrip.library.records import Verdict
from holdtrip.library.tables import decision


def add_decisions(
    connection: Connection, version: int, decided: Sequence[tuple[int, Verdict, float | None]]
) -> None:
    """Add (number, verdict, corrected value in SI) for each; at least one."""
    for some in chunks(number_id for number_id, _, _ in decided):
        connection.execute(update(decision).values(replaced_by=version)
                           .where(decision.c.reading_id.in_(some), decision.c.replaced_by.is_(None)))
    connection.execute(insert(decision), [
        {"change_id": version, "reading_id": number_id, "verdict": verdict.value, "value": value}
        for number_id, verdict, value in decided])
