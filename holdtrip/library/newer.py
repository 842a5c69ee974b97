"""Parts in force of which a newer revision is stored: what it says of them, and whether anybody reviewed it.

Comes in: a connection, a version. Goes out: a NewerRevision for each such part, and the finding that says so.
Compares what is printed; changes nothing and puts nothing in force.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, select

from extract.schema import UNIT_OF, WHOLE_SERIES, Finding, Severity
from holdtrip.library.filing import Filed, filed_sheets
from holdtrip.library.history import holds_at
from holdtrip.library.records import PartState
from holdtrip.library.sheet_changes import NumberChange, part_to_number_changes
from holdtrip.library.tables import part, part_state
from holdtrip.library.withdrawing import withdrawn_sheets

SHOWN = 4
"""So many changed numbers are named in a sentence."""


@dataclass(frozen=True, slots=True)
class NewerRevision:
    """A part in force, of `document`, and the newest sheet of its family: how far the part is reviewed there
    (None: no longer listed), and what is printed otherwise there, of the whole series too."""

    part_number: str
    document: str
    sha256: str
    newer_document: str
    newer_sha256: str
    newer_revision: str
    state: PartState | None
    changed: tuple[NumberChange, ...]


def connection_to_newer(
    connection: Connection, version: int, sheets: Iterable[str] = ()
) -> tuple[NewerRevision, ...]:
    """Every part in force that does not stand in the newest sheet of its family; of some sheets, or all."""
    out = withdrawn_sheets(connection)
    rows = [row for row in filed_sheets(connection, version) if row.sheet_id not in out]
    newest = {row.family: row for row in rows}
    wanted = set(sheets)
    older = [row for row in rows if newest[row.family] != row and (not wanted or row.sha256 in wanted)]
    return tuple(found for row in older
                 for found in _sheet_to_newer(connection, version, row, newest[row.family]))


def _sheet_to_newer(
    connection: Connection, version: int, older: Filed, newest: Filed
) -> list[NewerRevision]:
    here, there = (_parts(connection, version, one.sheet_id) for one in (older, newest))
    live = [row for row in here.values() if row.live and row.part_number != WHOLE_SERIES]
    if not live:
        return []
    of_series = _changes(connection, version, here, there, WHOLE_SERIES)
    return [NewerRevision(
        row.part_number, older.document, older.sha256, newest.document, newest.sha256, newest.revision,
        there[row.folded].state if row.folded in there else None,
        (*_changes(connection, version, here, there, row.folded), *of_series) if row.folded in there else ())
        for row in live]


@dataclass(frozen=True, slots=True)
class _Part:
    part_id: int
    folded: str
    part_number: str
    state: PartState
    live: bool


def _parts(connection: Connection, version: int, sheet_id: int) -> dict[str, _Part]:
    """Folded number → part, in the order listed; the whole series under its `*`."""
    query = (select(part.c.id, part.c.folded, part.c.part_number, part_state.c.own_state, part_state.c.live)
             .join(part_state, part_state.c.part_id == part.c.id)
             .where(part.c.sheet_id == sheet_id, holds_at(part_state, version)).order_by(part.c.position))
    rows = [_Part(part_id, WHOLE_SERIES if number == WHOLE_SERIES else folded, number, PartState(state), live)
            for part_id, folded, number, state, live in connection.execute(query)]
    return {row.folded: row for row in rows}


def _changes(
    connection: Connection, version: int, here: dict[str, _Part], there: dict[str, _Part], folded: str
) -> tuple[NumberChange, ...]:
    old, new = ([one[folded].part_id] if folded in one else [] for one in (here, there))
    return part_to_number_changes(connection, version, old, new) if old or new else ()


def newer_to_sentence(one: NewerRevision) -> str:
    """What a user must know: that it exists, whether it is reviewed, what changed for this part."""
    revision = f" ({one.newer_revision})" if one.newer_revision else ""
    there = f"a newer revision is stored: {one.newer_document}{revision}"
    if one.state is None:
        return f"{there}; it no longer lists this part"
    reviewed = "not reviewed yet" if one.state is PartState.READ else one.state.value
    if not one.changed:
        return f"{there}, {reviewed} there; the same numbers are printed there"
    more = f" and {len(one.changed) - SHOWN} more" if len(one.changed) > SHOWN else ""
    return f"{there}, {reviewed} there; changed: {'; '.join(map(_change_to_text, one.changed[:SHOWN]))}{more}"


def newer_to_finding(one: NewerRevision) -> Finding:
    """The same as a finding, for everything that shows findings."""
    return Finding("newer-revision", Severity.DOUBT, newer_to_sentence(one), found=one.document,
                   expected=one.newer_document, document=one.document, part_number=one.part_number)


def _change_to_text(change: NumberChange) -> str:
    unit = UNIT_OF[change.quantity]
    given = ((change.test_current_a, "A"), (change.ambient_c, "°C"))
    conditions = [f"at {value:g} {of}" for value, of in given if value is not None]
    names = [name.replace("_", " ") for name in (change.quantity.value, change.kind.value)]
    what = " ".join([*names, *conditions])
    before, after = (" or ".join(f"{one.reading.value:g}" for one in side) or "none"
                     for side in (change.before, change.after))
    return f"{' '.join(what.split())} {before} → {after} {unit}"
