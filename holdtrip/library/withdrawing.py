"""Datasheets that stop counting: withdrawn with a reason, put back likewise; nothing is deleted.

Comes in: a writing connection, a sheet, a signature. Goes out: the parts that count no longer, or again. An
older revision of the sheet is in force again where there is one.
"""

from __future__ import annotations

from sqlalchemy import Connection, select

from extract.errors import InputError
from holdtrip.library.filing import named_sheet
from holdtrip.library.history import add_change, holds_at
from holdtrip.library.records import Action, PartState, Signature
from holdtrip.library.state_rows import renew_states
from holdtrip.library.tables import change, part, part_state


def withdraw(connection: Connection, named: str, by: Signature) -> tuple[str, int]:
    """Let a sheet count no longer; returns its name and how many parts it lists. `named` is its file name or
    the first letters of its sha256. Raises InputError without a reason, or where it is withdrawn already."""
    if not by.reason.strip():
        raise InputError(named, "withdrawn without a reason", "a reason others can follow",
                         "Say why, such as --because 'a draft of the maker, never published'")
    return _set(connection, named, by, withdrawn=True)


def put_back(connection: Connection, named: str, by: Signature) -> tuple[str, int]:
    """Let a withdrawn sheet count again, as far as it was reviewed then."""
    return _set(connection, named, by, withdrawn=False)


def withdrawn_sheets(connection: Connection) -> frozenset[int]:
    """Identifiers of the sheets that do not count now."""
    query = (select(part.c.sheet_id).distinct().join(part_state, part_state.c.part_id == part.c.id)
             .where(part_state.c.replaced_by.is_(None),
                    part_state.c.own_state == PartState.WITHDRAWN.value))
    return frozenset(connection.execute(query).scalars())


def withdrawn_because(connection: Connection, version: int) -> dict[int, str]:
    """Sheet → why it does not count at a version: the reason of the last change that withdrew it."""
    out = (select(part.c.sheet_id).distinct().join(part_state, part_state.c.part_id == part.c.id)
           .where(holds_at(part_state, version), part_state.c.own_state == PartState.WITHDRAWN.value))
    said = (
        select(part.c.sheet_id, change.c.reason).join(part_state, part_state.c.part_id == part.c.id)
        .join(change, change.c.id == part_state.c.change_id)
        .where(change.c.action == Action.WITHDRAW.value, change.c.id <= version, part.c.sheet_id.in_(out))
        .order_by(change.c.id))
    reasons: dict[int, str] = {sheet_id: why for sheet_id, why in connection.execute(said)}  # noqa: C416
    return reasons


def _set(connection: Connection, named: str, by: Signature, withdrawn: bool) -> tuple[str, int]:
    one = named_sheet(connection, named)
    sheet_id, document = one.sheet_id, one.document
    if (sheet_id in withdrawn_sheets(connection)) == withdrawn:
        raise InputError(document, "it is withdrawn already" if withdrawn else "it is not withdrawn")
    part_ids = connection.execute(select(part.c.id).where(
        part.c.sheet_id == sheet_id, part.c.replaced_by.is_(None))).scalars().all()
    if not part_ids:
        raise InputError(document, "it lists no part, so that nothing of it counts")
    version = add_change(connection, Action.WITHDRAW if withdrawn else Action.PUT_BACK, by)
    renew_states(connection, version, part_ids, withdrawn=withdrawn)
    return document, len(part_ids)
