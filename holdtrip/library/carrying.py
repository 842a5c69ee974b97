"""Decisions carried from one revision of a sheet to the next, for numbers that are printed alike.

Comes in: a writing connection, the newer sheet, a signature. Goes out: what was carried, and what is printed
otherwise and needs a decision. Nobody has looked at the new page: what is carried stands as accepted in bulk,
and its reason says from where. Corrections, rejections and disputed numbers are never carried.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, select

from extract.errors import InputError
from extract.schema import Status
from holdtrip.library.curves import StoredCurve, add_curve_decisions, carry_curves, sheets_to_curves
from holdtrip.library.decisions import add_decisions
from holdtrip.library.filing import Filed, filed_sheets, named_sheet
from holdtrip.library.history import add_change, version_at
from holdtrip.library.numbers import connection_to_numbers
from holdtrip.library.part_numbers import fold
from holdtrip.library.records import Action, Signature, StoredNumber, Verdict
from holdtrip.library.state_rows import renew_states
from holdtrip.library.tables import part
from holdtrip.library.withdrawing import withdrawn_sheets

_CARRIED = (Verdict.ACCEPTED, Verdict.BULK)


@dataclass(frozen=True, slots=True)
class CarryOutcome:
    """From which sheet to which; how many numbers and curves were carried; those of parts somebody decided on
    that are left to be looked at: changed, new, disputed, corrected or rejected before."""

    older: str
    newer: str
    carried: int
    left: tuple[StoredNumber, ...]
    curves: int = 0
    curves_left: tuple[StoredCurve, ...] = ()


def carry_unchanged(connection: Connection, newer: str, by: Signature) -> CarryOutcome:
    """Carry decisions to the sheet whose sha256 begins so or whose file is called so, from the revision
    before it; raises InputError where there is no such sheet or no older revision."""
    version = version_at(connection)
    new, old = _named_pair(connection, newer)
    before = _slots(connection_to_numbers(connection, version, _parts_of(connection, old.sheet_id)))
    after = _slots(connection_to_numbers(connection, version, _parts_of(connection, new.sheet_id)))
    carried, left = _carried_and_left(before, after)
    lines, lines_left = carry_curves(
        *(sheets_to_curves(connection, version, [one.sheet_id]).get(one.sheet_id, ()) for one in (old, new)))
    if carried or lines:
        reason = f"carried from {old.document} ({old.revision or old.sha256[:12]}), printed alike"
        reason += f": {by.reason}" if by.reason else ""
        version = add_change(connection, Action.BULK, Signature(by.who, reason))
        if carried:
            add_decisions(connection, version, [(one.number_id, Verdict.BULK, None) for one in carried])
        if lines:
            add_curve_decisions(connection, version, [(one.curve_id, Verdict.BULK, "") for one in lines])
        renew_states(connection, version, _parts_of(connection, new.sheet_id))
    return CarryOutcome(old.document, new.document, len(carried), tuple(left), len(lines), lines_left)


def _named_pair(connection: Connection, newer: str) -> tuple[Filed, Filed]:
    """(the sheet named, the revision before it that counts)."""
    new, out = named_sheet(connection, newer), withdrawn_sheets(connection)
    older = [one for one in filed_sheets(connection, version_at(connection))
             if one.family == new.family and one.age < new.age and one.sheet_id not in out]
    if not older:
        raise InputError("library", f"{new.document} has no older revision", "a newer revision of a sheet",
                         "`holdtrip changes` lists those that have")
    return new, older[-1]


def _parts_of(connection: Connection, sheet_id: int) -> list[int]:
    return list(connection.execute(select(part.c.id).where(
        part.c.sheet_id == sheet_id, part.c.replaced_by.is_(None))).scalars())


_Slot = tuple[str, str, str, float | None, float | None]


def _carried_and_left(
    before: dict[_Slot, list[StoredNumber]], after: dict[_Slot, list[StoredNumber]]
) -> tuple[list[StoredNumber], list[StoredNumber]]:
    """The undecided numbers of the parts somebody decided on: those printed alike, and the others."""
    decided = {slot[0] for slot, numbers in before.items() if any(one.is_decided for one in numbers)}
    carried: list[StoredNumber] = []
    left: list[StoredNumber] = []
    for slot, numbers in after.items():
        if slot[0] in decided:
            alike = _is_carried(before.get(slot, ()), numbers)
            (carried if alike else left).extend(one for one in numbers if not one.is_decided)
    return carried, left


def _slots(numbers: Iterable[StoredNumber]) -> dict[_Slot, list[StoredNumber]]:
    """Part, quantity, kind and condition → the numbers printed for it; the whole series is no part."""
    found: dict[_Slot, list[StoredNumber]] = {}
    for one in numbers:
        read = one.reading
        slot = (fold(read.part_number) or read.part_number, read.quantity.value, read.kind.value,
                read.ambient_c, read.test_current_a)
        found.setdefault(slot, []).append(one)
    return found


def _is_carried(before: Iterable[StoredNumber], after: Iterable[StoredNumber]) -> bool:
    """Whether both revisions print the same one value with the same unit, accepted there, in doubt here
    nowhere."""
    old, new = list(before), list(after)
    if not old or any(one.reading.status is Status.DISPUTED for one in new):
        return False
    if not all(one.decision is not None and one.decision.verdict in _CARRIED and not one.waiting
               for one in old):
        return False
    return len({(one.reading.value, one.reading.unit) for one in (*old, *new)}) == 1
